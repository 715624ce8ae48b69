"""The straight stick with its marks: order is true, scale is not, so that near marks can be read."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any

from bending.drawing.clock import mark_sign
from bending.drawing.primitives import (
    Drawing,
    Item,
    Line,
    Number,
    Point,
    Polygon,
    Polyline,
    Text,
    number,
    number_width,
    text_width,
)
from bending.lengths import parse_length, split_length

# A gap is cut out on the picture when it is longer than this; inches.
LONG_GAP = 18.0
CLOSE_MARKS, AIR = 26.0, 10.0
# Rows of numbers to try, and whether they keep clear of each other's threads.
ROWS = ((2, True), (2, False), (3, True), (3, False), (4, False), (5, False), (6, False))


@dataclass(frozen=True)
class Post:
    """One thing hung on the stick: its distance from the zero end (inches), its number, its width as drawn."""

    distance: float
    number: Number | None
    width: float
    note: str = ""


@dataclass(frozen=True)
class Sheet:
    """Where things are on the picture, all from the size of its numbers."""

    text: float
    width: float
    medium: str
    noted: bool = False

    @property
    def small(self) -> float:
        return self.text * (0.42 if self.medium == "paper" else 0.75)

    @property
    def unit(self) -> float:
        """One px of a usual screen picture. Numbers on paper are large to be read from afar; the pipe needn't be."""
        return self.text / 17 * (0.5 if self.medium == "paper" else 1)

    @property
    def left(self) -> float:
        return self.unit * 37

    @property
    def top(self) -> float:
        return self.unit * (36 if self.medium == "paper" else 42)

    @property
    def thick(self) -> float:
        return self.unit * 25

    @property
    def bottom(self) -> float:
        return self.top + self.thick

    def row(self, index: int) -> float:
        """Baseline of a row of numbers under the stick."""
        pitch = self.text * (1.0 if self.medium == "paper" else 1.2) + (self.small if self.noted else 0)
        return self.bottom + self.unit * 3.4 + self.text + pitch * index


def stick(
    layout: Mapping[str, Any],
    piece: int = 0,
    *,
    width: float = 566,
    text: float = 17,
    medium: str = "screen",
    lit: int | None = None,
    done: Collection[int] = (),
) -> Drawing:
    """One piece of a layout/1 document as a straight stick, its zero end at the left.

    `width` and `text` (size of the numbers) are px or pt. The picture grows wider than asked only if all rows
    can't hold the numbers. `lit` is the step at hand, `done` are steps already bent.
    """
    stock = layout["pieces"][piece]
    marks = sorted(stock["marks"], key=lambda mark: _from_zero(stock, mark["station"]))
    posts = [*(_post(stock, mark, text, _state(mark["step"], lit, done)) for mark in marks), _end(stock, marks, text)]
    sheet = Sheet(text, width, medium, any(post.note for post in posts))
    rows, places = _spread(posts, sheet)
    items = [*_pipe(stock, sheet, places[-1]), *_breaks(posts, places, sheet)]
    for mark, place in zip(marks, places, strict=False):
        items += _mark(stock, mark, place, sheet, _state(mark["step"], lit, done))
    if any(_other_zero(stock, mark) for mark in marks):
        items += _second_zero(sheet, places[-1])
    hung = [
        _hung(post, place, index % rows, sheet) for index, (post, place) in enumerate(zip(posts, places, strict=True))
    ]
    # Threads first: a number is never struck through by the thread of a later one.
    items += sorted((item for one in hung for item in one), key=lambda item: not isinstance(item, Line))
    if marks and posts[-1].number:
        items += _far_line(places[-2], places[-1], sheet)
        items.append(_far_word(places[-2], places[-1], min(rows, len(posts)), sheet))
    below = max((item.at[1] for item in items if isinstance(item, Text | Number)), default=sheet.bottom)
    height = max(below, sheet.bottom + 6 * sheet.unit) + 8 * sheet.unit
    return Drawing(
        max(width, places[-1] + max(text * 0.7, 12 * sheet.unit)), height, tuple(items), medium, _words(stock, marks)
    )


def _from_zero(stock: Mapping[str, Any], station: float) -> float:
    return float(stock["cut_length"]) - station if stock.get("zero") == "end" else station


def _state(step: int, lit: int | None, done: Collection[int]) -> str:
    if step == lit:
        return "-lit"
    return "-done" if step in done else ""


