"""What a record costs: queries that don't grow with the records before it, nor with the queue it comes in."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from shop.jobs import clock
from shop.requests.models import Run
from shop.work import services
from tests.work.floor import later

# the lock, the nonce, the insert with its history, what it touches, the facts, the row and its lines
MOST_FOR_ONE = 20


def cost(act):
    with CaptureQueriesContext(connection) as asked:
        act()
    return len(asked)


def test_one_scan_costs_the_same_after_many(floor):
    floor.release(quantity=2)
    young, old = floor.piece(copy=1), floor.piece(copy=2)
    floor.make(old)
    for verb in ("seen", "drop", "receive", "seen", "receive", "seen"):
        floor.say(old, verb, "driver", place=floor.world.hoist)
    costs = [
        cost(lambda piece=piece: floor.say(piece, "seen", "driver", place=floor.world.room)) for piece in (young, old)
    ]
    assert costs[0] == costs[1] <= MOST_FOR_ONE


@pytest.mark.parametrize("size", [4, 12])
def test_a_queue_costs_hardly_more_than_one_scan(floor, size):
    floor.release(quantity=size)
    queue = [floor.saying(floor.piece(copy=copy), verb) for copy in range(1, size + 1) for verb in ("cut", "bend")]
    with clock.at(later(60)):
        assert cost(lambda: services.records_add(queue)) <= MOST_FOR_ONE + 1


@pytest.mark.parametrize("size", [3, 30])
def test_a_hold_of_a_run_costs_the_same_for_few_pieces_and_for_many(floor, size):
    floor.release(quantity=size)
    run = Run.objects.get()
    assert cost(lambda: floor.say(None, "hold", "foreman", run=run)) <= MOST_FOR_ONE


@pytest.mark.parametrize("size", [2, 40])
def test_a_release_costs_the_same_for_few_copies_and_for_many(floor, size):
    revision = floor.world.ok(quantity=size)
    assert cost(lambda: services.revision_release(revision=revision, actor=floor.world.lead)) <= 30
