"""Marks on the straight stick, in bending order."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, NamedTuple

from bending.advice import angle_text
from bending.lengths import format_length, round_to_tape
from bending.path import Bend, Path
from bending.pieces import Piece
from bending.run import Run

LINES = {0.0: "top", 90.0: "left", 180.0: "bottom", 270.0: "right"}


@dataclass(frozen=True, slots=True)
class Mark:
    """One mark: ``station`` from the piece's start and ``at`` from ``measured_from``, exact inches; degrees."""

    step: int
    bend: int
    station: float
    at: float
    measured_from: str
    mark: str
    hook: str

    def rounded(self, run: Run, cut_length: float) -> float:
        """The station of the mark as it is pencilled, on a piece cut as pencilled too: inches from its start."""
        pencilled = round_to_tape(self.at, run.tape)
        if self.measured_from == "start":
            return pencilled
        if self.measured_from == "end":
            return round_to_tape(cut_length, run.tape) - pencilled
        raise ValueError(f"no station is known from {self.measured_from}")


class Marked(NamedTuple):
    """A piece with its marks in bending order; their stations are from the piece's own start."""

    piece: Piece
    marks: tuple[Mark, ...]


def marked(run: Run, path: Path, piece: Piece) -> Marked:
    """A piece with the marks of its order."""
    return Marked(piece, _push_through(run, path, piece))


def _push_through(run: Run, path: Path, piece: Piece) -> tuple[Mark, ...]:
    """Every bend on the arrow, hook toward the zero end, from the zero end on."""
    lead, numbers = run.profile.arrow_lead, range(piece.first, piece.last)
    if piece.zero == "start":
        stations = [(number, path.bends[number].begins - piece.begins - lead) for number in numbers]
        found = [(number, station, station) for number, station in stations]
    else:
        stations = [(number, path.bends[number].ends - piece.begins + lead) for number in reversed(numbers)]
        found = [(number, station, piece.length - station) for number, station in stations]
    return tuple(
        Mark(step, number, station, at, piece.zero, "arrow", piece.zero)
        for step, (number, station, at) in enumerate(found, start=1)
    )


def mark_json(run: Run, piece: Piece, mark: Mark, bend: Bend) -> dict[str, Any]:
    """A mark as it stands in ``layout/1``."""
    return {
        "step": mark.step,
        "station": round(mark.station, 9),
        "at": round(mark.at, 9),
        "from": mark.measured_from,
        "text": format_length(mark.at, run.tape),
        "mark": mark.mark,
        "hook": mark.hook,
        "angle": round(bend.angle, 9),
        "bend_to": round(run.profile.reading(bend.angle), 4),
        "roll": bend.roll,
        "in_shoe": in_shoe(bend.roll, piece.zero),
        "feature": bend.at,
    }


def in_shoe(roll: float, zero: str) -> str:
    """Which line goes in the shoe, said looking from the zero end toward the other: a word, or a clock angle."""
    seen = round(roll if zero == "start" else -roll, 1) % 360
    return LINES.get(seen) or f"{angle_text(seen)}°"
