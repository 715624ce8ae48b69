"""How near the finished conduit comes to an edge that stands on the run's surface, bends included."""

from __future__ import annotations

import math
from collections.abc import Callable

from bending.path import Bend, LegLine, Path
from bending.reading_path import Obstruction
from bending.run import Run
from bending.vectors import Vector, add, dot

# Parts of one bend that are searched on their own: a distance has one least place on each.
PARTS = 12
STEPS = 40
GOLDEN = (math.sqrt(5) - 1) / 2


def least_gap(run: Run, path: Path, line: LegLine, edge: Obstruction) -> tuple[float, float]:
    """``(gap, along)``: least distance between the conduit's outside and the obstruction, and where along the leg.

    Inches; negative inside it. The obstruction is as wide as one likes, and reaches from the surface to its height.
    """
    half = run.profile.outside_diameter / 2
    origin, first = path.points[line.first + 1], line.pis[0]

    def seen(point: Vector) -> tuple[float, float]:
        """A point as (distance to the obstruction, place along the leg)."""
        away = add(point, origin, -1.0)
        along = first.along + dot(away, line.frame.t)
        height = first.out + dot(away, line.frame.u) + half + edge.standoff
        return _distance(along, height, edge), along

    found = [_least(seen, piece) for piece in _pieces(path, line)]
    gap, along = min(found)
    return gap - half, along


def _distance(along: float, height: float, edge: Obstruction) -> float:
    """From a point to the rectangle below the edge; inside, minus the way out."""
    beside = max(edge.begins - along, along - edge.ends)
    above = height - edge.height
    if beside > 0 and above > 0:
        return math.hypot(beside, above)
    return max(beside, above)


def _pieces(path: Path, line: LegLine) -> list[Callable[[float], Vector]]:
    """The leg's straights, and parts of its bends, each as a curve over 0 to 1."""
    pieces: list[Callable[[float], Vector]] = []
    bends = path.bends[max(line.first, 0) : line.last + 1]
    stops = [_start(path, line)]
    for bend in bends:
        if line.first < 0 or bend is not path.bends[line.first]:
            stops.append(add(bend.point, bend.before, -bend.tangent))
            pieces.append(_straight(stops[-2], stops[-1]))
        pieces += [_part(bend, number) for number in range(PARTS)]
        stops.append(add(bend.point, bend.after, bend.tangent))
    if line.last == len(path.bends):
        pieces.append(_straight(stops[-1], path.points[-1]))
    return pieces


def _start(path: Path, line: LegLine) -> Vector:
    return path.points[0] if line.first < 0 else path.bends[line.first].point


def _straight(one: Vector, other: Vector) -> Callable[[float], Vector]:
    way = add(other, one, -1.0)
    return lambda share: add(one, way, share)


def _part(bend: Bend, number: int) -> Callable[[float], Vector]:
    begins = add(bend.point, bend.before, -bend.tangent)
    angle = math.radians(bend.angle)

    def at(share: float) -> Vector:
        turned = angle * (number + share) / PARTS
        ahead = add(begins, bend.before, bend.radius * math.sin(turned))
        return add(ahead, bend.inside, bend.radius * (1 - math.cos(turned)))

    return at


def _least(seen: Callable[[Vector], tuple[float, float]], piece: Callable[[float], Vector]) -> tuple[float, float]:
    """Golden-section search for the nearest place of one piece."""
    low, high = 0.0, 1.0
    for _ in range(STEPS):
        one, other = high - GOLDEN * (high - low), low + GOLDEN * (high - low)
        if seen(piece(one)) <= seen(piece(other)):
            high = other
        else:
            low = one
    return min(seen(piece(low)), seen(piece((low + high) / 2)), seen(piece(high)))
