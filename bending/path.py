"""From legs and corners to the centreline: points of intersection, bends, and the frames that are carried along."""

from __future__ import annotations

from bending import advice, fits
from bending.problems import Problem, Problems
from bending.run import Run
from bending.walk import Bend, Break, CornerLine, LegLine, Path, walk

__all__ = ["Bend", "Break", "CornerLine", "LegLine", "Path", "centreline"]

MOST_BENDS = 500


def centreline(run: Run) -> Path:
    """The centreline of a run, in the frame of its start: origin (0, 0, 0), travel +x, out +z, left +y; inches.

    Raises ``Problems`` with every bend that doesn't fit, placed at what asked for it, with what would.
    """
    if _count(run) > MOST_BENDS:
        raise Problems(
            [Problem("path", "too_many", f"a run has at most {MOST_BENDS} bends; this one has {_count(run)}")]
        )
    walked = walk(run)
    faults = fits.find(run, walked)
    if faults:
        raise Problems(advice.explain(run, faults))
    return walked.path


def _count(run: Run) -> int:
    return sum(max(1, corner.count()) for corner in run.corners) + sum(feature.bends for feature in run.features)
