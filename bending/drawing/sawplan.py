"""The saw plan: one bar a stick, off-cuts first, every cut with its tag and length."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from bending.drawing.primitives import (
    Drawing,
    Item,
    Line,
    Number,
    Polygon,
    Polyline,
    Text,
    number,
    number_width,
    shifted,
    text_width,
)
from bending.lengths import format_length, parse_length

# Of one bar, in px of a usual screen picture: its height, and the room for words that have none inside.
BAR, GAP = 27.0, 13.0


@dataclass(frozen=True)
class _Sheet:
    width: float
    text: float
    medium: str
    tape: str
    longest: float
    left: float

    @property
    def unit(self) -> float:
        return self.text / 17 * (0.6 if self.medium == "paper" else 1)

    @property
    def small(self) -> float:
        return self.text * (0.5 if self.medium == "paper" else 0.8)

    @property
    def high(self) -> float:
        return max(BAR * self.unit, self.text * 1.5)

    def along(self, inches: float) -> float:
        """Where so many inches of a stick lie on the sheet."""
        return self.left + inches * (self.width - self.left - 3 * self.unit) / self.longest


@dataclass(frozen=True)
class _Cut:
    """One piece on its bar: from and to in inches, its tag, its length as written."""

    low: float
    high: float
    tag: str
    length: str


def saw_plan(
    plan: Mapping[str, Any],
    document: Mapping[str, Any],
    tags: Sequence[str] = (),
    *,
    width: float = 566,
    text: float = 17,
    medium: str = "screen",
    tape: str = "1/16",
) -> Drawing:
    """The plan that `cutplan` makes of its parts document, drawn bar by bar in the plan's own order, off-cuts first.

    `tags` name the pieces, in the document's order. Bars are true to one scale; the blade's lines are fat. What is
    left of a stick is crossed out where it is scrap, and open where it goes back to the rack. Sizes in px or pt.
    """
    labels = _labels(plan["sticks"])
    left = max((text_width(label, text * (0.5 if medium == "paper" else 0.8)) for label in labels), default=0) + text
    longest = max((float(row["length"]) for row in plan["sticks"]), default=1.0)
    sheet = _Sheet(width, text, medium, tape, longest, left)
    items: list[Item] = []
    told: list[str] = []
    y = sheet.unit * 6
    for row, label in zip(plan["sticks"], labels, strict=True):
        cuts = list(_cuts(row, document, tags, tape))
        bar, high = _bar(row, cuts, label, sheet)
        items += shifted(bar, 0, y)
        told.append(f"{label}: {', '.join(map(_spoken, cuts))}")
        y += high + GAP * sheet.unit
    return Drawing(width, y, tuple(items), medium, f"Saw plan. {'; '.join(told)}")


def _inches(value: Any) -> float:
    return 0.0 if value is None else parse_length(value)


def _labels(rows: Sequence[Mapping[str, Any]]) -> list[str]:
    """What each bar is: sticks are counted, off-cuts and lots carry their length."""
    found, sticks = [], 0
    for row in rows:
        length = format_length(float(row["length"])).replace('"', "″")
        if row["from"] == "drop":
            found.append(f"off-cut, {length}")
        else:
            sticks += 1
            found.append(f"stick {sticks}, {length}")
    return found


def _is_whole(row: Mapping[str, Any], lengths: Sequence[float]) -> bool:
    return len(row["cuts"]) == 1 and abs(lengths[row["cuts"][0]] - float(row["length"])) < 1e-6


def _cuts(row: Mapping[str, Any], document: Mapping[str, Any], tags: Sequence[str], tape: str) -> Iterator[_Cut]:
    lengths = [_inches(piece) for piece in document["pieces"]]
    uncut = row["from"] == "drop" or _is_whole(row, lengths)
    here, kerf = 0.0 if uncut else _inches(document.get("trim")), _inches(document.get("kerf"))
    for piece in row["cuts"]:
        tag = tags[piece] if piece < len(tags) else f"no. {piece + 1}"
        yield _Cut(here, here + lengths[piece], tag, format_length(lengths[piece], tape))
        here += lengths[piece] + kerf


def _bar(row: Mapping[str, Any], cuts: Sequence[_Cut], label: str, sheet: _Sheet) -> tuple[list[Item], float]:
    """One stick with its top edge at 0, and how high it is with what hangs under it."""
    top, bottom, length = 0.0, sheet.high, float(row["length"])
    items: list[Item] = [Text((0, bottom / 2 + sheet.small * 0.36), label, sheet.small, "name")]
    used = max((cut.high for cut in cuts), default=0.0)
    for cut in cuts:
        items.append(_box(sheet.along(cut.low), sheet.along(cut.high), top, bottom, "pipe"))
    items += _left(row, sheet, used, length)
    blades = [cuts[0].low] if cuts and cuts[0].low else []
    for at in [*blades, *(cut.high for cut in cuts if cut.high < length - 1e-6)]:
        x = sheet.along(at)
        items.append(Line((x, top - 4 * sheet.unit), (x, bottom + 4 * sheet.unit), "saw"))
    hung = 0
    for cut in cuts:
        inside, hung = _label(cut, sheet, hung)
        items += inside
    return items, bottom + hung * (sheet.text * 1.25)


def _box(left: float, right: float, top: float, bottom: float, style: str) -> Polygon:
    return Polygon(((left, top), (right, top), (right, bottom), (left, bottom)), style)


def _left(row: Mapping[str, Any], sheet: _Sheet, used: float, length: float) -> Iterator[Item]:
    """What is left: open at its end where it is kept, crossed out where it isn't."""
    left, right, bottom = sheet.along(used), sheet.along(length), sheet.high
    if length - used < 1e-6:
        return
    if not row["keep"]:
        yield _box(left, right, 0, bottom, "open")
        yield Line((left, 0), (right, bottom), "dim")
        yield Line((left, bottom), (right, 0), "dim")
        return
    for y in (0.0, bottom):
        yield Polyline(((left, y), (right, y)), "cut")
    yield from _kept(row, sheet, left, right)


