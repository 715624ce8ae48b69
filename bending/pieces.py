"""Pieces of a run: which stretch of the centreline each stick is."""

from __future__ import annotations

from dataclasses import dataclass

from bending.path import Break, Path
from bending.run import Run


@dataclass(frozen=True, slots=True)
class Piece:
    """One stick: from ``begins`` to ``ends`` along the centreline (inches), with the bends ``first`` to ``last - 1``.

    ``gap`` is what the joint after it leaves before the next piece begins; ``then`` is the fitting of the path that
    stands there, if one does.
    """

    begins: float
    ends: float
    first: int
    last: int
    zero: str
    order: str
    threads: tuple[str, ...] = ()
    gap: float = 0.0
    then: Break | None = None

    @property
    def length(self) -> float:
        return self.ends - self.begins


def split(run: Run, path: Path) -> tuple[Piece, ...]:
    """The sticks of a run, from its start on: the run is cut at every fitting in its path."""
    begins, first = [0.0, *(one.ends for one in path.breaks)], [0, *(one.bend + 1 for one in path.breaks)]
    ends = [*(one.begins for one in path.breaks), path.length]
    last = [*(one.bend for one in path.breaks), len(path.bends)]
    return tuple(
        Piece(*place, run.zero, run.order, _threads(run, number, len(begins)), *_after(path, number))
        for number, place in enumerate(zip(begins, ends, first, last, strict=True))
    )


def _threads(run: Run, number: int, count: int) -> tuple[str, ...]:
    """The run's threads are at its own ends."""
    return tuple(end for end in run.threads if number == (0 if end == "start" else count - 1))


def _after(path: Path, number: int) -> tuple[float, Break | None]:
    if number == len(path.breaks):
        return 0.0, None
    then = path.breaks[number]
    return then.ends - then.begins, then
