"""What the stick folds up to from the pencilled marks, for every dimension that was asked for.

Rounding a mark moves bends along the stick and turns none of them: so each straight's change of length, carried along
its own direction, is the whole story, and no second fold is needed.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Any

from bending.features import BoxOffset, Feature, Kick, Offset, Saddle3, Saddle4
from bending.lengths import format_length, round_to_tape
from bending.marks import Marked
from bending.path import Bend, CornerLine, LegLine, Path
from bending.run import Run
from bending.vectors import ORIGIN, Vector, add, cross, dot, length

_Placed = Offset | Saddle3 | Saddle4
ONE_DEGREE = math.radians(1)


def dimensions(run: Run, path: Path, pieces: Sequence[Marked]) -> list[dict[str, Any]]:
    """Each dimension: ``what``, ``at`` its place, ``asked``, ``predicted`` from the rounded marks, ``difference``, and
    ``one_degree``: how far one degree of error would move it. Inches; the last one is how far off the far end stands.
    """
    told = _Told(run, path, _moved(run, path, pieces))
    for number, leg in enumerate(run.legs):
        if leg.key == "leg" and number and path.corners[number - 1].asked.segment:
            returns = run.legs[number - 1].key == "u_bend"
            told.radius(path.corners[number - 2 if returns else number - 1 : number])
        told.leg(number)
        for feature in leg.features:
            told.feature(feature, path.lines[number])
    told.far_end()
    return told.entries


def _moved(run: Run, path: Path, pieces: Sequence[Marked]) -> list[Vector]:
    """How far rounding moves every bend, and last the end of the pipe, from where they should be."""
    along, shift = [0.0], 0.0
    for one in pieces:
        slips = {mark.bend: mark.rounded(run, one.piece.length) - mark.station for mark in one.marks}
        along += [shift + slips[number] for number in range(one.piece.first, one.piece.last)]
        shift += round_to_tape(one.piece.length, run.tape) - one.piece.length
        # A fitting, and the end of the pipe, go with the end of the piece before them.
        along += [shift] if one.piece.then or one is pieces[-1] else []
    moved, place = [], ORIGIN
    for (before, after), direction in zip(pairwise(along), path.directions, strict=True):
        place = add(place, direction, after - before)
        moved.append(place)
    return moved


class _Slope:
    """How one slope of a feature answers to its angle: all changes are inches for a feature bent one degree past.

    The hand keeps the marks, so a larger bend eats straight. R the radius, a the slope's angle, s the straight on it.
    """

    def __init__(self, path: Path, first: int, weight: float) -> None:
        bend = path.bends[first]
        self.radius, self.straight = bend.radius, path.straights[first + 1]
        angle = math.radians(bend.angle)
        self.sine, self.cosine = math.sin(angle), math.cos(angle)
        self.one = ONE_DEGREE * weight
        # How fast a tangent grows: R/2 sec^2(a/2).
        self.tangent = bend.radius / (1 + self.cosine)

    def rise(self) -> float:
        """R sin a + s cos a."""
        return (self.radius * self.sine + self.straight * self.cosine) * self.one

    def top(self) -> float:
        """Along the leg, where the pipe comes out at the level: R cos a - s sin a."""
        return (self.radius * self.cosine - self.straight * self.sine) * self.one

    def pi(self) -> float:
        """Along the leg, the second point of intersection."""
        return self.top() - self.tangent * self.one

    def foot(self) -> float:
        """Along the leg, the first point of intersection."""
        return self.tangent * self.one

    def next_start(self) -> float:
        """Along the leg, where the bend after the level begins."""
        return self.top() - self.radius * self.one

    def shrink(self) -> float:
        """Along the leg, how far the pipe beyond comes back: R (1 - cos a) + s sin a."""
        return (self.radius * (1 - self.cosine) + self.straight * self.sine) * self.one


class _Told:
    """The entries, as they are found."""

    def __init__(self, run: Run, path: Path, moved: list[Vector]) -> None:
        self.run, self.path, self.moved = run, path, moved
        self.entries: list[dict[str, Any]] = []
        self.number = 0
        self.tape = run.tape if run.tape == "1 mm" else "1/32"
        self.numbers: dict[str, list[int]] = {}
        for number, bend in enumerate(path.bends):
            self.numbers.setdefault(bend.at, []).append(number)

    def tell(self, what: str, at: str, asked: float, change: float, one_degree: float) -> None:
        """``change`` is what rounding does, ``one_degree`` what an error of one degree would."""
        entry = {
            "what": what,
            "at": at,
            "asked": round(asked, 6),
            "predicted": round(asked + change, 6),
            "difference": round(change, 6),
            "one_degree": round(abs(one_degree), 4),
            "text": format_length(asked + change, self.tape),
        }
        self.entries.append({**entry, "star": True} if at in self.run.stars else entry)

    def between(self, one: int, other: int) -> Vector:
        """How far bend ``other`` moves against bend ``one``; -1 is the pipe's start, the count of bends its end."""
        return self.moved[other] if one < 0 else add(self.moved[other], self.moved[one], -1.0)

    def leg(self, number: int) -> None:
        """A leg between its references. One degree at its corner swings its other end by this much; on a leg from end
        to end it is the worst feature's change of the distance between the ends."""
        self.number = number
        leg, line = self.run.legs[number], self.path.lines[number]
        if line.first >= 0 or line.last < len(self.path.bends):
            one_degree = (line.ends - line.begins) * math.sin(ONE_DEGREE)
        else:
            one_degree = max((self.shrink(feature) for feature in leg.features), default=0.0)
        self.tell(leg.key, leg.place, leg.length, self.along(line, "end") - self.along(line, "start"), one_degree)

    def along(self, line: LegLine, end: str) -> float:
        """How far an end of the leg at hand moves along it: where its line crosses its neighbour's, which is beyond
        the leg's own bends if that is a segment bend."""
        corners, number = self.path.corners, self.number
        if end == "start":
            crossing = -self.spread(corners[number - 1])[1] if number else 0.0
            return crossing + (dot(self.moved[line.first], line.frame.t) if line.first >= 0 else 0.0)
        crossing = self.spread(corners[number])[0] if number < len(corners) else 0.0
        return crossing + dot(self.moved[line.last], line.frame.t)

    def spread(self, corner: CornerLine) -> tuple[float, float]:
        """How much further than it should be a segment bend's first shot lies before where the legs' lines cross, and
        its last shot after it: inches."""
        if corner.shots == 1:
            return 0.0, 0.0
        one, other = self.path.bends[corner.first].before, self.path.bends[corner.last].after
        moved, cosine = self.between(corner.first, corner.last), dot(one, other)
        ahead, past = dot(moved, one), dot(moved, other)
        share = 1 - cosine * cosine
        return (ahead - cosine * past) / share, (past - cosine * ahead) / share

    def radius(self, corners: Sequence[CornerLine]) -> None:
        """A segment bend's radius; of a return bend's two the one that comes out worse. Its length on the stick is
        marked, so that a degree more on the whole of it makes it tighter: R/angle."""
        radius, angle, at = corners[0].radius, corners[0].angle, corners[0].asked.at
        change = max((sum(self.spread(corner)) / 2 * radius / corner.inset for corner in corners), key=abs)
        self.tell("radius", f"{at}.radius", radius, change, radius / angle)

    def shrink(self, feature: Feature) -> float:
        """How much shorter along the leg a feature gets; a leg without a corner has no kick."""
        slopes = 1 if feature.bends == 2 else 2
        weight = 0.5 if feature.kind == "saddle3" else 1.0
        return slopes * _Slope(self.path, self.numbers[feature.at][0], weight).shrink()

    def feature(self, feature: Feature, line: LegLine) -> None:
        first = self.numbers[feature.at][0]
        if isinstance(feature, Kick):
            self.kick(feature, line, first)
        elif isinstance(feature, BoxOffset):
            self.box_offset(feature, line, first)
        elif isinstance(feature, Offset):
            self.offset(feature, line, first)
        elif isinstance(feature, Saddle3):
            slope = _Slope(self.path, first, 0.5)
            self.rise(feature, line, first, slope)
            self.spot("centre", feature.centre, line, (first + 1, slope.top()), feature)
        elif isinstance(feature, Saddle4):
            self.saddle4(feature, line, first)
        else:
            raise ValueError(f"no dimensions are known of a {feature.kind}")

    def rise(self, feature: Feature, line: LegLine, first: int, slope: _Slope) -> None:
        change = dot(self.between(first, first + 1), line.frame.toward(feature.turn))
        self.tell("rise", f"{feature.at}.rise", feature.rise, change, slope.rise())

    def spot(self, what: str, asked: float, line: LegLine, held: tuple[int, float], feature: _Placed) -> None:
        """A place along the leg, from the reference that it was measured from, by the bend that is held there."""
        from_end, (bend, one_degree) = feature.from_end, held
        change = dot(self.moved[bend], line.frame.t) - self.along(line, "end" if from_end else "start")
        self.tell(what, f"{feature.at}.{what}", asked, -change if from_end else change, one_degree)

    def kick(self, feature: Kick, line: LegLine, number: int) -> None:
        """From the leg's line to where the slope's line crosses its corner's."""
        at_end, kicked = feature.end == "end", self.path.bends[number]
        corner = self.path.corners[self.number if at_end else self.number - 1]
        ahead, after = self.spread(corner)
        toward = line.frame.toward(feature.turn)
        change = dot(self.between(number, corner.first if at_end else corner.last), toward)
        change += ahead * dot(kicked.after, toward) if at_end else -after * dot(kicked.before, toward)
        lever = math.dist(kicked.point, corner.point) - kicked.tangent
        lever *= math.cos(math.radians(feature.angle)) * ONE_DEGREE
        self.tell("rise", f"{feature.at}.rise", feature.rise, change, lever)

    def box_offset(self, feature: BoxOffset, line: LegLine, first: int) -> None:
        slope = _Slope(self.path, first, 1.0)
        change = dot(self.between(first, first + 1), line.frame.toward(feature.turn))
        if feature.end == "start":
            self.tell("rise", f"{feature.at}.rise", feature.rise, -change, slope.rise())
            tail = dot(self.between(-1, first), line.frame.t)
        else:
            self.tell("rise", f"{feature.at}.rise", feature.rise, change, slope.rise())
            tail = dot(self.between(first + 1, len(self.path.bends)), line.frame.t)
        self.tell("tail", f"{feature.at}.tail", feature.tail, tail, 0.0)

    def offset(self, feature: Offset, line: LegLine, first: int) -> None:
        slope = _Slope(self.path, first, 1.0)
        toward = line.frame.toward(feature.turn)
        change, true = self.between(first, first + 1), feature.true_rise
        self.tell("rise", f"{feature.at}.rise", feature.rise, dot(change, toward), slope.rise() * feature.rise / true)
        if feature.side:
            sideways = dot(change, cross(toward, line.frame.t))
            self.tell("side", f"{feature.at}.side", feature.side, sideways, slope.rise() * feature.side / true)
        if feature.holds == "far":
            held = (first + 1, slope.top() if feature.level_meant else slope.pi())
        else:
            held = (first, 0.0 if feature.level_meant else slope.foot())
        self.spot("at", feature.spot_along, line, held, feature)

    def saddle4(self, feature: Saddle4, line: LegLine, first: int) -> None:
        slope = _Slope(self.path, first, 1.0)
        self.rise(feature, line, first, slope)
        level = feature.level_meant
        near = slope.top() if level else slope.pi()
        far = slope.next_start() if level else slope.next_start() + slope.foot()
        places = [("from", feature.begins), ("to", feature.ends)]
        places.sort(key=lambda place: place[1], reverse=feature.from_end)
        self.spot(*places[0], line, (first + 1, near), feature)
        self.spot(*places[1], line, (first + 2, far), feature)

    def far_end(self) -> None:
        """How far the pipe's far end stands from where it should, and what one degree at the worst bend does to it."""
        end = self.path.points[-1]
        worst = max((_lever(bend, end) for bend in self.path.bends if not bend.fitting), default=0.0)
        self.tell("far_end", "path", 0.0, length(self.moved[-1]), worst * ONE_DEGREE)


def _lever(bend: Bend, end: Vector) -> float:
    """How far the end moves for a bend's angle, inches a radian: it turns about the bend's centre, and the bend eats
    straight."""
    centre = add(add(bend.point, bend.before, -bend.tangent), bend.inside, bend.radius)
    turned = cross(cross(bend.before, bend.inside), add(end, centre, -1.0))
    return length(add(turned, bend.after, -bend.radius))
