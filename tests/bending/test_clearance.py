"""The least gap to an obstruction, against the folded stick walked in small steps."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from bending.clearance import least_gaps
from bending.fold import fold
from bending.layout import layout
from bending.path import centreline
from bending.problems import Problems
from bending.run import parse
from tests.bending.documents import Document, corner, feature, leg, run

HALF = 0.706 / 2
STEPS = 400
STRIDE = 0.02


def gap(document: Document) -> float:
    asked = parse(document)
    path = centreline(asked)
    return least_gaps(asked, path, path.lines[0], asked.legs[0].obstructions)[0][0]


def walked(document: Document) -> float:
    """The same by brute force: the folder's own bends, walked in small steps, to the obstruction's outline."""
    piece = fold(layout(document))["pieces"][0]
    edge = document["path"][0]["obstructions"][0]
    return min(_away(spot, edge) for spot in _spots(piece)) - HALF


def _spots(piece: dict[str, Any]) -> list[tuple[float, float]]:
    spots, here = [], piece["points"][0]
    for bend in piece["bends"]:
        spots += _between(here, bend["start"])
        turned = [math.radians(bend["angle"]) * number / STEPS for number in range(STEPS + 1)]
        share = [(math.sin(one), 1 - math.cos(one)) for one in turned]
        ahead = [(pi - at) / bend["radius"] for pi, at in zip(bend["pi"], bend["start"], strict=True)]
        size = math.hypot(*ahead)
        inside = _inside(bend, [one / size for one in ahead])
        spots += [tuple(bend["start"][axis] + bend["radius"] * (ahead[axis] / size * s + inside[axis] * c)
                        for axis in (0, 2)) for s, c in share]  # fmt: skip
        here = bend["end"]
    return spots + _between(here, piece["points"][-1])


def _inside(bend: dict[str, Any], ahead: list[float]) -> list[float]:
    """Square to the way in, in the bend's plane: what is left of the chord."""
    chord = [end - at for end, at in zip(bend["end"], bend["start"], strict=True)]
    along = sum(one * two for one, two in zip(chord, ahead, strict=True))
    rest = [one - along * two for one, two in zip(chord, ahead, strict=True)]
    return [one / math.hypot(*rest) for one in rest]


def _between(one: list[float], other: list[float]) -> list[tuple[float, float]]:
    count = math.ceil(math.dist(one, other) / STRIDE) or 1
    shares = [number / count for number in range(count + 1)]
    return [(one[0] + (other[0] - one[0]) * share, one[2] + (other[2] - one[2]) * share) for share in shares]


def _away(spot: tuple[float, float], edge: Document) -> float:
    beside = max(edge["from"] - spot[0], spot[0] - edge["to"])
    above = spot[1] + HALF - edge["height"]
    return math.hypot(beside, above) if beside > 0 and above > 0 else max(beside, above)


def over(edge: Document, *features: Document) -> Document:
    return run(leg(120, *features, obstructions=[edge]))


def edge(begins: float, ends: float, height: float, **more: Any) -> Document:
    return {"from": begins, "to": ends, "height": height, **more}


def test_a_straight_pipe_on_the_surface_runs_into_what_stands_there() -> None:
    assert gap(over(edge(40, 60, 3))) == pytest.approx(-3)


def test_a_level_pipe_clears_by_its_rise_less_the_height() -> None:
    saddle = feature("saddle4", rise=6.5, angle=30, at_is="level", **{"from": 40, "to": 60})
    assert gap(over(edge(45, 55, 6), saddle)) == pytest.approx(0.5)


def test_bends_placed_at_the_edges_rub() -> None:
    """Typed at the edges as points of intersection the pipe is still low there: 3/4 EMT at 30, 0.20 by hand."""
    document = over(edge(47, 69, 6), feature("saddle4", rise=6.5, angle=30, **{"from": 47, "to": 69}))
    assert gap(document) < 0.5 - 0.1
    assert gap(document) == pytest.approx(walked(document), abs=1e-3)


