"""Checks of what is to be pulled: bends between pull points, conductor fill, and jamming."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator

from bending import tables
from bending.check import Check, check
from bending.codes import code
from bending.fill import JAMMING, fill
from bending.path import Path
from bending.run import Run

MOST_DEGREES = 360.0
AUTHORITY = "Local code and the authority having jurisdiction decide."
SECTIONS = {"EMT": "358.26", "IMC": "342.26", "RMC": "344.26"}


def checks(run: Run, path: Path) -> Iterator[Check]:
    """``total_bends``, and with conductors ``fill`` and ``jamming``."""
    yield _total_bends(run, path)
    if run.conductors:
        yield from _conductors(run, path)


def _total_bends(run: Run, path: Path) -> Check:
    """The worst pull: a pull point, or a fitting that is one, ends one count and begins the next."""
    counts = degrees(run, path)
    # Nothing says at which end of the run the others are: the pulls at both ends are counted with them.
    worst = max(counts[0] + run.bends_elsewhere, counts[-1] + run.bends_elsewhere, *counts)
    elsewhere = f" with {run.bends_elsewhere:g} elsewhere on the pull" if run.bends_elsewhere else ""
    pull = "counted as one pull" if len(counts) == 1 else f"in the worst of {len(counts)} pulls"
    words = f"Bends add up to {worst:.4g} degrees{elsewhere}, {pull}; 360 are allowed between pull points."
    level = "rule" if worst > MOST_DEGREES + 1e-6 else "ok"
    return check("total_bends", level, f"{words} {AUTHORITY}", code(run.edition, SECTIONS[run.raceway]))


def degrees(run: Run, path: Path) -> list[float]:
    """Degrees of bend between each two pull points, from the run's start on; a bend counts where its middle lies.

    A fitting that can be pulled at counts for neither pull.
    """
    points = sorted((*path.pull_points, *run.pull_points))
    counts = [0.0] * (len(points) + 1)
    for bend in path.bends:
        if not (bend.fitting and bend.fitting.pull_point):
            counts[bisect_right(points, (bend.begins + bend.ends) / 2)] += bend.angle
    return counts


def _conductors(run: Run, path: Path) -> Iterator[Check]:
    wires = [(one.conductor, one.count) for one in run.conductors]
    # Only a raceway with nothing to pull at between its ends is known to be a nipple.
    between = bool(path.breaks or run.pull_points)
    found = fill(run.raceway, run.size, wires, None if between else path.length)
    count = sum(number for _, number in wires)
    words = (
        f"{count} conductors take {found.area:.4f} square inches of {run.size} {run.raceway}; {found.allowed:.4f} are "
        f"allowed ({100 * found.limit:g} %). Derating and voltage drop aren't looked at. {AUTHORITY}"
    )
    printed = code(run.edition, "chapter 9 tables 1, 4 and 5", "the 2008 and 2011 editions")
    yield check("fill", "ok" if found.fits else "rule", words, printed, "conductors")
    if found.may_jam and found.jam_ratio is not None:
        low, high = JAMMING
        ratio = f"the ratio is {found.jam_ratio:.2f}, and from {low:g} to {high:g} they do"
        words = f"Three alike in this raceway may jam side by side: {ratio}."
        printed = code(run.edition, "chapter 9 table 1, informational note 2", tables.source("fill-limits").edition)
        yield check("jamming", "caution", words, printed, "conductors")
