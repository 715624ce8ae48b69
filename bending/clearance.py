"""How near the finished conduit comes to what stands in its way, bends included.

An obstruction has no end square to the plane of its leg and its turn: all is measured as seen in that plane, where a
bend is part of a circle, or of an ellipse if it turns out of the plane.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from bending.path import Bend, LegLine, Path
from bending.reading_obstructions import Obstruction
from bending.run import Run
from bending.vectors import Vector, add, dot

Spot = tuple[float, float]

# So much of the pipe beyond a leg's corners is looked at with the leg, in: further off, nothing says that what stands
# on the leg reaches there.
NEAR = 24.0
# A bend out of the plane is searched in parts of at most this many degrees: on each the distance has one least place.
PART = 15.0
STEPS = 24
GOLDEN = (math.sqrt(5) - 1) / 2
IN_PLANE = 1e-9


def least_gaps(run: Run, path: Path, line: LegLine, things: Sequence[Obstruction]) -> list[Spot]:
    """``(gap, along)`` of each obstruction on one leg: least distance between it and the conduit's outside, and where
    along the leg from its start reference that is.

    Inches; negative inside it. The leg is looked at with its corners and ``NEAR`` of the pipe beyond them.
    """
    half = run.profile.outside_diameter / 2
    pipe = _near(path, line)
    seen: dict[float, _Seen] = {}
    found = []
    for thing in things:
        if thing.turn not in seen:
            seen[thing.turn] = _Seen(pipe, _View(line, thing.turn))
        gap, along = _least(seen[thing.turn], thing)
        found.append((gap - half, along))
    return found


class _Pipe(NamedTuple):
    """A stretch of the pipe: its straights by their ends, and its bends."""

    straights: list[tuple[Vector, Vector]]
    bends: Sequence[Bend]


def _near(path: Path, line: LegLine) -> _Pipe:
    """The leg with every shot of its corners and ``NEAR`` beyond; of a bend that begins there, all."""
    first, last = _whole_corners(path, line)
    bends, ends = path.bends, path.points
    low = bends[first].begins - NEAR if line.first >= 0 else -math.inf
    high = bends[last].ends + NEAR if line.last < len(bends) else math.inf
    while first > 0 and bends[first - 1].ends > low:
        first -= 1
    while last < len(bends) - 1 and bends[last + 1].begins < high:
        last += 1
    bends = bends[first : last + 1]
    straights, one, here = [], _opens(path, first, low), max(low, 0.0)
    for bend in bends:
        if bend.begins > here:
            straights.append((one, add(bend.point, bend.before, -bend.tangent)))
        one, here = add(bend.point, bend.after, bend.tangent), bend.ends
    if high > here:
        straights.append((one, _closes(path, last, high, ends[-1])))
    return _Pipe(straights, bends)


def _opens(path: Path, first: int, low: float) -> Vector:
    """Where the stretch before bend ``first`` begins: at station ``low``, or where the straight does."""
    if first >= len(path.bends) or (first == 0 and low <= 0):
        return path.points[0]
    bend = path.bends[first]
    before = path.bends[first - 1].ends if first else 0.0
    return add(bend.point, bend.before, -bend.tangent - (bend.begins - max(low, before)))


def _closes(path: Path, last: int, high: float, end: Vector) -> Vector:
    if last < 0 or high >= path.length:
        return end
    bend = path.bends[last]
    return add(bend.point, bend.after, bend.tangent + high - bend.ends)


def _whole_corners(path: Path, line: LegLine) -> tuple[int, int]:
    """The leg's first and last bend, with every shot of the corners that it lies between."""
    first = next((corner.first for corner in path.corners if corner.last == line.first), 0)
    last = next((corner.last for corner in path.corners if corner.first == line.last), len(path.bends) - 1)
    return first, last