def test_a_strap_lifts_the_run_off_its_surface() -> None:
    assert gap(over(edge(40, 60, 0.5, standoff=0.8125))) == pytest.approx(0.3125)


SADDLES = st.builds(
    feature,
    st.just("saddle3"),
    centre=st.just(60),
    rise=st.floats(1, 8),
    angle=st.floats(15, 60),
    turn=st.sampled_from([0, 40, 90]),
)


@settings(max_examples=60, deadline=None)
@given(st.floats(20, 90), st.floats(1, 30), st.floats(0.5, 8), SADDLES)
def test_the_gap_is_what_the_folded_stick_measures(begins: float, wide: float, height: float, one: Document) -> None:
    document = over(edge(begins, begins + wide, height), one)
    try:
        layout(document)
    except Problems:
        assume(False)
    assert walked(document) - 0.011 <= gap(document) <= walked(document) + 1e-9


@pytest.mark.parametrize(("clear", "level"), [(0.5, "ok"), (0.75, "caution")])
def test_the_layout_says_whether_it_clears_by_what_was_asked(clear: float, level: str) -> None:
    saddle = feature("saddle4", rise=6.5, angle=30, at_is="level", **{"from": 40, "to": 60})
    checks = layout(over(edge(45, 55, 6, clear=clear), saddle))["checks"]
    assert [one["level"] for one in checks if one["code"] == "clearance"] == [level]


def test_what_runs_into_an_obstruction_can_never_be_released() -> None:
    checks = layout(over(edge(45, 55, 6)))["checks"]
    assert [one["level"] for one in checks if one["code"] == "clearance"] == ["cannot"]


# Round things, things beside the run, and what other legs do. Sums by hand: half of 1/2 EMT is 0.353.


def beside(off: float, turn: Any, **more: Any) -> Document:
    return {"off": off, "turn": turn, **more}


def round_one(pipe: float, centre: float, **more: Any) -> Document:
    return {"pipe": pipe, "centre": centre, **more}


def test_a_pipe_hangs_off_the_surface_by_its_gap() -> None:
    assert gap(over(round_one(2, 50, gap=5))) == pytest.approx(5 - 0.706)


def test_insulation_lies_round_the_pipe() -> None:
    assert gap(over(round_one(2, 50, gap=5, insulation=1))) == pytest.approx(5 - 0.706 - 1)


def test_a_strap_brings_the_run_nearer_to_a_pipe_that_hangs_off_its_surface() -> None:
    assert gap(over(round_one(2, 50, gap=5, standoff=0.8125))) == pytest.approx(5 - 0.706 - 0.8125)


@pytest.mark.parametrize("turn", ["left", 90, 33])
def test_a_column_beside_the_run_stands_off_its_line(turn: Any) -> None:
    assert gap(over(edge_beside(40, 52, off=4, turn=turn))) == pytest.approx(4 - 0.353)


def test_a_round_column_stands_off_the_line_by_its_near_face() -> None:
    assert gap(over(round_one(6, 50, **beside(4, "right")))) == pytest.approx(4 - 0.353)


def edge_beside(begins: float, ends: float, **more: Any) -> Document:
    return {"from": begins, "to": ends, **more}


def test_an_offset_toward_a_column_brings_the_pipe_nearer() -> None:
    offset = feature("offset", at=30, rise=3, angle=30, turn="left")
    assert gap(over(edge_beside(40, 52, off=4, turn="left"), offset)) == pytest.approx(1 - 0.353)


def test_a_saddle_away_from_a_column_takes_it_off_by_its_rise() -> None:
    saddle = feature("saddle4", rise=3, angle=30, turn="right", at_is="level", **{"from": 40, "to": 52})
    assert gap(over(edge_beside(40, 52, off=1, turn="left"), saddle)) == pytest.approx(4 - 0.353)


