import pytest

from shop.jobs import clock
from tests.requests import world as worlds


@pytest.fixture
def world(db):
    with clock.at(worlds.NOON):
        yield worlds.make()