class _View:
    """A leg as it is seen square to the plane of one turn: (along it from its start reference, off its line)."""

    def __init__(self, line: LegLine, turn: float) -> None:
        self.ahead, self.toward = line.frame.t, line.frame.toward(turn)
        first, angle = line.pis[0], math.radians(turn)
        off = first.out * math.cos(angle) + first.left * math.sin(angle)
        along, height = self.way(line.origin)
        self.shift = (first.along - along, off - height)

    def way(self, direction: Vector) -> Spot:
        return dot(direction, self.ahead), dot(direction, self.toward)

    def spot(self, point: Vector) -> Spot:
        along, height = self.way(point)
        return along + self.shift[0], height + self.shift[1]


class _Arc(NamedTuple):
    """A bend as it is seen: ``before`` and ``inside`` are its way in and the way to its centre."""

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

    @property
    def in_plane(self) -> bool:
        (ahead, off), (across, up) = self.before, self.inside
        return ahead * ahead + off * off > 1 - IN_PLANE and across * across + up * up > 1 - IN_PLANE

    @property
    def centre(self) -> Spot:
        return self.begins[0] + self.inside[0] * self.radius, self.begins[1] + self.inside[1] * self.radius


class _Seen:
    """The pipe in one view."""

    def __init__(self, pipe: _Pipe, view: _View) -> None:
        self.straights = [(view.spot(one), view.spot(other)) for one, other in pipe.straights]
        self.arcs = [_arc(bend, view) for bend in pipe.bends if bend.arc]


def _arc(bend: Bend, view: _View) -> _Arc:
    angle = math.radians(bend.angle)
    return _Arc(
        view.spot(add(bend.point, bend.before, -bend.tangent)),
        view.way(bend.before),
        view.way(bend.inside),
        bend.radius,
        angle,
        view.spot(add(bend.point, bend.after, bend.tangent)),
        bend.radius * (1 - math.cos(angle / 2)),
    )


def _least(seen: _Seen, thing: Obstruction) -> Spot:
    """Only what lies near enough along the leg to beat the best so far is looked at."""
    best = (math.inf, 0.0)
    for one, other in seen.straights:
        if _beside(one, other, thing) < best[0]:
            best = min(best, _of_straight(one, other, thing))
    for arc in seen.arcs:
        if _beside(arc.begins, arc.ends, thing) - arc.bulge < best[0]:
            best = min(best, _of_arc(arc, thing))
    return best


def _beside(one: Spot, other: Spot, thing: Obstruction) -> float:
    """No place between two along the leg is nearer to an obstruction than this."""
    low, high = (one[0], other[0]) if one[0] < other[0] else (other[0], one[0])
    return max(thing.begins - high, low - thing.ends)


def distance(spot: Spot, thing: Obstruction) -> float:
    """From a place to an obstruction's outline; inside, minus the way out."""
    if thing.radius:
        return math.dist(spot, (thing.middle, thing.level)) - thing.radius
    beside = max(thing.begins - spot[0], spot[0] - thing.ends)
    above = spot[1] - thing.level
    return math.hypot(beside, above) if beside > 0 and above > 0 else max(beside, above)


def _corners(thing: Obstruction) -> tuple[Spot, ...]:
    """The points that the pipe may be nearest to: a box's two corners, a round one's middle."""
    if thing.radius:
        return ((thing.middle, thing.level),)
    return (thing.begins, thing.level), (thing.ends, thing.level)


def _nearest(spots: Iterator[Spot], thing: Obstruction) -> Spot:
    return min((distance(spot, thing), spot[0]) for spot in spots)


def _of_straight(one: Spot, other: Spot, thing: Obstruction) -> Spot:
    """The least distance lies at an end, at a corner's foot, or where the nearest part of the outline changes."""
    x, y = one
    dx, dy = other[0] - x, other[1] - y
    size = dx * dx + dy * dy
    shares = [0.0, 1.0]
    for corner in _corners(thing):
        shares.append(_share((corner[0] - x) * dx + (corner[1] - y) * dy, size))
    if not thing.radius:
        shares += [_share(rest - (x * ahead + y * up), dx * ahead + dy * up) for ahead, up, rest in _changes(thing)]
        shares += [_share(thing.begins - x, dx), _share(thing.ends - x, dx), _share(thing.level - y, dy)]
    return _nearest(((x + dx * share, y + dy * share) for share in shares), thing)


