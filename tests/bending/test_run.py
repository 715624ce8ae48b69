"""Reading a run: what is wrong is refused by name, in its place, all at once."""

from __future__ import annotations

import math
from typing import Any

import pytest

from bending.bender import Profile
from bending.problems import Problems
from bending.run import parse
from tests.bending.documents import HALF_INCH, Document, corner, feature, leg, run

GOOD = run(leg(60, feature("saddle3", centre=30, rise=2, angle=45)), corner(90), leg(40))


def faults(document: Any, **profiles: Profile) -> set[tuple[str, str]]:
    with pytest.raises(Problems) as refused:
        parse(document, profiles)
    return {(one.at, one.code) for one in refused.value.problems}


def with_feature(**fields: Any) -> Document:
    return run(leg(90, fields), corner(90), leg(40))


def test_what_was_asked_is_kept_as_it_was_meant() -> None:
    asked = parse({**GOOD, "tag": "K-07", "tape": "1 mm", "stars": ["path[0].leg"], "start": {"to": "box face"}})
    assert (asked.tag, asked.tape, asked.stars, asked.start.to) == ("K-07", "1 mm", ("path[0].leg",), "box face")
    assert (asked.legs[0].length, asked.corners[0].turn, asked.legs[0].features[0].rise) == (60, 90, 2)
    assert asked.profile.radius == pytest.approx(4.471, abs=5e-4)


@pytest.mark.parametrize(("word", "degrees"), [("out", 0), ("left", 90), ("in", 180), ("right", 270), (30.5, 30.5)])
def test_a_turn_is_a_word_or_degrees_from_out_toward_left(word: Any, degrees: float) -> None:
    assert parse(run(leg(40), corner(90, word), leg(40))).corners[0].turn == degrees


def test_a_leg_is_measured_to_the_back_of_a_90_and_to_the_centre_of_any_other() -> None:
    legs = parse(run(leg(60), corner(90), leg(60), corner(45), leg(60), measure=None)).legs
    assert [(one.from_reference, one.to_reference) for one in legs] == [
        ("end", "back"), ("back", "centre"), ("centre", "end")]  # fmt: skip


def test_a_kicks_corner_keeps_the_90s_reference_also_when_it_cures_the_kick() -> None:
    kick = feature("kick", rise=4, angle=15, turn="left")
    legs = parse(run(leg(60, kick), corner(75), leg(60), measure=None)).legs
    assert legs[0].to_reference == "back"


def test_one_end_of_a_leg_may_be_measured_otherwise() -> None:
    legs = parse(run(leg(60, to="inside"), corner(90), leg(60), measure="back")).legs
    assert (legs[0].to_reference, legs[1].from_reference) == ("inside", "back")


def test_a_named_bender_is_looked_up() -> None:
    red = Profile.from_radius("red", "EMT", "1/2", radius=4, arrow_lead=0.5)
    assert parse({**GOOD, "bender": "red"}, {"red": red}).profile is red


def test_a_named_bender_for_another_size_is_refused() -> None:
    red = Profile.from_radius("red", "EMT", "1", radius=6, arrow_lead=0.5)
    assert faults({**GOOD, "bender": "red"}, red=red) == {("bender", "wrong_bender")}


@pytest.mark.parametrize(
    ("fitting", "grip", "tail"),
    # Common practice, no source: 2 in of straight take a connector and a strap on 1/2; the hook needs grip + lead.
    [("set-screw connector", None, 2.0), (None, 1.75, 1.926), ("set-screw connector", 2.5, 2.676)],
)
def test_a_box_offsets_tail_is_the_larger_of_the_fittings_room_and_what_the_hook_needs(
    fitting: str | None, grip: float | None, tail: float
) -> None:
    document = run(leg(60, feature("box_offset", at="start", rise="3/8", angle=10)), start={"fitting": fitting})
    read = parse({**document, "bender": {**HALF_INCH, "hook_grip": grip}}).legs[0].features[0]
    assert getattr(read, "tail") == pytest.approx(tail, abs=5e-4)  # noqa: B009


def test_a_box_offset_needs_a_tail_where_nothing_is_known() -> None:
    document = run(leg(60, feature("box_offset", at="start", rise="3/8", angle=10)))
    assert faults(document) == {("path[0].features[0].tail", "missing")}


def test_every_problem_is_found_and_placed() -> None:
    document = run(leg("5-2"), corner(170), leg(-3, feature("saddle3", centre=10, angle=45)), tape="1/7")
    assert faults(document) == {
        ("path[0].leg", "two_readings"), ("path[1].corner", "angle_too_large"), ("path[2].leg", "not_positive"),
        ("path[2].features[0].rise", "missing"), ("tape", "unknown_word")}  # fmt: skip


