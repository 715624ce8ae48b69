"""Lists of runs: what is wrong is told by row and column, nothing is written before all of it is right."""

import csv
import io
import json
from datetime import UTC, datetime

import pytest
from django.urls import reverse
from openpyxl import Workbook, load_workbook

from shop.jobs.models import History, Place, PlaceKind
from shop.jobs.refusals import Refusal
from shop.jobs.services import place_add
from shop.requests import services as papers
from shop.requests.lists import cells, columns, services, writing
from shop.requests.models import Paper, Request, Revision, Run, RunList
from shop.requests.shapes import BY_KEY, SHAPES
from tests.requests.world import stub, three_d

HEADINGS = (
    "Tag",
    "Qty",
    "Place",
    "Conduit",
    "Shape",
    "Start: measured from",
    "Leg 1",
    "Corner: turns",
    "Leg 2",
    "Far end: measured to",
)


def line(tag="S-10", **more):
    said = {
        "Tag": tag, "Qty": "2", "Place": "Room 214", "Conduit": "3/4 EMT", "Shape": "Stub 90",
        "Start: measured from": "finished floor", "Leg 1": "19 1/2", "Corner: turns": "out", "Leg 2": "5' 6\"",
        "Far end: measured to": "coupling stop",
    }  # fmt: skip
    return tuple((said | more)[name] for name in HEADINGS)


def a_list(world, *lines, usual=None, headings=HEADINGS):
    rows = tuple(lines) or (line(Place=world.room.full_name),)
    found = cells.Cells(tuple(headings), rows, tuple(range(2, len(rows) + 2)))
    return services.list_read(job=world.job, cells=found, usual=usual or {}, actor=world.foreman)


def checked(world, *lines, **more):
    found = a_list(world, *lines, **more)
    while services.list_check(run_list=found, actor=world.foreman, most=2):
        pass
    return found


def no_of(service, *given, **said):
    with pytest.raises(Refusal) as found:
        service(*given, **said)
    return found.value.code


def wrong(found):
    return {(row.line, one["column"], one["code"]) for row in found.rows.all() for one in row.problems}


# `line` takes the tag by a name of its own.
NAMED = {"Tag": "tag"}


def in_room(world, tag="S-10", **more):
    return line(tag, **{"Place": world.room.full_name} | more)


def test_a_list_that_is_right_is_sent_whole(world):
    found = checked(world, in_room(world, "S-10"), in_room(world, "S-11", Qty="3"))
    assert wrong(found) == set()
    assert Run.objects.count() == 0
    sent = services.list_send(run_list=found, said_yes=False, actor=world.foreman)
    assert [(one.run.tag, one.quantity, one.state) for one in Revision.objects.order_by("pk")] == [
        ("S-10", 2, Paper.SENT),
        ("S-11", 3, Paper.SENT),
    ]
    assert sent.runs.count() == 2


def test_a_run_from_a_list_is_the_same_as_one_that_was_asked_for_by_hand(world):
    services.list_send(run_list=checked(world, in_room(world)), said_yes=False, actor=world.foreman)
    by_hand = world.ask("S-04", document=stub(start={"to": "finished floor"}, end={"to": "coupling stop"}))
    from_list = Revision.objects.get(run__tag="S-10")
    assert from_list.layout["pieces"] == by_hand.layout["pieces"]
    assert from_list.shape == by_hand.shape
    assert History.objects.filter(action="revision.send").count() == 2


def test_sent_twice_it_is_one_request(world):
    found = checked(world, in_room(world))
    first = services.list_send(run_list=found, said_yes=False, actor=world.foreman)
    again = services.list_send(run_list=RunList.objects.get(pk=found.pk), said_yes=False, actor=world.foreman)
    assert first == again and Request.objects.count() == 1


@pytest.mark.parametrize(
    ("column", "text", "code"),
    [
        ("Leg 1", "5-2 1/2", "two_readings"),
        ("Leg 1", "", "missing"),
        ("Leg 1", "2", "leg_too_short"),
        ("Qty", "none", "no_quantity"),
        ("Place", "Room 9", "unknown_place"),
        ("Conduit", "9 EMT", "no_bender"),
        ("Shape", "Pretzel", "unknown_shape"),
        ("Corner: turns", "sideways", "unknown_word"),
        ("Tag", "", "no_tag"),
    ],
)
def test_what_is_wrong_is_told_at_its_row_and_column(world, column, text, code):
    found = checked(
        world, in_room(world, "S-10"), in_room(world, **{"tag": "S-11"} | {NAMED.get(column, column): text})
    )
    assert (3, column, code) in wrong(found)
    assert not any(at == 2 for at, _, _ in wrong(found))
    assert no_of(services.list_send, run_list=found, said_yes=True, actor=world.foreman) == "list_wrong"
    assert Run.objects.count() == 0


