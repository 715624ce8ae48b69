"""Printed segment bends laid out on 2 in conduit and folded: spacing, straights and developed lengths.

Sources stand in `authority/`: NJATC, Conduit Fabrication, level 2, lesson 4 (W01); Porcupine Press, Concentric and
Segment bends (W02, W03, W04, W06). W30 and W31 have no citable source and are no published check.
"""

from __future__ import annotations

import itertools
import math
from typing import Any

import pytest

from bending.fold import fold
from bending.layout import layout
from bending.rules import segment_space
from tests.bending.documents import corner, leg, run
from tests.bending.printed import row

# A one-shot 2 in shoe, NFPA 70 chapter 9 table 2.
SHOE = {"radius": 9.5, "arrow_lead": 0}


def swept(radius: float, shots: int, legs: tuple[float, float] = (80, 80)) -> dict[str, Any]:
    """A segment 90 measured to its back, laid out."""
    turn = {**corner(90, "left"), "radius": radius, "shots": shots}
    return layout(run(leg(legs[0]), turn, leg(legs[1]), raceway="RMC", size="2", bender=SHOE, measure="back"))


def spacings(laid: dict[str, Any]) -> list[float]:
    """Between the points of intersection of the shots, as folded."""
    bends = fold(laid)["pieces"][0]["bends"]
    return [math.dist(one["pi"], other["pi"]) for one, other in itertools.pairwise(bends)]


@pytest.mark.parametrize("name", ["W03", "W04"])
def test_shots_stand_the_printed_spacing_apart(name: str) -> None:
    """R tan 6 is printed; 2 R tan 3 is what makes the sides touch the radius: a third of a hundredth less."""
    printed = row(name)
    given = printed["inputs"]
    found = spacings(swept(given["clr"], given["shots"]))
    wanted = printed["answer"]["spacing"]
    rounding = given["clr"] * (math.tan(math.radians(6)) - 2 * math.tan(math.radians(3)))
    assert found == pytest.approx([wanted] * (given["shots"] - 1), abs=printed["precision"] + rounding)


def test_shots_stand_their_share_of_the_developed_length_apart() -> None:
    """W01 prints 37.68 / 18."""
    printed = row("W01")
    given, spacing = printed["inputs"], printed["answer"]["spacing_dl_over_n"]
    laid = swept(given["clr"], given["shots"], (given["stub"], given["leg"]))
    assert spacings(laid) == pytest.approx([spacing] * 17, abs=printed["precision"])
    assert segment_space(given["clr"], 90, given["shots"]) == pytest.approx(spacing, abs=printed["precision"])


def test_its_straights_begin_and_end_where_the_lesson_says() -> None:
    """W01: the first shot lies half a space inside the bend's start, so each straight is longer by that, and the shot's
    own tangent shorter."""
    printed = row("W01")
    given, answer = printed["inputs"], printed["answer"]
    laid = swept(given["clr"], given["shots"], (given["stub"], given["leg"]))
    bends = fold(laid)["pieces"][0]["bends"]
    half = answer["spacing_dl_over_n"] / 2
    points = fold(laid)["pieces"][0]["points"]
    assert math.dist(points[0], bends[0]["pi"]) - half == pytest.approx(answer["d1"], abs=printed["precision"])
    assert math.dist(points[-1], bends[-1]["pi"]) - half == pytest.approx(answer["d2"], abs=printed["precision"])


@pytest.mark.parametrize(
    ("name", "radius", "shots", "length"),
    [("W01", 24, 18, row("W01")["answer"]["dl"]), ("W03", 20, 15, row("W03")["answer"]["dl"]),
     ("W04", 24.375, 15, row("W04")["answer"]["dl"]), ("W06", 40, 9, row("W06")["answer"]["dl"])],
)  # fmt: skip
def test_the_stick_that_it_takes_is_the_developed_length(name: str, radius: float, shots: int, length: float) -> None:
    """A polygon round a circle is longer than it, and shots of a smaller radius cut its corners: (R - Rs) (2 tan(d/2) -
    d) a shot is what it may be more; the pages' factors for one degree are a thousandth off."""
    printed, turn = row(name), math.radians(90 / shots)
    laid = swept(radius, shots, (100, 100))
    straight = 2 * (100 - 2.375 / 2 - radius)
    more = shots * (radius - SHOE["radius"]) * (2 * math.tan(turn / 2) - turn)
    rounding = printed["precision"] + 0.003 * length
    assert laid["developed_length"] - straight - more == pytest.approx(length, abs=rounding)


def test_pipes_that_keep_their_distance_round_a_bend_have_the_printed_radii() -> None:
    """W02: a gap of 2 in between three pipes; each folded round its own radius leaves that much in the middle of a
    side, where all of them touch their circles."""
    printed = row("W02")
    given, radii = printed["inputs"], [printed["inputs"]["r1"], *printed["answer"]["radii"]]
    middles = [_middle(radius) for radius in radii]
    gaps = [math.dist(one, other) - given["od"] for one, other in itertools.pairwise(middles)]
    assert gaps == pytest.approx([given["gap"]] * 2, abs=printed["precision"])


def _middle(radius: float) -> tuple[float, float]:
    """The middle of the bend's own middle side, from its centre: an even number of shots has one at 45 degrees."""
    piece = fold(swept(radius, 16))["pieces"][0]
    one, other = (piece["bends"][number]["pi"] for number in (7, 8))
    centre = (80 - 2.375 / 2 - radius, radius)
    return (one[0] + other[0]) / 2 - centre[0], (one[1] + other[1]) / 2 - centre[1]


def test_a_maker_s_concentric_pair_agrees_to_the_rounding_of_its_figures() -> None:
    """W30, no citable source."""
    printed = row("W30")
    for radius, spacing in ((36, printed["answer"]["s1"]), (40.375, printed["answer"]["s2"])):
        found = spacings(swept(radius, 15, (100, 100)))
        assert found == pytest.approx([spacing] * 14, abs=printed["precision"])


def test_dividing_by_the_gaps_bends_another_radius() -> None:
    """W31, no citable source, divides the developed length by one less than the marks: 18 shots on a radius of 20 then
    stand 6 in a hundred too far apart, and fold to a radius that much larger (2 R tan(shot/2))."""
    printed = row("W31")
    given = printed["inputs"]
    theirs = printed["answer"]["spacing_dl_over_n_minus_1"]
    assert theirs == pytest.approx(given["clr"] * 1.57 / 17, abs=printed["precision"])
    ours = spacings(swept(given["clr"], given["marks"]))[0]
    assert theirs / ours == pytest.approx(18 / 17, abs=0.01)
