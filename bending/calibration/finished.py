"""What measured pieces say of the bender that made them: its radius, its arrow lead, and how far its angles are off."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from bending.bender import Profile
from bending.calibration.bends import AT_FAR_LEG, AT_STUB, Readings
from bending.calibration.fit import Fit, Matrix, fit, told_apart
from bending.features import Feature, Kick, Saddle3
from bending.fold import fold
from bending.layout import layout_of_run
from bending.path import CornerLine, LegLine, Path, centreline
from bending.problems import Problem, Problems
from bending.reading import Reader
from bending.run import Run, parse
from bending.vectors import Vector, add, cross, dot, length, scaled

MOST_PIECES, MOST_MEASURED = 50, 50
FOUND = ("radius", "arrow_lead", "angle_error")
# How far a reading may be off and still be of this piece: beyond it somebody measured something else.
FARTHEST, FARTHEST_ANGLE = 6.0, 20.0
_STEPS = np.array([1e-3, 1e-3, 1e-4])
_ROUNDS = 20

# (radius, arrow lead, share of every angle): what a dimension comes to on a piece bent with these.
Said = Callable[["Shape"], float]


@dataclass(frozen=True)
class Measured:
    """One finished piece: its run/1 document, with the bender that it was marked for, and what was read off it.

    ``readings``: a dimension's place in the document (``path[0].leg``, ``….rise``, ``path[1].corner``, ``….angle``)
    with the length in inches, or the angle in degrees. A leg is told between its own references, as it was asked for.
    """

    document: Mapping[str, Any]
    readings: tuple[tuple[str, float], ...]


@dataclass(frozen=True)
class Bender:
    """Radius and arrow lead in inches as the pieces say, ``angle_error`` in degrees at a 90: every angle comes out
    too large by that share. ``was``: radius and lead that the pieces were marked for. Errors are standard errors."""

    radius: float
    arrow_lead: float
    angle_error: float
    was: tuple[float, float]
    errors: Mapping[str, float]
    residuals: tuple[float, ...]
    scatter: float | None
    freedom: int

    def as_json(self) -> dict[str, Any]:
        """``radius``, ``arrow_lead``, ``angle_error``, ``errors``, ``residuals``, ``scatter``, ``freedom``."""
        return {
            **{name: round(getattr(self, name), 6) for name in FOUND},
            "errors": {name: round(error, 6) for name, error in self.errors.items()},
            "residuals": [round(one, 6) for one in self.residuals],
            "scatter": None if self.scatter is None else round(self.scatter, 4),
            "freedom": self.freedom,
        }


@dataclass(frozen=True)
class Shape:
    """A folded piece: its points, the angle of each bend in radians, and the shoe's radius and tube's diameter, in."""

    points: tuple[Vector, ...]
    angles: tuple[float, ...]
    radius: float
    diameter: float

    def straight(self, number: int) -> Vector:
        """Unit vector from point ``number`` to the next."""
        way = add(self.points[number + 1], self.points[number], -1.0)
        return scaled(way, 1 / length(way))


def from_pieces(
    pieces: Sequence[Measured],
    find: Sequence[str] = FOUND,
    readings: Readings | None = None,
    profiles: Mapping[str, Profile] | None = None,
) -> Bender:
    """The bender that explains what was measured on these pieces best. They were all made on one.

    Inches and degrees. ``find``: which of radius, arrow_lead and angle_error to look for; the others stay as they
    were. Every piece is folded from its pencilled marks. Raises ``Problems``: ``too_few``, ``two_benders``,
    ``not_measurable``, ``far_off``, ``one_piece_only``, ``not_told_apart``, and what a run is refused for.
    Source: least squares over folded sticks.
    """
    said = [_Said(piece, number, profiles) for number, piece in enumerate(pieces)]
    seen = np.array([value for one in said for value in one.seen])
    free = [FOUND.index(name) for name in FOUND if name in find]
    if len(seen) < max(1, len(free)):
        words = f"{len(free)} things are looked for, and {len(seen)} dimensions were measured"
        raise Problems([Problem("pieces", "too_few", words)])
    begun = _one_bender(said)
    _refuse_far_off(said, begun)
    errors = np.diag([one**2 for each in said for one in each.errors(readings or Readings())])
    return _bender(_settle(said, seen, begun, free, errors), begun, free)


def _settle(
    said: Sequence[_Said], seen: Matrix, begun: Matrix, free: Sequence[int], errors: Matrix
) -> tuple[Matrix, Fit]:
    """Least squares again and again about the last answer, until it stays."""
    here = begun.copy()
    for _ in range(_ROUNDS):
        matrix = _slopes(said, here, free)
        if not told_apart(matrix):
            words = "these dimensions don't tell what is looked for apart: measure others too, or look for less"
            raise Problems([Problem("pieces", "not_told_apart", words)])
        found = fit(matrix, seen - _all(said, here), errors)
        here[free] += found.values
        if max(map(abs, found.values)) < 1e-9:
            return here, found
    words = "these dimensions contradict each other: no bender makes them all"
    raise Problems([Problem("pieces", "not_told_apart", words)])


def _slopes(said: Sequence[_Said], here: Matrix, free: Sequence[int]) -> Matrix:
    columns = []
    for number in free:
        step = np.zeros(3)
        step[number] = _STEPS[number]
        columns.append((_all(said, here + step) - _all(said, here - step)) / (2 * _STEPS[number]))
    return np.column_stack(columns)


def _all(said: Sequence[_Said], bender: Matrix) -> Matrix:
    return np.array([value for one in said for value in one.of(bender)])


def _one_bender(said: Sequence[_Said]) -> Matrix:
    """Radius and lead that every piece was marked for; no error of the angle yet."""
    benders = {(one.run.profile.radius, one.run.profile.arrow_lead, one.run.raceway, one.run.size) for one in said}
    if len(benders) != 1:
        raise Problems([Problem("pieces", "two_benders", "measure pieces that were marked for one bender")])
    radius, lead, *_ = benders.pop()
    return np.array([radius, lead, 0.0])


def _refuse_far_off(said: Sequence[_Said], begun: Matrix) -> None:
    problems = []
    for one in said:
        for (at, place, *_), value, seen in zip(one.wanted, one.of(begun), one.seen, strict=True):
            if abs(value - seen) > (FARTHEST_ANGLE if _is_angle(place) else FARTHEST):
                words = f"this was laid out as {value:.4g} and can't have come out as {seen:.4g}: measure it again"
                problems.append(Problem(at, "far_off", words))
    if problems:
        raise Problems(problems)


def _bender(settled: tuple[Matrix, Fit], begun: Matrix, free: Sequence[int]) -> Bender:
    here, found = settled
    errors = {FOUND[number]: found.error(*np.eye(len(free))[place]) for place, number in enumerate(free)}
    if "angle_error" in errors:
        errors["angle_error"] *= 90
    if free[:2] == [0, 1]:
        rest = [0.0] * (len(free) - 2)
        errors |= {"stub": found.error(*AT_STUB, *rest), "far_leg": found.error(*AT_FAR_LEG, *rest)}
    radius, lead, share = (float(one) for one in here)
    was = (float(begun[0]), float(begun[1]))
    return Bender(radius, lead, share * 90, was, errors, found.residuals, found.scatter, found.freedom)


class _Said:
    """What one piece's dimensions come to on a bender."""

    def __init__(self, piece: Measured, number: int, profiles: Mapping[str, Profile] | None) -> None:
        at = f"pieces[{number}]"
        try:
            self.run = parse(piece.document, profiles)
            self.path = centreline(self.run)
            self.laid = layout_of_run(piece.document, profiles)
        except Problems as problems:
            raise Problems(Problem(f"{at}.run.{one.at}", one.code, one.text) for one in problems.problems) from None
        if len(self.laid["pieces"]) != 1:
            raise Problems([Problem(f"{at}.run", "one_piece_only", "measure a run that is one piece of pipe")])
        self.seen = [value for _, value in piece.readings]
        self.wanted = [
            (f"{at}.measured[{count}]", place, _dimension(self.run, self.path, place, f"{at}.measured[{count}].at"))
            for count, (place, _) in enumerate(piece.readings)
        ]

    def errors(self, readings: Readings) -> Iterator[float]:
        """The standard error of each reading: inches or degrees."""
        for _, place, _ in self.wanted:
            yield readings.angle if _is_angle(place) else readings.length

    def of(self, bender: Matrix) -> list[float]:
        """Each dimension, of the piece folded from its pencilled marks on this bender."""
        radius, lead, share = (float(one) for one in bender)
        (piece,) = self.laid["pieces"]
        marks = [{**mark, "angle": mark["angle"] * (1 + share)} for mark in piece["marks"]]
        shoe = {**self.laid["bender"], "radius": radius, "arrow_lead": lead}
        (folded,) = fold({**self.laid, "bender": shoe, "pieces": [{**piece, "marks": marks}]}, rounded=True)["pieces"]
        angles = tuple(math.radians(bend["angle"]) for bend in folded["bends"])
        points = tuple((one[0], one[1], one[2]) for one in folded["points"])
        shape = Shape(points, angles, radius, self.run.profile.outside_diameter)
        return [dimension(shape) for _, _, dimension in self.wanted]


