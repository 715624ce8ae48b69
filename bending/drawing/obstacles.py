"""What was there before, on a view: grey, hatched at 45 degrees, and behind the pipe."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from bending.drawing.checkdims import Leg, asked, legs, reference
from bending.drawing.panel import Panel
from bending.drawing.primitives import Line, Point, Polygon
from bending.drawing.stance import Stance, stance_of
from bending.drawing.wire import Straight, Vector, Wire, add, along_drawn, dot, scale, tops, turned
from bending.lengths import LengthError, parse_length

HATCH = 7.0
# On the face view nothing says how far an obstruction reaches to the sides: it is shown this many pipes wide.
FACE_REACH = 2.2
# What stands beside a run is shown this many pipes deep: nothing says how deep it is.
DEEP = 3.0
# Two directions further from square than this are askew, and nearer to each other than that the same.
ASKEW = 0.1
SAME = 1e-6
# Of a straight that is shown shorter than it is, what stands at it takes at most this share.
ROOMY = 0.4
TURNS = {"out": 0.0, "left": 90.0, "in": 180.0, "right": 270.0}


@dataclass(frozen=True)
class Obstacle:
    """From and to along the leg, and how far from behind the pipe it begins and ends toward `out`, all in inches."""

    low: float
    high: float
    inner: float
    outer: float
    out: Vector
    is_round: bool = False


@dataclass(frozen=True)
class Site:
    """A leg, true and as drawn, with the way out of its surface and the first leg reference's place along its line.

    `level` is a straight that lies on the leg's own line: the first that goes its way, past a box offset there.
    """

    true: Leg
    drawn: Leg
    out: Vector
    zero: float
    level: int
    diameter: float

    @property
    def line(self) -> Vector:
        return self.true.line

    def behind(self, out: Vector) -> float:
        """How far along `out` the plane lies behind the pipe, where it is on its leg's line."""
        return dot(self.drawn.straights[self.level].start, out) - self.diameter / 2

    def drawn_between(self, low: float, high: float) -> Point:
        """Where something from `low` to `high` along the leg is drawn: as wide as it is, where the straight that it
        stands at is shown shorter than it is and has the room."""
        one, other = self.drawn_along(low), self.drawn_along(high)
        spare = min(high - low, ROOMY * self._shown(self.zero + low, self.zero + high)) - (other - one)
        return (one - spare / 2, other + spare / 2) if spare > 0 else (one, other)

    def _shown(self, low: float, high: float) -> float:
        """How long the straight is drawn that two places lie on; 0 if they lie on no same one."""
        for true, drawn in zip(self.true.straights, self.drawn.straights, strict=True):
            if dot(true.start, self.line) <= low and high <= dot(true.end, self.line):
                return drawn.length
        return 0.0

    def drawn_along(self, distance: float) -> float:
        """Where a distance from the leg's reference is drawn, as a coordinate along the leg's line."""
        place, line = self.zero + distance, self.line
        pairs = list(zip(self.true.parts, self.drawn.parts, strict=True))
        for true, drawn in pairs:
            low, high = dot(true.start, line), dot(true.end, line)
            if low <= place <= high and high > low:
                share = (place - low) / (high - low)
                if isinstance(true, Straight):
                    share = along_drawn(true, drawn, share * true.length) / (math.dist(drawn.start, drawn.end) or 1)
                return dot(drawn.start, line) + share * (dot(drawn.end, line) - dot(drawn.start, line))
        true, drawn = pairs[0] if place < dot(pairs[0][0].start, line) else pairs[-1]
        edge = "start" if true is pairs[0][0] and place < dot(true.start, line) else "end"
        return place + dot(getattr(drawn, edge), line) - dot(getattr(true, edge), line)


def draw_obstacles(panel: Panel) -> None:
    """Every obstruction of the document's legs, and what its `over` features lead over, where this view shows it."""
    for site, obstacle in obstacles(panel):
        outline = _outline(panel, site, obstacle)
        if outline:
            panel.draw(Polygon(outline, "solid"), *hatch(outline, HATCH * panel.unit))


