"""Which parts of a picture are taken, so that no number is written over another or over the pipe."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field
from itertools import pairwise

from bending.drawing.primitives import (
    Circle,
    Item,
    Line,
    Number,
    Point,
    Polyline,
    Text,
    Tube,
    number_width,
    text_width,
)

Box = tuple[float, float, float, float]


@dataclass
class Taken:
    """Boxes of words and fat lines of pipe on one picture."""

    boxes: list[Box] = field(default_factory=list)
    dots: list[tuple[Point, float]] = field(default_factory=list)

    def add_line(self, points: Iterable[Point], half: float) -> None:
        """A fat line, as dots close enough that nothing slips between them."""
        found = list(points)
        for (x1, y1), (x2, y2) in pairwise(found):
            steps = max(1, math.ceil(math.hypot(x2 - x1, y2 - y1) / 4))
            for step in range(steps + 1):
                share = step / steps
                self.dots.append(((x1 + (x2 - x1) * share, y1 + (y2 - y1) * share), half))

    def cost(self, box: Box) -> int:
        """How much a box would hit."""
        hits = sum(overlap(box, other) for other in self.boxes) * 20
        return hits + sum(_touches(box, dot, half) for dot, half in self.dots)

    def best(self, choices: Iterable[Box]) -> int:
        """The first choice that hits nothing, else the one that hits least; it is taken from now on."""
        found, costs = list(choices), list[int]()
        for box in found:
            costs.append(self.cost(box))
            if not costs[-1]:
                break
        index = costs.index(min(costs))
        self.boxes.append(found[index])
        return index

    def free(self, choices: Iterable[Box]) -> int | None:
        """The first choice that hits nothing, taken from now on; none if there is none."""
        for index, box in enumerate(choices):
            if not self.cost(box):
                self.boxes.append(box)
                return index
        return None


def overlap(a: Box, b: Box) -> bool:
    """Whether two boxes share more than an edge."""
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def _touches(box: Box, dot: Point, half: float) -> bool:
    return box[0] - half < dot[0] < box[2] + half and box[1] - half < dot[1] < box[3] + half


def box_of(item: Item) -> Box:
    """The box that an item fills: left, top, right, bottom."""
    if isinstance(item, Text | Number):
        width = text_width(item.words, item.size) if isinstance(item, Text) else number_width(item)
        left = item.at[0] - width * {"start": 0.0, "middle": 0.5, "end": 1.0}[item.anchor]
        # Figures hang nothing under their line but a denominator's hair.
        under = 0.25 if isinstance(item, Text) else 0.08
        return left, item.at[1] - item.size * 0.82, left + width, item.at[1] + item.size * under
    if isinstance(item, Circle):
        (x, y), r = item.centre, item.radius
        return x - r, y - r, x + r, y + r
    points = (item.start, item.end) if isinstance(item, Line) else item.points
    half = item.width / 2 if isinstance(item, Tube) else 0.0
    return _around(points, half)


def boxes_of(item: Item) -> list[Box]:
    """The boxes of an item's parts: a bent pipe leaves free what it goes round."""
    if not isinstance(item, Tube | Polyline):
        return [box_of(item)]
    half = item.width / 2 if isinstance(item, Tube) else 0.0
    return [_around(pair, half) for pair in pairwise(item.points)]


def _around(points: Iterable[Point], half: float) -> Box:
    xs, ys = zip(*points, strict=True)
    return min(xs) - half, min(ys) - half, max(xs) + half, max(ys) + half


def extent(items: Iterable[Item]) -> Box:
    """The box around many items."""
    boxes = [box_of(item) for item in items]
    lefts, tops, rights, bottoms = zip(*boxes, strict=True)
    return min(lefts), min(tops), max(rights), max(bottoms)
