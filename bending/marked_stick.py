"""A marked stick as it is written in a layout: everything wrong with it is found before anything is folded.

It belongs to the folder, and shares nothing with what makes the marks.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from bending.lengths import LengthError, parse_length
from bending.problems import Problem, Problems

HOOKED_MARKS = ("arrow", "notch", "star")
MARKS = (*HOOKED_MARKS, "centre")
ENDS = ("start", "end")
LARGEST_ANGLE = 180.0
LONGEST_STICK = 1e5


@dataclass(frozen=True)
class Shoe:
    """The bender, as far as a stick feels it: inches."""

    radius: float
    arrow_lead: float
    outside_diameter: float

    def lead(self, mark: str) -> float:
        """How far past the mark, away from the hook, the bend begins (inches, may be negative). Raises ``ValueError``
        for a mark without a hook side."""
        if mark == "arrow":
            return self.arrow_lead
        if mark == "notch":
            return -self.radius * math.radians(45) / 2
        if mark == "star":
            return -(self.radius * math.radians(90) - self.radius - self.outside_diameter / 2)
        raise ValueError(f"a {mark} mark has no hook side")

    def back(self, angle: float) -> float:
        """From a bend's end to its own back, along the straight beside it, for an angle in degrees."""
        return (self.radius + self.outside_diameter / 2) * math.tan(math.radians(angle) / 2)


@dataclass(frozen=True)
class Mark:
    """One pencil mark with what the hand does at it; lengths in inches, angles in degrees."""

    step: int
    station: float
    text: str | None
    measured_from: str
    mark: str
    hook: str
    angle: float
    roll: float
    feature: str | None


@dataclass(frozen=True)
class Crossing:
    """A bought part after a piece: straight on, round, and straight on again. A radius of 0 turns on the spot.
    Inches and degrees."""

    before: float
    angle: float
    roll: float
    radius: float
    after: float
    at: str | None


@dataclass(frozen=True)
class Stick:
    """A cut stick before the first bend, and what stands after it: inches."""

    length: float
    cut: str | None
    gap: float
    marks: tuple[Mark, ...]
    then: Crossing | None


def step_named(measured_from: str) -> int:
    """The step in ``back of step n``; -1 in any other words."""
    words = measured_from.split()
    return int(words[-1]) if words[:3] == ["back", "of", "step"] and words[-1].isdigit() else -1


@dataclass
class _Reader:
    """Collects the faults of a document while it is read."""

    problems: list[Problem] = field(default_factory=list)

    def fault(self, at: str, code: str, text: str) -> None:
        self.problems.append(Problem(at, code, text))

    def number(self, value: Any, at: str, least: float = -LONGEST_STICK, most: float = LONGEST_STICK) -> float:
        if isinstance(value, bool) or not isinstance(value, int | float):
            self.fault(at, "not_a_number", "a number is needed here")
        elif not least <= value <= most:
            self.fault(at, "out_of_range", f"a number from {least:g} to {most:g} is needed here")
        else:
            return float(value)
        return 1.0

    def word(self, value: Any, at: str, words: Sequence[str]) -> str:
        if value in words and isinstance(value, str):
            return value
        self.fault(at, "unknown_word", f"one of {', '.join(words)} is needed here")
        return words[0]

    def mapping(self, value: Any, at: str) -> Mapping[str, Any]:
        if isinstance(value, Mapping):
            return value
        self.fault(at, "not_an_object", "an object is needed here")
        return {}

    def items(self, value: Any, at: str) -> Iterator[tuple[str, Mapping[str, Any]]]:
        if not isinstance(value, list | tuple):
            self.fault(at, "not_a_list", "a list is needed here")
            return
        for index, item in enumerate(value):
            place = f"{at}[{index}]"
            yield place, self.mapping(item, place)

    def length_text(self, value: Any, at: str) -> str | None:
        if value is None:
            return None
        try:
            parse_length(str(value))
        except LengthError as error:
            self.fault(at, error.code, error.text)
        return str(value)


