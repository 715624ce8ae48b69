"""Pieces of a run: which stretch of the centreline each stick is."""

from __future__ import annotations

from dataclasses import dataclass

from bending.path import Path
from bending.run import Run


@dataclass(frozen=True, slots=True)
class Piece:
    """One stick: from ``begins`` to ``ends`` along the centreline (inches), with the bends ``first`` to ``last - 1``.

    ``gap`` is what the joint after it leaves before the next piece begins.
    """

    begins: float
    ends: float
    first: int
    last: int
    zero: str
    order: str
    threads: tuple[str, ...] = ()
    gap: float = 0.0

    @property
    def length(self) -> float:
        return self.ends - self.begins


def split(run: Run, path: Path) -> tuple[Piece, ...]:
    """The sticks of a run, from its start on."""
    return (Piece(0.0, path.length, 0, len(path.bends), run.zero, run.order, run.threads),)
