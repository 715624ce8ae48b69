"""Check dimensions on a view: slash ends at 45 degrees, thin extension lines, numbers that hit nothing."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from bending.drawing.boxes import Box, extent
from bending.drawing.checkdims import Check
from bending.drawing.clock import star
from bending.drawing.panel import Panel, Wishes
from bending.drawing.primitives import Item, Line, Point, Polygon, Text, number, number_width, shifted, text_width
from bending.drawing.wire import Vector, cross, dot, sub, unit
from bending.lengths import format_length

# Less than this is no rise that a tape shows; inches.
LEAST_RISE = 0.02


@dataclass(frozen=True)
class Label:
    """A number with its star and notes, its left end at (0, 0) on the baseline."""

    items: tuple[Item, ...]
    width: float
    height: float

    def placed(self, left: float, baseline: float) -> tuple[Item, ...]:
        """The label with its baseline starting at this place of the sheet."""
        return shifted(self.items, left, baseline)

    def box(self, left: float, baseline: float) -> Box:
        """The room that the label takes there, with a little air: left, top, right, bottom."""
        return left - 2, baseline - self.height * 0.95, left + self.width + 2, baseline + self.height * 0.2


@dataclass(frozen=True)
class Measured:
    """A check on one view: its true value, and the drawn points with the sheet directions it is measured in."""

    check: Check
    value: float
    start: Point
    end: Point
    measure: Point
    aside: Point
    at: Point

    @property
    def level(self) -> bool:
        return abs(self.measure[1]) < 0.05

    @property
    def upright(self) -> bool:
        return abs(self.measure[0]) < 0.05


def measured(panel: Panel, true: Check, drawn: Check) -> Measured | None:
    """A check as this view shows it; none if it isn't seen in its true length here."""
    axis, aside = _axes(panel, true)
    if axis is None:
        return None
    value = abs(dot(sub(true.end, true.start), axis))
    if value < LEAST_RISE:
        return None
    return Measured(
        drawn, value, panel.at(drawn.start), panel.at(drawn.end), panel.way(axis), panel.way(aside), panel.at(drawn.at)
    )


def _axes(panel: Panel, check: Check) -> tuple[Vector | None, Vector]:
    """The direction in space that is measured, and the direction that its dimension line may slide in."""
    eye, along = panel.view.toward_eye, check.along
    seen = abs(dot(eye, along))
    if check.kind != "rise":
        return (along, cross(eye, along)) if seen < 0.02 else (None, along)
    if seen > 0.9:
        return panel.view.up, panel.view.right
    return (unit(cross(eye, along)), along) if seen < 0.02 else (None, along)


def label(check: Check, value: float, wishes: Wishes) -> Label:
    """Star, number, tolerance, words."""
    look, size = wishes.look(check.place), wishes.text
    items: list[Item] = []
    x = 0.0
    if any(check.place in (place, f"{place}.leg") for place in wishes.stars):
        items.append(Polygon(star(size * 0.42, -size * 0.36, size * 0.42), "star"))
        x = size * 1.1
    figure = number(format_length(value, wishes.tape), (x, 0), size, "number" + look)
    items.append(figure)
    x += number_width(figure)
    for words in filter(None, (wishes.tolerances.get(check.place, ""), check.words)):
        items.append(Text((x + size * 0.25, 0), words, wishes.small, "note"))
        x += size * 0.25 + text_width(words, wishes.small)
    return Label(tuple(items), x, size)


def draw_rise(panel: Panel, found: Measured) -> None:
    """A small dimension beside what it measures."""
    look, unit_px = panel.wishes.look(found.check.place), panel.unit
    slide = 12 * unit_px * found.check.beyond * _sign(found.aside, found.check, panel)
    ends = tuple(_slid(point, found, slide) for point in (found.start, found.end))
    for point, end in zip((found.start, found.end), ends, strict=True):
        _extension(panel, point, end)
    _line(panel, ends[0], ends[1], look, over=4 * unit_px)
    words = label(found.check, found.value, panel.wishes)
    lefts = _rise_places(ends, words, panel, slide * found.aside[0] >= 0)
    index = panel.taken.best([words.box(*place) for place in lefts])
    panel.draw(*words.placed(*lefts[index]))


