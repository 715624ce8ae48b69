"""A shoe's radius and arrow lead from bends that were made on it and measured."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from bending.bender import LARGEST_RADIUS
from bending.calibration.fit import Fit, Matrix, fit, told_apart
from bending.problems import Problem, Problems
from bending.reading import Reader

MOST_BENDS = 200
# Standard errors of one reading with a tape and with an angle finder: common practice, no source.
READING, ANGLE_READING = 1 / 32, 0.5
MARKS = ("arrow", "centre")
# What a 90 makes of an error of radius and of arrow lead: at the stub's back, and at the far leg's.
AT_STUB, AT_FAR_LEG = (1.0, 1.0), (1 - math.pi / 2, -1.0)
GAIN = 2 - math.pi / 2


@dataclass(frozen=True)
class Trial:
    """One test bend: inches and degrees, 1 <= angle <= 135.

    A stick ``cut`` to length, with its mark at ``mark`` from one end, bent by ``angle`` as measured afterwards.
    ``stub`` runs from that end to the back of the bend, ``leg`` from the other end; at least one was measured.
    ``hook`` is the end that the hook faced: ``start``, where the mark is measured from, or ``end``.
    """

    at: str
    mark: float
    angle: float = 90.0
    cut: float | None = None
    stub: float | None = None
    leg: float | None = None
    hook: str = "start"


@dataclass(frozen=True)
class Readings:
    """Standard errors of one reading: of a length in inches, of an angle in degrees."""

    length: float = READING
    angle: float = ANGLE_READING


@dataclass(frozen=True)
class Shoe:
    """What the bends say of a shoe: inches, all of them standard errors where they are called errors.

    ``arrow_lead`` is none on a bender with a centre mark. Of a 90 made with these numbers, ``stub_error`` is how far
    the back of the stub may stand off, ``gain_error`` its two legs together, ``far_leg_error`` the far leg's back.
    """

    radius: float
    arrow_lead: float | None
    take_up: float | None
    gain: float
    radius_error: float
    arrow_lead_error: float | None
    stub_error: float
    gain_error: float
    far_leg_error: float
    residuals: tuple[float, ...]
    scatter: float | None
    freedom: int

    def as_json(self) -> dict[str, Any]:
        """``radius``, ``arrow_lead``, ``take_up``, ``gain``, ``errors``, ``residuals``, ``scatter``, ``freedom``."""
        errors = {"radius": self.radius_error, "stub": self.stub_error, "gain": self.gain_error}
        errors |= {"far_leg": self.far_leg_error}
        geometry: dict[str, Any] = {"radius": round(self.radius, 6)}
        if self.arrow_lead is not None and self.take_up is not None and self.arrow_lead_error is not None:
            geometry |= {"arrow_lead": round(self.arrow_lead, 6), "take_up": round(self.take_up, 6)}
            errors["arrow_lead"] = self.arrow_lead_error
        return {
            **geometry,
            "gain": round(self.gain, 6),
            "errors": {name: round(error, 6) for name, error in errors.items()},
            "residuals": [round(one, 6) for one in self.residuals],
            "scatter": None if self.scatter is None else round(self.scatter, 4),
            "freedom": self.freedom,
        }


def from_bends(
    trials: Sequence[Trial], outside_diameter: float, mark: str = "arrow", readings: Readings | None = None
) -> Shoe:
    """The shoe that explains these test bends best. One 90 with stub, leg and cut is enough: R and a then follow from
    take-up and gain, with the errors that three readings of a tape leave.

    Inches and degrees. ``mark``: arrow, or centre for a bender without a hook, which has no lead. Lengths, marks and
    angles each have their standard error; what one bend's share, both its legs share. Raises ``Problems``:
    ``too_few``, ``not_told_apart``, ``radius_impossible``. Source: geometry of one circular bend; least squares.
    """
    if not trials:
        raise Problems([Problem("bends", "too_few", "measure at least one bend")])
    stated, unknowns = readings or Readings(), 2 if mark == "arrow" else 1
    rows = [row for number, trial in enumerate(trials) for row in _rows(number, trial, mark)]
    matrix = np.array([row.weights[:unknowns] for row in rows])
    if not told_apart(matrix):
        words = "these readings don't tell radius and lead apart: measure stub and leg of a 90, and its cut length"
        raise Problems([Problem("bends", "not_told_apart", words)])
    seen = np.array([row.seen - row.weights[2] * outside_diameter / 2 for row in rows])
    found = fit(matrix, seen, np.eye(len(rows)))
    # How much an angle's error matters depends on the radius, which the first round knows well enough.
    found = fit(matrix, seen, _errors(rows, found.values[0], outside_diameter, stated))
    _refuse_impossible(found.values[0], outside_diameter)
    return _shoe(found, outside_diameter)


@dataclass(frozen=True)
class _Row:
    """One reading: ``weights`` of radius, arrow lead and half the diameter in it, and of its angle's error; what was
    ``seen`` of these three; how ``mark`` and ``cut`` went into that."""

    trial: int
    weights: tuple[float, float, float]
    seen: float
    turns: tuple[float, float]
    mark: float
    cut: float


def _rows(number: int, trial: Trial, mark: str) -> list[_Row]:
    """Stub and leg as sums. With t = tan(angle/2), the bend begins at the mark + a, so the stub's back stands at
    mark + a + (R + d/2) t, and the leg's back at cut - mark - a - R angle + (R + d/2) t from the other end."""
    angle = math.radians(trial.angle)
    tangent, grows = math.tan(angle / 2), 1 / (2 * math.cos(angle / 2) ** 2)
    near, far = _spent(trial, mark)
    rows = []
    for seen, (arc, lead), sign in ((trial.stub, near, 1.0), (trial.leg, far, -1.0)):
        if seen is not None:
            cut, cuts = (0.0, 0.0) if sign > 0 else (trial.cut or 0.0, 1.0)
            weights = (tangent - arc * angle, lead, tangent)
            rows.append(_Row(number, weights, seen - sign * trial.mark - cut, (grows - arc, grows), sign, cuts))
    return rows