def test_what_is_out_toward_the_left_may_stand_up_from_the_other_side() -> None:
    """Toward the left as toward out: told from behind the conduit."""
    assert gap(over(edge(40, 60, 0.5, turn="left", standoff=0.8125))) == pytest.approx(0.3125)


def test_the_round_of_a_saddle_s_middle_keeps_off_a_pipe_as_far_as_its_rise() -> None:
    """Round and round: 3 of rise over 2 of pipe, on one line through both middles."""
    saddle = feature("saddle3", centre=50, rise=3, angle=45)
    assert gap(over(round_one(2, 50), saddle)) == pytest.approx(1, abs=1e-9)


def test_places_may_be_measured_from_the_leg_s_end() -> None:
    saddle = feature("saddle4", rise=6.5, angle=30, **{"from": 47, "to": 69})
    near, far = over(edge(47, 69, 6), saddle), over(edge(120 - 47, 120 - 69, 6, from_end=True), saddle)
    assert gap(near) == pytest.approx(gap(far))


def test_a_man_s_words_say_which_way() -> None:
    path = leg(120, obstructions=[edge_beside(40, 52, off=4, turn="up")])
    asked = parse(run(path, mount="wall", heads="my right"))
    (thing,) = asked.legs[0].obstructions
    assert thing.turn == 270  # The way back from its face: up is left here.


def round_the_corner(at: float) -> Document:
    """A beam 6 over the end of a leg; past the corner the pipe rises 8, its first bend's point ``at`` from there."""
    beam = edge_beside(55, 65, off=6, turn="out")
    rising = feature("offset", at=at, holds="near", rise=8, angle=45)
    return run(leg(60, obstructions=[beam]), corner(90, "left"), leg(90, rising))


def test_bends_of_the_next_leg_are_seen_near_the_corner() -> None:
    assert gap(round_the_corner(10)) < 0
    assert gap(round_the_corner(60)) == pytest.approx(6 - 0.353)


def test_bends_of_the_leg_before_are_seen_near_the_corner() -> None:
    beam = edge_beside(-5, 5, off=6, turn="out")
    coming_down = feature("offset", at=10, from_end=True, rise=8, angle=45, turn="in")
    path = run(
        leg(90, feature("offset", at=30, rise=8, angle=45), coming_down), corner(90), leg(60, obstructions=[beam])
    )
    asked = parse(path)
    walked_path = centreline(asked)
    ((found, _),) = least_gaps(asked, walked_path, walked_path.lines[1], asked.legs[1].obstructions)
    assert found < 0


@pytest.mark.parametrize(
    ("thing", "key", "code"),
    [
        (edge_beside(40, 52, off=4), "turn", "missing"),
        (edge_beside(40, 52, off=-4, turn="left"), "off", "out_of_range"),
        (edge_beside(40, 52, off=4, turn="left", height=3), "height", "unknown_key"),
        (edge_beside(40, 52, off=4, turn="left", standoff=1), "standoff", "unknown_key"),
        (edge_beside(52, 40, height=4), "to", "from_after_to"),
        (edge_beside(40, 52), "height", "missing"),
        (round_one(2, 50, height=3), "height", "unknown_key"),
        ({"pipe": 2}, "centre", "missing"),
        (round_one(0, 50), "pipe", "not_positive"),
        (round_one(2, 50, turn="up"), "turn", "no_stance"),
        (round_one(2, 50, insulation=-1), "insulation", "out_of_range"),
    ],
)
def test_what_is_wrong_with_an_obstruction_is_refused_by_name(thing: Document, key: str, code: str) -> None:
    with pytest.raises(Problems) as refused:
        parse(over(thing))
    assert [(one.at, one.code) for one in refused.value.problems] == [(f"path[0].obstructions[0].{key}", code)]


def test_an_obstruction_that_is_no_object_is_refused() -> None:
    with pytest.raises(Problems) as refused:
        parse(run(leg(120, obstructions=[7])))
    assert [one.code for one in refused.value.problems] == ["not_an_object"]
