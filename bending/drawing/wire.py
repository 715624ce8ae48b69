"""The finished pipe as straights and elbows in space, whole and with its long straights cut out."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

Vector = tuple[float, float, float]

# How fast a straight that is too long to show still grows on the picture: the longer one stays the longer one.
GROWTH = 0.35
CORNER_ANGLE = 60.0
# No corner turns more, degrees; straights that differ by less are alike, inches.
LARGEST_CORNER, ALIKE = 135.01, 1e-6
ARC_STEP = math.radians(4)
# A body that takes nothing of its legs is drawn with this much of both, inches.
LEAST_BODY = 1e-3


@dataclass(frozen=True)
class Straight:
    """A straight of one leg (`path[n]`); `feature` is set between opposite bends of one feature: a slope."""

    start: Vector
    end: Vector
    leg: str = ""
    feature: str = ""

    @property
    def length(self) -> float:
        return math.dist(self.start, self.end)

    @property
    def direction(self) -> Vector:
        return unit(sub(self.end, self.start))


@dataclass(frozen=True)
class Elbow:
    """One bend: its ends, its point of intersection, its radius in inches and angle in degrees.

    `goes_on`: it is a shot of the same corner as the bend before it.
    """

    start: Vector
    pi: Vector
    end: Vector
    radius: float
    angle: float
    feature: str = ""
    corner: bool = False
    goes_on: bool = False

    def arc(self, share: float) -> Vector:
        """The point of the centreline at a share, 0 to 1, of the bend."""
        whole = math.radians(self.angle)
        ahead, leaving = unit(sub(self.pi, self.start)), unit(sub(self.end, self.pi))
        inside = scale(sub(leaving, scale(ahead, math.cos(whole))), 1 / math.sin(whole))
        turn = whole * share
        along, aside = self.radius * math.sin(turn), self.radius * (1 - math.cos(turn))
        return add(self.start, add(scale(ahead, along), scale(inside, aside)))


Part = Straight | Elbow


@dataclass(frozen=True)
class Joint:
    """A coupling: so many inches along the straight with this index."""

    part: int
    along: float


@dataclass(frozen=True)
class Wire:
    """Straights and elbows in turn, beginning and ending with a straight; diameter in inches."""

    parts: tuple[Part, ...]
    diameter: float
    joints: tuple[Joint, ...] = ()

    @property
    def elbows(self) -> list[Elbow]:
        return [part for part in self.parts if isinstance(part, Elbow)]

    @property
    def straights(self) -> list[Straight]:
        return [part for part in self.parts if isinstance(part, Straight)]


def wire_of_fold(folded: Mapping[str, Any], diameter: float, piece: int | None = None) -> Wire:
    """The pipe of a fold/1 document: one piece, or all of them in line with their joints."""
    pieces = folded["pieces"] if piece is None else [folded["pieces"][piece]]
    elbows: list[Elbow] = []
    joints: list[tuple[int, Vector]] = []
    for number, stock in enumerate(pieces):
        if number:
            turn = _crossing(pieces[number - 1], stock, diameter)
            if turn:
                joints.append((len(elbows), _vector(pieces[number - 1]["points"][-1])))
                elbows.append(turn)
            joints.append((len(elbows), _vector(stock["points"][0])))
        elbows += [_elbow(bend) for bend in stock["bends"]]
    start, end = _vector(pieces[0]["points"][0]), _vector(pieces[-1]["points"][-1])
    wire = _joined(start, with_shots(elbows), end, diameter, _leg_after(folded["pieces"][: piece or 0]))
    found = (Joint(2 * after, math.dist(wire.parts[2 * after].start, place)) for after, place in joints)
    return replace(wire, joints=tuple(found))


def _crossing(before: Mapping[str, Any], after: Mapping[str, Any], diameter: float) -> Elbow | None:
    """The bought part that turns between two pieces; a conduit body, which has no radius, as tight as can be seen."""
    turn = before.get("then")
    if turn is None or not turn["angle"]:
        return None
    if turn["radius"]:
        return _elbow(turn)
    pi, ends = _vector(turn["pi"]), (_vector(before["points"][-1]), _vector(after["points"][0]))
    ways = unit(sub(pi, _vector(before["points"][-2]))), unit(sub(_vector(after["points"][1]), pi))
    tangent = max(LEAST_BODY, min(diameter, *(math.dist(pi, end) for end in ends)))
    start, end = add(pi, scale(ways[0], -tangent)), add(pi, scale(ways[1], tangent))
    radius, feature = tangent / math.tan(math.radians(turn["angle"]) / 2), turn.get("feature") or ""
    return Elbow(start, pi, end, radius, turn["angle"], feature, _is_corner(feature, turn["angle"]))


def wire_of_points(
    points: Sequence[Sequence[float]],
    radii: Sequence[float],
    diameter: float,
    features: Sequence[str] = (),
) -> Wire:
    """The pipe through points of intersection, each inner point rounded; a radius too large for its room is drawn
    as large as fits, so that a run which can't be bent can still be shown."""
    places = [_vector(point) for point in points]
    elbows = []
    for index in range(1, len(places) - 1):
        feature = features[index - 1] if features else ""
        # A conduit body has no radius; a turn on the spot can't be drawn.
        elbow = _rounded(places[index - 1 : index + 2], radii[index - 1] or diameter, feature)
        if elbow:
            elbows.append(elbow)
    return _joined(places[0], with_shots(elbows), places[-1], diameter)


