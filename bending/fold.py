"""Fold a marked stick: what a hand gets who bends every mark as it is written.

Written from the stick's point of view. It knows a straight stick, its marks and a bender, and nothing of legs,
corners or features: so it can contradict the layout that made the marks.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from bending.lengths import LengthError, parse_length
from bending.problems import Problem, Problems

Vector = tuple[float, float, float]

HOOKED_MARKS = ("arrow", "notch", "star")
MARKS = (*HOOKED_MARKS, "centre")
ENDS = ("start", "end")
LARGEST_ANGLE = 180.0
LONGEST_STICK = 1e5
# Two bends may touch, and a stick's stations are sums of a dozen floats.
TOUCHING = 1e-6
# Pencilled marks may close a straight by one tape step at each end and still be the same piece.
TOUCHING_ROUNDED = 0.13


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


@dataclass(frozen=True)
class Stretch:
    """The part of a stick, from `low` to `high` in inches, that one bend uses up."""

    low: float
    high: float
    mark: Mark


@dataclass(frozen=True)
class Frame:
    """Where the walker stands: his place, the way ahead, and the scribed top line."""

    place: Vector = (0.0, 0.0, 0.0)
    ahead: Vector = (1.0, 0.0, 0.0)
    top: Vector = (0.0, 0.0, 1.0)

    def walk(self, distance: float) -> Frame:
        """The frame so many inches ahead, straight on."""
        return Frame(_add(self.place, self.ahead, distance), self.ahead, self.top)

    def toward(self, roll: float) -> Vector:
        """The direction `roll` degrees from the top line toward the left line."""
        angle = math.radians(roll)
        return _blend(self.top, math.cos(angle), _cross(self.top, self.ahead), math.sin(angle))

    def round(self, radius: float, angle: float, roll: float) -> Frame:
        """The frame after a bend of `angle` degrees whose inside is the line at `roll` degrees."""
        inside, turn = self.toward(roll), math.radians(angle)
        sine, cosine = math.sin(turn), math.cos(turn)
        place = _add(_add(self.place, self.ahead, radius * sine), inside, radius * (1 - cosine))
        # Each time to a unit's length and square again: errors of the last figure would double every few bends.
        ahead = _unit(_blend(self.ahead, cosine, inside, sine))
        # The part of the top line in the bend's plane swings with it; the part square to the plane stays.
        share = _dot(self.top, inside)
        swung = _blend(inside, cosine, self.ahead, -sine)
        top = _add(_add(self.top, inside, -share), swung, share)
        return Frame(place, ahead, _unit(_add(top, ahead, -_dot(top, ahead))))


def fold(layout: Mapping[str, Any], rounded: bool = False) -> dict[str, Any]:
    """Fold a layout/1 document into a fold/1 document.

    Every piece lies in the starting frame of the run: origin (0, 0, 0), travel +x, top line +z, left +y. A piece
    goes on in line from the one before it, across that piece's `gap`, or round the bought part in its `then`.
    `points` are the start, each point of intersection and the end, in inches; `bends` adds each bend's ends.

    With `rounded`, the stick is cut and marked as pencilled (`cut` and `text`), not at the exact stations.

    Raises `Problems` with every fault found, each at its place in the layout.
    Source: geometry of a circular bend; meaning of the marks in NOMENCLATURE.md.
    """
    shoe, sticks = _read(layout)
    frame, pieces = Frame(), []
    for number, stick in enumerate(sticks):
        length, stretches = _lay_out(stick, shoe, rounded, f"pieces[{number}]")
        piece, frame = _walk(length, stretches, shoe, frame)
        frame, crossed = _cross_over(stick, frame)
        pieces.append({**piece, **crossed})
    return {"format": "fold/1", "tag": layout.get("tag", ""), "pieces": pieces}


def fold_stick(stick: Stick, shoe: Shoe) -> dict[str, Any]:
    """The points, length and bends of one stick by its exact marks, as ``fold`` gives a piece; inches and degrees.

    For marks that are numbers already. Raises `Problems` where bends run into each other or off the stick.
    """
    length, stretches = _lay_out(stick, shoe, False, "pieces[0]")
    return _walk(length, stretches, shoe, Frame())[0]


def _walk(length: float, stretches: Sequence[Stretch], shoe: Shoe, frame: Frame) -> tuple[dict[str, Any], Frame]:
    """Walk one stick from its start, turning at every bend."""
    points, bends, here = [list(frame.place)], [], 0.0
    for stretch in stretches:
        frame = frame.walk(stretch.low - here)
        after = frame.round(shoe.radius, stretch.mark.angle, stretch.mark.roll)
        bends.append(_bend(stretch, shoe, frame, after))
        points.append(bends[-1]["pi"])
        frame, here = after, stretch.high
    frame = frame.walk(length - here)
    points.append(list(frame.place))
    return {"points": points, "length": length, "bends": bends}, frame


def _cross_over(stick: Stick, frame: Frame) -> tuple[Frame, dict[str, Any]]:
    """The frame at the next piece's start, and the bought part between them if there is one."""
    then = stick.then
    if then is None:
        return frame.walk(stick.gap), {}
    before = frame.walk(then.before)
    after = before.round(then.radius, then.angle, then.roll)
    pi = before.walk(then.radius * math.tan(math.radians(then.angle) / 2)).place
    turn = {"start": list(before.place), "pi": list(pi), "end": list(after.place), "angle": then.angle}
    turn |= {"roll": then.roll, "radius": then.radius, "feature": then.at}
    return after.walk(then.after), {"then": turn}


