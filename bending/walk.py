"""Walk a run: every point of intersection and every bend, whether they fit or not."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

from bending.corners import Corner, Fitting
from bending.features import Pi, Span
from bending.reading_path import Leg
from bending.stretches import FULLY_BACK, NO_BEND, Stretch, Turn, stretches_of, with_shots
from bending.vectors import ORIGIN, START, Frame, Vector, add, blend, cross, dot, length, scaled

if TYPE_CHECKING:
    from bending.run import Run


@dataclass(frozen=True, slots=True)
class Bend:
    """One bend of the centreline: inches, degrees, and its place in the document.

    With a ``fitting`` it is none of the stick's: the bought part turns there, by 0 degrees if it goes straight on.
    """

    point: Vector
    angle: float
    radius: float
    tangent: float
    arc: float
    roll: float
    begins: float
    ends: float
    at: str
    part: str
    before: Vector
    after: Vector
    inside: Vector
    fitting: Fitting | None = None

    @property
    def takes_before(self) -> float:
        """From the straight before it to its point of intersection: its tangent, or the fitting's part of the leg."""
        return self.fitting.before if self.fitting else self.tangent

    @property
    def takes_after(self) -> float:
        return self.fitting.after if self.fitting else self.tangent


@dataclass(frozen=True, slots=True)
class LegLine:
    """Where a leg lies: its frame, the pipe's ends along it from its start reference, and its bends.

    ``first`` is the number of the bend that the leg begins at (-1: the run's start), ``last`` of the one that it ends
    at (the count of bends: the run's end); of a segment bend, its last shot and its first. ``origin`` is the place of
    the leg's first point, ``pis[0]``: the run's start, or where its line crosses the line of the leg before.
    """

    frame: Frame
    begins: float
    ends: float
    first: int
    last: int
    pis: tuple[Pi, ...]
    origin: Vector


@dataclass(frozen=True, slots=True)
class CornerLine:
    """What joins two legs: its bends ``first`` to ``last`` (one, but for a segment bend), where the legs' lines cross,
    its whole angle and radius, and how far inside that place the first and last points of intersection stand."""

    first: int
    last: int
    point: Vector
    angle: float
    radius: float
    inset: float
    asked: Corner

    @property
    def shots(self) -> int:
        return self.last - self.first + 1


@dataclass(frozen=True, slots=True)
class Break:
    """A fitting in the path, from the station where the conduit ends to where it begins again; ``bend`` is its number
    among the bends."""

    begins: float
    ends: float
    bend: int
    at: str
    fitting: Fitting


@dataclass(frozen=True, slots=True)
class Path:
    """A centreline: ``points`` are start, every point of intersection, and end; ``straights`` lie between the bends.

    ``sticks`` are the frames of the stick itself on each straight: travel, its scribed top line, and left. ``breaks``
    are the fittings that it must be cut at.
    """

    points: tuple[Vector, ...]
    bends: tuple[Bend, ...]
    straights: tuple[float, ...]
    directions: tuple[Vector, ...]
    lines: tuple[LegLine, ...]
    corners: tuple[CornerLine, ...]
    sticks: tuple[Frame, ...]
    breaks: tuple[Break, ...]
    length: float

    @property
    def frames(self) -> tuple[Frame, ...]:
        """The described frame of each leg: travel, out and left."""
        return tuple(line.frame for line in self.lines)

    def place(self, number: int, station: float) -> Vector:
        """Where a station lies that is on straight ``number``, or on what a fitting at its end takes of it."""
        if number:
            bend = self.bends[number - 1]
            return add(bend.point, bend.after, station - bend.ends + bend.tangent)
        return add(self.points[0], self.directions[0], station)

    @property
    def pull_points(self) -> tuple[float, ...]:
        """Stations of the fittings that conductors can be pulled at, each of which ends a count of bends."""
        return tuple(one.begins + one.fitting.before for one in self.breaks if one.fitting.pull_point)


class Turning(NamedTuple):
    """How a stick turns: the unit vector it bends toward, the angle's cosine and sine, the roll, the way ahead."""

    inside: Vector
    cosine: float
    sine: float
    roll: float
    ahead: Vector


@dataclass(frozen=True, slots=True)
class Walk:
    """A path with the stretches that it was walked by; the path means nothing where a stretch runs backward."""

    path: Path
    stretches: tuple[Stretch, ...]