def _post(stock: Mapping[str, Any], mark: Mapping[str, Any], text: float, state: str) -> Post:
    figure = number(mark["text"], (0, 0), text, "number" + state, "middle")
    measured_from = mark.get("from", "start")
    note = "" if measured_from == stock.get("zero", "start") else f"from {_end_word(measured_from)}"
    width = max(number_width(figure), text_width(note, text * 0.7))
    return Post(_from_zero(stock, mark["station"]), figure, width, note)


def _end_word(measured_from: str) -> str:
    return "far end" if measured_from in ("start", "end") else measured_from


def _end(stock: Mapping[str, Any], marks: Sequence[Mapping[str, Any]], text: float) -> Post:
    """The far end, with what the tape must read from the last mark to it, from the pencilled figures."""
    length = float(stock["cut_length"])
    if not marks or marks[-1].get("from", "start") != stock.get("zero", "start"):
        return Post(length, None, 0)
    figure = number(_difference(str(stock["cut"]), str(marks[-1]["text"])), (0, 0), text, "number", "end")
    # The number ends at the stick's end, so twice its width keeps a neighbour off it.
    return Post(length, figure, number_width(figure) * 2)


def _difference(cut: str, text: str) -> str:
    if cut.strip().endswith("mm"):
        return f"{float(cut.replace('mm', '')) - float(text.replace('mm', '')):g} mm"
    sign, whole, numerator, denominator = split_length(parse_length(cut) - parse_length(text), "1/32")
    fraction = f"{numerator}/{denominator}" if numerator else ""
    figure = f"{whole or ''} {fraction}".strip() or "0"
    return f'{"-" if sign < 0 else ""}{figure}"'


def _spread(posts: Sequence[Post], sheet: Sheet) -> tuple[int, list[float]]:
    """Rows of numbers, and where each post is drawn: numbers of one row never touch."""
    room = sheet.width - sheet.left - sheet.text * 0.7
    for rows, clear in ROWS:
        least = _least(posts, rows, sheet, clear)
        if least[-1] <= room:
            break
    spare, before = max(room - least[-1], 0), [0.0, *(post.distance for post in posts)]
    weights = [max(b - a, 0.0) ** 0.6 for a, b in pairwise(before)]
    share = spare / (sum(weights) or 1)
    extra = [share * sum(weights[: index + 1]) for index in range(len(posts))]
    return rows, [sheet.left + place + more for place, more in zip(least, extra, strict=True)]


def _least(posts: Sequence[Post], rows: int, sheet: Sheet, clear: bool) -> list[float]:
    """The nearest that each post may stand to the zero end so that its number clears the one before it in its row.

    `clear`: a number of the first row also clears the threads that go down beside it.
    """
    unit, places = sheet.unit, [0.0]
    for index, post in enumerate(posts):
        least = places[-1] + CLOSE_MARKS * unit
        if clear and index:
            upper = post if index % rows < (index - 1) % rows else posts[index - 1]
            least = max(least, places[-1] + upper.width / 2 + 4 * unit)
        if index >= rows:
            before = posts[index - rows]
            least = max(least, places[index - rows + 1] + (before.width + post.width) / 2 + AIR * unit)
        places.append(least)
    return places[1:]


def _pipe(stock: Mapping[str, Any], sheet: Sheet, end: float) -> list[Item]:
    """The stick: body, stripe along its top, the fat block at the zero end."""
    unit = sheet.unit
    left, top, bottom = sheet.left, sheet.top, sheet.bottom
    block = ((left - 12 * unit, top - 6 * unit), (left, top - 6 * unit), (left, bottom + 6 * unit))
    return [
        Polygon(((left, top), (end, top), (end, bottom), (left, bottom)), "pipe"),
        Line((left, top + 5 * unit), (end, top + 5 * unit), "stripe"),
        Polygon((*block, (left - 12 * unit, bottom + 6 * unit)), "zero"),
        Text((left - 12 * unit, top - 11 * unit), "ZERO", 13.6 * unit, "loud", "middle"),
    ]


def _other_zero(stock: Mapping[str, Any], mark: Mapping[str, Any]) -> bool:
    """Whether a mark is measured from the stick's far end."""
    return mark.get("from", "start") in ("start", "end") and mark.get("from", "start") != stock.get("zero", "start")