def _bend(stretch: Stretch, shoe: Shoe, before: Frame, after: Frame) -> dict[str, Any]:
    mark = stretch.mark
    tangent = shoe.radius * math.tan(math.radians(mark.angle) / 2)
    return {
        "step": mark.step,
        "feature": mark.feature,
        "start": list(before.place),
        "pi": list(before.walk(tangent).place),
        "end": list(after.place),
        "angle": mark.angle,
        "roll": mark.roll,
        "radius": shoe.radius,
        "stations": [stretch.low, stretch.high],
    }


def _lay_out(stick: Stick, shoe: Shoe, rounded: bool, at: str) -> tuple[float, list[Stretch]]:
    """The stick's length and the stretches its bends use up, in the order that they lie along it."""
    length = parse_length(stick.cut) if rounded and stick.cut else stick.length
    made: dict[int, Stretch] = {}
    for index, mark in enumerate(stick.marks):
        station = _pencilled(mark, length, made, shoe, f"{at}.marks[{index}]") if rounded else mark.station
        low = _low(mark, station, shoe)
        made[mark.step] = Stretch(low, low + shoe.radius * math.radians(mark.angle), mark)
    stretches = sorted(made.values(), key=lambda stretch: stretch.low)
    _check_room(length, stretches, TOUCHING_ROUNDED if rounded else TOUCHING, at)
    return length, stretches


def _low(mark: Mark, station: float, shoe: Shoe) -> float:
    """Where along the stick the bend of a mark begins, seen from the stick's start."""
    arc = shoe.radius * math.radians(mark.angle)
    if mark.mark == "centre":
        return station - arc / 2
    if mark.hook == "start":
        return station + shoe.lead(mark.mark)
    return station - shoe.lead(mark.mark) - arc


def _pencilled(mark: Mark, length: float, made: Mapping[int, Stretch], shoe: Shoe, at: str) -> float:
    """The station of a mark as the hand pencils it, measured as the ticket says."""
    if mark.text is None:
        raise Problems((Problem(f"{at}.text", "missing", "say what is pencilled at this mark"),))
    distance = parse_length(mark.text)
    if mark.measured_from == "start":
        return distance
    if mark.measured_from == "end":
        return length - distance
    first = made.get(_step_named(mark.measured_from))
    if first is None:
        raise Problems((Problem(f"{at}.from", "unknown_step", "this mark is measured from a bend not yet made"),))
    back = shoe.back(first.mark.angle)
    # The side that the mark lies on of the bend itself: the mark that made it may stand on either.
    if mark.station > (first.low + first.high) / 2:
        return first.high - back + distance
    return first.low + back - distance


def _step_named(measured_from: str) -> int:
    words = measured_from.split()
    return int(words[-1]) if words[:3] == ["back", "of", "step"] and words[-1].isdigit() else -1


def _check_room(length: float, stretches: Sequence[Stretch], slack: float, at: str) -> None:
    """Refuse a stick whose bends run into each other or off its ends."""
    problems, here, last = [], 0.0, "the start of the stick"
    for stretch in stretches:
        if stretch.low < here - slack:
            text = f"bend {stretch.mark.step} runs {here - stretch.low:.3f} in into {last}"
            problems.append(Problem(f"{at}.marks", "overlap", text))
        here, last = stretch.high, f"bend {stretch.mark.step}"
    if here > length + slack:
        problems.append(Problem(f"{at}.marks", "off_the_end", f"{last} ends {here - length:.3f} in past the stick"))
    if problems:
        raise Problems(tuple(problems))


# Reading a layout: everything wrong is found before anything is folded.


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


def _read(layout: Mapping[str, Any]) -> tuple[Shoe, list[Stick]]:
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
    if measured_from not in ENDS and _step_named(str(measured_from)) < 0:
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


# Three numbers at a time.


def _add(place: Vector, direction: Vector, distance: float) -> Vector:
    return (
        place[0] + direction[0] * distance,
        place[1] + direction[1] * distance,
        place[2] + direction[2] * distance,
    )


def _blend(first: Vector, share: float, second: Vector, other_share: float) -> Vector:
    return _add((first[0] * share, first[1] * share, first[2] * share), second, other_share)


def _unit(one: Vector) -> Vector:
    size = math.sqrt(_dot(one, one))
    return one[0] / size, one[1] / size, one[2] / size


def _dot(first: Vector, second: Vector) -> float:
    return first[0] * second[0] + first[1] * second[1] + first[2] * second[2]


def _cross(first: Vector, second: Vector) -> Vector:
    return (
        first[1] * second[2] - first[2] * second[1],
        first[2] * second[0] - first[0] * second[2],
        first[0] * second[1] - first[1] * second[0],
    )
