"""How far past its angle this pipe must be bent on this bender, from bends that were read and measured."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np

from bending.calibration.fit import fit, told_apart
from bending.problems import Problem, Problems
from bending.reading import Reader

MOST_PAIRS = 200
# As a profile may have them.
LARGEST_K, LARGEST_C = 0.5, 15.0
MODELS = ("both", "share", "constant")
# The angles that are bent every day, for the table of readings.
USUAL = (10.0, 15.0, 22.5, 30.0, 45.0, 60.0, 90.0)


class Pair(NamedTuple):
    """``bend_to`` is what the bender showed when the hand let go, ``angle`` what the pipe came back to: degrees."""

    bend_to: float
    angle: float


@dataclass(frozen=True)
class Springback:
    """Reading = angle (1 + k) + c. ``c`` and the errors are degrees; ``reading_error`` is a 90's reading's.

    ``readings``: the usual angles with what to bend to, as fine as the bender shows.
    """

    k: float
    c: float
    k_error: float
    c_error: float
    reading_error: float
    readings: tuple[tuple[float, float], ...]
    residuals: tuple[float, ...]
    scatter: float | None
    freedom: int

    def as_json(self) -> dict[str, Any]:
        """``k``, ``c``, ``errors``, ``readings`` (``angle``, ``bend_to``), ``residuals``, ``scatter``, ``freedom``."""
        errors = {"k": self.k_error, "c": self.c_error, "bend_to": self.reading_error}
        return {
            "k": round(self.k, 6),
            "c": round(self.c, 6),
            "errors": {name: round(error, 6) for name, error in errors.items()},
            "readings": [{"angle": angle, "bend_to": round(reading, 4)} for angle, reading in self.readings],
            "residuals": [round(one, 6) for one in self.residuals],
            "scatter": None if self.scatter is None else round(self.scatter, 4),
            "freedom": self.freedom,
        }


def springback(
    pairs: Sequence[Pair], model: str = "both", reading_step: float = 0.0, angle_reading: float = 0.5
) -> Springback:
    """k and c of reading = angle (1 + k) + c that explain these bends best: degrees, 1 to 180.

    ``model``: ``both``; ``share`` for k alone, ``constant`` for c alone, which one angle can tell. ``reading_step`` is
    the bender's finest, ``angle_reading`` the standard error of a measured angle. Raises ``Problems``: ``too_few``,
    ``same_angle``, ``springback_impossible``. Source: least squares; a reading of step u has the error u/sqrt(12).
    """
    _refuse_too_few(pairs, model)
    angles = np.array([pair.angle for pair in pairs])
    matrix = np.column_stack([column for column in _columns(model, angles)])
    if not told_apart(matrix):
        words = "bends of one angle don't tell k and c apart: bend another, or say which of the two it is"
        raise Problems([Problem("springback", "same_angle", words)])
    over = np.array([pair.bend_to - pair.angle for pair in pairs])
    spread = angle_reading**2 + reading_step**2 / 12
    found = fit(matrix, over, np.eye(len(pairs)) * spread)
    k = found.values[0] if model != "constant" else 0.0
    c = found.values[-1] if model != "share" else 0.0
    _refuse_impossible(k, c)
    alone = {"both": ((1.0, 0.0), (0.0, 1.0), (90.0, 1.0)), "share": ((1.0,), (0.0,), (90.0,))}
    weights = alone.get(model, ((0.0,), (1.0,), (1.0,)))
    k_error, c_error, at_90 = (found.error(*one) for one in weights)
    readings = tuple((angle, as_shown(angle * (1 + k) + c, reading_step)) for angle in USUAL)
    return Springback(k, c, k_error, c_error, at_90, readings, found.residuals, found.scatter, found.freedom)


def as_shown(reading: float, step: float) -> float:
    """A reading in degrees, to the nearest that the bender can show, as a profile rounds it."""
    return reading if step <= 0 else round(reading / step) * step


def _columns(model: str, angles: Any) -> list[Any]:
    ones = np.ones_like(angles)
    if model == "both":
        return [angles, ones]
    if model == "share":
        return [angles]
    if model == "constant":
        return [ones]
    raise ValueError(f"no springback is called {model}")


def _refuse_too_few(pairs: Sequence[Pair], model: str) -> None:
    least = 2 if model == "both" else 1
    if len(pairs) < least:
        words = f"at least {least} of these are needed: what the bender showed, and what came of it"
        raise Problems([Problem("springback", "too_few", words)])


def _refuse_impossible(k: float, c: float) -> None:
    if abs(k) > LARGEST_K or abs(c) > LARGEST_C:
        words = (
            f"k {k:.3g} and c {c:.3g} degrees are no springback: k is at most {LARGEST_K:g}, c {LARGEST_C:g} degrees"
        )
        raise Problems([Problem("springback", "springback_impossible", words)])


def read_pairs(reader: Reader, document: Mapping[str, Any]) -> list[Pair]:
    """The ``springback`` of a calibration/1 document; faults go to the reader."""
    pairs = []
    for number, value in enumerate(reader.items(document, "springback", "", MOST_PAIRS)):
        at = f"springback[{number}]"
        mapping = reader.mapping(value, at, ("bend_to", "angle"))
        if mapping is not None:
            pairs.append(Pair(*(reader.number(mapping, key, at, 1, 180) for key in ("bend_to", "angle"))))
    return pairs