def _share(part: float, whole: float) -> float:
    return min(1.0, max(0.0, part / whole)) if whole else 0.0


def _changes(thing: Obstruction) -> tuple[tuple[float, float, float], ...]:
    """Lines ``ahead x + up y = rest`` inside a box on which two of its faces are as near as each other."""
    return (
        (1.0, 0.0, thing.middle),
        (1.0, 1.0, thing.begins + thing.level),
        (-1.0, 1.0, thing.level - thing.ends),
    )


def _of_arc(arc: _Arc, thing: Obstruction) -> Spot:
    """As along a straight, and where a bend is level or upright; every such place is a closed form in its angle but
    for what is nearest to a corner on a bend that turns out of the plane."""
    angles = [0.0, arc.angle]
    for corner in _corners(thing):
        angles += [_facing(arc, corner)] if arc.in_plane else _searched(arc, corner)
    if not thing.radius:
        for ahead, up, rest in ((1.0, 0.0, None), (0.0, 1.0, None), *_changes(thing)):
            angles += _where(arc, ahead, up, rest)
    return _nearest((arc.spot(angle) for angle in angles if 0 <= angle <= arc.angle), thing)


def _facing(arc: _Arc, corner: Spot) -> float:
    """The angle of a circle's place nearest to a point."""
    centre = arc.centre
    x, y = corner[0] - centre[0], corner[1] - centre[1]
    sine, cosine = x * arc.before[0] + y * arc.before[1], -(x * arc.inside[0] + y * arc.inside[1])
    return math.atan2(sine, cosine) % math.tau


def _where(arc: _Arc, ahead: float, up: float, rest: float | None) -> list[float]:
    """The angles at which ``ahead x + up y`` is ``rest``, or stands still."""
    way_in, across = (way[0] * ahead + way[1] * up for way in (arc.before, arc.inside))
    size, turned = arc.radius * math.hypot(way_in, across), math.atan2(-across, way_in)
    # Along the arc it is its value at the centre + size sin(angle + turned).
    if rest is None:
        return [(math.pi / 2 - turned) % math.tau, (-math.pi / 2 - turned) % math.tau]
    centre = arc.centre
    part = rest - centre[0] * ahead - centre[1] * up
    if abs(part) > size or not size:
        return []
    found = math.asin(part / size)
    return [(found - turned) % math.tau, (math.pi - found - turned) % math.tau]


def _searched(arc: _Arc, corner: Spot) -> list[float]:
    """Golden-section search for the place nearest to a point, on each part of an ellipse that may hold it: no place of
    a part is further from its middle than half the bend's own arc there."""
    parts = math.ceil(math.degrees(arc.angle) / PART)
    step = arc.angle / parts
    middles = [math.dist(arc.spot(step * (number + 0.5)), corner) for number in range(parts)]
    least = min(middles) + arc.radius * step / 2
    return [
        _golden(arc, corner, step * number, step * (number + 1))
        for number, middle in enumerate(middles)
        if middle <= least
    ]


def _golden(arc: _Arc, corner: Spot, low: float, high: float) -> float:
    one, other = high - GOLDEN * (high - low), low + GOLDEN * (high - low)
    at_one, at_other = math.dist(arc.spot(one), corner), math.dist(arc.spot(other), corner)
    for _ in range(STEPS):
        if at_one <= at_other:
            high, other, at_other = other, one, at_one
            one = high - GOLDEN * (high - low)
            at_one = math.dist(arc.spot(one), corner)
        else:
            low, one, at_one = one, other, at_other
            other = low + GOLDEN * (high - low)
            at_other = math.dist(arc.spot(other), corner)
    return (low + high) / 2