def _spent(trial: Trial, mark: str) -> tuple[tuple[float, float], tuple[float, float]]:
    """For stub and leg: the share of the arc that its side of the mark gives up, and its weight of the lead."""
    if mark == "centre":
        return (0.5, 0.0), (0.5, 0.0)
    hooked, free = (0.0, 1.0), (1.0, -1.0)
    return (hooked, free) if trial.hook == "start" else (free, hooked)


def _errors(rows: Sequence[_Row], radius: float, diameter: float, readings: Readings) -> Matrix:
    """Covariance of the readings: one bend's two legs share its mark's error and its angle's."""
    made, degree = np.zeros((len(rows), len(rows))), math.radians(readings.angle)
    turned = [row.turns[0] * radius + row.turns[1] * diameter / 2 for row in rows]
    for one, row in enumerate(rows):
        for other, beside in enumerate(rows):
            if row.trial == beside.trial:
                shared = row.mark * beside.mark + (1 + row.cut if one == other else 0.0)
                made[one, other] = shared * readings.length**2 + turned[one] * turned[other] * degree**2
    return made


def _refuse_impossible(radius: float, diameter: float) -> None:
    if diameter / 2 < radius <= LARGEST_RADIUS:
        return
    words = (
        f"these bends say a radius of {radius:.3g} in, and it must be more than {diameter / 2:.3f}: the stub and the "
        f"leg of a 90, to the back, are together always more than {diameter:.3f} longer than the stick"
    )
    raise Problems([Problem("bends", "radius_impossible", words)])


def _shoe(found: Fit, diameter: float) -> Shoe:
    radius, lead = found.values[0], found.values[1] if len(found.values) == 2 else None
    # A centre mark stands half an arc from either end of its bend, on both sides alike.
    stub, far = (AT_STUB, AT_FAR_LEG) if lead is not None else ((1 - math.pi / 4,), (1 - math.pi / 4,))
    alone = (1.0,) if lead is None else (1.0, 0.0)
    return Shoe(
        radius=radius,
        arrow_lead=lead,
        take_up=None if lead is None else lead + radius + diameter / 2,
        gain=GAIN * radius + diameter,
        radius_error=found.error(*alone),
        arrow_lead_error=None if lead is None else found.error(0.0, 1.0),
        stub_error=found.error(*stub),
        gain_error=GAIN * found.error(*alone),
        far_leg_error=found.error(*far),
        residuals=found.residuals,
        scatter=found.scatter,
        freedom=found.freedom,
    )


def read_trials(reader: Reader, document: Mapping[str, Any]) -> list[Trial]:
    """The ``bends`` of a calibration/1 document; faults go to the reader."""
    keys = ("mark", "angle", "cut", "stub", "leg", "hook")
    trials = []
    for number, value in enumerate(reader.items(document, "bends", "", MOST_BENDS)):
        at = f"bends[{number}]"
        mapping = reader.mapping(value, at, keys)
        if mapping is not None:
            trials.append(_read_trial(reader, mapping, at))
    return trials


def _read_trial(reader: Reader, mapping: Mapping[str, Any], at: str) -> Trial:
    lengths = {key: reader.maybe_length(mapping, key, at) for key in ("cut", "stub", "leg")}
    if lengths["stub"] is None and lengths["leg"] is None:
        reader.fault(at, "missing", "give the stub, or the leg with the cut length, as measured to the back")
    if lengths["leg"] is not None and lengths["cut"] is None:
        reader.fault(f"{at}.cut", "missing", "a leg says something only with the length that the stick was cut to")
    angle = reader.maybe_number(mapping, "angle", at, 1, 135)
    hook = reader.word(mapping, "hook", at, ("start", "end"), "start")
    mark = reader.length(mapping, "mark", at, least=0)
    return Trial(at, mark, 90.0 if angle is None else angle, **lengths, hook=hook)
