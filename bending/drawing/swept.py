"""One bend from the side: the pipe before and after, what it sweeps, and floor, handle and frame beside it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from bending import swing
from bending.drawing.obstacles import hatch
from bending.drawing.primitives import Circle, Drawing, Item, Line, Point, Polygon, Polyline, Text, Tube, text_width
from bending.envelope import Box, Envelope, Handle, read_envelope
from bending.reading import Reader
from bending.vectors import Vector

# Straight pipe behind the heel is drawn so far, inches: it stays where it is.
HEEL = 18.0
HATCH, MARGIN = 7.0, 14.0
STILL = 1e-6


@dataclass(frozen=True)
class _Scene:
    """What is drawn, and how inches become the sheet's own measure."""

    swept: swing.Swept
    envelope: Envelope
    struck: tuple[str, ...]
    width: float
    text: float
    low: Point
    scale: float
    height: float

    @property
    def unit(self) -> float:
        return self.text / 17

    def at(self, place: Vector | Point) -> Point:
        margin = MARGIN * self.unit
        return margin + (place[0] - self.low[0]) * self.scale, self.height - margin - (
            place[1] - self.low[1]
        ) * self.scale

    def along(self, places: Sequence[Vector]) -> tuple[Point, ...]:
        return tuple(self.at(place) for place in places)


def swept(
    layout: Mapping[str, Any], piece: int, step: int, *, width: float = 566, text: float = 17, medium: str = "screen"
) -> Drawing:
    """A step of a ``layout/1`` document's piece, seen along the shoe's axis, the hook at the left. Sizes in px or pt.

    Dashed: the pipe and the handle before the bend. Whole: after it. The fat line is where the bent end goes. What is
    struck, and the pipe that strikes it, is drawn as bad. Straight pipe that stays where it is, is cut short.
    Raises ``Problems`` for a layout that doesn't fold, ``IndexError`` for a piece or a step that isn't there.
    """
    found = swing.swept(layout, piece, step)
    envelope = read_envelope(Reader(), layout["bender"], "envelope", "") or Envelope()
    found = found._replace(before=_cut(found.before), after=_cut(found.after))
    shoe, turns, length = swing.of_layout(layout, piece)
    struck = tuple(one.what for one in swing.strikes(shoe, turns, length, envelope) if one.step == step)
    scene = _scene(found, envelope, struck, width, text)
    return Drawing(width, scene.height, tuple(_items(scene)), medium, _words(scene))


def _cut(pipe: Sequence[Vector]) -> tuple[Vector, ...]:
    """The pipe with the straight behind the heel cut short, if nothing bent follows it."""
    before, last = pipe[-2], pipe[-1]
    level = abs(last[1]) < STILL and abs(last[2]) < STILL and abs(before[1]) < STILL
    return (*pipe[:-1], (min(last[0], max(HEEL, before[0] + 1)), *last[1:])) if level else tuple(pipe)


def _scene(found: swing.Swept, envelope: Envelope, struck: tuple[str, ...], width: float, text: float) -> _Scene:
    """As large as the sheet's width allows, but not much higher than wide."""
    places = [(place[0], place[1]) for place in (*found.before, *found.after, *found.line)]
    half, radius = found.shoe.outside_diameter, found.shoe.radius
    places += [(-radius, 2 * radius), (radius, -2 * half)]
    places += [] if envelope.floor is None else [(0.0, -envelope.floor - half - 2)]
    places += [corner for box in envelope.frame for corner in _corners(box)]
    if envelope.handle:
        places += [end for turned in (0.0, found.turn.angle) for end in _handle(found.shoe, envelope.handle, turned)]
    low, high = (
        (min(x for x, _ in places), min(y for _, y in places)),
        [max(axis) for axis in zip(*places, strict=True)],
    )
    margin = 2 * MARGIN * text / 17
    wide, tall = max(high[0] - low[0], 1.0), max(high[1] - low[1], 1.0)
    scale = min((width - margin) / wide, width * 0.9 / tall)
    return _Scene(found, envelope, struck, width, text, low, scale, tall * scale + margin)


def _corners(box: Box) -> tuple[Point, Point, Point, Point]:
    (left, right), (bottom, top) = box.along, box.up
    return (left, bottom), (right, bottom), (right, top), (left, top)


def _handle(shoe: swing.Shoe, handle: Handle, degrees: float) -> tuple[Point, Point, Point, Point]:
    """The handle's outline when so many degrees are made."""
    lean = math.radians(handle.upright_at - degrees)
    out, across = (
        (-math.sin(lean), math.cos(lean)),
        (math.cos(lean) * handle.width / 2, math.sin(lean) * handle.width / 2),
    )
    foot, end = (0.0, shoe.radius), (out[0] * handle.length, shoe.radius + out[1] * handle.length)
    return (
        (foot[0] - across[0], foot[1] - across[1]),
        (end[0] - across[0], end[1] - across[1]),
        (end[0] + across[0], end[1] + across[1]),
        (foot[0] + across[0], foot[1] + across[1]),
    )


