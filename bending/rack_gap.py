"""The least gap between two pipes of a rack, by the true distance between their centrelines: straights and arcs."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterator, Sequence
from itertools import accumulate
from typing import NamedTuple

from bending.path import Bend, Path
from bending.run import Run
from bending.vectors import ORIGIN, Vector, add, cross, dot, length

# An arc is looked at once in so many degrees, then between wherever it may come nearer than the best so far.
LOOK = 7.5
GOLDEN = (math.sqrt(5) - 1) / 2
FINE = 1e-7
NEARER = 1e-9
# Where three places on an arc say how far it may come nearer between them, it is looked at as if that were so many
# times as far.
DEEPER = 8.0


class Part(NamedTuple):
    """A straight (``radius`` 0, toward ``along``, ``size`` inches) or an arc that begins at ``start`` and bends toward
    ``inside`` through ``size`` radians; with its place in the document and the station where it begins."""

    start: Vector
    along: Vector
    inside: Vector
    radius: float
    size: float
    at: str
    part: str
    station: float

    def spot(self, share: float) -> Vector:
        """The place so far along: inches of a straight, radians of an arc."""
        if not self.radius:
            return add(self.start, self.along, share)
        sine, cosine = math.sin(share), math.cos(share)
        return add(add(self.start, self.along, self.radius * sine), self.inside, self.radius * (1 - cosine))

    def nearest(self, spot: Vector) -> float:
        """Where along it is nearest to a place."""
        aside = add(spot, self.start, -1.0)
        if not self.radius:
            return min(self.size, max(0.0, dot(aside, self.along)))
        ahead, across = dot(aside, self.along), self.radius - dot(aside, self.inside)
        turn = math.atan2(ahead, across)
        if 0 <= turn <= self.size:
            return turn
        past, before = (turn - self.size) % math.tau, -turn % math.tau
        return self.size if past < before else 0.0

    def off(self, spot: Vector) -> float:
        """How far a place is from it: inches."""
        return length(add(spot, self.spot(self.nearest(spot)), -1.0))

    @property
    def box(self) -> tuple[Vector, Vector]:
        """Two corners that it lies between: of an arc, its ends let out by how far it swells."""
        one, other = self.start, self.spot(self.size)
        swell = self.radius * (1 - math.cos(self.size / 2)) if self.size < math.pi else 2 * self.radius
        swell = swell if self.radius else 0.0
        low = (min(one[0], other[0]) - swell, min(one[1], other[1]) - swell, min(one[2], other[2]) - swell)
        return low, (max(one[0], other[0]) + swell, max(one[1], other[1]) + swell, max(one[2], other[2]) + swell)


class Nearest(NamedTuple):
    """Where two centrelines come nearest: inches apart, and where on the one and on the other."""

    apart: float
    part: Part
    along: float
    other: Part
    other_along: float

    @property
    def point(self) -> Vector:
        return self.part.spot(self.along)

    @property
    def station(self) -> float:
        """From the first one's start along its stick: inches."""
        return self.part.station + self.along * (self.part.radius or 1.0)


def parts(run: Run, path: Path, offset: tuple[float, float] = (0.0, 0.0)) -> list[Part]:
    """The centreline of a pipe whose start lies ``offset`` (inches out and to the left) from number 1's."""
    shift = (0.0, offset[1], offset[0])
    places = _straight_places(run, path)
    found, station, taken = list[Part](), 0.0, 0.0
    for number, way in enumerate(path.directions):
        bend = path.bends[number] if number < len(path.bends) else None
        start = add(add(path.points[number], way, taken), shift)
        size = math.dist(path.points[number], path.points[number + 1]) - taken - (bend.tangent if bend else 0.0)
        found.append(Part(start, way, ORIGIN, 0.0, max(0.0, size), places[number], "straight", station))
        if bend:
            found += _arc(bend, add(start, way, size))
            station, taken = bend.ends, bend.tangent
    return found


def _arc(bend: Bend, start: Vector) -> Iterator[Part]:
    if bend.arc > 0:
        turn = math.radians(bend.angle)
        yield Part(start, bend.before, bend.inside, bend.radius, turn, bend.at, bend.part, bend.begins)


def _straight_places(run: Run, path: Path) -> list[str]:
    """Each straight's leg in the document; of one between two shots, its corner."""
    places = [bend.at for bend in path.bends] + [run.legs[-1].at]
    for leg, line in zip(run.legs, path.lines, strict=True):
        places[line.first + 1 : line.last + 1] = [leg.at] * (line.last - line.first)
    return places


class _Least:
    """The nearest places found so far."""

    def __init__(self, found: Nearest) -> None:
        self.found = found

    @property
    def apart(self) -> float:
        return self.found.apart

    def look(self, one: Part, other: Part) -> None:
        found = _of(one, other, self.apart)
        if found.apart < self.apart - NEARER:
            self.found = found


def nearest(one: Sequence[Part], other: Sequence[Part]) -> Nearest:
    """Where two centrelines come nearest to each other. Of places as near as each other, the first straight's.

    Both begin with a straight, as ``parts`` gives them. What neighbours have in common is looked at first: nearly
    always it is the least, and then nothing else is near enough to be looked at.
    """
    least = _Least(_straights(one[0], other[0]))
    for mine, yours in zip(one, other, strict=False):
        if not mine.radius and not yours.radius:
            least.look(mine, yours)
    line = _Line(other, _axis(one))
    for part in one:
        for yours in line.near(part.box, least):
            least.look(part, yours)
    return least.found


