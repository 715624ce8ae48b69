"""Where everything is: five columns that add up to all needs, of one place or many, in a fixed number of queries."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from shop.jobs import services as jobs
from shop.jobs.models import PlaceKind
from shop.requests.models import Paper, Revision, Run
from shop.requests.services import draft_save, revision_cancel
from shop.work import queries, services
from shop.work.models import Need, Piece
from shop.work.queries import Counts, counts_at, counts_by_place
from tests.requests.world import refused
from tests.work.floor import later


def columns(world, place=None):
    counts = counts_at(place or world.room)
    return [counts.asked, counts.in_shop, counts.on_truck, counts.here, counts.in_place]


@pytest.fixture
def eight(floor):
    """Eight stubs: 2 not begun, 1 bent, 1 on the truck, 1 dropped, 1 received, 1 in the room, 1 in."""
    floor.release(quantity=8)
    world = floor.world
    floor.make(floor.piece(copy=3))
    floor.say(floor.piece(copy=4), "load", "driver", fields={"load": "118"})
    floor.say(floor.piece(copy=5), "drop", "driver", place=world.hoist)
    floor.say(floor.piece(copy=6), "receive", "foreman", place=world.hoist)
    floor.say(floor.piece(copy=7), "seen", "installer", place=world.room)
    floor.say(floor.piece(copy=8), "in", "installer")
    return floor


def test_each_need_stands_in_one_column(eight):
    assert columns(eight.world) == [0, 3, 1, 3, 1]
    counts = counts_at(eight.world.room)
    assert (counts.total, counts.dropped, counts.on_site, counts.over, counts.apart) == (8, 1, 4, 0, 0)


def test_what_isnt_good_is_asked_again(eight):
    eight.say(eight.piece(copy=8), "snag", "installer", fields={"kind": "damaged"})
    counts = counts_at(eight.world.room)
    assert columns(eight.world) == [1, 3, 1, 3, 0] and counts.apart == 1


def test_a_remake_counts_once(eight):
    services.piece_remake(piece=eight.piece(copy=6), actor=eight.world.hand, reason="kinked")
    assert columns(eight.world) == [0, 4, 1, 2, 1]


def test_a_run_that_is_sent_is_asked(world):
    world.ask(quantity=3)
    assert columns(world) == [3, 0, 0, 0, 0]


def test_a_draft_asks_for_nothing(world):
    draft_save(run_draft=world.draft(quantity=3), job=world.job, actor=world.foreman)
    assert columns(world) == [0, 0, 0, 0, 0]


def test_a_withdrawn_run_asks_for_nothing(world):
    revision_cancel(revision=world.ask(quantity=3), actor=world.foreman)
    assert columns(world) == [0, 0, 0, 0, 0]


def test_b_asks_for_its_own_quantity_and_as_metal_is_apart(eight):
    eight.revise(Run.objects.get(), quantity=5)
    counts = counts_at(eight.world.room)
    assert columns(eight.world) == [5, 0, 0, 0, 0] and counts.apart == 4


def test_used_for_another_run_counts_there(floor):
    floor.release()
    other = floor.release("S-05", place=floor.world.other_room).revision.run
    floor.say(floor.piece(), "elsewhere", "foreman", place=floor.world.other_room, others={"need": other})
    assert columns(floor.world) == [1, 0, 0, 0, 0]
    assert columns(floor.world, floor.world.other_room) == [0, 0, 0, 0, 1]
    assert counts_at(floor.world.other_room).over == 1


def second_stick(floor):
    """Two sticks a copy, as a longer run will have: the engine doesn't split runs yet."""
    made = floor.release(quantity=2)
    Revision.objects.update(parts=2)
    for piece in made.pieces.all():
        need = Need.objects.create(run=piece.run, copy=piece.copy, part=2)
        Piece.objects.create(
            run=piece.run, need=need, release=made, revision=piece.revision, copy=piece.copy, part=2,
            code=f"CODE{piece.copy}", fills=piece.run,
        )  # fmt: skip
    return made


def test_an_assembly_of_two_sticks_stands_at_its_least(floor):
    second_stick(floor)
    first, second = Piece.objects.filter(copy=1).order_by("part")
    floor.say(first, "in", "installer")
    assert columns(floor.world) == [0, 2, 0, 0, 0]
    floor.say(second, "receive", "foreman", place=floor.world.hoist)
    assert columns(floor.world) == [0, 1, 0, 1, 0]
    floor.say(Piece.objects.get(copy=2, part=2), "in", "installer")
    assert columns(floor.world) == [0, 1, 0, 0, 1]


# Places


