"""What a drawing is made of. Places are (x, y) in px or pt, x to the right, y down, from the top left corner."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace

Point = tuple[float, float]

# Widths of the shop's typeface as shares of its size, for fitting only: drawers measure for themselves.
DIGIT, PRIME, STROKE, GAP = 0.543, 0.36, 0.104, 0.15
NARROW, WIDE, CAPITAL, USUAL = "iljftr.,:;'()| ", "mwMW", 0.63, 0.54


@dataclass(frozen=True)
class Line:
    """A straight line."""

    start: Point
    end: Point
    style: str


@dataclass(frozen=True)
class Polyline:
    """An open line through points."""

    points: tuple[Point, ...]
    style: str


@dataclass(frozen=True)
class Polygon:
    """A closed area."""

    points: tuple[Point, ...]
    style: str


@dataclass(frozen=True)
class Circle:
    """A circle, filled if its pen fills."""

    centre: Point
    radius: float
    style: str


@dataclass(frozen=True)
class Tube:
    """A length of pipe along a line: body and both edges, open at its ends; `width` is over the edges' middles."""

    points: tuple[Point, ...]
    width: float
    style: str


@dataclass(frozen=True)
class Text:
    """Words on one baseline; `anchor` is start, middle or end."""

    at: Point
    words: str
    size: float
    style: str = "text"
    anchor: str = "start"


@dataclass(frozen=True)
class Number:
    """A number set as the trade reads it: whole at full size, numerator raised, stroke, denominator on the line.

    `before` is a sign such as +. The unit closes it up: ″ by default, ° for an angle, " mm" for metric.
    """

    at: Point
    whole: str
    numerator: str
    denominator: str
    size: float
    style: str = "number"
    anchor: str = "start"
    unit: str = "″"
    before: str = ""

    @property
    def spoken(self) -> str:
        """The number as a screen reader should say it."""
        fraction = f"{self.numerator}/{self.denominator}" if self.numerator else ""
        units = {"″": "inches", "°": "degrees", " mm": "millimetres"}
        words = (self.before, self.whole, fraction, units.get(self.unit, self.unit.strip()))
        return " ".join(word for word in words if word)


Item = Line | Polyline | Polygon | Circle | Tube | Text | Number


@dataclass(frozen=True)
class Drawing:
    """A picture: size in px (screen) or pt (paper), its items in painting order, and what it shows in words."""

    width: float
    height: float
    items: tuple[Item, ...]
    medium: str = "screen"
    words: str = ""


def number(words: str, at: Point, size: float, style: str = "number", anchor: str = "start") -> Number:
    """Set a written length or angle, such as 98 13/16", 3/8", 22.5° or 1588 mm, as a number."""
    found = re.fullmatch(r"\s*([+-]?)(\d*\.?\d*)\s*(?:\b(\d+)/(\d+))?\s*(\"|″|°| ?mm)?\s*", words)
    if not found:
        return Number(at, words, "", "", size, style, anchor, unit="")
    before, whole, numerator, denominator, unit = found.groups(default="")
    if unit == "°" and whole.endswith(".5"):
        whole, numerator, denominator = whole[:-2].removeprefix("0"), "1", "2"
    unit = {'"': "″", "mm": " mm"}.get(unit, unit)
    return Number(at, whole, numerator, denominator, size, style, anchor, unit, before)


def angle_number(degrees: float, at: Point, size: float, style: str = "number", anchor: str = "start") -> Number:
    """Set an angle in degrees; halves as a fraction, anything finer to a tenth."""
    return number(f"{round(degrees, 1):g}°", at, size, style, anchor)


def text_width(words: str, size: float) -> float:
    """About how wide words come out, in the unit of `size`."""
    return size * sum(_share(letter) for letter in words)


def _share(letter: str) -> float:
    if letter in NARROW:
        return 0.31
    if letter in WIDE:
        return 0.87
    return CAPITAL if letter.isupper() else USUAL


def number_width(item: Number, fraction: float = 0.75) -> float:
    """About how wide a number comes out, in the unit of its size."""
    width = DIGIT * len(item.before + item.whole)
    if item.numerator:
        width += GAP * bool(item.whole) + STROKE + fraction * DIGIT * len(item.numerator + item.denominator)
    return item.size * (width + (PRIME if item.unit in ("″", "°") else 0.6 * len(item.unit)))


def shifted(items: Iterable[Item], right: float, down: float) -> tuple[Item, ...]:
    """The same items somewhere else."""
    return tuple(_shift(item, right, down) for item in items)


def _shift(item: Item, right: float, down: float) -> Item:
    def to(point: Point) -> Point:
        return point[0] + right, point[1] + down

    if isinstance(item, Line):
        return replace(item, start=to(item.start), end=to(item.end))
    if isinstance(item, Polyline | Polygon | Tube):
        return replace(item, points=tuple(map(to, item.points)))
    if isinstance(item, Circle):
        return replace(item, centre=to(item.centre))
    return replace(item, at=to(item.at))
