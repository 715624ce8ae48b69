"""How near the finished conduit comes to an edge that stands on the run's surface, bends included."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import NamedTuple

from bending.path import Bend, LegLine, Path
from bending.reading_obstructions import Obstruction
from bending.run import Run
from bending.vectors import Vector, add, dot

Spot = tuple[float, float]

# A bend is searched in parts of at most this many degrees: on each the distance has one least place.
PART = 15.0
STEPS = 24
GOLDEN = (math.sqrt(5) - 1) / 2


class _Arc(NamedTuple):
    """A bend as its leg sees it: along the leg, and off the surface."""

    begins: Spot
    before: Spot
    inside: Spot
    radius: float
    angle: float
    ends: Spot
    bulge: float

    def spot(self, angle: float) -> Spot:
        ahead, aside = self.radius * math.sin(angle), self.radius * (1 - math.cos(angle))
        return (
            self.begins[0] + self.before[0] * ahead + self.inside[0] * aside,
            self.begins[1] + self.before[1] * ahead + self.inside[1] * aside,
        )


def least_gaps(run: Run, path: Path, line: LegLine, edges: Sequence[Obstruction]) -> list[Spot]:
    """``(gap, along)`` of each obstruction on one leg: least distance between it and the conduit's outside, and where.

    Inches; negative inside it. An obstruction is as wide as one likes, and reaches from the surface to its height.
    """
    half = run.profile.outside_diameter / 2
    view = _View(path, line, half)
    straights, arcs = list(view.straights()), list(view.arcs())
    found = []
    for edge in edges:
        # A strap lifts the pipe; the same as an obstruction that much lower.
        lower = replace(edge, height=edge.height - edge.standoff)
        gap, along = _least(straights, arcs, lower)
        found.append((gap - half, along))
    return found


def _least(straights: list[tuple[Spot, Spot]], arcs: list[_Arc], edge: Obstruction) -> Spot:
    """Only what lies near enough along the leg to beat the best so far is looked at."""
    best = (math.inf, 0.0)
    for one, other in straights:
        if _beside(one, other, edge) < best[0]:
            best = min(best, _segment(one, other, edge))
    for arc in arcs:
        if _beside(arc.begins, arc.ends, edge) - arc.bulge < best[0]:
            best = min(best, _arc(arc, edge, best))
    return best


def _beside(one: Spot, other: Spot, edge: Obstruction) -> float:
    """No place between two along the leg is nearer to an obstruction than this."""
    low, high = (one[0], other[0]) if one[0] < other[0] else (other[0], one[0])
    return max(edge.begins - high, low - edge.ends)


def distance(spot: Spot, edge: Obstruction) -> float:
    """From a place to the rectangle below the edge; inside, minus the way out."""
    beside = max(edge.begins - spot[0], spot[0] - edge.ends)
    above = spot[1] - edge.height
    return math.hypot(beside, above) if beside > 0 and above > 0 else max(beside, above)


class _View:
    """A leg of a path as it is seen square to its surface: (along the leg, height of the centreline)."""

    def __init__(self, path: Path, line: LegLine, lift: float) -> None:
        self.path, self.frame = path, line.frame
        first_bend, last_bend = _whole_corners(path, line)
        self.bends = path.bends[first_bend : last_bend + 1]
        first = line.pis[0]
        along, height = self.way(line.origin)
        self.shift = (first.along - along, first.out + lift - height)
        self.opens = None if line.first >= 0 else path.points[0]
        self.closes = None if line.last < len(path.bends) else path.points[-1]

    def way(self, direction: Vector) -> Spot:
        return dot(direction, self.frame.t), dot(direction, self.frame.u)

    def spot(self, point: Vector) -> Spot:
        along, height = self.way(point)
        return along + self.shift[0], height + self.shift[1]

    def straights(self) -> Iterator[tuple[Spot, Spot]]:
        """Every straight of the leg, as its two ends."""
        one = self.opens
        for bend in self.bends:
            if one is not None:
                yield self.spot(one), self.spot(add(bend.point, bend.before, -bend.tangent))
            one = add(bend.point, bend.after, bend.tangent)
        if one is not None and self.closes is not None:
            yield self.spot(one), self.spot(self.closes)

    def arcs(self) -> Iterator[_Arc]:
        for bend in self.bends:
            yield self.arc(bend)

    def arc(self, bend: Bend) -> _Arc:
        begins = self.spot(add(bend.point, bend.before, -bend.tangent))
        angle = math.radians(bend.angle)
        return _Arc(
            begins,
            self.way(bend.before),
            self.way(bend.inside),
            bend.radius,
            angle,
            self.spot(add(bend.point, bend.after, bend.tangent)),
            bend.radius * (1 - math.cos(angle / 2)),
        )


def _whole_corners(path: Path, line: LegLine) -> tuple[int, int]:
    """The leg's first and last bend, with every shot of the corners that it lies between."""
    first = next((corner.first for corner in path.corners if corner.last == line.first), 0)
    return first, next((corner.last for corner in path.corners if corner.first == line.last), line.last)


def _segment(one: Spot, other: Spot, edge: Obstruction) -> Spot:
    """The least distance lies at an end, at a corner's foot, or where the nearest part of the outline changes."""
    x, y = one
    dx, dy = other[0] - x, other[1] - y
    size = dx * dx + dy * dy
    shares = [0.0, 1.0, _share((edge.begins + edge.ends) / 2 - x, dx)]
    for corner in (edge.begins, edge.ends):
        shares.append(_share(corner - x, dx))
        shares.append(_share((corner - x) * dx + (edge.height - y) * dy, size))
    shares.append(_share(edge.height - y, dy))
    shares.append(_share(edge.begins + edge.height - x - y, dx + dy))
    shares.append(_share(edge.height - edge.ends + x - y, dy - dx))
    spots = [(x + dx * share, y + dy * share) for share in shares]
    return min((distance(spot, edge), spot[0]) for spot in spots)


def _share(part: float, whole: float) -> float:
    return min(1.0, max(0.0, part / whole)) if whole else 0.0


def _arc(arc: _Arc, edge: Obstruction, best: Spot) -> Spot:
    """The least distance of a bend, searched only where it could beat the best so far."""
    parts = math.ceil(math.degrees(arc.angle) / PART)
    step = arc.angle / parts
    bulge = arc.radius * (1 - math.cos(step / 2))
    for number in range(parts):
        low, high = step * number, step * (number + 1)
        if _segment(arc.spot(low), arc.spot(high), edge)[0] - bulge < best[0]:
            best = min(best, _golden(arc, edge, low, high))
    return best


def _golden(arc: _Arc, edge: Obstruction, low: float, high: float) -> Spot:
    """Golden-section search."""
    ends = low, high
    for _ in range(STEPS):
        one, other = high - GOLDEN * (high - low), low + GOLDEN * (high - low)
        if distance(arc.spot(one), edge) <= distance(arc.spot(other), edge):
            high = other
        else:
            low = one
    spots = [arc.spot(angle) for angle in (*ends, (low + high) / 2)]
    return min((distance(spot, edge), spot[0]) for spot in spots)
