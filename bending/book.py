"""What the trade's rules are worked with: one leg at hand, what its marks are measured from, and a mark."""

from __future__ import annotations

from dataclasses import dataclass

from bending.bender import Profile
from bending.path import Bend, Path
from bending.reading_path import Leg
from bending.run import Run

NO_RULE = "no_rule"


@dataclass(frozen=True)
class BookMark:
    """One mark by the book: ``along`` the leg's line grown by its shrinks, then ``at`` inches from ``measured_from``
    and ``station`` from the stick's start."""

    rule: str
    along: float
    mark: str
    hook: str
    source: str
    at: float = 0.0
    measured_from: str = ""
    station: float = 0.0


@dataclass(frozen=True)
class Zero:
    """What the marks of a leg are measured from: its words; in inches its station on the stick and its place on
    the leg."""

    words: str
    station: float
    along: float


@dataclass(frozen=True)
class Work:
    """One leg at hand."""

    run: Run
    path: Path
    number: int
    leg: Leg

    @property
    def profile(self) -> Profile:
        return self.run.profile

    @property
    def last(self) -> bool:
        return self.number == len(self.run.legs) - 1

    def bends(self, at: str) -> list[Bend]:
        """The bends that one place of the document asked for."""
        return [bend for bend in self.path.bends if bend.at == at]

    @property
    def to_side(self) -> float:
        """From the pipe's centreline to its outside."""
        return self.profile.outside_diameter / 2

    @property
    def stick(self) -> float:
        """Length of the stick that the leg's end lies on, where the run ends."""
        breaks = self.path.breaks
        return self.path.length - (breaks[-1].ends if breaks else 0.0)

    def to_back(self) -> float:
        """The leg's length, from its start reference to the back of a 90 at its end."""
        diameter = self.profile.outside_diameter
        return self.leg.length + {"centre": diameter / 2, "inside": diameter}.get(self.leg.to_reference, 0.0)
