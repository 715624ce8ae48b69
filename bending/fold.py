"""Fold a marked stick: what a hand gets who bends every mark as it is written.

Written from the stick's point of view. It knows a straight stick, its marks and a bender, and nothing of legs,
corners or features: so it can contradict the layout that made the marks.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from bending.lengths import parse_length
from bending.marked_stick import Mark, Shoe, Stick, read, step_named
from bending.problems import Problem, Problems

Vector = tuple[float, float, float]

# Two bends may touch, and a stick's stations are sums of a dozen floats.
TOUCHING = 1e-6
# Pencilled marks may close a straight by one tape step at each end and still be the same piece.
TOUCHING_ROUNDED = 0.13


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
    shoe, sticks = read(layout)
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
    first = made.get(step_named(mark.measured_from))
    if first is None:
        raise Problems((Problem(f"{at}.from", "unknown_step", "this mark is measured from a bend not yet made"),))
    back = shoe.back(first.mark.angle)
    # The side that the mark lies on of the bend itself: the mark that made it may stand on either.
    if mark.station > (first.low + first.high) / 2:
        return first.high - back + distance
    return first.low + back - distance


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