def _is_angle(place: str) -> bool:
    return place.endswith((".corner", ".angle"))


def _dimension(run: Run, path: Path, place: str, at: str) -> Said:
    """How a dimension is read off a folded piece; refused where it can't be."""
    leg = re.fullmatch(r"path\[(\d+)\]\.(leg|corner)", place)
    if leg and int(leg[1]) % 2 == (leg[2] == "corner") and int(leg[1]) < 2 * len(run.legs) - 1:
        number = int(leg[1]) // 2
        found = _corner(path, number) if leg[2] == "corner" else _leg(run, path, number)
        if found:
            return found
    for number, one in enumerate(run.legs):
        for feature in one.features:
            if place == f"{feature.at}.rise" and not (isinstance(feature, Kick) and _beside_shots(path, number)):
                return _rise(path, feature, path.lines[number])
            if place == f"{feature.at}.angle":
                return _angle(_first(path, feature) + (1 if isinstance(feature, Saddle3) else 0))
    words = "this run has no leg, rise, corner or angle of that name that a finished piece could be measured by"
    raise Problems([Problem(at, "not_measurable", words)])


def _leg(run: Run, path: Path, number: int) -> Said | None:
    """Along the leg's own line, from reference to reference. Beside a segment bend no tape finds the crossing."""
    leg, line = run.legs[number], path.lines[number]
    if leg.key != "leg" or _beside_shots(path, number):
        return None
    first, last, bends = line.first, line.last, len(path.bends)
    along = last if leg.kick("start") else first + 1
    shorts = (line.begins if first < 0 else 0.0) + (leg.length - line.ends if last == bends else 0.0)
    backs = [(first, leg.from_reference, leg.kick("start")), (last, leg.to_reference, leg.kick("end"))]
    signed = [(bend, {"back": 1.0, "inside": -1.0}.get(to, 0.0), bool(kick)) for bend, to, kick in backs]

    def said(shape: Shape) -> float:
        between = dot(add(shape.points[last + 1], shape.points[first + 1], -1.0), shape.straight(along))
        return between + shorts + sum(sign * _back(shape, bend, kicked) for bend, sign, kicked in signed if sign)

    return said