def obstacles(panel: Panel) -> Iterator[tuple[Site, Obstacle]]:
    """Everything that stands beside the pipe, each with its leg."""
    document = panel.wishes.document or {}
    for site, item in _sites(panel.whole, panel.fit.wire, document):
        for obstacle in _obstacles(item, site, stance_of(document)):
            yield site, obstacle


def _sites(whole: Wire, drawn: Wire, document: Mapping[str, Any]) -> Iterator[tuple[Site, Mapping[str, Any]]]:
    out = {part.leg: top for part, top in reversed(list(tops(whole))) if isinstance(part, Straight)}
    for true, short in zip(legs(whole), legs(drawn), strict=True):
        found = asked(document, true)
        if found and any(_raw(found[1])):
            zero, level = _zero(true, whole, document, found[1]), _level(true, found[1])
            yield Site(true, short, out[true.name], zero, level, whole.diameter), found[1]


def _level(leg: Leg, item: Mapping[str, Any]) -> int:
    """The number of the straight that the leg's places are told from."""
    lying = [number for number, one in enumerate(leg.straights) if dot(one.direction, leg.line) > 1 - SAME]
    features = [one for one in item.get("features") or () if isinstance(one, Mapping)]
    tail = any(one.get("kind") == "box_offset" and one.get("at") == "start" for one in features)
    return lying[1 if tail and len(lying) > 1 else 0] if lying else 0


def _zero(leg: Leg, wire: Wire, document: Mapping[str, Any], item: Mapping[str, Any]) -> float:
    """Coordinate, along the leg's line, of the reference that its places are measured from."""
    line = leg.line
    if not leg.before:
        start = document.get("start")
        allowance = start.get("allowance", 0) if isinstance(start, Mapping) else 0
        return dot(leg.straights[0].start, line) - _inches(allowance)
    if item.get("from", document.get("measure", "back")) == "centre":
        return dot(leg.before[-1].pi, line)
    return dot(reference(leg.before, leg.straights[0].start, scale(line, -1), wire), line)


def _inches(value: Any) -> float:
    """Inches of a length that may still be half typed."""
    try:
        return parse_length(value)
    except LengthError:
        return 0.0


def _raw(item: Mapping[str, Any]) -> Iterator[Mapping[str, Any]]:
    """A leg's obstructions as written, and what its `over` features lead over."""
    for key in ("obstructions", "features"):
        for raw in item.get(key) or ():
            if isinstance(raw, Mapping) and (key == "obstructions" or raw.get("kind") == "over"):
                yield raw


def _obstacles(item: Mapping[str, Any], site: Site, stance: Stance | None) -> Iterator[Obstacle]:
    for raw in _raw(item):
        sizes = {key: _inches(raw[key]) for key in raw if isinstance(raw[key], str | int | float)}
        low, high = _along(sizes)
        inner, outer = _across(sizes, site.diameter)
        if raw.get("from_end") is True:
            leg = _inches(item.get("leg"))
            low, high = leg - high, leg - low
        if high > low and outer > inner:
            yield Obstacle(low, high, inner, outer, _toward(raw.get("turn"), site, stance), is_round="pipe" in sizes)


def _along(sizes: Mapping[str, float]) -> tuple[float, float]:
    """From and to along the leg; insulation counts."""
    if "pipe" in sizes:
        radius, middle = sizes["pipe"] / 2 + sizes.get("insulation", 0.0), sizes.get("centre", 0.0)
        return middle - radius, middle + radius
    low, high = sorted((sizes.get("from", 0.0), sizes.get("to", 0.0)))
    return low, high


def _across(sizes: Mapping[str, float], diameter: float) -> tuple[float, float]:
    """How far from behind the pipe it begins and ends: what stands beside the run is told from its line."""
    beside = "off" in sizes
    behind = diameter / 2 + sizes["off"] if beside else -sizes.get("standoff", 0.0)
    if "pipe" in sizes:
        gap, lagging = (0.0 if beside else sizes.get("gap", 0.0)), sizes.get("insulation", 0.0)
        return behind + gap - lagging, behind + gap + sizes["pipe"] + lagging
    return behind, behind + (DEEP * diameter if beside else sizes.get("height", 0.0))