def _kept(row: Mapping[str, Any], sheet: _Sheet, left: float, right: float) -> Iterator[Item]:
    """How much goes to the rack, as far as there is room to say it."""
    figure = number(format_length(float(row["left"]), sheet.tape), (0, 0), sheet.text * 0.9, "number")
    wide, words = number_width(figure), "to rack"
    gap, baseline = 6 * sheet.unit, sheet.high / 2 + sheet.text * 0.33
    if wide + gap > right - left:
        return
    yield _at(figure, left + gap, baseline)
    if wide + 2 * gap + text_width(words, sheet.small) < right - left:
        yield Text((left + 1.6 * gap + wide, baseline), words, sheet.small, "note")


def _at(figure: Number, x: float, y: float) -> Number:
    return replace(figure, at=(x, y))


def _label(cut: _Cut, sheet: _Sheet, hung: int) -> tuple[list[Item], int]:
    """Tag and length in the cut; where both have no room, under it, left of a thread, each in its own row."""
    left, right, gap = sheet.along(cut.low), sheet.along(cut.high), 6 * sheet.unit
    figure = number(cut.length, (0, 0), sheet.text * 0.9, "number")
    tag, wide = text_width(cut.tag, sheet.small), number_width(figure)
    baseline = sheet.high / 2 + sheet.text * 0.33
    if tag + wide + 3.5 * gap < right - left:
        words = Text((left + gap, baseline), cut.tag, sheet.small, "loud")
        return [words, _at(figure, left + 2.2 * gap + tag, baseline)], hung
    row = sheet.high + sheet.text * 1.25 * (hung + 1)
    middle = (left + right) / 2
    start = max(0.0, middle - tag - wide - 1.5 * gap)
    thread = Line((middle, sheet.high + 2), (middle, row - sheet.text * 0.8), "ext")
    words = Text((start, row), cut.tag, sheet.small, "loud")
    return [thread, words, _at(figure, start + gap + tag, row)], hung + 1


def _spoken(cut: _Cut) -> str:
    return f"{cut.tag} {number(cut.length, (0, 0), 1).spoken}"
