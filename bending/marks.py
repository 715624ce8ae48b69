"""Marks on the straight stick, in bending order."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, NamedTuple

from bending.lengths import format_length, round_to_tape
from bending.path import Bend
from bending.pieces import Piece
from bending.run import Run
from bending.words import angle_text

LINES = {0.0: "top", 90.0: "left", 180.0: "bottom", 270.0: "right"}


@dataclass(frozen=True, slots=True)
class Mark:
    """One mark: ``station`` from the piece's start and ``at`` from ``measured_from``, exact inches; degrees.

    ``zero`` is the end that it is measured from, or for a mark from a finished bend's back the end that bend's mark is
    measured from; ``behind`` is that bend's mark.
    """

    step: int
    bend: int
    station: float
    at: float
    zero: str
    mark: str
    hook: str
    behind: Mark | None = None

    @property
    def measured_from(self) -> str:
        return f"back of step {self.behind.step}" if self.behind else self.zero

    def rounded(self, run: Run, cut_length: float) -> float:
        """The station of the mark as it is pencilled, on a piece cut as pencilled too: inches from its start."""
        pencilled = round_to_tape(self.at, run.tape)
        if self.behind:
            off = pencilled - self.at if self.zero == "start" else self.at - pencilled
            return self.station + off + self.behind.rounded(run, cut_length) - self.behind.station
        if self.zero == "start":
            return pencilled
        if self.zero == "end":
            return round_to_tape(cut_length, run.tape) - pencilled
        raise ValueError(f"no station is known from {self.zero}")


class Marked(NamedTuple):
    """A piece with its marks in bending order; their stations are from the piece's own start."""

    piece: Piece
    marks: tuple[Mark, ...]


def mark_json(run: Run, mark: Mark, bend: Bend) -> dict[str, Any]:
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
        "in_shoe": in_shoe(bend.roll, mark.zero),
        "feature": bend.at,
    }


def in_shoe(roll: float, zero: str) -> str:
    """Which line goes in the shoe, said looking from the zero end toward the other: a word, or a clock angle.

    On a piece with two zeros each mark is said from its own: the hand that measures from an end looks from there.
    """
    seen = round(roll if zero == "start" else -roll, 1) % 360
    return LINES.get(seen) or f"{angle_text(seen)}°"
