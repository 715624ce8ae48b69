"""Checks at four levels, each with its rule and where it was printed."""

from __future__ import annotations

from typing import Any

import pytest

from bending.checks import LEVELS
from bending.layout import layout
from tests.bending.documents import HALF_INCH, Document, corner, feature, leg, run

STUB = run(leg(20), corner(90, "left"), leg(60), measure="back")
KNOWN = {"hook_grip": 1.75, "heel": 8, "straight_small": 0.25, "straight_large": 1.5, "largest_angle": 95}


def levels(document: Document) -> dict[str, str]:
    return {one["code"]: one["level"] for one in layout(document)["checks"]}


def one_check(document: Document, code: str) -> dict[str, Any]:
    (found,) = [one for one in layout(document)["checks"] if one["code"] == code]
    return found


def on(document: Document, **limits: Any) -> Document:
    return {**document, "bender": {**HALF_INCH, **KNOWN, **limits}}


def test_every_check_has_a_level_words_and_a_source_and_the_worst_comes_first() -> None:
    checks = layout(on(STUB, heel=70))["checks"]
    assert [one["level"] for one in checks] == sorted((one["level"] for one in checks), key=LEVELS.index)
    assert checks[0]["level"] == "cannot"
    assert all(one["words"] and one["source"] for one in checks)


@pytest.mark.parametrize(("elsewhere", "level"), [(0, "ok"), (270, "ok"), (271, "rule")])
def test_bends_between_pull_points_add_up_to_360_at_most(elsewhere: float, level: str) -> None:
    """NFPA 70 358.26, as read in EC&M, November 2023, on the 2020 edition."""
    found = one_check({**STUB, "bends_elsewhere": elsewhere}, "total_bends")
    assert found["level"] == level
    assert "358.26" in found["source"]
    assert "authority having jurisdiction" in found["words"]


@pytest.mark.parametrize(
    ("radius", "how", "level"),
    # NFPA 70 chapter 9 table 2, 1 in: 5-3/4 one-shot, 6 other bends.
    [(5.75, "one-shot", "ok"), (5.7, "one-shot", "rule"), (5.75, "other", "rule"), (6, "other", "ok")],
)
def test_the_radius_is_held_against_the_codes_table(radius: float, how: str, level: str) -> None:
    bender = {"radius": radius, "arrow_lead": 0, "how": how}
    assert one_check({**STUB, "size": "1", "bender": bender}, "radius")["level"] == level


def test_the_nameplate_is_what_the_table_is_held_against() -> None:
    """A gain measured a quarter short gives a radius of 3.9 on 1/2 EMT: a false stop without the nameplate."""
    bender = {"take_up": 5, "gain": "2 3/8"}
    assert levels({**STUB, "bender": bender})["radius"] == "rule"
    assert levels({**STUB, "bender": {**bender, "nameplate_radius": 4}})["radius"] == "ok"


@pytest.mark.parametrize(("nameplate", "differs"), [(4.3, False), (4.2, True)])
def test_a_nameplate_more_than_a_twentieth_off_is_a_caution(nameplate: float, differs: bool) -> None:
    assert ("radius_differs" in levels(on(STUB, nameplate_radius=nameplate))) is differs


def test_a_limit_that_the_profile_doesnt_give_isnt_checked_and_the_layout_says_so() -> None:
    words = [one["words"] for one in layout(STUB)["checks"] if one["code"] == "not_checked"]
    assert any("hook grip" in one and "heel" in one for one in words)
    assert "held" not in levels(STUB)


def test_what_can_be_held_is_said() -> None:
    assert levels(on(STUB))["held"] == "ok"


@pytest.mark.parametrize(
    ("limits", "code"),
    [({"hook_grip": 15.1}, "hook_grip"), ({"heel": 56}, "heel"), ({"largest_angle": 89}, "largest_angle")],
)
def test_a_bend_that_cant_be_held_can_never_be_released(limits: Document, code: str) -> None:
    assert one_check(on(STUB, **limits), code)["level"] == "cannot"
    assert "held" not in levels(on(STUB, **limits))


def test_a_mark_off_the_stick_cant_be_made_whatever_the_profile_says() -> None:
    document = run(leg(60, feature("box_offset", at="start", rise=0.5, angle=10, tail=0.1)), bender=HALF_INCH)
    assert one_check(document, "hook_grip")["level"] == "cannot"


def test_an_arrow_on_a_bend_already_made_cant_be_set() -> None:
    bender = {"radius": 4.4, "arrow_lead": 3.0}
    document = run(leg(60, feature("box_offset", at="start", rise=0.375, angle=10, tail=4)), bender=bender)
    assert one_check(document, "arrow_on_bend")["level"] == "cannot"


@pytest.mark.parametrize(("angle", "limit"), [(15, "straight_small"), (16, "straight_large")])
def test_the_least_straight_between_bends_goes_by_the_larger_angle(angle: float, limit: str) -> None:
    document = run(leg(90, feature("offset", at=50, rise=2, angle=angle)))
    wide = {"straight_small": 0, "straight_large": 0, limit: 30}
    assert one_check(on(document, **wide), "straight_between")["level"] == "cannot"


def test_a_kick_in_its_corners_plane_is_a_caution_with_its_cure() -> None:
    kick = feature("kick", rise=6, angle=15, turn="out")
    found = one_check(run(leg(90, kick), corner(90, "out"), leg(40)), "out_of_plumb")
    assert found["level"] == "caution"
    assert "75" in found["words"]


@pytest.mark.parametrize(("turn", "angle"), [("left", 90), ("out", 75), ("in", 105)])
def test_a_kick_whose_stub_is_plumb_is_none(turn: str, angle: float) -> None:
    kick = feature("kick", rise=6, angle=15, turn=turn)
    assert "out_of_plumb" not in levels(run(leg(90, kick), corner(angle, "out"), leg(40)))


def test_a_three_dimensional_run_asks_to_be_read_back() -> None:
    assert levels(run(leg(40), corner(90, "out"), leg(40), corner(90, "left"), leg(40)))["mirror"] == "caution"
    assert "mirror" not in levels(run(leg(40), corner(90, "out"), leg(40), corner(90, "in"), leg(40)))


def test_a_run_over_one_stick_says_so_where_no_stick_is_given() -> None:
    assert levels(run(leg(121)))["over_one_stick"] == "caution"
    assert "over_one_stick" not in levels(run(leg(120)))
    assert levels(run(leg(121), stick=240))["stick"] == "ok"


def test_threads_are_cut_before_bending() -> None:
    assert levels({**STUB, "threads": ["start"]})["thread_before_bending"] == "caution"


def test_a_long_bent_piece_takes_two_people() -> None:
    """Common practice, no source: over 50 lb, or over 10 ft with a bend."""
    assert "two_people" in levels(run(leg(100), corner(90), leg(40)))
    assert "two_people" not in levels(STUB)


def test_a_connector_with_nothing_short_of_the_face_is_a_caution() -> None:
    """Common practice, no source: an EMT set-screw connector stops the conduit 0 to 3/16 short, by make."""
    said = {"to": "box face", "fitting": "set-screw connector"}
    assert levels({**STUB, "end": {**said, "allowance": 0}})["no_allowance"] == "caution"
    assert "no_allowance" not in levels({**STUB, "end": {**said, "allowance": "1/8"}})
    assert "no_allowance" not in levels({**STUB, "end": {"to": "coupling stop", "fitting": "set-screw coupling"}})
