"""What the pencilled marks fold up to, against the folder; what a degree does, against folding a degree more."""

from __future__ import annotations

import math
from copy import deepcopy
from typing import Any

import pytest
from hypothesis import HealthCheck, assume, given, settings

from bending.fold import fold
from bending.layout import layout
from bending.run import parse
from bending.vectors import Vector, add, dot
from tests.bending.documents import Document, corner, feature, leg, run, runs
from tests.bending.test_fold_is_path import solved

STEP = 1e-4


def told(laid: Document, at: str) -> dict[str, Any]:
    (one,) = [entry for entry in laid["predicted"] if entry["at"] == at]
    return one


def places(folded: Document, at: str) -> list[Vector]:
    """Points of intersection of one feature's or corner's bends, as folded."""
    return [tuple(bend["pi"]) for bend in folded["pieces"][0]["bends"] if bend["feature"] == at]


def apart(one: Vector, other: Vector, way: Vector) -> float:
    return dot(add(other, one, -1.0), way)


@settings(max_examples=120, deadline=None, suppress_health_check=list(HealthCheck))
@given(runs())
def test_every_rise_is_what_the_rounded_marks_fold_up_to(document: Document) -> None:
    path, laid = solved(document)
    folded, exact = fold(laid, rounded=True), fold(laid)
    checked = 0
    for one, line in (
        (one, line) for asked, line in zip(parse(document).legs, path.lines, strict=True) for one in asked.features
    ):
        if one.kind in ("saddle3", "saddle4") or (one.kind == "offset" and not one.side):
            way = line.frame.toward(one.turn)
            change = apart(*places(folded, one.at)[:2], way) - apart(*places(exact, one.at)[:2], way)
            assert told(laid, f"{one.at}.rise")["difference"] == pytest.approx(change, abs=3e-6)
            checked += 1
    assume(checked)


def bent(document: Document, at: str, share: dict[int, float]) -> tuple[Document, Document]:
    """Folded from the exact marks, and again with the bends of one feature a little past their angles."""
    laid = layout(document)
    more = deepcopy(laid)
    marks = [mark for mark in more["pieces"][0]["marks"] if mark["feature"] == at]
    for number, mark in enumerate(marks):
        mark["angle"] += STEP * share.get(number, 1.0)
    return fold(laid), fold(more)


def test_a_degree_on_an_offset_moves_its_rise() -> None:
    document = run(leg(120, feature("offset", at=60, rise=6, angle=30)))
    exact, more = bent(document, "path[0].features[0]", {})
    change = (more["pieces"][0]["points"][-1][2] - exact["pieces"][0]["points"][-1][2]) / STEP
    assert told(layout(document), "path[0].features[0].rise")["one_degree"] == pytest.approx(abs(change), abs=2e-3)


def test_six_inches_at_thirty_move_by_about_a_sixth_for_a_degree() -> None:
    """Common practice, no source: 0.18 on a 6 in offset at 30 degrees, 0.04 on a 3/8 box offset."""
    one, box = (
        feature("offset", at=60, rise=6, angle=30),
        feature("box_offset", at="start", rise="3/8", angle=10, tail=2),
    )
    laid = layout(run(leg(120, box, one)))
    assert told(laid, "path[0].features[1].rise")["one_degree"] == pytest.approx(0.18, abs=0.005)
    assert told(laid, "path[0].features[0].rise")["one_degree"] == pytest.approx(0.04, abs=0.005)


@pytest.mark.parametrize(
    ("one", "what", "bend", "share"),
    [
        (feature("offset", at=60, rise=6, angle=30), "at", 1, {}),
        (feature("offset", at=60, rise=6, angle=30, holds="near"), "at", 0, {}),
        (feature("saddle4", rise=6, angle=30, **{"from": 50, "to": 75}), "from", 1, {}),
        (feature("saddle4", rise=6, angle=30, **{"from": 50, "to": 75}), "to", 2, {}),
    ],
)
def test_a_degree_moves_a_place_along_the_leg(one: Document, what: str, bend: int, share: dict[int, float]) -> None:
    document = run(leg(120, one))
    exact, more = bent(document, "path[0].features[0]", share)
    moved = [places(folded, "path[0].features[0]")[bend][0] for folded in (exact, more)]
    known = told(layout(document), f"path[0].features[0].{what}")["one_degree"]
    assert known == pytest.approx(abs(moved[1] - moved[0]) / STEP, abs=2e-3)