def _second_zero(sheet: Sheet, end: float) -> list[Item]:
    """A stick that is bent end for end has an open block at its far end."""
    unit, top, bottom = sheet.unit, sheet.top - 6 * sheet.unit, sheet.bottom + 6 * sheet.unit
    block = ((end, top), (end + 10 * unit, top), (end + 10 * unit, bottom), (end, bottom))
    return [
        Polygon(block, "zero-open"),
        Text((end + 11 * unit, sheet.top - 11 * unit), "ZERO 2", 13.6 * unit, "loud", "end"),
    ]


def _breaks(posts: Sequence[Post], places: Sequence[float], sheet: Sheet) -> list[Item]:
    """Two slanting strokes where much more pipe is left out than elsewhere."""
    items: list[Item] = []
    distance, place = 0.0, sheet.left
    for post, here in zip(posts, places, strict=True):
        if post.distance - distance > LONG_GAP and here - place > 29 * sheet.unit:
            items += break_strokes((place + here) / 2, sheet.top, sheet.bottom, sheet.unit)
        distance, place = post.distance, here
    return items


def break_strokes(x: float, top: float, bottom: float, unit: float) -> list[Item]:
    """A gap between two slanting strokes across a level pipe."""
    lean, wide, over = 3 * unit, 4 * unit, 4 * unit
    left: tuple[Point, Point] = ((x - wide - lean, bottom + over), (x - wide + lean, top - over))
    right: tuple[Point, Point] = ((x + wide - lean, bottom + over), (x + wide + lean, top - over))
    gap = Polygon((left[0], left[1], right[1], right[0]), "gap")
    return [gap, Polyline(left, "break"), Polyline(right, "break")]


def _mark(stock: Mapping[str, Any], mark: Mapping[str, Any], x: float, sheet: Sheet, state: str) -> list[Item]:
    """The mark right across the pipe, its own shape on top, its step above."""
    unit, hook = sheet.unit, mark["hook"]
    right = hook == stock.get("zero", "start")
    size = (15 if mark["mark"] == "arrow" else 17) * unit
    sign = mark_sign(mark["mark"], right, (x, sheet.top - unit), size, state)
    style = "number" + state
    return [
        Line((x, sheet.top - 2 * unit), (x, sheet.bottom + 3 * unit), "mark" + state),
        *sign,
        Text((x, sheet.top - 20 * unit), str(mark["step"]), 15.3 * unit, style, "middle"),
    ]


def _hung(post: Post, x: float, row: int, sheet: Sheet) -> list[Item]:
    """A number under the stick, on a thread when it hangs in a lower row."""
    if post.number is None:
        return []
    items: list[Item] = []
    if row:
        items.append(Line((x, sheet.bottom + 5 * sheet.unit), (x, sheet.row(row) - sheet.text * 0.85), "ext"))
    items.append(replace(post.number, at=(x, sheet.row(row))))
    if post.note:
        items.append(Text((x, sheet.row(row) + sheet.small), post.note, sheet.small, "note", "middle"))
    return items


def _far_line(last: float, end: float, sheet: Sheet) -> list[Item]:
    """A dimension from the last mark to the far end, above the pipe."""
    unit, y = sheet.unit, sheet.top - 6 * sheet.unit
    items: list[Item] = [Line((last, y), (end, y), "dim")]
    items += [Line((x - 4 * unit, y + 4 * unit), (x + 4 * unit, y - 4 * unit), "slash") for x in (last, end)]
    return items


def _far_word(last: float, end: float, rows: int, sheet: Sheet) -> Text:
    """Says what the last figure is: over its line, or under the figures where the step's own number is in the way."""
    over = text_width("far end", sheet.small) + 13.6 * sheet.unit < end - last
    y = sheet.top - 20 * sheet.unit if over else sheet.row(rows - 1) + sheet.small * 1.2
    return Text((end, y), "far end" if over else "to far end", sheet.small, "note", "end")


def _words(stock: Mapping[str, Any], marks: Sequence[Mapping[str, Any]]) -> str:
    figures = ", ".join(number(str(mark["text"]), (0, 0), 1).spoken for mark in marks)
    cut = number(str(stock["cut"]), (0, 0), 1).spoken
    return f"Straight stick, cut {cut}, zero at the left, " + (f"marks at {figures}" if marks else "no marks")
