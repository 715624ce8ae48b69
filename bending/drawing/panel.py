"""One square view of a pipe on its way to a picture: places in space become places on the sheet."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from bending.drawing.boxes import Taken, extent
from bending.drawing.primitives import Circle, Item, Line, Point, Polygon, Polyline, Text, Tube, text_width
from bending.drawing.views import Fit, View
from bending.drawing.wire import (
    Elbow,
    Joint,
    Part,
    Straight,
    Vector,
    Wire,
    add,
    centreline,
    dot,
    scale,
    sub,
    tops,
    unit,
)


@dataclass(frozen=True)
class Wishes:
    """How the pictures should come out. Sizes in px or pt; `ends` are the words of both ends.

    `highlight` gives a document place a look: "bad" or "lit". `stars` are the places of must-hit dimensions, and
    `tolerances` the words printed behind a dimension, by its place. `only`: dimension nothing but these places.
    """

    width: float = 540
    most_height: float = 230
    text: float = 17
    medium: str = "screen"
    tape: str = "1/16"
    ends: tuple[str, str] = ("", "")
    highlight: Mapping[str, str] = field(default_factory=dict)
    stars: Sequence[str] = ()
    tolerances: Mapping[str, str] = field(default_factory=dict)
    document: Mapping[str, Any] | None = None
    only: Collection[str] | None = None

    @property
    def small(self) -> float:
        """Words are read near and once; on paper only the numbers must be read from the bench."""
        return self.text * (0.37 if self.medium == "paper" else 0.78)

    @property
    def unit(self) -> float:
        """One px of a usual screen picture; on paper only the numbers grow."""
        return self.text / 17 * (0.55 if self.medium == "paper" else 1)

    @property
    def lift(self) -> float:
        """How far a number stands over its dimension line, and `pitch` how far rows of them are apart, by its size."""
        return 0.14 if self.medium == "paper" else 0.26

    @property
    def pitch(self) -> float:
        return 1.15 if self.medium == "paper" else 1.5

    def look(self, *places: str) -> str:
        """ "-bad", "-lit" or "" for the first of these document places that is highlighted."""
        for place in filter(None, places):
            for lit, look in self.highlight.items():
                if lit == place or lit.startswith(f"{place}.") or place.startswith(f"{lit}."):
                    return f"-{look}"
        return ""


@dataclass
class Panel:
    """A sheet for one view; `zero` is where the origin of space falls on it."""

    view: View
    fit: Fit
    whole: Wire
    wishes: Wishes
    zero: Point = (0.0, 0.0)
    items: list[Item] = field(default_factory=list)
    taken: Taken = field(default_factory=Taken)

    @property
    def text(self) -> float:
        return self.wishes.text

    @property
    def unit(self) -> float:
        """One px of a screen drawing, whatever the sheet."""
        return self.wishes.unit

    @property
    def small(self) -> float:
        """Size of words beside the numbers."""
        return self.wishes.small

    @property
    def pipe_width(self) -> float:
        return self.fit.wire.diameter * self.fit.scale

    def at(self, point: Vector) -> Point:
        """Where a place in space, in inches, comes on the sheet."""
        x, y = self.view.flat(point)
        return self.zero[0] + x * self.fit.scale, self.zero[1] - y * self.fit.scale

    def way(self, direction: Vector) -> Point:
        """A direction in space on the sheet, not of unit length unless it lies in the sheet."""
        x, y = self.view.flat(direction)
        return x, -y

    def draw(self, *items: Item) -> None:
        """Put items on the sheet, over those that are there."""
        self.items += items

    def bottom(self) -> float:
        """How far down the sheet the items reach."""
        return extent(self.items)[3]


def draw_pipe(panel: Panel) -> None:
    """The pipe from the far side to the near one, its stripe where it faces the eye, cuts and joints."""
    parts = list(zip(panel.whole.parts, panel.fit.wire.parts, strict=True))
    eye = panel.view.toward_eye
    for stretch in sorted(_stretches(panel), key=lambda found: _depth(found, eye)):
        _draw_stretch(panel, stretch)
    _draw_stripe(panel)
    _draw_ends(panel)
    for joint in panel.fit.wire.joints:
        _draw_joint(panel, joint)
    for true, part in parts:
        if isinstance(true, Straight) and isinstance(part, Straight) and true.length - part.length > 1e-6:
            _draw_break(panel, part)


def _depth(stretch: Sequence[Part], eye: Vector) -> float:
    return sum(dot(add(part.start, part.end), eye) / 2 for part in stretch) / len(stretch)


def _stretches(panel: Panel) -> list[list[Part]]:
    """Parts that can be drawn in one go: of one look, side by side, and nowhere over or under another.

    A straight that points at the eye stands alone. Where the pipe crosses itself on the sheet, every part does, so
    that the near one is drawn over the far one.
    """
    crossing = _crosses_itself(panel)
    found: list[list[Part]] = []
    for part in panel.fit.wire.parts:
        last = found[-1][-1] if found else None
        alone = crossing or last is None or _at_eye(panel, part) or _at_eye(panel, last)
        if alone or last is None or look_of(part, panel.wishes) != look_of(last, panel.wishes):
            found.append([part])
        else:
            found[-1].append(part)
    return found


def _at_eye(panel: Panel, part: Part) -> bool:
    return isinstance(part, Straight) and math.dist(panel.at(part.start), panel.at(part.end)) < 0.2 * panel.pipe_width


def _crosses_itself(panel: Panel) -> bool:
    """Whether two parts that aren't neighbours come within a pipe's width of each other on the sheet."""
    dots = [_dots(panel, part) for part in panel.fit.wire.parts]
    near = panel.pipe_width
    return any(
        math.dist(a, b) < near
        for index, some in enumerate(dots)
        for other in dots[index + 3 :]
        for a in some
        for b in other
    )


def _dots(panel: Panel, part: Part) -> list[Point]:
    """Points of a part on the sheet, about a pipe's width apart."""
    found = [panel.at(point) for point in centreline(part)]
    if isinstance(part, Elbow):
        return found[::4]
    steps = max(1, math.ceil(math.dist(found[0], found[-1]) / panel.pipe_width))
    (x1, y1), (x2, y2) = found[0], found[-1]
    return [(x1 + (x2 - x1) * step / steps, y1 + (y2 - y1) * step / steps) for step in range(steps + 1)]