def with_shots(elbows: Sequence[Elbow]) -> list[Elbow]:
    """The same bends, each told whether it goes on with the corner before it. A corner's shots stand equally far
    apart; a return bend's second corner stands by itself."""
    found, corner = list[Elbow](), list[Elbow]()
    for elbow in elbows:
        goes_on = bool(corner) and _is_shot(corner, elbow)
        corner = [*corner, elbow] if goes_on else [elbow] if elbow.corner and elbow.feature else []
        found.append(replace(elbow, goes_on=goes_on))
    return found


def _is_shot(corner: Sequence[Elbow], elbow: Elbow) -> bool:
    if corner[-1].feature != elbow.feature or sum(one.angle for one in (*corner, elbow)) > LARGEST_CORNER:
        return False
    before = math.dist(corner[0].end, corner[1].start) if len(corner) > 1 else None
    return before is None or abs(math.dist(corner[-1].end, elbow.start) - before) < ALIKE


def through(wire: Wire, points: Sequence[Vector]) -> Wire:
    """The same bends and corners through other points of intersection; the wire itself if one of them vanishes."""
    elbows = []
    for index, old in enumerate(wire.elbows):
        elbow = _rounded(points[index : index + 3], old.radius, old.feature)
        if elbow is None:
            return wire
        elbows.append(replace(elbow, corner=old.corner, goes_on=old.goes_on))
    return replace(_joined(points[0], elbows, points[-1], wire.diameter), joints=wire.joints)


def _rounded(three: Sequence[Vector], radius: float, feature: str) -> Elbow | None:
    before, pi, after = three
    if math.dist(before, pi) < 1e-6 or math.dist(pi, after) < 1e-6:
        return None
    ahead, leaving = unit(sub(pi, before)), unit(sub(after, pi))
    angle = math.acos(max(-1.0, min(1.0, dot(ahead, leaving))))
    if not 1e-6 < angle < math.pi - 1e-6:
        return None
    tangent = min(radius * math.tan(angle / 2), math.dist(before, pi) / 2, math.dist(pi, after) / 2)
    start, end = sub(pi, scale(ahead, tangent)), add(pi, scale(leaving, tangent))
    degrees = math.degrees(angle)
    return Elbow(start, pi, end, tangent / math.tan(angle / 2), degrees, feature, _is_corner(feature, degrees))


def _elbow(bend: Mapping[str, Any]) -> Elbow:
    feature = bend.get("feature") or ""
    return Elbow(
        start=_vector(bend["start"]),
        pi=_vector(bend["pi"]),
        end=_vector(bend["end"]),
        radius=bend["radius"],
        angle=bend["angle"],
        feature=feature,
        corner=_is_corner(feature, bend["angle"]),
    )


def _is_corner(feature: str, angle: float) -> bool:
    """A corner by its place in the document; where nothing says so, by its angle."""
    return bool(re.fullmatch(r"path\[\d+\]", feature)) if feature else angle >= CORNER_ANGLE


def _leg_after(pieces: Sequence[Mapping[str, Any]]) -> str:
    """The leg that some pieces end on."""
    turns = [turn for stock in pieces for turn in (*stock["bends"], stock.get("then") or {})]
    found = [re.fullmatch(r"path\[(\d+)\]", turn.get("feature") or "") for turn in turns]
    return f"path[{max((int(one[1]) + 1 for one in found if one), default=0)}]"


def _joined(start: Vector, elbows: Sequence[Elbow], end: Vector, diameter: float, leg: str = "path[0]") -> Wire:
    parts: list[Part] = []
    here = start
    for index, elbow in enumerate(elbows):
        parts += [Straight(here, elbow.start, leg, _slope(elbows, index)), elbow]
        here, leg = elbow.end, _next_leg(elbow, leg)
    return Wire((*parts, Straight(here, end, leg)), diameter)


def _next_leg(elbow: Elbow, leg: str) -> str:
    found = re.fullmatch(r"path\[(\d+)\]", elbow.feature)
    return f"path[{int(found[1]) + 1}]" if found and elbow.corner else leg