def read(layout: Mapping[str, Any]) -> tuple[Shoe, list[Stick]]:
    """The bender and the sticks of a ``layout/1`` document: inches and degrees.

    Raises ``Problems`` with every fault found, each at its place in the layout.
    """
    reader = _Reader()
    document = reader.mapping(layout, "")
    reader.word(document.get("format"), "format", ("layout/1",))
    shoe = _read_shoe(reader, reader.mapping(document.get("bender"), "bender"))
    if not isinstance(document.get("tag", ""), str):
        reader.fault("tag", "not_text", "text is needed here")
    sticks = [_read_stick(reader, piece, at) for at, piece in reader.items(document.get("pieces"), "pieces")]
    if reader.problems:
        raise Problems(tuple(reader.problems))
    return shoe, sticks


def _read_shoe(reader: _Reader, bender: Mapping[str, Any]) -> Shoe:
    return Shoe(
        radius=reader.number(bender.get("radius"), "bender.radius", least=1e-3),
        arrow_lead=reader.number(bender.get("arrow_lead", 0), "bender.arrow_lead"),
        outside_diameter=reader.number(bender.get("outside_diameter"), "bender.outside_diameter", least=1e-3),
    )


def _read_stick(reader: _Reader, piece: Mapping[str, Any], at: str) -> Stick:
    marks = tuple(_read_mark(reader, mark, place) for place, mark in reader.items(piece.get("marks"), f"{at}.marks"))
    if len({mark.step for mark in marks}) != len(marks):
        reader.fault(f"{at}.marks", "step_twice", "two marks have the same step")
    return Stick(
        length=reader.number(piece.get("cut_length"), f"{at}.cut_length", least=0),
        cut=reader.length_text(piece.get("cut"), f"{at}.cut"),
        gap=reader.number(piece.get("gap", 0), f"{at}.gap"),
        marks=marks,
        then=None if piece.get("then") is None else _read_then(reader, piece["then"], f"{at}.then"),
    )


def _read_then(reader: _Reader, value: Any, at: str) -> Crossing:
    then = reader.mapping(value, at)
    angle = 0.0 if then.get("angle", 0) == 0 else _read_angle(reader, then["angle"], f"{at}.angle")
    named = then.get("at")
    return Crossing(
        before=reader.number(then.get("before"), f"{at}.before"),
        angle=angle,
        roll=reader.number(then.get("roll", 0), f"{at}.roll", least=-360, most=360),
        radius=reader.number(then.get("radius", 0), f"{at}.radius", least=0),
        after=reader.number(then.get("after"), f"{at}.after"),
        at=None if named is None else str(named),
    )


def _read_mark(reader: _Reader, mark: Mapping[str, Any], at: str) -> Mark:
    kind = reader.word(mark.get("mark"), f"{at}.mark", MARKS)
    measured_from = mark.get("from", "start")
    if measured_from not in ENDS and step_named(str(measured_from)) < 0:
        reader.fault(f"{at}.from", "unknown_word", "start, end or back of step n is needed here")
    feature = mark.get("feature")
    return Mark(
        step=int(reader.number(mark.get("step"), f"{at}.step", least=1)),
        station=reader.number(mark.get("station"), f"{at}.station"),
        text=reader.length_text(mark.get("text"), f"{at}.text"),
        measured_from=str(measured_from),
        mark=kind,
        hook=reader.word(mark.get("hook"), f"{at}.hook", ("none",) if kind == "centre" else ENDS),
        angle=_read_angle(reader, mark.get("angle"), f"{at}.angle"),
        roll=reader.number(mark.get("roll"), f"{at}.roll", least=-360, most=360),
        feature=None if feature is None else str(feature),
    )


def _read_angle(reader: _Reader, value: Any, at: str) -> float:
    angle = reader.number(value, at, least=0, most=LARGEST_ANGLE)
    if angle in (0, LARGEST_ANGLE):
        reader.fault(at, "out_of_range", "more than 0 and less than 180 degrees is needed here")
        return 1.0
    return angle
