"""A run from the points of its centreline, as a building model gives them."""

from __future__ import annotations

import csv
import io
import json
import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice
from typing import Any

from bending.path import centreline
from bending.problems import Problem, Problems
from bending.reading import MOST_PROBLEMS
from bending.reading_corners import LARGEST_CORNER
from bending.reading_features import LEAST_ANGLE
from bending.run import parse
from bending.vectors import Frame, Vector, add, cross, dot, length, scaled

# Inches in one of each unit that models use (exact by the international inch, 25.4 mm, of 1959).
UNITS = {"in": 1.0, "ft": 12.0, "mm": 1 / 25.4, "m": 1000 / 25.4}
MOST_POINTS = 500
FARTHEST = 1e7
# A point this near to the one before it, or to the line between its neighbours, is drawing noise: inches.
SAME_PLACE, ON_LINE = 1e-3, 1e-3
AXES, RADIUS = ("x", "y", "z"), "radius"


@dataclass(frozen=True)
class Imported:
    """``document``: the run/1 document; ``frame``: its first leg's travel, out and left in the model's axes;
    ``origin``: its start there, inches; ``left_out``: numbers (from 0) of the points that say nothing."""

    document: dict[str, Any]
    frame: Frame
    origin: Vector
    left_out: tuple[int, ...]


def from_points(points: Sequence[Sequence[float]], unit: str = "in", **head: Any) -> Imported:
    """The run whose centreline, before its corners are rounded, goes through these points.

    ``points``: 2 to 500 of three finite numbers each, in ``unit`` (in, ft, mm or m): start, every point of
    intersection, end. A fourth number is the radius of the bend there, in the same unit (none: the bender's own; a
    larger one is bent in shots). ``head``: what the run/1 document says beside its path (tag, raceway, size, bender …).
    Legs are measured to centres; every corner is one bend of up to 135 degrees. *Out* of the first leg is up, or along
    +x where it goes straight up or down. Points in the same place, or on the line between their neighbours, are left
    out.

    Raises ``Problems``, each at its point: ``unknown_word``, ``too_few_points``, ``too_many``, ``not_a_point``,
    ``not_finite``, ``not_positive``, ``too_far``, ``angle_too_large``, ``angle_too_small``. Whether its bends have
    room is another question: see ``refuse_misfits``.
    Source: geometry.
    """
    places, left_out = _places(points, unit)
    frame = first_frame(places)
    path: list[dict[str, Any]] = [{"leg": _far(places[0], places[1])}]
    problems: list[Problem] = []
    carried = frame
    for number in range(1, len(places) - 1):
        ahead = scaled(_between(places[number], places[number + 1]), 1 / _far(places[number], places[number + 1]))
        angle, turn = _corner(carried, ahead)
        problems += _angle_problems(angle, number, left_out)
        carried = carried.carried(angle, turn)._replace(t=ahead)
        radius = _radius(points[_original(number, left_out)], unit)
        corner = {"corner": angle, "turn": turn} | ({} if radius is None else {"radius": radius})
        path += [corner, {"leg": _far(places[number], places[number + 1])}]
    if problems:
        raise Problems(problems)
    document = {**head, "format": "run/1", "measure": "centre", "path": path}
    return Imported(document, frame, places[0], tuple(left_out))


def refuse_misfits(found: Imported) -> None:
    """Raises ``Problems`` where this run can't be read, or can't be bent with a bender that is given by its numbers,
    each at its point. A bender's name is the reader's to know."""
    try:
        centreline(parse(found.document))
    except Problems as problems:
        named = isinstance(found.document.get("bender"), str)
        faults = [one for one in problems.problems if not (named and one.code == "unknown_bender")]
        if faults:
            raise Problems(Problem(_point_at(one.at, found.left_out), one.code, one.text) for one in faults) from None


def _point_at(place: str, left_out: Sequence[int]) -> str:
    """The point of a place in the run's path: a leg's is where it begins."""
    step = re.match(r"path\[(\d+)\]", place)
    return f"points[{_original((int(step[1]) + 1) // 2, left_out)}]" if step else place


