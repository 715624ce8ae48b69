"""An area counts needs in five columns that add up to all of them."""

import pytest
from django.urls import reverse

from shop.jobs.services import place_add, place_close_set
from shop.requests.services import question_ask
from shop.tracking.areas import area, five, jobs_with_areas, need_rows, needed_today, today
from shop.work.queries import counts_at
from tests.work.floor import later


@pytest.fixture
def mixed(floor):
    """Six stubs: one in, one here, one on a truck, two in the shop, one scrapped; and two asked, not released."""
    world = floor.world
    floor.release(quantity=6)
    pieces = [floor.piece(copy=copy) for copy in range(1, 7)]
    floor.say(pieces[0], "in", "installer", place=world.room)
    floor.say(pieces[1], "receive", "foreman", place=world.hoist)
    floor.say(pieces[2], "load", "driver", fields={"load": "118"})
    floor.say(pieces[5], "scrap", "hand", reason="kinked")
    world.ask("S-05", quantity=2)
    return world


def test_the_five_counts_add_up_to_all_needs(mixed):
    counts = five(counts_at(mixed.room))
    assert counts == {"in": 1, "here": 1, "on_truck": 1, "in_shop": 2, "asked": 3}
    assert sum(counts.values()) == 8


def test_a_level_counts_what_lies_in_its_rooms(mixed):
    assert counts_at(mixed.room.parent) == counts_at(mixed.room)


def test_another_room_counts_nothing_of_it(mixed):
    assert counts_at(mixed.other_room).total == 0


def test_every_need_has_a_row(mixed):
    assert len(need_rows(mixed.room)) == 8


@pytest.mark.parametrize(("only", "rows"), [("all", 8), ("not-in", 7), ("in", 1), ("here", 1), ("asked", 3), ("x", 8)])
def test_a_chip_shows_its_rows(mixed, only, rows):
    assert sum(len(group.rows) for group in area(mixed.room, only)["groups"]) == rows


def test_the_area_warns_while_something_is_not_in(mixed):
    place_close_set(place=mixed.room, closes_at=later(60), word="Walls close", actor=mixed.office)
    assert "7 are not in" in area(mixed.room, "all")["closes"]


def test_the_list_of_areas_shows_the_room_with_its_sum(mixed):
    (job,) = jobs_with_areas(mixed.foreman)
    assert [(row.name, row.total, row.on_site) for row in job.areas] == [("L2, Room 214", 8, 2)]


def test_today_counts_what_is_needed_and_not_in(floor):
    floor.release(quantity=3, needed_at=later(120))
    floor.say(floor.piece(copy=1), "in", "installer", place=floor.world.room)
    shown = today(floor.world.foreman)
    assert shown["needed"] == 2 and shown["needed_words"] == "2 in shop"


def test_what_is_due_and_not_released_is_needed_today_too(world, visit):
    world.ask("S-07", needed_at=later(-60))
    world.ask("S-08", needed_at=later(5000))
    assert today(world.foreman)["needed_words"] == "1 asked"
    content = visit("foreman", reverse("needed")).content.decode()
    assert "S-07" in content and "S-08" not in content


def test_the_list_of_today_has_as_many_lines_as_today_counts(floor):
    floor.release("S-07", quantity=3, needed_at=later(-60))
    floor.say(floor.piece("S-07"), "in", "installer")
    rows = [row for group in needed_today(floor.world.foreman) for row in group.rows]
    assert len(rows) == today(floor.world.foreman)["needed"] == 2


def test_today_shows_the_foreman_what_waits_for_his_answer(world, visit):
    question_ask(revision=world.ask(), text="To which face?", actor=world.lead)
    assert "To which face?" in visit("foreman", "/").content.decode()
    assert "To which face?" not in visit("installer", "/").content.decode()


def test_the_shops_people_start_on_their_own_page(visit):
    assert visit("lead", "/").url == reverse("inbox")
    assert visit("hand", "/").url == reverse("board")


def test_an_area_asks_the_same_number_of_queries_at_two_sizes(queries, floor):
    path = reverse("area", args=[floor.world.room.pk])
    floor.release(quantity=2)
    few = queries("foreman", path)
    floor.release("S-05", quantity=40)
    assert queries("foreman", path) == few <= 16


def test_the_list_of_areas_asks_the_same_number_of_queries_at_two_sizes(queries, world):
    world.ask("T-00")
    few = queries("foreman", reverse("areas"))
    for number in range(1, 12):
        place = place_add(name=f"Room {number}", kind="room", parent=world.room.parent, actor=None)
        world.ask(f"T-{number:02}", place=place)
    assert queries("foreman", reverse("areas")) == few <= 14