def look_of(part: Part, wishes: Wishes) -> str:
    """How a part is drawn: usual, quiet or loud, by the feature or the leg that it belongs to."""
    if isinstance(part, Elbow):
        return wishes.look(part.feature)
    return wishes.look(part.feature) if part.feature else wishes.look(f"{part.leg}.leg")


def _draw_stretch(panel: Panel, stretch: Sequence[Part]) -> None:
    style, half = "pipe" + look_of(stretch[0], panel.wishes), panel.pipe_width / 2
    points = tuple(panel.at(point) for point in _lapped(panel.fit.wire, stretch, 0.7 / panel.fit.scale))
    panel.taken.add_line(points, half)
    if not _at_eye(panel, stretch[0]):
        panel.draw(Tube(points, panel.pipe_width, style))
    elif isinstance(stretch[0], Straight) and stretch[0].length > 0:
        panel.draw(Circle(panel.at(stretch[0].start), half, style))
        _draw_bore(panel, stretch[0], panel.at(stretch[0].start))


def _lapped(wire: Wire, stretch: Sequence[Part], lap: float) -> list[Vector]:
    """The centreline of some parts, a hair longer where another part goes on, so that no seam shows."""
    points = [point for part in stretch for point in centreline(part)]
    ends = (stretch[0] is not wire.parts[0], stretch[-1] is not wire.parts[-1])
    ahead, leaving = (unit(sub(points[1], points[0])), unit(sub(points[-1], points[-2])))
    first = add(points[0], scale(ahead, -lap)) if ends[0] else points[0]
    last = add(points[-1], scale(leaving, lap)) if ends[1] else points[-1]
    return [first, *points[1:-1], last]


def _draw_bore(panel: Panel, part: Straight, at: Point) -> None:
    """A pipe whose open end faces the eye shows its bore."""
    wire, away = panel.fit.wire, dot(unit(sub(part.end, part.start)), panel.view.toward_eye)
    if (part == wire.parts[-1] and away > 0) or (part == wire.parts[0] and away < 0):
        panel.draw(Circle(at, panel.pipe_width * 0.36, "bore"))