def _toward(turn: Any, site: Site, stance: Stance | None) -> Vector:
    """Which way something stands off: out, unless it says another way, in the frame's words or in a man's."""
    if isinstance(turn, str):
        named = stance.way(turn) if stance else None
        if named and abs(dot(named, site.line)) < ASKEW:
            return named
        turn = TURNS.get(turn, 0.0)
    if isinstance(turn, bool) or not isinstance(turn, int | float):
        return site.out
    return turned(site.out, site.line, -math.radians(turn))


def _outline(panel: Panel, site: Site, obstacle: Obstacle) -> tuple[Point, ...]:
    """The obstacle's outline on the sheet; empty where the leg points at the eye."""
    eye, line = panel.view.toward_eye, site.line
    if abs(dot(eye, line)) > ASKEW:
        return ()
    low, high = site.drawn_between(obstacle.low, obstacle.high)
    if abs(dot(eye, obstacle.out)) > 0.9:
        return _band(panel, site, low, high)
    if abs(dot(eye, obstacle.out)) > ASKEW:
        return ()
    base = site.drawn.straights[0].start
    behind = site.behind(obstacle.out)
    inner, outer = behind + obstacle.inner, behind + obstacle.outer
    if obstacle.is_round:
        places = [round_place(low, high, inner, outer, step) for step in range(36)]
    else:
        places = [(low, inner), (high, inner), (high, outer), (low, outer)]
    return tuple(panel.at(place_in_space(base, site.line, obstacle.out, place)) for place in places)


def round_place(low: float, high: float, inner: float, outer: float, step: int) -> Point:
    """A point of a round obstacle's outline, in 36 steps: along the leg's line, and out."""
    turn, radius = math.radians(step * 10), (outer - inner) / 2
    return (low + high) / 2 + radius * math.cos(turn), (inner + outer) / 2 + radius * math.sin(turn)


def place_in_space(base: Vector, line: Vector, out: Vector, place: Point) -> Vector:
    """A place given by its coordinates along a leg's line and out, in the plane through `base`."""
    along = scale(line, place[0] - dot(base, line))
    return add(add(base, along), scale(out, place[1] - dot(base, out)))


def _band(panel: Panel, site: Site, low: float, high: float) -> tuple[Point, ...]:
    """Seen from out: a band across the pipe."""
    base, line = site.drawn.straights[0].start, site.line
    ends = [panel.at(add(base, scale(line, place - dot(base, line)))) for place in (low, high)]
    x, y = panel.way(line)
    reach = FACE_REACH * panel.pipe_width
    across = (-y * reach, x * reach)
    sides = [(end[0] + side * across[0], end[1] + side * across[1]) for side in (-1, 1) for end in ends]
    return sides[0], sides[1], sides[3], sides[2]


def hatch(outline: Sequence[Point], gap: float) -> Iterator[Line]:
    """Lines at 45 degrees inside a convex outline."""
    sums = [x + y for x, y in outline]
    for step in range(math.ceil(min(sums) / gap), math.floor(max(sums) / gap) + 1):
        crossings = list(_crossings(outline, step * gap))
        if len(crossings) >= 2 and math.dist(crossings[0], crossings[1]) > 1:
            yield Line(crossings[0], crossings[1], "hatch")


def _crossings(outline: Sequence[Point], total: float) -> Iterator[Point]:
    """Where the line x + y = total crosses an outline."""
    for (x1, y1), (x2, y2) in pairwise((*outline, outline[0])):
        before, after = x1 + y1 - total, x2 + y2 - total
        if (before < 0) != (after < 0):
            share = before / (before - after)
            yield x1 + (x2 - x1) * share, y1 + (y2 - y1) * share