def test_a_place_counts_all_that_lies_in_it(eight):
    world = eight.world
    world.ask("S-09", place=world.other_room, quantity=2)
    level = world.room.parent
    wall = jobs.place_add(name="North wall", kind=PlaceKind.WALL, parent=world.room, actor=None)
    world.ask("S-10", place=wall, quantity=4)
    found = counts_by_place([level, world.room, wall, world.hoist])
    assert [found[place.pk].asked for place in (level, world.room, wall, world.hoist)] == [6, 4, 4, 0]
    assert found[level.pk].total == 14 and found[world.hoist.pk] == Counts()


def test_a_place_whose_key_begins_alike_is_another_place(world):
    """/1/2/ doesn't hold /1/21/."""
    places = [
        jobs.place_add(name=f"P{n}", kind=PlaceKind.AREA, parent=world.room.parent, actor=None) for n in range(12)
    ]
    world.ask(place=places[-1])
    assert [counts_at(place).total for place in places] == [0] * 11 + [1]


# Lists


def test_the_lists_behind_the_columns(eight):
    world = eight.world
    eight.say(eight.piece(copy=8), "snag", "installer", fields={"kind": "damaged"})
    world.ask("S-09", quantity=2)
    level = world.room.parent
    assert [[piece.copy for piece in queries.pieces_in(level, n)] for n in range(4)] == [[1, 2, 3], [4], [5, 6, 7], []]
    assert [piece.copy for piece in queries.pieces_apart(level)] == [8]
    assert [(run.tag, count) for run, count in queries.runs_missing(level)] == [("S-04", 1), ("S-09", 2)]


@pytest.mark.parametrize("read", ["counts", "missing", "life"])
def test_readings_ask_as_often_for_much_as_for_little(floor, read):
    """Query counts at two sizes of data."""
    floor.release("S-04")
    floor.make(floor.piece("S-04"))

    def count():
        level = floor.world.room.parent
        reading = {
            "counts": lambda: counts_by_place([level, floor.world.room, floor.world.other_room]),
            "missing": lambda: queries.runs_missing(level),
            "life": lambda: queries.piece_life(floor.piece("S-04")),
        }[read]
        with CaptureQueriesContext(connection) as asked:
            assert reading()
        return len(asked)

    floor.world.ask("S-00")
    little = count()
    for number in range(5, 9):
        floor.release(f"S-0{number}", quantity=3)
        floor.make(floor.piece(f"S-0{number}"))
    floor.say(floor.piece("S-04"), "load", "driver", fields={"load": "118"})
    assert count() == little <= 16


# The life of a piece and who is told


def test_a_pieces_life_tells_what_was_said_and_what_nobody_saw(floor):
    floor.release()
    piece = floor.piece()
    floor.say(piece, "bend", nonce="n-1", minutes=20)
    floor.say(piece, "scrap", nonce="n-2", minutes=30)
    floor.say(None, "annul", annuls="n-2", nonce="n-3", minutes=31)
    floor.say(None, "hold", "lead", run=piece.run, nonce="n-4", minutes=10)
    life = queries.piece_life(piece)
    assert [(told.record.nonce, told.stands) for told in life.told] == [
        ("n-4", True),
        ("n-1", True),
        ("n-2", False),
        ("n-3", True),
    ]
    assert {step: record.nonce for step, record in life.not_seen.items()} == {"cut": "n-1"}
    assert life.answer.step == "bent"


def test_a_person_hears_his_own_lines_and_those_of_his_role_on_his_jobs(floor):
    world = floor.world
    floor.release()
    floor.say(floor.piece(), "drop", "driver", place=world.hoist, done_at=later(-600))
    codes = {
        by: [line.code for line in queries.lines_for(getattr(world, by))]
        for by in ("driver", "foreman", "lead", "hand")
    }
    assert codes == {
        "driver": ["phone_clock"],
        "foreman": ["dropped_not_received"],
        "lead": ["phone_clock"],
        "hand": [],
    }
    world.job.people.remove(world.foreman)
    assert not queries.lines_for(world.foreman)


def test_a_person_sees_what_of_his_was_refused(floor):
    floor.release()
    with refused("role_not_allowed"):
        floor.say(floor.piece(), "cut", "installer")
    assert [row.code for row in queries.refused_for(floor.world.installer)] == ["role_not_allowed"]
    assert not queries.refused_for(floor.world.lead)


def test_paper_states_do_not_hide_a_need(world):
    revision = world.ask(quantity=2)
    for state in (Paper.QUESTION, Paper.OK, Paper.HELD):
        Revision.objects.filter(pk=revision.pk).update(state=state)
        assert columns(world) == [2, 0, 0, 0, 0]