def _items(scene: _Scene) -> Iterator[Item]:
    yield from _floor(scene)
    yield from _frame(scene)
    found, bad = scene.swept, "-bad" if scene.struck else ""
    yield Polyline(scene.along(found.before), "was")
    yield from _shoe(scene)
    yield Tube(scene.along(found.after), max(found.shoe.outside_diameter * scene.scale, 5 * scene.unit), "pipe" + bad)
    if found.line:
        yield Polyline(scene.along(found.line), "bad" if bad else "lit")
        yield from _head(scene, scene.along(found.line[-2:]), "pipe-bad" if bad else "flag-lit")


def _floor(scene: _Scene) -> Iterator[Item]:
    if scene.envelope.floor is None:
        return
    up = -scene.envelope.floor - scene.swept.shoe.outside_diameter / 2
    y = scene.at((0.0, up))[1]
    bottom = min(y + 2 * HATCH * scene.unit, scene.height)
    yield from hatch(((0, y), (scene.width, y), (scene.width, bottom), (0, bottom)), HATCH * scene.unit)
    yield Line((0, y), (scene.width, y), "bad" if "floor" in scene.struck else "slash")
    yield _name(scene, "floor", (scene.width - text_width("floor", scene.text * 0.8), y - 5 * scene.unit))


def _frame(scene: _Scene) -> Iterator[Item]:
    for box in scene.envelope.frame:
        outline = tuple(scene.at(corner) for corner in _corners(box))
        yield Polygon(outline, "pipe-bad" if "frame" in scene.struck else "solid")
        yield from hatch(outline, HATCH * scene.unit)
    if scene.envelope.frame:
        (left, _), (bottom, _) = scene.envelope.frame[0].along, scene.envelope.frame[0].up
        x, y = scene.at((left, bottom))
        yield _name(scene, "frame", (x, y + scene.text))


def _shoe(scene: _Scene) -> Iterator[Item]:
    """The shoe as a disc, and the handle before and after."""
    shoe, handle = scene.swept.shoe, scene.envelope.handle
    if handle and scene.swept.turn.hook != "none":
        first, last = (_handle(shoe, handle, degrees) for degrees in (0.0, scene.swept.turn.angle))
        yield Polyline(tuple(scene.at(place) for place in (*first, first[0])), "was")
        yield Polygon(tuple(scene.at(place) for place in last), "pipe-bad" if "handle" in scene.struck else "open")
        tip = [scene.at(corner) for corner in last[1:3]]
        at = min(x for x, _ in tip) - 4 * scene.unit, min(y for _, y in tip) - 5 * scene.unit
        yield Text(at, "handle", scene.text * 0.8, "note", "end")
    inner = max(shoe.radius - shoe.outside_diameter / 2, shoe.radius / 2)
    yield Circle(scene.at((0.0, shoe.radius)), inner * scene.scale, "disc")
    size = scene.text * 0.8
    x, y = scene.at((0.0, shoe.radius))
    yield Text((x, y + size * 0.36), str(scene.swept.turn.step), size, "loud", "middle")


def _head(scene: _Scene, stretch: Sequence[Point], style: str) -> Iterator[Item]:
    """An arrow's head at the end of the swept line."""
    (x1, y1), (x2, y2) = stretch
    size, long = 9 * scene.unit, math.hypot(x2 - x1, y2 - y1) or 1.0
    x, y = (x2 - x1) / long * size, (y2 - y1) / long * size
    yield Polygon(((x2, y2), (x2 - x - y / 2, y2 - y + x / 2), (x2 - x + y / 2, y2 - y - x / 2)), style)


def _name(scene: _Scene, words: str, at: Point) -> Text:
    return Text(at, words, scene.text * 0.8, "note")


def _words(scene: _Scene) -> str:
    turn = scene.swept.turn
    said = f"Bend {turn.step} from the side, {turn.angle:g} degrees, hook at the left"
    if scene.struck:
        return f"{said}: what is already bent strikes the {' and the '.join(scene.struck)}"
    return f"{said}: {_reach(scene)}" if scene.swept.line else f"{said}: nothing bent swings"


def _reach(scene: _Scene) -> str:
    """How long the way of the swinging end is."""
    way = sum(math.dist(one, other) for one, other in pairwise(scene.swept.line))
    return f"the bent end swings about {way:.0f} inches"