def walk(run: Run) -> Walk:
    """Walk a run in the frame of its start, fitting or not. Cost is linear in the number of bends."""
    frames = leg_frames(run)
    shapes = [leg_points(run, number) for number in range(len(run.legs))]
    plain = [one for number, (_, pis) in enumerate(shapes) for one in stretches_of(number, pis, frames[number])]
    stretches, turns = with_shots(run, plain)
    line = _line(run, stretches)
    corners = _corners(run, line.bends, turns)
    return Walk(_path(stretches, line, corners, _lines(shapes, frames, corners, len(line.bends))), tuple(stretches))


def leg_frames(run: Run) -> list[Frame]:
    """The described frame of every leg: carried through an end kick and the corner, never through a start kick."""
    frames = [START]
    for leg, corner in zip(run.legs, run.corners, strict=False):
        frame, kick = frames[-1], leg.kick("end")
        if kick:
            frame = frame.carried(kick.angle, kick.turn)
        frames.append(frame.carried(corner.angle, corner.turn))
    return frames


def span_of(run: Run, number: int) -> Span:
    """A leg's length, and where its pipe begins and ends, inches from its start reference."""
    length = run.legs[number].length
    return Span(length, _begins(run, number), length - _ends_short(run, number), run.profile)


def leg_points(run: Run, number: int) -> tuple[Span, list[Pi]]:
    """A leg's points in its own measure: where the pipe begins, every point of intersection, where it ends."""
    leg, span = run.legs[number], span_of(run, number)
    starting = [one for one in leg.features if one.begins_at != (0.0, 0.0)]
    out, left = starting[0].begins_at if starting else (0.0, 0.0)
    pis = [Pi(span.begins, out, left, leg.at, "begin")]
    out, left = 0.0, 0.0
    for points, level in _in_order(leg, span):
        pis += [Pi(pi.along, out + pi.out, left + pi.left, pi.at, pi.part) for pi in points]
        out, left = out + level[0], left + level[1]
    pis.append(Pi(span.ends, out, left, leg.at, "end"))
    return span, pis


def _in_order(leg: Leg, span: Span) -> list[tuple[tuple[Pi, ...], tuple[float, float]]]:
    """Every feature's points and the level that it leaves, in the order that they lie; an end's own at that end."""
    placed = []
    for feature in leg.features:
        points = feature.points(span)
        rank = {"start": -1, "end": 1}.get(getattr(feature, "end", ""), 0)
        placed.append(((rank, points[0].along, feature.at), points, feature.level))
    placed.sort(key=lambda one: one[0])
    return [(points, level) for _, points, level in placed]


def _begins(run: Run, number: int) -> float:
    """Where the pipe of a leg begins, from its start reference: the allowance, or a corner's point of intersection."""
    if number == 0:
        return run.start.allowance - _long(run, "start")
    return _short_of_back(run, number, "start", run.legs[number].from_reference)


def _ends_short(run: Run, number: int) -> float:
    if number == len(run.legs) - 1:
        return run.end.allowance - _long(run, "end")
    return _short_of_back(run, number, "end", run.legs[number].to_reference)


def _long(run: Run, end: str) -> float:
    return run.run_long.by if run.run_long and run.run_long.end == end else 0.0


def _short_of_back(run: Run, number: int, end: str, reference: str) -> float:
    """How far short of a leg's reference its corner's point of intersection stands.

    A kick's leg is measured to the back of the plumb stub, half a diameter away whatever the corner's bend is.
    """
    if reference == "centre":
        return 0.0
    if run.legs[number].kick(end):
        back = run.profile.outside_diameter / 2
    else:
        back = run.profile.back(corner_bend(run, number - 1 if end == "start" else number))
    return back if reference == "back" else -back


def corner_bend(run: Run, number: int) -> float:
    """The real bend of a corner: a kick at the next leg's start leaves it on the slope, off the angle as named."""
    corner, kick = run.corners[number], run.legs[number + 1].kick("start")
    if not kick:
        return corner.angle
    before = START if not (first := run.legs[number].kick("end")) else START.carried(first.angle, first.turn)
    line = before.carried(corner.angle, corner.turn)
    slope = math.radians(kick.angle)
    ahead = blend(line.t, math.cos(slope), line.toward(kick.turn), -math.sin(slope))
    return math.degrees(math.atan2(length(cross(before.t, ahead)), dot(before.t, ahead)))


class _Line(NamedTuple):
    """What walking along the stretches finds."""

    bends: list[Bend]
    points: list[Vector]
    sticks: list[Frame]