def first_frame(places: Sequence[Vector]) -> Frame:
    """Travel, out and left of the first leg: out is up, or +x for a leg that goes straight up or down."""
    travel = scaled(_between(places[0], places[1]), 1 / _far(places[0], places[1]))
    for toward in ((0.0, 0.0, 1.0), (1.0, 0.0, 0.0)):
        square = add(toward, travel, -dot(toward, travel))
        if length(square) > 1e-6:
            out = scaled(square, 1 / length(square))
            return Frame(travel, out, cross(out, travel))
    raise AssertionError("a direction lies along up and along +x at once")


def read_csv(text: str) -> list[list[float]]:
    """Points from CSV text: columns headed x, y and z in any order, or without a heading the first three columns. A
    column headed radius makes each point's fourth number, where it isn't empty.

    Raises ``Problems`` (``not_a_point``, ``too_many``), each at its row. Units are the caller's to know.
    """
    rows = list(islice(_rows(text), MOST_POINTS + 2))
    heads = [cell.strip().casefold() for cell in rows[0]] if rows else []
    columns = [heads.index(axis) for axis in AXES] if set(AXES) <= set(heads) else [0, 1, 2]
    radius = heads.index(RADIUS) if RADIUS in heads else None
    body = rows[1:] if rows and not _is_point(rows[0], columns) else rows
    points = [_point(row, columns, radius) for row in body]
    problems = [
        Problem(f"points[{number}]", "not_a_point", f"numbers are needed here, not {','.join(row)[:60]!r}")
        for number, (row, point) in enumerate(zip(body, points, strict=True))
        if point is None
    ]
    if problems:
        raise Problems(problems[:MOST_PROBLEMS])
    return [point for point in points if point is not None]


def _rows(text: str) -> Iterator[list[str]]:
    """The rows that aren't empty; a quote that is never closed makes one long cell, which is no point."""
    try:
        yield from (row for row in csv.reader(io.StringIO(text.lstrip("\ufeff"))) if any(map(str.strip, row)))
    except csv.Error as error:
        raise Problems([Problem("points", "not_csv", f"this isn't CSV: {error}")]) from None


def _point(row: Sequence[str], columns: Sequence[int], radius: int | None) -> list[float] | None:
    """A row's three or four numbers; none if it has no such."""
    if not _is_point(row, columns):
        return None
    if radius is None or radius >= len(row) or not row[radius].strip():
        return [float(row[column]) for column in columns]
    return [float(row[column]) for column in (*columns, radius)] if _is_point(row, (*columns[:2], radius)) else None


def _is_point(row: Sequence[str], columns: Sequence[int]) -> bool:
    try:
        return len([float(row[column]) for column in columns]) == 3
    except (IndexError, ValueError):
        return False


def _places(points: Any, unit: str) -> tuple[list[Vector], list[int]]:
    """Points in inches without those that say nothing, and the numbers of these."""
    if unit not in UNITS:
        raise Problems([Problem("unit", "unknown_word", f"one of {', '.join(UNITS)} is needed here")])
    if not isinstance(points, list | tuple) or len(points) < 2:
        raise Problems([Problem("points", "too_few_points", "a centreline has a start and an end")])
    if len(points) > MOST_POINTS:
        raise Problems([Problem("points", "too_many", f"at most {MOST_POINTS} points; these are {len(points)}")])
    problems = [problem for number, point in enumerate(points) for problem in _point_problems(point, number, unit)]
    if problems:
        raise Problems(problems)
    found = [_scaled(point, unit) for point in points]
    kept = _telling(found)
    if len(kept) < 2:
        raise Problems([Problem("points", "too_few_points", "these points all lie in one place")])
    return [found[number] for number in kept], [number for number in range(len(found)) if number not in kept]


def _point_problems(point: Any, number: int, unit: str) -> Iterator[Problem]:
    at = f"points[{number}]"
    if isinstance(point, list | tuple) and len(point) == 4 and point[3] is None:
        point = point[:3]
    if not isinstance(point, list | tuple) or len(point) not in (3, 4) or not all(map(_is_number, point)):
        yield Problem(at, "not_a_point", "three numbers are needed here, or four with the bend's radius")
    elif not all(map(_is_finite, point)):
        yield Problem(at, "not_finite", "a place is three finite numbers")
    elif max(map(abs, point)) * UNITS[unit] > FARTHEST:
        yield Problem(at, "too_far", f"a place lies at most {FARTHEST:g} in from the model's origin")
    elif len(point) == 4 and point[3] <= 0:
        yield Problem(at, "not_positive", "a bend's radius is more than 0")


