"""Length, rotation, angle: a centreline as a tube bender with three axes is told it, and back to points.

A row is: feed the length, turn the tube by the rotation, bend by the angle. The last length has no bend after it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from bending.problems import Problem, Problems
from bending.vectors import ORIGIN, START, Vector, add, blend, cross, dot, length, scaled

# Inches, and the sine of an angle: below these there is no straight and no bend to speak of.
SAME_PLACE, NO_BEND = 1e-9, 1e-9
# Two bends may touch; the straight between them is a difference of sums.
TOUCHING = 1e-6


@dataclass(frozen=True)
class Row:
    """One straight and the bend after it. Inches and degrees.

    ``length`` is from point of intersection to point of intersection (or to an end), ``straight`` what is left of it
    between the bends. ``rotation`` is more than -180 up to 180, ``angle`` between 0 and 180; both are None in the last
    row, and ``radius`` and ``arc`` are 0 there.
    """

    length: float
    straight: float
    rotation: float | None
    angle: float | None
    radius: float
    arc: float


def lra(points: Sequence[Vector], radius: float | Sequence[float] = 0.0, out: Vector | None = None) -> tuple[Row, ...]:
    """The table of a centreline.

    ``points``: start, every point of intersection, end; inches, two or more. ``radius``: centreline radius of every
    bend, or one for each, 0 and up (0 gives the broken line). ``out``: what the first rotation is measured from; by
    default the inside of the first bend, which makes it 0.

    Rotation is positive by the right hand, thumb along travel; the roll of a layout runs the other way, so that
    roll grows by minus the rotation. Machines differ in this sign: try one part in scrap.

    Raises ``Problems``: ``too_few_points``, ``not_finite``, ``same_place``, ``no_bend``, ``doubles_back``,
    ``bad_radius``, ``overlap``, ``no_direction``. Source: the rule is common practice of tube bending, no source; that
    length, rotation and angle define a part with its radius: The Fabricator, From the CAD station to the production
    floor.
    """
    _check_points(points)
    legs = [add(b, a, -1.0) for a, b in pairwise(points)]
    ways = [scaled(leg, 1 / length(leg)) for leg in legs]
    angles = _angles(ways)
    radii = _radii(radius, len(angles))
    normals = [cross(one, other) for one, other in pairwise(ways)]
    rotations = [_first_rotation(ways, normals, out), *_rotations(ways, normals)] if normals else []
    return tuple(_rows([length(leg) for leg in legs], rotations, angles, radii))


def points(
    table: Sequence[Row], start: Vector = ORIGIN, travel: Vector = START.t, out: Vector = START.u
) -> tuple[Vector, ...]:
    """The centreline of a table: start, every point of intersection, end, in inches.

    Only each row's length, rotation and angle are read. ``travel`` is the first leg's direction and ``out`` what the
    first rotation is measured from; ``lra(points(table), out=START.u)`` gives the table back.

    Raises ``Problems`` (``no_direction``) when travel and out lie along one line, ``ValueError`` for an empty table.
    """
    if not table:
        raise ValueError("a table has at least one row")
    way = _unit(travel, "travel")
    inside = _unit(_square(out, way), "out")
    found = [start]
    for row in table:
        found.append(add(found[-1], way, row.length))
        if row.angle is not None and row.rotation is not None:
            inside = _turned(inside, way, row.rotation)
            way, inside = _bent(way, inside, row.angle)
    return tuple(found)


def developed_length(table: Sequence[Row]) -> float:
    """Inches of tube: every straight and every arc."""
    return sum(row.straight + row.arc for row in table)


def _rows(
    lengths: Sequence[float], rotations: Sequence[float], angles: Sequence[float], radii: Sequence[float]
) -> Iterator[Row]:
    tangents = [r * math.tan(math.radians(angle) / 2) for r, angle in zip(radii, angles, strict=True)]
    straights = [
        whole - before - after for whole, before, after in zip(lengths, [0.0, *tangents], [*tangents, 0.0], strict=True)
    ]
    _check_overlap(straights)
    for index, angle in enumerate(angles):
        arc = radii[index] * math.radians(angle)
        yield Row(lengths[index], straights[index], rotations[index], angle, radii[index], arc)
    yield Row(lengths[-1], straights[-1], None, None, 0.0, 0.0)


def _angles(ways: Sequence[Vector]) -> list[float]:
    angles, problems = [], []
    for index, (one, other) in enumerate(pairwise(ways), start=1):
        sine, cosine = length(cross(one, other)), dot(one, other)
        if sine < NO_BEND:
            code = "no_bend" if cosine > 0 else "doubles_back"
            text = "the line goes straight on here: leave this point out" if cosine > 0 else "the line turns right back"
            problems.append(Problem(f"points[{index}]", code, text))
        angles.append(math.degrees(math.atan2(sine, cosine)))
    _refuse(problems)
    return angles


def _rotations(ways: Sequence[Vector], normals: Sequence[Vector]) -> Iterator[float]:
    """From each bend's plane to the next one's, about the straight between them."""
    for way, (one, other) in zip(ways[1:], pairwise(normals), strict=False):
        yield _degrees_about(way, one, other)


def _first_rotation(ways: Sequence[Vector], normals: Sequence[Vector], out: Vector | None) -> float:
    if out is None:
        return 0.0
    level = cross(ways[0], _unit(_square(out, ways[0]), "out"))
    return _degrees_about(ways[0], level, normals[0])


def _degrees_about(axis: Vector, one: Vector, other: Vector) -> float:
    angle = math.degrees(math.atan2(dot(cross(one, other), axis), dot(one, other)))
    return 180.0 if angle == -180.0 else angle


def _turned(one: Vector, axis: Vector, degrees: float) -> Vector:
    """``one``, square to ``axis``, turned about it by the right hand."""
    turn = math.radians(degrees)
    return blend(one, math.cos(turn), cross(axis, one), math.sin(turn))


def _bent(way: Vector, inside: Vector, degrees: float) -> tuple[Vector, Vector]:
    """Both squared up: left alone, the last figure's error doubles every few bends."""
    turn = math.radians(degrees)
    sine, cosine = math.sin(turn), math.cos(turn)
    ahead = _unit(blend(way, cosine, inside, sine), "travel")
    return ahead, _unit(_square(blend(inside, cosine, way, -sine), ahead), "out")


