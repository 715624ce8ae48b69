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
from tests.bending.documents import Document, feature, leg, run

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