def test_a_tag_that_stands_twice_or_is_taken_is_told_at_each_row(world):
    world.ask("S-12")
    found = checked(world, in_room(world, "S-10"), in_room(world, "S-10"), in_room(world, "S-12"))
    assert wrong(found) == {(2, "Tag", "tag_taken"), (3, "Tag", "tag_taken"), (4, "Tag", "tag_taken")}


def test_a_tag_taken_after_the_check_stops_the_whole_list(world):
    found = checked(world, in_room(world, "S-10"), in_room(world, "S-11"))
    world.ask("S-11")
    assert no_of(services.list_send, run_list=found, said_yes=False, actor=world.foreman) == "tag_taken"
    assert Run.objects.count() == 1


def test_an_empty_cell_means_what_was_said_for_the_list(world):
    usual = {"place": world.room.full_name, "conduit": "3/4 EMT", "shape": "stub"}
    found = checked(world, line(Place="", Conduit="", Shape=""), usual=usual)
    assert wrong(found) == set()


def test_a_list_that_isnt_checked_isnt_sent(world):
    found = a_list(world)
    assert no_of(services.list_send, run_list=found, said_yes=True, actor=world.foreman) == "not_checked"


def test_a_bender_tested_since_the_check_asks_for_another_check(world):
    found = checked(world, in_room(world))
    world.profile.pk, world.profile.version = None, world.profile.version + 1
    world.profile.save()
    assert no_of(services.list_send, run_list=found, said_yes=True, actor=world.foreman) == "bender_changed"


def test_runs_that_leave_one_plane_need_a_yes(world):
    text = json.dumps(three_d())
    found = checked(world, ("K-1", world.room.full_name, text), headings=("Tag", "Place", "Run as run/1"))
    assert wrong(found) == set()
    assert no_of(services.list_send, run_list=found, said_yes=False, actor=world.foreman) == "needs_yes"
    services.list_send(run_list=found, said_yes=True, actor=world.foreman)
    assert Revision.objects.get().three_d


def test_a_length_that_is_hardly_meant_needs_a_yes(world):
    found = checked(world, in_room(world, **{"Leg 2": "625"}))
    assert wrong(found) == set() and "52'-1" in found.rows.get().reads
    assert no_of(services.list_send, run_list=found, said_yes=False, actor=world.foreman) == "needs_yes"
    services.list_send(run_list=found, said_yes=True, actor=world.foreman)
    # A yes to a length is none to a plane.
    assert not Revision.objects.get().three_d_yes


def test_a_row_left_out_while_the_list_is_being_sent_is_not_sent(world, monkeypatch):
    found = checked(world, in_room(world, "S-10"), in_room(world, "S-11"))

    def meanwhile(job):
        found.rows.filter(line=3).delete()

    monkeypatch.setattr(services, "lock_job", meanwhile)
    services.list_send(run_list=found, said_yes=False, actor=world.foreman)
    assert Run.objects.get().tag == "S-10"


def test_what_is_wrong_in_a_runs_own_document_is_told_by_its_own_rows(world):
    document = three_d()
    document["path"][4] = {"leg": "2"}
    found = checked(
        world, ("K-1", world.room.full_name, json.dumps(document)), headings=("Tag", "Place", "Run as run/1")
    )
    assert {(column, code) for _, column, code in wrong(found)} == {("Leg 3", "leg_too_short")}


@pytest.mark.parametrize(
    ("said", "code"),
    [
        ({"Needed on": "12/3/2027", "At hour": "7:00"}, "not_a_day"),
        ({"Needed on": "2027-03-05", "At hour": "seven"}, "not_an_hour"),
        ({"Needed on": "2027-03-14", "At hour": "2:30"}, "hour_skipped"),
    ],
)
def test_a_need_that_cant_be_read_is_told(world, said, code):
    headings = (*HEADINGS, "Needed on", "At hour")
    found = checked(world, (*in_room(world), said["Needed on"], said["At hour"]), headings=headings)
    assert {one for _, _, one in wrong(found)} == {code}


@pytest.mark.parametrize("text", ["2027-03-05 07:00", "2027-03-05"])
def test_day_and_hour_are_the_jobs_own(world, text):
    headings = (*HEADINGS, "Needed on", "At hour")
    found = checked(world, (*in_room(world), text, "7 AM"), headings=headings)
    services.list_send(run_list=found, said_yes=False, actor=world.foreman)
    # 7 in the morning of Chicago in winter is 13:00 UTC (IANA time zone database, America/Chicago, CST)
    assert Revision.objects.get().needed_at == datetime(2027, 3, 5, 13, tzinfo=UTC)


# Reading files