def _line(run: Run, stretches: list[Stretch]) -> _Line:
    """Turn the stick's own frame at every point of intersection; stations count every straight, short or not."""
    bends, points, sticks = list[Bend](), [ORIGIN], [START]
    station, spent = 0.0, 0.0
    for stretch, following in pairwise(stretches):
        points.append(add(points[-1], stretch.vector))
        turning = _turning(sticks[-1], following.direction)
        bend = _bend(run, stretch, turning, points[-1], station - spent)
        turned = sticks[-1].carried_toward(turning.inside, turning.cosine, turning.sine)
        sticks.append(turned._replace(t=following.direction))
        station, spent = bend.ends, bend.tangent
        bends.append(bend)
    points.append(add(points[-1], stretches[-1].vector))
    return _Line(bends, points, sticks)


def _turning(stick: Frame, ahead: Vector) -> Turning:
    cosine = dot(stick.t, ahead)
    across = add(ahead, stick.t, -cosine)
    sine = length(across)
    inside, sine = (scaled(across, 1 / sine), sine) if sine > NO_BEND else (stick.u, 0.0)
    roll = math.degrees(math.atan2(dot(inside, stick.left), dot(inside, stick.u)))
    return Turning(inside, cosine, sine, round(roll, 9) % 360, ahead)


def _bend(run: Run, stretch: Stretch, turning: Turning, point: Vector, station: float) -> Bend:
    """The bend at the end of a stretch that would begin at ``station`` if no bend before it took any of it."""
    corner = run.corners[stretch.leg] if stretch.pi.part == "end" else None
    fitting = corner.fitting if corner else None
    radius = (corner.radius or 0.0) if corner and fitting else run.profile.radius
    angle = math.atan2(turning.sine, turning.cosine)
    tangent = radius * turning.sine / (1 + turning.cosine) if turning.cosine > -FULLY_BACK else 0.0
    begins = station + stretch.size - tangent
    return Bend(
        point=point,
        angle=math.degrees(angle),
        radius=radius,
        tangent=tangent,
        arc=radius * angle,
        roll=turning.roll,
        begins=begins,
        ends=begins + radius * angle,
        at=corner.at if corner else stretch.pi.at,
        part=("shot" if corner.segment else "corner") if corner else stretch.pi.part,
        before=stretch.direction,
        after=turning.ahead,
        inside=turning.inside,
        fitting=fitting,
    )


def _corners(run: Run, bends: list[Bend], turns: list[Turn]) -> tuple[CornerLine, ...]:
    found = []
    for turn, asked in zip(turns, run.corners, strict=True):
        bend = bends[turn.first]
        point = add(bend.point, bend.before, turn.inset) if turn.inset else bend.point
        angle = bend.angle if turn.angle is None else turn.angle
        radius = bend.radius if turn.angle is None or asked.radius is None else asked.radius
        found.append(CornerLine(turn.first, turn.last, point, angle, radius, turn.inset, asked))
    return tuple(found)


def _path(stretches: list[Stretch], line: _Line, corners: tuple[CornerLine, ...], lines: tuple[LegLine, ...]) -> Path:
    bends = line.bends
    ends = [0.0, *(bend.takes_before for bend in bends), 0.0]
    begins = [0.0, *(bend.takes_after for bend in bends), 0.0]
    straights = tuple(one.size - begins[n] - ends[n + 1] for n, one in enumerate(stretches))
    directions = tuple(stretch.direction for stretch in stretches)
    breaks = tuple(_break(number, bend, bend.fitting) for number, bend in enumerate(bends) if bend.fitting)
    total = bends[-1].ends - bends[-1].tangent + stretches[-1].size if bends else straights[-1]
    return Path(
        tuple(line.points), tuple(bends), straights, directions, lines, corners, tuple(line.sticks), breaks, total
    )


def _break(number: int, bend: Bend, fitting: Fitting) -> Break:
    begins = bend.begins + bend.tangent - fitting.before
    return Break(begins, bend.ends - bend.tangent + fitting.after, number, bend.at, fitting)


def _lines(
    shapes: list[tuple[Span, list[Pi]]], frames: list[Frame], corners: tuple[CornerLine, ...], bends: int
) -> tuple[LegLine, ...]:
    firsts = [(-1, ORIGIN), *((corner.last, corner.point) for corner in corners)]
    lasts = [*(corner.first for corner in corners), bends]
    return tuple(
        LegLine(frame, span.begins, span.ends, first, last, tuple(pis), origin)
        for (span, pis), frame, (first, origin), last in zip(shapes, frames, firsts, lasts, strict=True)
    )
