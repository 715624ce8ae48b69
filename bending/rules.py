"""The trade's rules of thumb as tables and sums: rounded trigonometry of a line without arcs, as hands learn it.

They are kept for comparison. Nothing exact is made from them.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

# Added to the height of what a run goes over. Common practice, no source.
CLEARANCE = 0.5
NO_PRINTED = "no printed figure for this angle: worked out"
_FOLDER = Path(__file__).parent / "tables"


class RuleError(ValueError):
    """A rule that gives no mark. ``code``: ``stub_too_short``."""

    def __init__(self, code: str, text: str) -> None:
        super().__init__(text)
        self.code = code
        self.text = text


@dataclass(frozen=True)
class OffsetRule:
    """For one angle: travel between marks and shrink, both in inches an inch of rise, and where they are printed."""

    angle: float
    multiplier: float
    shrink: float
    source: str


@dataclass(frozen=True)
class SaddleRule:
    """For one centre angle: how far the centre mark moves off and the outer marks stand away, an inch of rise."""

    angle: float
    move: float
    spread: float
    source: str


def offset_rule(angle: float) -> OffsetRule:
    """The printed multiplier and shrink of an offset's angle, 0 < angle < 90 degrees; worked out where none is printed.

    Source: tables/offset_rules.csv, row by row.
    """
    row = _table("offset_rules.csv").get(angle, {})
    turn = math.radians(angle)
    multiplier = float(row["multiplier"]) if row.get("multiplier") else 1 / math.sin(turn)
    shrink = float(row["shrink"]) if row.get("shrink") else math.tan(turn / 2)
    return OffsetRule(angle, multiplier, shrink, row.get("source", NO_PRINTED))


def saddle_rule(angle: float) -> SaddleRule:
    """The three-bend table for a centre bend of ``angle`` degrees; else the offset rule of the outer angle.

    Source: tables/saddle_rules.csv; for other angles D = M x rise and S = C x rise of the outer angle, as NJATC,
    Conduit Bending and Fabrication, 2007, pp. 41 and 63 are quoted.
    """
    row = _table("saddle_rules.csv").get(angle)
    if row:
        return SaddleRule(angle, float(row["move"]), float(row["spread"]), row["source"])
    outer = offset_rule(angle / 2)
    return SaddleRule(angle, outer.shrink, outer.multiplier, f"outer angle's offset rule: {outer.source}")


def stub_mark(stub: float, take_up: float) -> float:
    """Where the arrow goes for a 90 whose back stands ``stub`` inches from the end: stub less take-up.

    Raises ``RuleError`` if the stub is no longer than the take-up: that stub can't be made on this shoe.
    Source: NJATC Conduit course, level 1, lesson 5.
    """
    if stub <= take_up:
        raise RuleError("stub_too_short", f"a stub of {stub:g} in is no longer than the take-up of {take_up:g} in")
    return stub - take_up


def offset_marks(distance: float, rise: float, rule: OffsetRule, past: bool = False) -> tuple[float, float]:
    """``(near, far)`` marks, in inches from where ``distance`` is measured.

    Before an obstruction the far mark moves off by the shrink and the near one is laid back; ``past`` one the near mark
    stands at the distance itself. Source: Goodheart-Willcox, Modern Residential Wiring, 2021, pp. 148-149.
    """
    if past:
        return distance, distance + rise * rule.multiplier
    far = distance + rise * rule.shrink
    return far - rise * rule.multiplier, far


def kick_distance(kick: float, rule: OffsetRule) -> float:
    """From the back of the 90 to the centre of the kick: multiplier x kick, inches, 0 and up.

    Source: NJATC Conduit course, level 1, lesson 7.
    """
    return kick * rule.multiplier


def saddle3_marks(centre: float, rise: float, rule: SaddleRule) -> tuple[float, float, float]:
    """``(first, centre, last)`` marks in inches from where ``centre`` is measured; ``rise`` in inches, above 0.

    The middle one is for the notch, the outer ones for the arrow with the hook toward the middle.
    Source: the rule's own.
    """
    middle = centre + rise * rule.move
    return middle - rise * rule.spread, middle, middle + rise * rule.spread


def parallel_shift(spacing: float, angle: float) -> float:
    """How far the next conduit's offset moves so that the gap stays: spacing x tan(angle/2), inches.

    ``spacing`` from centre to centre, ``angle`` above 0 and below 180 degrees.

    Source: Porcupine Press, Parallel bends.
    """
    return spacing * math.tan(math.radians(angle) / 2)


def parallel_gap(spacing: float, angle: float) -> float:
    """The gap in the slope, centre to centre, when the offsets aren't moved: spacing x cos(angle), inches.

    Arguments and source as ``parallel_shift``.
    """
    return spacing * math.cos(math.radians(angle))


def concentric_radius(radius: float, outside_diameter: float, clear: float, next_diameter: float) -> float:
    """Centreline radius of the next conduit outward round the same centre: R + d/2 + clear + next d/2.

    Inches, all 0 and up; ``clear`` is between the two outsides. Source: Porcupine Press, Concentric.
    """
    return radius + outside_diameter / 2 + clear + next_diameter / 2


def box_offset_rise(apart: float, angle: float) -> float:
    """What two equal bends with their marks ``apart`` inches rise: apart x sin(angle), inches, for a few degrees.

    Source: Goodheart-Willcox, Modern Residential Wiring, 2021, p. 149 (the marks; the rise follows from them).
    """
    return apart * math.sin(math.radians(angle))


def developed_length(radius: float, angle: float, per_degree: float = math.radians(1)) -> float:
    """Length of a bend along its centre line: radius (inches) x angle (degrees) x ``per_degree``, in inches.

    Books take 0.0175, 0.01745 or 1.57/90 for one degree; the default is exact.

    Source: Porcupine Press, Segment bends; NJATC Conduit Fabrication, level 2, lesson 4.
    """
    return radius * angle * per_degree


@cache
def _table(name: str) -> Mapping[float, Mapping[str, str]]:
    """A printed table by its angle."""
    lines = (_FOLDER / name).read_text(encoding="utf-8").splitlines()
    rows = csv.DictReader(line for line in lines if not line.startswith("#"))
    return {float(row["angle"]): row for row in rows}


def segment_space(radius: float, angle: float, shots: int) -> float:
    """Between the centre marks of a segment bend by the book: developed length by shots, inches.

    ``radius`` in inches, 0 < ``angle`` < 180 degrees in so many ``shots``. The book ends pi/180 after four figures.
    Source: NJATC, Conduit Fabrication level 2, lesson 4 (37.68 by 18 for a radius of 24).
    """
    return radius * angle * 0.01745 / shots