def _axis(line: Sequence[Part]) -> int:
    """The direction that a pipe reaches farthest in."""
    boxes = [part.box for part in line]
    spans = [max(high[axis] for _, high in boxes) - min(low[axis] for low, _ in boxes) for axis in range(3)]
    return spans.index(max(spans))


class _Line:
    """A pipe's parts by where they begin along one axis, each with the farthest that it or one before it reaches."""

    def __init__(self, line: Sequence[Part], axis: int) -> None:
        self.axis = axis
        self.parts = sorted(((part.box, part) for part in line), key=lambda one: one[0][0][axis])
        self.lows = [low[axis] for (low, _), _ in self.parts]
        self.farthest = list(accumulate((high[axis] for (_, high), _ in self.parts), max))

    def near(self, around: tuple[Vector, Vector], least: _Least) -> Iterator[Part]:
        """Those whose boxes may come nearer to this one than the least by then."""
        low, high = around[0][self.axis], around[1][self.axis]
        for number in range(bisect_right(self.lows, high + least.apart) - 1, -1, -1):
            if low - self.farthest[number] >= least.apart:
                return
            box, part = self.parts[number]
            if _between(around, box) < least.apart - NEARER:
                yield part


def _between(around: tuple[Vector, Vector], box: tuple[Vector, Vector]) -> float:
    ((x, y, z), (far_x, far_y, far_z)), ((u, v, w), (far_u, far_v, far_w)) = around, box
    return math.hypot(max(0.0, u - far_x, x - far_u), max(0.0, v - far_y, y - far_v), max(0.0, w - far_z, z - far_w))


def _of(one: Part, other: Part, best: float) -> Nearest:
    if not one.radius and not other.radius:
        return _straights(one, other)
    if not one.radius:
        found = _search(other, one, best)
        return Nearest(found.apart, one, found.other_along, other, found.along)
    return _search(one, other, best)


def _at(one: Part, along: float, other: Part) -> Nearest:
    spot = one.spot(along)
    there = other.nearest(spot)
    return Nearest(math.dist(spot, other.spot(there)), one, along, other, there)


def _straights(one: Part, other: Part) -> Nearest:
    """Two straights come nearest at an end of either, or where each is nearest to the other's line."""
    places = [_at(one, 0.0, other), _at(one, one.size, other)]
    places += [_turned(_at(other, 0.0, one)), _turned(_at(other, other.size, one))]
    normal = cross(one.along, other.along)
    left = dot(normal, normal)
    if left > NEARER * NEARER:
        apart = add(other.start, one.start, -1.0)
        along = dot(cross(apart, other.along), normal) / left
        if 0 < along < one.size:
            places.append(_at(one, along, other))
    return min(places, key=lambda place: place.apart)


def _turned(found: Nearest) -> Nearest:
    return Nearest(found.apart, found.other, found.other_along, found.part, found.along)


def _search(arc: Part, other: Part, best: float) -> Nearest:
    """Along an arc: looked at here and there, then closely wherever it may come nearer than ``best``."""
    count = max(2, math.ceil(math.degrees(arc.size) / LOOK))
    step = arc.size / count
    offs = [other.off(arc.spot(step * number)) for number in range(count + 1)]
    found = _at(arc, step * min(range(count + 1), key=offs.__getitem__), other)
    for number in range(count + 1):
        around = offs[max(0, number - 1) : number + 2]
        if offs[number] <= min(around) and offs[number] - DEEPER * _dip(offs, number) < min(best, found.apart) - NEARER:
            closer = _golden(arc, other, max(0.0, step * (number - 1)), min(arc.size, step * (number + 1)))
            found = min(found, closer, key=lambda place: place.apart)
    return found


def _dip(offs: Sequence[float], number: int) -> float:
    """How far the parabola through three neighbours goes below a least of them, within a step of it."""
    middle = min(max(number, 1), len(offs) - 2)
    curve = offs[middle - 1] - 2 * offs[middle] + offs[middle + 1]
    if curve <= 0:
        return 0.0
    slope = (offs[middle + 1] - offs[middle - 1]) / 2
    share = min(1.0, max(-1.0, -slope / curve))
    return max(0.0, offs[number] - offs[middle] - (slope + curve * share / 2) * share)


def _golden(arc: Part, other: Part, low: float, high: float) -> Nearest:
    """The least distance between two places on an arc where it has one least, by the golden section."""
    one, two = high - GOLDEN * (high - low), low + GOLDEN * (high - low)
    first, second = other.off(arc.spot(one)), other.off(arc.spot(two))
    while high - low > FINE:
        if first < second:
            high, two, second = two, one, first
            one = high - GOLDEN * (high - low)
            first = other.off(arc.spot(one))
        else:
            low, one, first = one, two, second
            two = low + GOLDEN * (high - low)
            second = other.off(arc.spot(two))
    return _at(arc, (low + high) / 2, other)