def test_a_column_nobody_knows_is_refused_with_the_nearest(world):
    with pytest.raises(Refusal) as found:
        a_list(world, ("S-1", "x"), headings=("Tag", "Conduits"))
    assert found.value.code == "unknown_column" and found.value.limits["nearest"] == "Conduit"


@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_what_is_pasted_may_be_parted_by_commas_semicolons_or_tabs(separator):
    found = cells.read_text(f"Tag{separator}Leg 1\nS-1{separator}19½\n\nS-2{separator}20\n")
    assert found.headings == ("Tag", "Leg 1")
    assert found.rows == (("S-1", "19½"), ("S-2", "20")) and found.numbers == (2, 4)


def test_a_workbook_is_read_as_it_is_shown():
    book = Workbook()
    book.active.append(["Tag", "Qty", "Needed on"])
    book.active.append(["S-1", 2.0, datetime(2027, 3, 5)])
    written = io.BytesIO()
    book.save(written)
    assert cells.read_file("runs.xlsx", written.getvalue()).rows == (("S-1", "2", "2027-03-05"),)


@pytest.mark.parametrize(
    ("name", "content", "code"),
    [
        ("a.xlsx", b"PK\x03\x04 nothing", "not_a_list"),
        ("a.csv", b"\x00\x01\x02", "not_text"),
        ("a.csv", b"", "list_empty"),
        ("a.csv", b"Tag,Qty\n", "list_empty"),
        ("a.csv", b"Tag,Tag\nS-1,2\n", "column_twice"),
        ("a.csv", b"Tag\n" + b"S-1\n" * (cells.MOST_ROWS + 1), "too_many_rows"),
        ("a.csv", b"x" * (cells.MOST_BYTES + 1), "file_too_big"),
    ],
)
def test_a_file_that_cant_be_read_is_refused_by_name(name, content, code):
    assert no_of(cells.read_file, name, content) == code


# Writing


@pytest.mark.parametrize("shape", SHAPES, ids=lambda shape: shape.key)
def test_the_columns_of_a_shape_have_different_names(shape):
    names = [columns.plain(column.name) for column in (*columns.head(), *columns.of_shape(shape))]
    assert len(names) == len(set(names))


@pytest.mark.parametrize("write", ["csv", "xlsx"])
def test_what_is_written_can_be_read_in_again_as_the_same_runs(world, write):
    world.ask("S-04", document=stub(start={"to": "finished floor"}, end={"to": "coupling stop"}), note="=1+1")
    world.ask("K-07", document=three_d(), three_d_yes=True)
    headings, rows = writing.rows_of(Revision.objects.order_by("pk"))
    content = {"csv": writing.as_csv, "xlsx": writing.as_xlsx}[write](headings, rows)
    found = cells.read_file(f"runs.{write}", content)
    again = services.list_read(job=world.job, cells=found, usual={}, actor=world.foreman)
    services.list_check(run_list=again, actor=world.foreman)
    assert {code for _, _, code in wrong(again)} == {"tag_taken"}
    documents = [row.asked["document"]["path"] for row in again.rows.order_by("line")]
    assert [step.get("leg") for step in documents[0]] == ["19 1/2", None, "5' 6\""]
    assert documents[1] == three_d()["path"]
    assert again.rows.first().asked["note"] == "=1+1"


def test_no_spreadsheet_computes_what_a_person_typed():
    assert writing.safe("=1+1") == "'=1+1"
    assert writing.safe("-1/2") == "-1/2"
    assert cells.read_text(f"Tag\n{writing.safe(chr(39) + 'x')}\n").rows == (("'x",),)
    assert next(csv.reader(io.StringIO(writing.as_csv(["a"], [{"a": "@x"}]).decode("utf-8-sig")))) == ["a"]


# Pages


@pytest.fixture
def foreman(world, client):
    client.force_login(world.foreman)
    return client


def test_from_the_paste_to_the_shops_inbox(world, foreman):
    texts = ["\t".join(HEADINGS), "\t".join(in_room(world))]
    answer = foreman.post(reverse("list-take"), {"job": world.job.pk, "pasted": "\n".join(texts)})
    found = RunList.objects.get()
    assert answer.url == reverse("run-list", args=[found.pk])
    assert b"0 of 1" in foreman.get(answer.url).content
    foreman.post(reverse("list-check", args=[found.pk]))
    foreman.post(reverse("list-send", args=[found.pk]))
    assert Revision.objects.get().state == Paper.SENT
    assert b"S-10" in foreman.get(reverse("my-runs")).content


def test_what_was_pasted_stays_when_it_is_refused(world, foreman):
    answer = foreman.post(reverse("list-take"), {"job": world.job.pk, "pasted": "Tag\tLength\nS-1\t5"})
    assert answer.status_code == 422 and b"S-1\t5" in answer.content
    assert RunList.objects.count() == 0


