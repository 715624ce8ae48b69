"""What was there before, on a view: grey, hatched at 45 degrees, and behind the pipe."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from bending.drawing.checkdims import Leg, legs, reference
from bending.drawing.panel import Panel
from bending.drawing.primitives import Line, Point, Polygon
from bending.drawing.wire import Straight, Vector, Wire, add, along_drawn, dot, scale, tops
from bending.lengths import LengthError, parse_length

HATCH = 7.0
# On the face view nothing says how far an obstruction reaches to the sides: it is shown this many pipes wide.
FACE_REACH = 2.2


@dataclass(frozen=True)
class Obstacle:
    """From and to along the leg, and how far out it begins and ends, all in inches."""

    low: float
    high: float
    inner: float
    outer: float
    is_round: bool = False


@dataclass(frozen=True)
class Site:
    """A leg, true and as drawn, with the way out of its surface and the first leg reference's place along its line."""

    true: Leg
    drawn: Leg
    out: Vector
    zero: float

    @property
    def line(self) -> Vector:
        return self.true.line

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
    """Every obstruction of the document's legs that this view can show."""
    document = panel.wishes.document or {}
    for site, item in _sites(panel.whole, panel.fit.wire, document):
        surface = _surface(site.drawn, site.out, panel.fit.wire)
        for obstacle in _obstacles(item, site, document):
            outline = _outline(panel, site, obstacle, surface)
            if outline:
                panel.draw(Polygon(outline, "solid"), *_hatch(outline, HATCH * panel.unit))


def _sites(whole: Wire, drawn: Wire, document: Mapping[str, Any]) -> Iterator[tuple[Site, Mapping[str, Any]]]:
    path = document.get("path")
    if not isinstance(path, Sequence):
        return
    out = {part.leg: top for part, top in reversed(list(tops(whole))) if isinstance(part, Straight)}
    for index, (true, short) in enumerate(zip(legs(whole), legs(drawn), strict=True)):
        item = path[2 * index] if 2 * index < len(path) else None
        if isinstance(item, Mapping) and item.get("obstructions") and true.straights:
            yield Site(true, short, out[true.name], _zero(true, whole, document, item)), item


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


def _obstacles(item: Mapping[str, Any], site: Site, document: Mapping[str, Any]) -> Iterator[Obstacle]:
    for raw in item["obstructions"]:
        if not isinstance(raw, Mapping):
            continue
        sizes = {key: _inches(raw[key]) for key in raw if isinstance(raw[key], str | int | float)}
        if "pipe" in sizes:
            radius = sizes["pipe"] / 2 + sizes.get("insulation", 0.0)
            middle, gap = sizes.get("centre", 0.0), sizes.get("gap", 0.0)
            yield Obstacle(middle - radius, middle + radius, gap, gap + 2 * radius, is_round=True)
        elif sizes.get("to", 0) > sizes.get("from", 0):
            yield Obstacle(sizes["from"], sizes["to"], 0.0, sizes.get("height", 0.0))


def _surface(leg: Leg, out: Vector, wire: Wire) -> float:
    """How far out the surface lies: the pipe's underside where the leg lies lowest."""
    return min(dot(straight.start, out) for straight in leg.straights) - wire.diameter / 2


def _outline(panel: Panel, site: Site, obstacle: Obstacle, surface: float) -> tuple[Point, ...]:
    """The obstacle's outline on the sheet; empty where the leg points at the eye."""
    eye, line = panel.view.toward_eye, site.line
    if abs(dot(eye, line)) > 0.1:
        return ()
    low, high = site.drawn_along(obstacle.low), site.drawn_along(obstacle.high)
    if abs(dot(eye, site.out)) > 0.9:
        return _band(panel, site, low, high)
    if abs(dot(eye, site.out)) > 0.1:
        return ()
    base = site.drawn.straights[0].start
    inner, outer = surface + obstacle.inner, surface + obstacle.outer
    if obstacle.is_round:
        return tuple(_at(panel, base, site, _round(low, high, inner, outer, step)) for step in range(36))
    return tuple(_at(panel, base, site, place) for place in ((low, inner), (high, inner), (high, outer), (low, outer)))


def _round(low: float, high: float, inner: float, outer: float, step: int) -> Point:
    turn, radius = math.radians(step * 10), (outer - inner) / 2
    return (low + high) / 2 + radius * math.cos(turn), (inner + outer) / 2 + radius * math.sin(turn)


def _at(panel: Panel, base: Vector, site: Site, place: Point) -> Point:
    """A place given by its coordinates along the leg's line and out of its surface."""
    along = scale(site.line, place[0] - dot(base, site.line))
    return panel.at(add(add(base, along), scale(site.out, place[1] - dot(base, site.out))))


def _band(panel: Panel, site: Site, low: float, high: float) -> tuple[Point, ...]:
    """Seen from out: a band across the pipe."""
    base, line = site.drawn.straights[0].start, site.line
    ends = [panel.at(add(base, scale(line, place - dot(base, line)))) for place in (low, high)]
    x, y = panel.way(line)
    reach = FACE_REACH * panel.pipe_width
    across = (-y * reach, x * reach)
    sides = [(end[0] + side * across[0], end[1] + side * across[1]) for side in (-1, 1) for end in ends]
    return sides[0], sides[1], sides[3], sides[2]


def _hatch(outline: Sequence[Point], gap: float) -> Iterator[Line]:
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