@pytest.mark.parametrize(
    ("change", "wanted"),
    [
        ({"format": "run/2"}, ("format", "unknown_word")),
        ({"raceway": "PVC"}, ("raceway", "unknown_word")),
        ({"size": "5"}, ("size", "unknown_word")),
        ({"size": 0.5}, ("size", "unknown_word")),
        ({"bender": None}, ("bender", "missing")),
        ({"bender": "blue"}, ("bender", "unknown_bender")),
        ({"bender": {"radius": -4, "arrow_lead": 0}}, ("bender.radius", "not_positive")),
        ({"measure": "top"}, ("measure", "unknown_word")),
        ({"mount": "roof"}, ("mount", "unknown_word")),
        ({"start": {"allowance": "1/8-"}}, ("start.allowance", "not_a_length")),
        ({"start": {"allowence": 0}}, ("start.allowence", "unknown_key")),
        ({"path": []}, ("path", "missing")),
        ({"path": "62"}, ("path", "not_a_list")),
        ({"path": [{"leg": 40}] * 500}, ("path", "too_many")),
        ({"path": [{"leg": 40}, {"leg": 40}]}, ("path[1]", "not_alternating")),
        ({"path": [{"leg": 40}, {"corner": 90, "turn": "out"}]}, ("path[1]", "not_alternating")),
        ({"path": [7]}, ("path[0]", "not_an_object")),
        ({"path": [{"leg": 40, "from": "back"}]}, ("path[0].from", "no_corner")),
        ({"path": [{"leg": math.nan}]}, ("path[0].leg", "not_finite")),
        ({"path": [{"leg": 1e300}]}, ("path[0].leg", "too_long")),
        ({"path": [{"leg": 40, "features": [{"kind": "kink"}]}]}, ("path[0].features[0].kind", "unknown_word")),
        ({"path": [{"leg": 40, "features": [7]}]}, ("path[0].features[0]", "not_an_object")),
        ({"rack": {"count": 4}}, ("rack", "rack_of_pipes")),
        ({"joint_at": [True]}, ("joint_at[0]", "not_a_length")),
        ({"edition": "1999"}, ("edition", "unknown_word")),
        ({"heads": "up"}, ("heads", "no_stance")),
        ({"order": "centres"}, ("order", "order_without_mark")),
        ({"order": "any"}, ("order", "unknown_word")),
        ({"stars": [7]}, ("stars[0]", "not_text")),
        ({"threads": ["middle"]}, ("threads[0]", "unknown_word")),
        ({"bends_elsewhere": -90}, ("bends_elsewhere", "out_of_range")),
        ({"run_long": {"end": "end"}}, ("run_long.by", "missing")),
        ({"tag": 7}, ("tag", "not_text")),
        ({"colour": "red"}, ("colour", "unknown_key")),
    ],
)
def test_what_is_wrong_with_a_run_is_refused_by_name(change: Document, wanted: tuple[str, str]) -> None:
    assert faults({**GOOD, **change}) == {wanted}


@pytest.mark.parametrize(
    ("turn", "code"),
    [(None, "missing"), ("sideways", "unknown_word"), ("my left", "no_stance"), (True, "not_a_number")],
)
def test_a_corner_needs_a_turn_that_is_known(turn: Any, code: str) -> None:
    assert faults(run(leg(40), corner(90, turn), leg(40))) == {("path[1].turn", code)}


@pytest.mark.parametrize(
    ("fields", "key", "code"),
    [
        ({"kind": "saddle3", "centre": 40, "rise": 0, "angle": 45}, "rise", "not_positive"),
        ({"kind": "saddle3", "centre": 40, "rise": 2}, "angle", "missing"),
        ({"kind": "saddle3", "centre": 40, "rise": 2, "angle": 0}, "angle", "out_of_range"),
        ({"kind": "saddle3", "center": 40, "centre": 40, "rise": 2, "angle": 45}, "center", "unknown_key"),
        ({"kind": "saddle4", "from": 50, "to": 40, "rise": 2, "angle": 45}, "to", "from_after_to"),
        ({"kind": "offset", "at": 40, "rise": 0, "angle": 30}, "rise", "not_positive"),
        ({"kind": "offset", "at": 40, "rise": 4, "angle": 90}, "angle", "out_of_range"),
        ({"kind": "offset", "at": 40, "rise": 4, "angle": 30, "holds": "both"}, "holds", "unknown_word"),
        ({"kind": "offset", "at": 40, "rise": 4, "angle": 30, "from_end": "yes"}, "from_end", "not_a_flag"),
        ({"kind": "kick", "rise": 4, "angle": 30}, "turn", "missing"),
        ({"kind": "box_offset", "at": "end", "rise": 0.4, "angle": 10, "tail": 2}, "at", "not_at_an_end"),
        ({"kind": "over", "from": 40, "to": 60, "height": 3}, "clear", "missing"),
    ],
)
def test_what_is_wrong_with_a_feature_is_refused_by_name(fields: Document, key: str, code: str) -> None:
    assert faults(with_feature(**fields)) == {(f"path[0].features[0].{key}", code)}


@pytest.mark.parametrize(("at", "number"), [("start", 0), ("end", 1)])
def test_a_kick_with_no_corner_next_to_it_is_refused(at: str, number: int) -> None:
    path = [leg(60), corner(90), leg(60)]
    path[2 * number]["features"] = [feature("kick", at=at, rise=4, angle=15, turn="left")]
    assert faults(run(*path)) == {(f"path[{2 * number}].features[0]", "kick_without_corner")}


def test_two_features_at_one_end_of_a_leg_are_refused() -> None:
    kicks = [feature("kick", rise=4, angle=15, turn="left")] * 2
    assert faults(run(leg(90, *kicks), corner(90), leg(40))) == {("path[0].features[1]", "two_at_one_end")}
