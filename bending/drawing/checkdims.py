"""Check dimensions: what a tape can take of a finished pipe on the table, from the pipe's own ends."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from bending.drawing.wire import Elbow, Part, Straight, Vector, Wire, add, dot, scale, sub, unit


@dataclass(frozen=True)
class Check:
    """One dimension between two points of a pipe.

    `along` is the unit direction of its leg. A `rise` is measured square to it, everything else along it. `at` is
    where a rise is drawn, and `beyond` says on which side of that (1: further along, -1: before it). `place` is the
    document's own name of what was asked. `ends` says what a length reaches from and to: the pipe's "end", the "back"
    of a corner, or the "point" where its two legs' middles cross.
    """

    kind: str
    place: str
    start: Vector
    end: Vector
    along: Vector
    words: str = ""
    at: Vector = (0.0, 0.0, 0.0)
    beyond: int = 1
    ends: tuple[str, str] = ("", "")

    @property
    def value(self) -> float:
        """Inches in space: along its leg, for a rise square to it (a rolled offset's true one)."""
        reach = sub(self.end, self.start)
        ahead = dot(reach, self.along)
        return math.dist(reach, scale(self.along, ahead)) if self.kind == "rise" else abs(ahead)


@dataclass(frozen=True)
class Leg:
    """The parts between two corners, its line, and the corners (a corner may be several bends)."""

    parts: tuple[Part, ...]
    before: tuple[Elbow, ...]
    after: tuple[Elbow, ...]

    @property
    def line(self) -> Vector:
        """The leg's own direction: its first and last straight agree, unless a kick leads off at one end."""
        first, last = self.straights[0], self.straights[-1]
        ways = [unit(sub(one.end, one.start)) for one in (first, last)]
        if dot(*ways) > 1 - 1e-9 or first.length >= last.length:
            return ways[0]
        return ways[1]

    @property
    def straights(self) -> list[Straight]:
        return [part for part in self.parts if isinstance(part, Straight)]

    @property
    def name(self) -> str:
        """Its place in the document: of the way across a return bend, that bend's own."""
        return self.before[-1].feature if self.across else self.straights[0].leg

    @property
    def across(self) -> bool:
        """Whether it lies between the two corners of a return bend."""
        return bool(self.before and self.after and self.before[-1].feature == self.after[0].feature != "")

    @property
    def place(self) -> str:
        """Where its length stands in the document."""
        return f"{self.name}.{'u_bend' if self.across else 'leg'}"

    def groups(self) -> list[tuple[Elbow, ...]]:
        """The bends of each feature."""
        found: list[list[Elbow]] = []
        for part in self.parts:
            if isinstance(part, Elbow):
                if found and found[-1][0].feature == part.feature:
                    found[-1].append(part)
                else:
                    found.append([part])
        return [tuple(group) for group in found]


def legs(wire: Wire) -> list[Leg]:
    """The pipe's legs in order; bends of one corner stay together."""
    stretches: list[list[Part]] = [[]]
    corners: list[list[Elbow]] = []
    for part in wire.parts:
        if not (isinstance(part, Elbow) and part.corner):
            stretches[-1].append(part)
        elif part.goes_on:
            corners[-1].append(part)
            stretches[-1] = []
        else:
            corners.append([part])
            stretches.append([])
    sides = [(), *(tuple(corner) for corner in corners), ()]
    return [Leg(tuple(parts), sides[index], sides[index + 1]) for index, parts in enumerate(stretches)]


def checks(wire: Wire) -> list[Check]:
    """Every check dimension of a pipe, the legs first."""
    found: list[Check] = []
    for leg in legs(wire):
        if leg.straights:
            found += _leg_checks(leg, wire)
    return sorted(found, key=lambda check: check.kind != "length")


def _leg_checks(leg: Leg, wire: Wire) -> list[Check]:
    line = leg.line
    start = reference(leg.before, leg.straights[0].start, scale(line, -1), wire)
    end = reference(leg.after, leg.straights[-1].end, line, wire)
    whole = "overall" if not leg.before and not leg.after and leg.groups() else ""
    ends = (_reached(leg.before, start), _reached(leg.after, end))
    found = [Check("length", leg.place, start, end, line, whole, ends=ends)]
    for group in leg.groups():
        found += _feature_checks(group, leg, start, wire)
    return found


def reference(corner: Sequence[Elbow], pipe_end: Vector, away: Vector, wire: Wire) -> Vector:
    """What a leg is measured to: the pipe's end, the back of a square corner, else the corner's own point."""
    if not corner:
        return pipe_end
    far = max((elbow.pi for elbow in corner), key=lambda point: dot(point, away))
    # The two ways off the corner: the leg's own, and the other leg's.
    ways = (unit(sub(corner[-1].end, corner[-1].pi)), unit(sub(corner[0].start, corner[0].pi)))
    other = min(ways, key=lambda way: abs(dot(way, away)))
    if abs(dot(other, away)) > 0.02:
        return far
    # Where the outsides of both legs cross; a tape feels only the first half of it.
    return add(far, scale(sub(away, other), wire.diameter / 2))


def _reached(corner: Sequence[Elbow], at: Vector) -> str:
    if not corner:
        return "end"
    return "point" if any(math.dist(elbow.pi, at) < 1e-9 for elbow in corner) else "back"


def _feature_checks(group: tuple[Elbow, ...], leg: Leg, start: Vector, wire: Wire) -> list[Check]:
    """Rise and place of one feature, told by how many bends it has."""
    feature, line = group[0].feature, leg.line
    if len(group) == 1:
        return [_kick(group[0], leg)]
    if len(group) == 2:
        return [_offset(group, leg, wire)]
    top = group[1].arc(0.5) if len(group) == 3 else group[1].end
    words = "high spot" if len(group) == 3 else "level from"
    asked = "centre" if len(group) == 3 else "from"
    return [
        Check("rise", f"{feature}.rise", group[0].start, top, line, at=group[-1].end),
        Check("spot", f"{feature}.{asked}", start, top, line, words),
    ]


def _offset(group: tuple[Elbow, ...], leg: Leg, wire: Wire) -> Check:
    """An offset's rise is shown behind it; a box offset's beyond the pipe's end."""
    first, second = group
    place, line = f"{first.feature}.rise", leg.line
    before, after = leg.parts[leg.parts.index(first) - 1], leg.parts[leg.parts.index(second) + 1]
    short = 6 * wire.diameter
    if before is wire.parts[0] and isinstance(before, Straight) and before.length < short:
        return Check("rise", place, second.end, before.start, line, at=before.start, beyond=-1)
    if after is wire.parts[-1] and isinstance(after, Straight) and after.length < short:
        return Check("rise", place, first.start, after.end, line, at=after.end)
    return Check("rise", place, first.start, second.end, line, at=second.end)


def _kick(elbow: Elbow, leg: Leg) -> Check:
    """From the leg's line to the corner's point, centre to centre."""
    place = f"{elbow.feature}.rise"
    at_start = dot(unit(sub(elbow.end, elbow.pi)), leg.line) > 1 - 1e-9
    if at_start and leg.before:
        return Check("rise", place, elbow.end, leg.before[-1].pi, leg.line, at=leg.before[-1].pi, beyond=-1)
    end = leg.after[0].pi if leg.after else leg.straights[-1].end
    return Check("rise", place, elbow.start, end, leg.line, at=end)


def asked(document: Mapping[str, Any], leg: Leg) -> tuple[int, Mapping[str, Any]] | None:
    """A leg's number among the items of a run/1 document's path, and that item; none if it isn't there."""
    found, path = re.fullmatch(r"path\[(\d+)\]", leg.name) if leg.straights else None, document.get("path")
    if found is None or not isinstance(path, Sequence) or int(found[1]) >= len(path):
        return None
    item = path[int(found[1])]
    return (int(found[1]), item) if isinstance(item, Mapping) else None