def _beside_shots(path: Path, leg: int) -> bool:
    return any(corner.shots > 1 for corner in path.corners[max(0, leg - 1) : leg + 1])


def _back(shape: Shape, bend: int, kicked: bool) -> float:
    """From a corner's point of intersection to its back; a kicked corner's leg is measured to a plumb stub."""
    return shape.diameter / 2 * (1.0 if kicked else math.tan(shape.angles[bend] / 2))


def _corner(path: Path, number: int) -> Said | None:
    corner: CornerLine = path.corners[number]
    return _angle(corner.first) if corner.shots == 1 else None


def _angle(bend: int) -> Said:
    return lambda shape: math.degrees(shape.angles[bend])


def _first(path: Path, feature: Feature) -> int:
    return next(number for number, bend in enumerate(path.bends) if bend.at == feature.at)


def _rise(path: Path, feature: Feature, line: LegLine) -> Said:
    """How far the pipe comes off its line over the feature's first slope. A kick at a leg's start comes onto it."""
    first = _first(path, feature)
    on_line, slope = (first + 1, first) if getattr(feature, "end", "") == "start" else (first, first + 1)
    share = feature.rise / getattr(feature, "true_rise", feature.rise)
    saddle = isinstance(feature, Saddle3)

    def said(shape: Shape) -> float:
        edge = add(shape.points[slope + 1], shape.points[slope], -1.0)
        rise = length(cross(edge, shape.straight(on_line)))
        dips = shape.radius * (1 / math.cos(shape.angles[first + 1] / 2) - 1) if saddle else 0.0
        return rise * share - dips

    return said


def read_measured(reader: Reader, document: Mapping[str, Any]) -> list[Measured]:
    """The ``pieces`` of a calibration/1 document; faults go to the reader."""
    found = []
    for number, value in enumerate(reader.items(document, "pieces", "", MOST_PIECES)):
        at = f"pieces[{number}]"
        mapping = reader.mapping(value, at, ("run", "measured"))
        if mapping is not None:
            run = reader.mapping(mapping.get("run"), f"{at}.run")
            found.append(Measured(run or {}, tuple(_read_readings(reader, mapping, at))))
    return found


def _read_readings(reader: Reader, mapping: Mapping[str, Any], at: str) -> Iterator[tuple[str, float]]:
    for number, value in enumerate(reader.items(mapping, "measured", at, MOST_MEASURED)):
        place = f"{at}.measured[{number}]"
        one = reader.mapping(value, place, ("at", "value"))
        if one is not None:
            name = reader.text(one, "at", place)
            read = reader.number(one, "value", place, 1, 180) if _is_angle(name) else reader.length(one, "value", place)
            yield name, read