def _slope(elbows: Sequence[Elbow], index: int) -> str:
    """The feature of the straight before a bend, if it leads from one level to another, or off the leg to a corner."""
    if index == 0:
        return ""
    before, after = elbows[index - 1], elbows[index]
    if before.corner != after.corner:
        kick = after if before.corner else before
        alone = [elbow.feature for elbow in elbows].count(kick.feature) == 1
        return kick.feature if alone else ""
    undone = before.feature == after.feature and dot(axis(before), axis(after)) < -0.5
    return after.feature if undone and not after.corner else ""


def axis(elbow: Elbow) -> Vector:
    """The unit normal of a bend's plane."""
    return unit(cross(sub(elbow.pi, elbow.start), sub(elbow.end, elbow.pi)))


def drawn_length(length: float, keep: float) -> float:
    """How long a straight is drawn when only `keep` inches of a long one are shown."""
    return length if length <= keep else keep * (1 + GROWTH * math.log(length / keep))


def cut_out(wire: Wire, keep: float) -> Wire:
    """The same pipe with its straights longer than `keep` shortened; slopes are kept three times as long."""
    return shortened(wire, [_spare(part, keep) for part in wire.parts])


def _spare(part: Part, keep: float) -> float:
    if isinstance(part, Elbow):
        return 0.0
    return part.length - drawn_length(part.length, keep * (3 if part.feature else 1))


def shortened(wire: Wire, left_out: Sequence[float]) -> Wire:
    """The same pipe with so many inches of each part left out; an elbow always stays whole."""
    back: Vector = (0.0, 0.0, 0.0)
    parts: list[Part] = []
    for part, out in zip(wire.parts, left_out, strict=True):
        moved = _moved(part, back)
        if isinstance(moved, Straight):
            step = scale(unit(sub(moved.start, moved.end)), out)
            moved, back = replace(moved, end=add(moved.end, step)), add(back, step)
        parts.append(moved)
    joints = (replace(j, along=along_drawn(wire.parts[j.part], parts[j.part], j.along)) for j in wire.joints)
    return Wire(tuple(parts), wire.diameter, tuple(joints))


def shift(wire: Wire, by: Vector) -> Wire:
    """The same pipe somewhere else."""
    return replace(wire, parts=tuple(_moved(part, by) for part in wire.parts))


def along_drawn(true: Part, drawn: Part, along: float) -> float:
    """Where a place `along` a straight is drawn once the middle of that straight is cut out."""
    if not (isinstance(true, Straight) and isinstance(drawn, Straight)):
        raise TypeError("only straights are cut out")
    half = drawn.length / 2
    if along <= half:
        return along
    return max(half, along - (true.length - drawn.length))


def _moved(part: Part, by: Vector) -> Part:
    if isinstance(part, Straight):
        return replace(part, start=add(part.start, by), end=add(part.end, by))
    return replace(part, start=add(part.start, by), pi=add(part.pi, by), end=add(part.end, by))


def centreline(part: Part) -> list[Vector]:
    """The points of a part, close enough together to look round."""
    if isinstance(part, Straight):
        return [part.start, part.end]
    steps = max(2, math.ceil(math.radians(part.angle) / ARC_STEP))
    return [part.arc(step / steps) for step in range(steps + 1)]


def tops(wire: Wire) -> Iterator[tuple[Part, Vector]]:
    """Each part with the direction of the scribed top line where it begins, carried without twist."""
    top: Vector = (0.0, 0.0, 1.0)
    for part in wire.parts:
        yield part, top
        if isinstance(part, Elbow):
            top = turned(top, axis(part), math.radians(part.angle))


def turned(vector: Vector, about: Vector, angle: float) -> Vector:
    """A vector turned about a unit axis, angle in radians."""
    sine, cosine = math.sin(angle), math.cos(angle)
    straight = scale(about, dot(about, vector) * (1 - cosine))
    return add(add(scale(vector, cosine), scale(cross(about, vector), sine)), straight)


def _vector(point: Sequence[float]) -> Vector:
    x, y, z = (float(number) for number in point)
    return x, y, z


def add(a: Vector, b: Vector) -> Vector:
    """The sum of two vectors."""
    return a[0] + b[0], a[1] + b[1], a[2] + b[2]


def sub(a: Vector, b: Vector) -> Vector:
    """The first vector less the second."""
    return a[0] - b[0], a[1] - b[1], a[2] - b[2]


def scale(a: Vector, by: float) -> Vector:
    """A vector times a number."""
    return a[0] * by, a[1] * by, a[2] * by


def dot(a: Vector, b: Vector) -> float:
    """The scalar product of two vectors."""
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def cross(a: Vector, b: Vector) -> Vector:
    """The vector product of two vectors, by the right hand."""
    return a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]


def unit(a: Vector) -> Vector:
    """The vector of length 1 the same way; nothing stays nothing."""
    length = math.hypot(*a)
    return scale(a, 1 / length) if length else (0.0, 0.0, 0.0)