def _sign(aside: Point, check: Check, panel: Panel) -> float:
    """Sliding goes along the leg: with it, if `aside` points that way on the sheet."""
    way = panel.way(check.along)
    return -1.0 if way[0] * aside[0] + way[1] * aside[1] < 0 else 1.0


def _slid(point: Point, found: Measured, slide: float) -> Point:
    """The point moved along the leg to where the dimension stands."""
    aside, at = found.aside, found.at
    by = (at[0] - point[0]) * aside[0] + (at[1] - point[1]) * aside[1] + slide
    return point[0] + aside[0] * by, point[1] + aside[1] * by


def _rise_places(ends: Sequence[Point], words: Label, panel: Panel, right_first: bool) -> list[Point]:
    """Where the number may stand: beside the line, then over and under it, then further off."""
    (x1, y1), (x2, y2) = ends
    left, right, top, bottom = min(x1, x2), max(x1, x2), min(y1, y2), max(y1, y2)
    gap, size = 8 * panel.unit, words.height
    middle, half = (top + bottom) / 2 + size * 0.36, (left + right) / 2 - words.width / 2
    beside = [(right + gap, middle), (left - gap - words.width, middle)]
    levels = [(half, top - gap), (half, bottom + gap + size * 0.75)]
    corners = [(x, y) for y in (top - gap, bottom + gap + size * 0.75) for x, _ in beside]
    far = [(half, top - gap - size), (half, bottom + gap + 2 * size)]
    return [*(beside if right_first else reversed(beside)), *levels, *corners, *far]


def draw_stacked(panel: Panel, found: Sequence[Measured]) -> None:
    """Lengths on rows under and over the view, upright ones in columns beside it, slanted ones along their leg."""
    left, top, right, bottom = extent(panel.items)
    middle = ((left + right) / 2, (top + bottom) / 2)
    _slanted(panel, [one for one in found if not (one.level or one.upright)], middle)
    level = [one for one in found if one.level]
    upright = [one for one in found if one.upright]
    low = [one for one in level if _mean(one)[1] >= middle[1] - 1 or bottom - top < 8 * panel.pipe_width]
    _columns(panel, [one for one in upright if _mean(one)[0] < middle[0]], left_side=True)
    _columns(panel, [one for one in upright if _mean(one)[0] >= middle[0]], left_side=False)
    _rows(panel, low, down=True)
    _rows(panel, [one for one in level if one not in low], down=False)


def _mean(found: Measured) -> Point:
    return (found.start[0] + found.end[0]) / 2, (found.start[1] + found.end[1]) / 2


def _rows(panel: Panel, found: Sequence[Measured], down: bool) -> None:
    """Level dimensions, short ones nearest the pipe; two that don't meet share a row."""
    rows: list[list[tuple[float, float]]] = []
    _, top, _, bottom = extent(panel.items)
    size = panel.text
    for one in sorted(found, key=lambda one: abs(one.end[0] - one.start[0])):
        words = label(one.check, one.value, panel.wishes)
        span = sorted((one.start[0], one.end[0]))
        middle = (span[0] + span[1]) / 2
        reach = (min(span[0], middle - words.width / 2) - 6, max(span[1], middle + words.width / 2) + 6)
        row = _free_row(rows, reach)
        pitch = size * panel.wishes.pitch
        y = bottom + pitch * (row + 1) if down else top - size * 0.5 - pitch * row
        for x, point in ((one.start[0], one.start), (one.end[0], one.end)):
            _extension(panel, point, (x, y))
        look = panel.wishes.look(one.check.place)
        _line(panel, (span[0], y), (span[1], y), look)
        panel.draw(*words.placed(middle - words.width / 2, y - size * panel.wishes.lift))


def _free_row(rows: list[list[tuple[float, float]]], reach: tuple[float, float]) -> int:
    for index, row in enumerate(rows):
        if all(reach[1] < other[0] or other[1] < reach[0] for other in row):
            row.append(reach)
            return index
    rows.append([reach])
    return len(rows) - 1


