import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

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


@pytest.fixture
def visit(client, world):
    """`visit("driver", "/q/")`: the page as that person gets it."""

    def get(by: str, path: str, **post):
        client.force_login(getattr(world, by), backend="django.contrib.auth.backends.ModelBackend")
        return client.post(path, post) if post else client.get(path)

    get.client = client
    return get


@pytest.fixture
def queries(visit):
    """`queries("driver", "/q/")`: how many the page itself asks, once the person is signed in."""

    def count(by: str, path: str) -> int:
        visit(by, path)
        with CaptureQueriesContext(connection) as asked:
            assert visit.client.get(path).status_code == 200
        return len(asked)

    return count