def test_an_empty_list_names_every_column_of_its_shape(world, foreman):
    answer = foreman.get(reverse("list-empty"), {"shape": "u", "as": "xlsx"})
    first = next(load_workbook(io.BytesIO(answer.content)).active.iter_rows(values_only=True))
    assert {column.name for column in columns.of_shape(BY_KEY["u"])} <= set(first)


def test_the_runs_page_and_its_file_show_the_same_runs(world, foreman):
    world.ask("S-04")
    answer = foreman.get(reverse("runs-file"), {"text": "S-04"})
    rows = list(csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"))))
    assert [row["Tag"] for row in rows] == ["S-04"]


def test_a_list_is_thrown_away_with_its_rows(world, foreman):
    found = a_list(world)
    foreman.post(reverse("list-drop", args=[found.pk]))
    assert not RunList.objects.exists()


# Grids and copies


def grid(world, **more):
    said = {
        "job": world.job.pk, "shape": "stub", "conduit": "3/4 EMT", "place": world.room.full_name, "count": "3",
        "c0-to": "finished floor", "c2-turn": "out", "c2-corner": "90", "c4-to": "coupling stop",
        "g0-tag": "S-08", "g0-qty": "2",
    }  # fmt: skip
    lengths = {"g0-c1-leg": "19 1/2", "g0-c3-leg": "66", "g2-c1-leg": "20", "g2-c3-leg": "66"}
    return said | lengths | more


def test_a_grid_becomes_a_list_whose_tags_count_up(world, foreman):
    answer = foreman.post(reverse("list-grid"), grid(world))
    found = RunList.objects.get()
    assert answer.url == reverse("run-list", args=[found.pk])
    services.list_check(run_list=found, actor=world.foreman)
    assert wrong(found) == set()
    assert [row.asked["tag"] for row in found.rows.order_by("line")] == ["S-08", "S-09"]
    assert [row.asked["quantity"] for row in found.rows.order_by("line")] == [2, 1]


def test_more_rows_keep_what_was_typed(world, foreman):
    answer = foreman.post(reverse("list-grid"), grid(world, do="more"))
    assert b"19 1/2" in answer.content and b'name="g8-tag"' in answer.content
    assert not RunList.objects.exists()


def test_a_grid_without_a_length_is_told(world, foreman):
    answer = foreman.post(reverse("list-grid"), {"job": world.job.pk, "shape": "stub"})
    assert answer.status_code == 422


def test_a_floors_runs_are_asked_for_on_another_floor(world, foreman):
    world.ask("S-04")
    target = world.other_room
    answer = foreman.post(reverse("list-copy", args=[world.room.pk]), {"to": [target.pk], f"ending-{target.pk}": " B"})
    found = RunList.objects.get()
    assert answer.url == reverse("run-list", args=[found.pk])
    services.list_check(run_list=found, actor=world.foreman)
    assert wrong(found) == set()
    services.list_send(run_list=found, said_yes=True, actor=world.foreman)
    copy, first = Run.objects.get(tag="S-04 B"), Run.objects.get(tag="S-04")
    assert copy.place == target and copy.present.layout["pieces"] == first.present.layout["pieces"]


def test_a_wall_that_the_other_room_lacks_is_made_there(world, foreman):
    wall = place_add(name="North wall", kind=PlaceKind.WALL, parent=world.room, actor=world.foreman)
    world.ask("S-04", place=wall)
    foreman.post(
        reverse("list-copy", args=[world.room.pk]),
        {"to": [world.other_room.pk], "make": "yes", f"ending-{world.other_room.pk}": " B"},
    )
    found = RunList.objects.get()
    services.list_check(run_list=found, actor=world.foreman)
    assert wrong(found) == set()
    assert Place.objects.filter(parent=world.other_room, name="North wall", kind=PlaceKind.WALL).count() == 1


def test_a_row_that_is_left_out_lets_the_other_of_its_tag_go(world, foreman):
    found = checked(world, in_room(world, "S-10"), in_room(world, "S-10"))
    foreman.post(reverse("list-row-leave", args=[found.rows.first().pk]))
    assert wrong(found) == set()
    services.list_send(run_list=found, said_yes=False, actor=world.foreman)
    assert Run.objects.get().tag == "S-10"


def test_the_only_row_of_a_list_stays(world):
    found = checked(world, in_room(world))
    assert no_of(services.row_leave, row=found.rows.get(), actor=world.foreman) == "last_row"


def test_papers_of_lists_go_on_like_any_other(world):
    services.list_send(run_list=checked(world, in_room(world)), said_yes=False, actor=world.foreman)
    assert papers.revision_ok(revision=Revision.objects.get(), actor=world.lead).state == Paper.OK