def _is_finite(value: float) -> bool:
    """Whether it is a number that a float can hold; whole numbers may be longer than that."""
    try:
        return math.isfinite(value)
    except OverflowError:
        return False


def _radius(point: Sequence[float | None], unit: str) -> float | None:
    """The fourth number of a point, in inches."""
    radius = point[3] if len(point) == 4 else None
    return None if radius is None else radius * UNITS[unit]


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _scaled(point: Sequence[float], unit: str) -> Vector:
    x, y, z = point[:3]
    return x * UNITS[unit], y * UNITS[unit], z * UNITS[unit]


def _telling(places: Sequence[Vector]) -> list[int]:
    """Numbers of the points that aren't where the one before them is, nor on the line between their neighbours."""
    apart = [0]
    for number in range(1, len(places)):
        if _far(places[apart[-1]], places[number]) > SAME_PLACE:
            apart.append(number)
    kept = apart[:1]
    for place, number in enumerate(apart[1:-1], start=1):
        if not _on_line(places[kept[-1]], places[number], places[apart[place + 1]]):
            kept.append(number)
    return kept + apart[1:][-1:]


def _on_line(before: Vector, place: Vector, after: Vector) -> bool:
    one, other = _between(before, place), _between(place, after)
    return dot(one, other) > 0 and length(cross(one, other)) < ON_LINE * length(_between(before, after))


def _corner(frame: Frame, ahead: Vector) -> tuple[float, float]:
    """Angle and turn, in degrees, of the bend that leads from a frame's travel to a direction."""
    across = add(ahead, frame.t, -dot(ahead, frame.t))
    angle = math.degrees(math.atan2(length(across), dot(ahead, frame.t)))
    return angle, math.degrees(math.atan2(dot(across, frame.left), dot(across, frame.u)))


def _angle_problems(angle: float, number: int, left_out: Sequence[int]) -> Iterator[Problem]:
    at = f"points[{_original(number, left_out)}]"
    if angle > LARGEST_CORNER:
        words = f"the line turns {angle:.4g} degrees here: one bend turns at most {LARGEST_CORNER:g}"
        yield Problem(at, "angle_too_large", words)
    elif angle < LEAST_ANGLE:
        words = f"the line turns only {angle:.3g} degrees here: leave the point out, or turn at least {LEAST_ANGLE:g}"
        yield Problem(at, "angle_too_small", words)


def _original(number: int, left_out: Sequence[int]) -> int:
    """The number of a kept point among all of them."""
    for gone in left_out:
        if gone <= number:
            number += 1
    return number


def _between(one: Vector, other: Vector) -> Vector:
    return add(other, one, -1.0)


def _far(one: Vector, other: Vector) -> float:
    return length(_between(one, other))


def of_document(document: Mapping[str, Any]) -> dict[str, Any]:
    """The command line's: ``{"points": [[x, y, z], …], "unit": "mm", "tag": …, "raceway": …, …}`` to a run/1 document.

    Raises ``Problems`` as ``from_points`` and ``refuse_misfits`` do.
    """
    if not isinstance(document, Mapping):
        raise Problems([Problem("", "not_an_object", "an object with points is needed here")])
    return imported(document).document


def of_csv(text: str, options: Mapping[str, str]) -> Imported:
    """CSV text with the command line's options beside it: unit, tag, raceway, size, bender (a name, or its numbers as
    JSON). Raises ``Problems`` as ``read_csv`` and ``of_document`` do."""
    bender = options.get("bender", "")
    head: dict[str, Any] = {**options, "points": read_csv(text)}
    if bender.lstrip().startswith("{"):
        try:
            head["bender"] = json.loads(bender)
        except (ValueError, RecursionError) as error:
            raise Problems([Problem("bender", "not_json", f"this isn't JSON: {error}")]) from None
    return imported(head)


def imported(document: Mapping[str, Any]) -> Imported:
    """As ``of_document``, with the points that were left out and where the run lies in the model."""
    head = {key: value for key, value in document.items() if key not in ("format", "points", "unit", "path")}
    found = from_points(document.get("points", []), str(document.get("unit", "in")), **head)
    refuse_misfits(found)
    return found