def _square(one: Vector, way: Vector) -> Vector:
    """The part of ``one`` square to ``way``."""
    return add(one, way, -dot(one, way))


def _unit(one: Vector, name: str) -> Vector:
    size = length(one)
    if not SAME_PLACE < size < math.inf:
        raise Problems([Problem(name, "no_direction", f"{name} needs a direction of its own")])
    return scaled(one, 1 / size)


def _radii(radius: float | Sequence[float], count: int) -> list[float]:
    radii = [float(radius)] * count if isinstance(radius, int | float) else [float(one) for one in radius]
    if len(radii) != count or not all(0 <= one < math.inf for one in radii):
        raise Problems([Problem("radius", "bad_radius", f"one radius for all, or {count}: each 0 or more")])
    return radii


def _check_points(places: Sequence[Vector]) -> None:
    if len(places) < 2:
        raise Problems([Problem("points", "too_few_points", "a centreline has a start and an end")])
    bad = [index for index, place in enumerate(places) if not all(map(math.isfinite, place))]
    _refuse([Problem(f"points[{index}]", "not_finite", "a place is three finite numbers") for index in bad])
    same = [index for index, (a, b) in enumerate(pairwise(places), start=1) if length(add(b, a, -1.0)) < SAME_PLACE]
    _refuse([Problem(f"points[{index}]", "same_place", "this is where the point before it is") for index in same])


def _check_overlap(straights: Sequence[float]) -> None:
    short = [(index, -straight) for index, straight in enumerate(straights) if straight < -TOUCHING]
    _refuse([Problem(f"points[{i}]", "overlap", f"the straight after this point is {by:.3f} short") for i, by in short])


def _refuse(problems: Sequence[Problem]) -> None:
    if problems:
        raise Problems(problems)