def _columns(panel: Panel, found: Sequence[Measured], left_side: bool) -> None:
    """Upright dimensions beside the view, short ones nearest."""
    for one in sorted(found, key=lambda one: abs(one.end[1] - one.start[1])):
        left, _, right, _ = extent(panel.items)
        x = left - panel.text * 0.9 if left_side else right + panel.text * 0.9
        for point in (one.start, one.end):
            _extension(panel, point, (x, point[1]))
        _line(panel, (x, one.start[1]), (x, one.end[1]), panel.wishes.look(one.check.place))
        words = label(one.check, one.value, panel.wishes)
        gap = panel.text * 0.4
        at = x - gap - words.width if left_side else x + gap
        panel.draw(*words.placed(at, (one.start[1] + one.end[1]) / 2 + panel.text * 0.36))


def _slanted(panel: Panel, found: Sequence[Measured], middle: Point) -> None:
    """Dimensions along slanting legs, the short ones nearest, each leg with its own rows; numbers after every line."""
    rows: dict[Vector, int] = {}
    lines = []
    for one in sorted(found, key=lambda one: math.dist(one.start, one.end)):
        row = rows[one.check.along] = rows.get(one.check.along, -1) + 1
        lines.append((one, _slanted_line(panel, one, middle, row)))
    for one, line in lines:
        _number_on_line(panel, label(one.check, one.value, panel.wishes), line, _mean(one))


def _slanted_line(panel: Panel, one: Measured, middle: Point, row: int) -> tuple[Point, Point]:
    """A dimension line along a slanting leg, on the side away from the rest of the shape; answers with its ends."""
    side, mean = one.aside, _mean(one)
    if (mean[0] - middle[0]) * side[0] + (mean[1] - middle[1]) * side[1] < 0:
        side = (-side[0], -side[1])
    off = panel.pipe_width / 2 + panel.text * (0.9 + 1.7 * row)
    shift = _level_with(one) * (1 if side == one.aside else -1)
    ends = [
        (point[0] + side[0] * (off + by), point[1] + side[1] * (off + by))
        for point, by in ((one.start, 0.0), (one.end, shift))
    ]
    for point, end in zip((one.start, one.end), ends, strict=True):
        _extension(panel, point, end)
    _line(panel, ends[0], ends[1], panel.wishes.look(one.check.place))
    return ends[0], ends[1]


def _number_on_line(panel: Panel, words: Label, line: tuple[Point, Point], pipe: Point) -> None:
    """The number breaks its line, at its middle or where it hits nothing; a long one moves off the pipe."""
    (x1, y1), (x2, y2) = line
    outward = 1 if (x1 + x2) / 2 >= pipe[0] else -1
    places = [
        (x1 + (x2 - x1) * share + outward * off - words.width / 2, y1 + (y2 - y1) * share + words.height * 0.36)
        for off in (0, words.width * 0.25, words.width * 0.5)
        for share in (0.5, 0.4, 0.6, 0.3, 0.7)
    ]
    left, baseline = places[panel.taken.best([words.box(*place) for place in places])]
    x1, y1, x2, y2 = words.box(left, baseline)
    panel.draw(Polygon(((x1, y1), (x2, y1), (x2, y2), (x1, y2)), "gap"), *words.placed(left, baseline))


def _level_with(one: Measured) -> float:
    """How far the end must move aside to stand level with the start."""
    return (one.start[0] - one.end[0]) * one.aside[0] + (one.start[1] - one.end[1]) * one.aside[1]


def _extension(panel: Panel, point: Point, end: Point) -> None:
    """From just off the pipe to just past the dimension line."""
    long = math.dist(point, end)
    if long < 3:
        return
    over = 4 * panel.unit / long
    past = (end[0] + (end[0] - point[0]) * over, end[1] + (end[1] - point[1]) * over)
    panel.draw(Line(point, past, "ext"))


def _line(panel: Panel, start: Point, end: Point, look: str, over: float = 0) -> None:
    """The dimension line with a slash at each end; `over` lets a very short one stick out."""
    slash = 4.5 * panel.unit
    long = math.dist(start, end) or 1
    by = over / long if long < 14 * panel.unit else 0
    out = ((end[0] - start[0]) * by, (end[1] - start[1]) * by)
    style = look.removeprefix("-") or "dim"
    panel.draw(Line((start[0] - out[0], start[1] - out[1]), (end[0] + out[0], end[1] + out[1]), style))
    panel.taken.add_line((start, end), 1)
    for x, y in (start, end):
        panel.draw(Line((x - slash, y + slash), (x + slash, y - slash), look.removeprefix("-") or "slash"))
