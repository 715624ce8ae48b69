"""Printed racks laid out and folded: concentric radii, and what an offset in a rack's plane moves or loses.

Sources stand in `authority/`: Porcupine Press, Concentric and Parallel bends (W02, W10); NJATC, Conduit, level 1,
lesson 7 (W17). W11 and W30 have no citable source and are no published check.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import pytest

from bending.fold import fold
from bending.layout import layout
from bending.path import centreline
from bending.rack_gap import nearest, parts
from bending.run import parse
from tests.bending.documents import Document, corner, feature, leg, run
from tests.bending.printed import row
from tests.bending.racks import beside, least_gaps

# A one-shot 2 in shoe, NFPA 70 chapter 9 table 2.
TWO_INCH = {"raceway": "RMC", "size": "2", "bender": {"radius": 9.5, "arrow_lead": 0}}


def offset(angle: float) -> Document:
    """1/2 in EMT with an offset in the rack's plane, toward the pipe beside it."""
    return run(leg(100, feature("offset", at=60, rise=10, angle=angle, turn="left")))


def stations(laid: dict[str, Any]) -> list[float]:
    return [mark["station"] for mark in laid["pieces"][0]["marks"]]


def swept(radius: float, count: int, spacing: float) -> dict[str, Any]:
    """A rack round one centre, number 1 inside, in 15 shots of 6 degrees."""
    turn = {**corner(90, "right"), "radius": radius, "shots": 15}
    asked = run(leg(90), turn, leg(90), **TWO_INCH)
    return layout(beside(asked, spacing, count=count, corner="concentric"))


def radius_of(laid: dict[str, Any]) -> float:
    """Of the circle that all sides between the shots touch: side / (2 tan 3)."""
    points = [bend["pi"] for bend in fold(laid)["pieces"][0]["bends"]]
    sides = [math.dist(one, other) for one, other in pairwise(points)]
    assert max(sides) - min(sides) < 1e-6
    return sides[0] / (2 * math.tan(math.radians(3)))


def test_a_concentric_rack_has_the_printed_radii_and_gaps() -> None:
    printed = row("W02")
    given = printed["inputs"]
    answer = swept(given["r1"], given["n"], given["od"] + given["gap"])
    radii = [radius_of(laid) for laid in answer["runs"]]
    assert radii == pytest.approx([given["r1"], *printed["answer"]["radii"]], abs=printed["precision"])
    assert [gap["gap"] for gap in answer["gaps"]] == pytest.approx([given["gap"]] * 2, abs=printed["precision"])
    assert least_gaps(answer) == pytest.approx([given["gap"]] * 2, abs=printed["precision"])


def test_a_maker_s_concentric_pair_has_its_radii() -> None:
    """W30, no citable source."""
    printed = row("W30")
    given = printed["inputs"]
    answer = swept(given["r1"], 2, given["od"] + given["gap"])
    assert radius_of(answer["runs"][1]) == pytest.approx(printed["answer"]["r2"], abs=printed["precision"])


@pytest.mark.parametrize("name", ["W10a", "W10b"])
def test_two_like_pipes_with_their_ends_in_line_close_up_in_the_slope_and_a_rack_does_not(name: str) -> None:
    printed = row(name)
    spacing, angle = printed["inputs"]["spacing"], printed["inputs"]["angle"]
    one = parse(offset(angle))
    path = centreline(one)
    found = nearest(parts(one, path), parts(one, path, (0.0, spacing)))
    assert found.apart == pytest.approx(printed["answer"]["gap"], abs=printed["precision"])
    assert found.apart == pytest.approx(spacing * math.cos(math.radians(angle)))
    racked = least_gaps(layout(beside(offset(angle), spacing, count=2)))
    assert racked == pytest.approx([spacing - 0.706], abs=1e-6)


def test_a_rack_s_offset_is_moved_by_the_reposted_shift() -> None:
    """W11, no citable source: toward the start, where the offset goes to the side of the pipes beside it."""
    printed = row("W11")
    spacing, angle = printed["inputs"]["spacing"], printed["inputs"]["angle"]
    first, second = (stations(laid) for laid in layout(beside(offset(angle), spacing, count=2))["runs"])
    moved = [one - other for one, other in zip(first, second, strict=True)]
    assert moved == pytest.approx([printed["answer"]["shift"]] * 2, abs=printed["precision"])


def test_the_third_pipe_of_a_group_has_its_mark_moved_by_two_adjustments() -> None:
    """W17 says what A and C are apart; at 45 degrees that is a spacing of half of it over tan 22 1/2."""
    printed = row("W17")
    adjust, mark = printed["inputs"]["adjust"], printed["inputs"]["mark2_a"]
    spacing = adjust / 2 / math.tan(math.radians(22.5))
    runs = layout(beside(offset(45), spacing, count=3))["runs"]
    moved = stations(runs[2])[1] - stations(runs[0])[1]
    assert mark + moved == pytest.approx(printed["answer"]["mark2_c"], abs=printed["precision"])