def _draw_stripe(panel: Panel) -> None:
    """The scribed line, wherever the eye looks on it and the pipe is wide enough to show it."""
    run: list[Point] = []
    if panel.pipe_width < 8 * panel.unit:
        return
    for part, top in tops(panel.fit.wire):
        faces = dot(top, panel.view.toward_eye) > 0.7
        if faces and panel.view.name == "FACE":
            run += [panel.at(point) for point in centreline(part)]
        if run and (not faces or part is panel.fit.wire.parts[-1]):
            panel.draw(Polyline(tuple(run), "stripe"))
            run = []


def _draw_ends(panel: Panel) -> None:
    for part, point in ((panel.fit.wire.parts[0], "start"), (panel.fit.wire.parts[-1], "end")):
        x, y = panel.at(getattr(part, point))
        across = _across(panel, part)
        if across:
            half = panel.pipe_width / 2
            look = look_of(part, panel.wishes)
            panel.draw(
                Line(
                    (x - across[0] * half, y - across[1] * half),
                    (x + across[0] * half, y + across[1] * half),
                    f"cut{look}",
                )
            )


def _across(panel: Panel, part: Part) -> Point | None:
    """The direction across a straight on the sheet; none if it points at the eye."""
    x, y = panel.way(sub(part.end, part.start))
    long = math.hypot(x, y)
    return (-y / long, x / long) if long * panel.fit.scale > 2 else None


def _draw_joint(panel: Panel, joint: Joint) -> None:
    part = panel.fit.wire.parts[joint.part]
    ahead = unit(sub(part.end, part.start))
    middle, half = add(part.start, scale(ahead, joint.along)), 1.4 * panel.fit.wire.diameter
    points = tuple(panel.at(add(middle, scale(ahead, by))) for by in (-half, half))
    across = _across(panel, part)
    if across is None:
        return
    wide = panel.pipe_width * 0.65
    sleeve = _slab(points[0], points[1], across, wide)
    panel.draw(Polygon(sleeve, "pipe"))
    middle_flat = panel.at(middle)
    panel.draw(Line(_off(middle_flat, across, -wide), _off(middle_flat, across, wide), "cut"))


def _slab(start: Point, end: Point, across: Point, half: float) -> tuple[Point, ...]:
    return _off(start, across, half), _off(end, across, half), _off(end, across, -half), _off(start, across, -half)


def _off(point: Point, way: Point, by: float) -> Point:
    return point[0] + way[0] * by, point[1] + way[1] * by


def _draw_break(panel: Panel, part: Straight) -> None:
    """Two slanting strokes in the middle of a straight that is drawn short."""
    start, end = panel.at(part.start), panel.at(part.end)
    across, long = _across(panel, part), math.dist(start, end)
    if across is None or long < 22 * panel.unit:
        return
    along = ((end[0] - start[0]) / long, (end[1] - start[1]) / long)
    middle = _off(start, along, long * (0.25 if _joint_in(panel, part) else 0.5))
    half, lean, wide = panel.pipe_width / 2 + 5 * panel.unit, 2.5 * panel.unit, 3.5 * panel.unit
    strokes = [
        (_off(_off(middle, along, side - lean), across, -half), _off(_off(middle, along, side + lean), across, half))
        for side in (-wide, wide)
    ]
    panel.draw(Polygon((*strokes[0], *reversed(strokes[1])), "gap"))
    panel.draw(*(Polyline(stroke, "break") for stroke in strokes))
    for stroke in strokes:
        panel.taken.add_line(stroke, 2)


def _joint_in(panel: Panel, part: Straight) -> bool:
    return any(panel.fit.wire.parts[joint.part] is part for joint in panel.fit.wire.joints)


def draw_head(items: Iterable[Item], view: View, size: float) -> list[Item]:
    """The view's name over it, and which way is out, or that this face is."""
    y = size * 1.05
    found: list[Item] = [*items, Text((0, y), view.name, size, "loud")]
    x = text_width(view.name, size) + size
    if view.up[2] > 0.5:
        arrow = ((x, y - size * 0.35), (x + size * 0.35, y - size * 0.9), (x + size * 0.7, y - size * 0.35))
        stem = Line((x + size * 0.35, y - size * 0.35), (x + size * 0.35, y + size * 0.05), "slash")
        return [*found, Polygon(arrow, "flag"), stem, Text((x + size * 1.1, y), "OUT", size, "name")]
    return [*found, Text((x, y), "THIS FACE OUT", size, "name")]
