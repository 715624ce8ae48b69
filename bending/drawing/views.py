"""Which two square views show a pipe, and how large."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from bending.drawing.primitives import Point
from bending.drawing.wire import Vector, Wire, axis, centreline, cross, cut_out, dot

X, Y, Z = (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)
# A pipe is drawn this wide where it can be; wider than LARGEST only hides the shape, under LEAST it is a hair.
WIDTHS = (17.0, 15.0, 13.0, 12.0, 11.0, 10.0, 9.0, 8.0, 7.0, 6.0, 5.0, 4.0, 3.0)
USUAL_WIDTH = 13.0
# Of a cut-out straight at least this many diameters stay.
LEAST_KEPT = 5.0
UNCUT = 1e9


@dataclass(frozen=True)
class View:
    """A square view: the directions that lie to the right and up on the picture."""

    name: str
    right: Vector
    up: Vector

    @property
    def toward_eye(self) -> Vector:
        return cross(self.right, self.up)

    def flat(self, point: Vector) -> Point:
        """Where a place in space, in inches, comes on the view: to the right, and up."""
        return dot(point, self.right), dot(point, self.up)


SIDE = View("SIDE", X, Z)
FACE = View("FACE", X, Y)
END = View("END", Y, Z)
FACE_TURNED = View("FACE", Y, (-1.0, 0.0, 0.0))


def two_views(wire: Wire) -> tuple[View, View]:
    """The view with most of the bending first, the other square to it and lined up under it."""
    side, face, end = (sum(_seen(wire, view)) for view in (SIDE, FACE, END))
    if end > 1.2 * max(side, face):
        return END, FACE_TURNED
    return (FACE, SIDE) if face > side + 1e-6 else (SIDE, FACE)


def _seen(wire: Wire, view: View) -> Iterable[float]:
    """Degrees of bend that a view shows, least for a bend seen on its edge."""
    return (elbow.angle * abs(dot(axis(elbow), view.toward_eye)) ** 2 for elbow in wire.elbows)


@dataclass(frozen=True)
class Fit:
    """A pipe as drawn: its shortened wire, the scale (px an inch), and how much of a straight is kept."""

    wire: Wire
    scale: float
    keep: float


def fit(wire: Wire, views: tuple[View, View], room: Point, usual: float) -> Fit:
    """The largest drawing that shows everything in `room` (width, height of the first view).

    `usual` is the wanted width of the pipe in px. The whole pipe is shown to scale if it then is no thinner than
    wanted; else its long straights are cut out; a shape that still has no room is drawn thinner.
    """
    whole = _extent(wire, views)
    for width in (share * usual / USUAL_WIDTH for share in WIDTHS):
        scale = width / wire.diameter
        if _fits(whole, scale, room):
            return Fit(wire, scale, UNCUT)
        keep = _keep(wire, views, scale, room) if width <= usual else None
        if keep:
            return Fit(cut_out(wire, keep), scale, keep)
    scale = min(size / max(extent, 1e-9) for size, extent in zip(room, whole, strict=True))
    return Fit(wire, scale, UNCUT)


def _keep(wire: Wire, views: tuple[View, View], scale: float, room: Point) -> float | None:
    """The most of a straight that may be kept so that the pipe fits."""
    least, most = LEAST_KEPT * wire.diameter, max(straight.length for straight in wire.straights)
    if most <= least or not _fits(_extent(cut_out(wire, least), views), scale, room):
        return None
    for _ in range(24):
        middle = (least + most) / 2
        if _fits(_extent(cut_out(wire, middle), views), scale, room):
            least = middle
        else:
            most = middle
    return least


def _fits(extent: Point, scale: float, room: Point) -> bool:
    return extent[0] * scale <= room[0] and extent[1] * scale <= room[1]


def _extent(wire: Wire, views: tuple[View, View]) -> Point:
    """Width of both views and the larger height, over the pipe's outside, in inches."""
    points = [point for part in wire.parts for point in centreline(part)]
    widths, heights = [], []
    for view in views:
        flats = [view.flat(point) for point in points]
        widths.append(_span(x for x, _ in flats))
        heights.append(_span(y for _, y in flats))
    return max(widths) + wire.diameter, max(heights) + wire.diameter


def _span(values: Iterable[float]) -> float:
    found = list(values)
    return max(found) - min(found) if found else math.nan
