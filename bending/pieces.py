"""Pieces of a run: which stretch of the centreline each stick is."""

from __future__ import annotations

from dataclasses import dataclass, replace

from bending import joints, tables
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
    """The sticks of a run, from its start on: the run is cut at every fitting in its path, and joined where it is
    longer than a stick or asked to be. Raises ``Problems`` as ``joints.split``."""
    found: list[Piece] = []
    for number, sticks in enumerate(joints.split(run, path)):
        gaps = [(joints.gap(run), None)] * (len(sticks) - 1) + [_after(path, number)]
        for stick, after in zip(sticks, gaps, strict=True):
            found.append(Piece(*stick, run.zero, run.order, (), *after))
    return tuple(replace(one, threads=_threads(run, number, found)) for number, one in enumerate(found))


def _threads(run: Run, number: int, found: list[Piece]) -> tuple[str, ...]:
    """The ends of a piece that are threaded: the run's own where it says so, and at a joint of threaded conduit."""
    joined = run.raceway in tables.THREADED
    before = found[number - 1] if number else None
    start = "start" in run.threads if before is None else joined and before.then is None
    last = number == len(found) - 1
    end = "end" in run.threads if last else joined and found[number].then is None
    return (*(["start"] if start else []), *(["end"] if end else []))


def _after(path: Path, number: int) -> tuple[float, Break | None]:
    if number == len(path.breaks):
        return 0.0, None
    then = path.breaks[number]
    return then.ends - then.begins, then