def test_a_degree_on_a_saddles_centre_moves_its_high_spot() -> None:
    document = run(leg(120, feature("saddle3", centre=60, rise=3, angle=45)))
    exact, more = bent(document, "path[0].features[0]", {0: 0.5, 2: 0.5})
    high = [max(_arc_heights(folded)) for folded in (exact, more)]
    known = told(layout(document), "path[0].features[0].rise")["one_degree"]
    assert known == pytest.approx((high[1] - high[0]) / STEP, abs=2e-3)


def _arc_heights(folded: Document) -> list[float]:
    """Height of the middle of the centre bend: it lies that much inside its point of intersection."""
    bend = folded["pieces"][0]["bends"][1]
    inside = bend["radius"] * (1 / math.cos(math.radians(bend["angle"]) / 2) - 1)
    return [bend["pi"][2] - inside]


def test_a_degree_on_a_box_to_box_run_changes_its_overall_length() -> None:
    document = run(leg(120, feature("saddle4", rise=6, angle=30, **{"from": 50, "to": 75})))
    exact, more = bent(document, "path[0].features[0]", {})
    change = (more["pieces"][0]["points"][-1][0] - exact["pieces"][0]["points"][-1][0]) / STEP
    assert told(layout(document), "path[0].leg")["one_degree"] == pytest.approx(abs(change), abs=2e-3)


@pytest.mark.parametrize("where", ["start", "end"])
def test_a_degree_on_a_kick_moves_its_corner(where: str) -> None:
    kick = feature("kick", at=where, rise=6, angle=20, turn="left")
    path = [leg(60), corner(90, "out"), leg(60)]
    path[2 if where == "start" else 0]["features"] = [kick]
    at = f"path[{2 if where == 'start' else 0}].features[0]"
    document = run(*path)
    if where == "start":
        document["zero"] = "end"
    exact, more = bent(document, at, {})
    rises = [_kick_rise(folded, at, where) for folded in (exact, more)]
    assert told(layout(document), f"{at}.rise")["one_degree"] == pytest.approx(
        abs(rises[1] - rises[0]) / STEP, abs=2e-3
    )


def _kick_rise(folded: Document, at: str, where: str) -> float:
    """From the corner to the leg's line, which is the straight on the kick's other side."""
    (kick,), (ninety,) = places(folded, at), places(folded, "path[1]")
    points = [tuple(point) for point in folded["pieces"][0]["points"]]
    far = points[0] if where == "end" else points[-1]
    line = add(kick, far, -1.0)
    size = math.hypot(*line)
    along = apart(far, ninety, line) / size
    return math.sqrt(max(0.0, math.dist(far, ninety) ** 2 - along**2))


def test_a_degree_at_a_90_swings_the_end_by_a_fifth_in_a_foot() -> None:
    """Common practice, no source: 0.21 in in 12, 0.84 in 48."""
    laid = layout(run(leg(12), corner(90), leg(48)))
    assert told(laid, "path[0].leg")["one_degree"] == pytest.approx(0.21, abs=0.005)
    assert told(laid, "path[2].leg")["one_degree"] == pytest.approx(0.84, abs=0.005)


def test_rounding_moves_no_dimension_by_more_than_the_tapes_step() -> None:
    """Half a step at a mark, and half a step at the cut or at the other mark."""
    laid = layout(run(leg(40.03), corner(90), leg(30.02)))
    assert all(abs(entry["difference"]) <= 1 / 16 for entry in laid["predicted"])


def test_a_starred_dimension_says_so() -> None:
    laid = layout(run(leg(40), corner(90), leg(30), stars=["path[2].leg"]))
    assert [entry["at"] for entry in laid["predicted"] if entry.get("star")] == ["path[2].leg"]
