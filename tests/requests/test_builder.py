"""The builder's rows: form data and run/1 documents are two writings of one thing, and no word is lost between them."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.requests import builder
from shop.requests.rows import ADDED, ROWS, Row, new_row
from shop.requests.shapes import SHAPES

HEAD: dict[str, Any] = {"tag": "S-04", "raceway": "EMT", "size": "3/4", "kept": {}}
TYPED = st.text(max_size=30) | st.sampled_from(
    ["62 1/2", "62½", "5' 2 1/2\"", "1588 mm", "-7", "22½", "45°", "5-2 1/2"]
)


def entries(kind: str) -> st.SearchStrategy[Row]:
    def text(entry: Any) -> st.SearchStrategy[str]:
        picks = [key for key, _ in entry.picks] or [""]
        return st.sampled_from(picks) if entry.sort == "pick" else TYPED.map(builder.clean)

    return st.fixed_dictionaries({entry.name: text(entry) for entry in ROWS[kind].entries}).map(lambda v: Row(kind, v))


@st.composite
def runs(draw: Any) -> tuple[Row, ...]:
    rows = [draw(entries("start")), draw(entries("leg"))]
    for kind in draw(st.lists(st.sampled_from(["corner", *ADDED]), max_size=6)):
        rows.append(draw(entries(kind)))
        rows += [draw(entries("leg"))] if kind == "corner" else []
    return (*rows, draw(entries("end")))


def data_of(rows: tuple[Row, ...]) -> dict[str, str]:
    data = {f"r{n}-row": row.kind for n, row in enumerate(rows)}
    return data | {f"r{n}-{name}": text for n, row in enumerate(rows) for name, text in row.values.items()}


def written(rows: tuple[Row, ...]) -> dict[str, Any]:
    return builder.document(rows, **HEAD)


def stub(length: str = "19 1/2") -> tuple[Row, ...]:
    legs = new_row("leg", leg=length), new_row("leg", leg="5' 6\"")
    return new_row("start"), legs[0], new_row("corner", turn="out"), legs[1], new_row("end")


@given(runs())
def test_a_form_gives_back_the_rows_it_was_made_of(rows):
    assert builder.rows_read(data_of(rows), lambda sealed: {}) == rows


@given(runs())
def test_a_document_read_into_rows_and_written_again_is_the_same_document(rows):
    document = written(rows)
    assert written(builder.rows_of(document)) == document


@given(runs())
def test_no_length_loses_a_sign_on_its_way_through_the_document(rows):
    lengths = [row[e.name] for row in rows for e in ROWS[row.kind].entries if e.sort == "length" and e.name != "side"]
    again = builder.rows_of(written(rows))
    assert lengths == [
        row[e.name] for row in again for e in ROWS[row.kind].entries if e.sort == "length" and e.name != "side"
    ]


@pytest.mark.parametrize("typed", ["62 1/2", "62½", "5' 2 1/2\"", "1588 mm", "5-2 1/2", "nonsense"])
def test_a_length_stands_in_the_document_as_it_was_typed(typed):
    assert written(stub(typed))["path"][0]["leg"] == typed


@pytest.mark.parametrize(("typed", "degrees"), [("22½", 22.5), ("22 1/2", 22.5), ("22.5°", 22.5), ("45", 45)])
def test_an_angle_becomes_a_number_of_degrees(typed, degrees):
    assert builder.angle_read(typed) == degrees


@pytest.mark.parametrize("typed", ["", "about 30", "-15", "1/2", "30 1/0", "٣٠x", "1e9"])
def test_an_angle_that_is_no_number_stays_as_typed(typed):
    assert builder.angle_read(typed) == typed


def test_a_rolled_offset_to_the_right_has_a_negative_side_of_what_was_typed():
    rows = (new_row("start"), new_row("leg"), new_row("rolled", side="7 1/2", side_to="right"), new_row("end"))
    assert written(rows)["path"][0]["features"][0]["side"] == "-7 1/2"


def test_a_corners_measure_stands_on_both_legs_that_meet_in_it():
    rows = builder.edited(stub(), "put:r2-measured:inside")
    path = written(rows)["path"]
    assert (path[0]["to"], path[2]["from"]) == ("inside", "inside")


def test_the_leg_after_a_corner_may_have_its_own_measure():
    rows = builder.edited(builder.edited(stub(), "put:r2-measured:back"), "put:r2-after:centre")
    path = written(rows)["path"]
    assert (path[0]["to"], path[2]["from"]) == ("back", "centre")


def test_a_runs_own_measure_is_spread_over_its_corners():
    document = {**written(stub()), "measure": "centre"}
    path = written(builder.rows_of(document))["path"]
    assert (path[0]["to"], path[2]["from"]) == ("centre", "centre")


def test_what_the_builder_does_not_show_is_carried_along():
    document = written(stub()) | {"stars": ["path[0].leg"], "tape": "1/32"}
    document["path"][0]["obstructions"] = [{"from": "47", "to": "69", "height": "6"}]
    document["path"][0]["features"] = [{"kind": "over", "pipe": "2 3/8", "centre": 31}]
    kept = HEAD | {"kept": builder.kept_of(document)}
    assert builder.document(builder.rows_of(document), **kept) == document


@pytest.mark.parametrize(
    ("place", "field"),
    [
        ("path[0].leg", "r1-leg"),
        ("path[0].features[1].rise", "r3-rise"),
        ("path[1].turn", "r4-turn"),
        ("path[0].to", "r4-measured"),
        ("path[2].from", "r4-measured"),
        ("start.allowance", "r0-allowance"),
        ("path[0].features[1]", "r3"),
        ("path[0].features[1].holds.x", "r3"),
        ("path[2].stars", "r5"),
        ("path", ""),
        ("bender", ""),
    ],
)
def test_a_place_in_the_document_belongs_to_a_field_of_the_form(place, field):
    start, leg, corner, far, end = stub()
    rows = (start, leg, new_row("box_offset"), new_row("offset"), corner, far, end)
    assert builder.field_of(place, rows) == field


def test_what_is_empty_and_needed_is_named():
    rows = (new_row("start", to="box face"), new_row("leg"), new_row("end"))
    assert builder.missing(rows) == ("r1-leg", "r2-to")


@pytest.mark.parametrize("kind", ["start", "end"])
def test_no_end_is_measured_to_anything_until_he_says_so(kind):
    assert new_row(kind)["to"] == ""


def test_a_leg_is_added_with_the_corner_before_it():
    assert [row.kind for row in builder.edited(stub(), "leg_add:1")][1:4] == ["leg", "corner", "leg"]


def test_a_feature_is_added_before_what_stands_at_the_legs_end():
    rows = builder.edited((new_row("start"), new_row("leg"), new_row("kick"), new_row("end")), "feature_add:1:saddle3")
    assert [row.kind for row in rows] == ["start", "leg", "saddle3", "kick", "end"]


def test_a_corner_goes_with_the_leg_after_it_and_a_feature_alone():
    rows = builder.edited(stub(), "feature_add:3:offset")
    assert [row.kind for row in builder.edited(rows, "take:4")] == [row.kind for row in stub()]
    assert [row.kind for row in builder.edited(rows, "take:2")] == ["start", "leg", "end"]


@given(runs(), st.text(max_size=20) | st.from_regex(r"(leg_add|feature_add|take|put):r?[0-9]{1,3}(:[a-z0-9]+)?"))
def test_any_button_leaves_a_start_first_and_an_end_last(rows, action):
    after = builder.edited(rows, action)
    assert after[0].kind == "start" and after[-1].kind == "end"


@pytest.mark.parametrize("shape", SHAPES, ids=lambda shape: shape.key)
def test_a_picture_presets_rows_that_lack_only_numbers_and_directions(shape):
    assert [row.kind for row in builder.rows_of(written(shape.rows))] == [row.kind for row in shape.rows]
    assert builder.missing(shape.rows)


@pytest.mark.parametrize("shape", SHAPES, ids=lambda shape: shape.key)
def test_no_picture_presets_a_rise(shape):
    assert not any(row["rise"] for row in shape.rows)
