import pytest

from shop.jobs import clock
from tests.requests import world as worlds
from tests.work.floor import Floor


@pytest.fixture
def world(db):
    with clock.at(worlds.NOON):
        yield worlds.make()


@pytest.fixture
def floor(world):
    return Floor(world)
