"""The table of a rack: every pipe's cut and marks, and the step from one pipe to the next that the eye checks."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import Any

from bending.lengths import format_length

Layout = dict[str, Any]
Column = Callable[[Layout], Any]
# Steps that differ by less are one: inches.
ALIKE = 1e-6


def table(runs: Sequence[Layout], alike: Sequence[Sequence[int]], sizes: Sequence[str], tape: str) -> dict[str, Any]:
    """``rows``, one for each set of like neighbours, and ``steps`` of every cut and mark from one pipe to the next.

    ``alike`` are the numbers of the pipes of each row, from 1. Inches; a step is null where it isn't constant, and
    ``steps`` is null where the pipes haven't as many marks as each other.
    """
    rows = [
        {"pipes": list(numbers), "said": _said(numbers), "size": sizes[numbers[0] - 1],
         "pieces": [_piece(piece) for piece in runs[numbers[0] - 1]["pieces"]]}
        for numbers in alike
    ]  # fmt: skip
    return {"rows": rows, "steps": _steps(runs, tape)}


def _said(numbers: Sequence[int]) -> str:
    if len(numbers) == 1:
        return f"{numbers[0]}"
    return f"{numbers[0]} to {numbers[-1]}: {len(numbers)} alike"


def _piece(piece: Layout) -> dict[str, Any]:
    kept = ("step", "at", "text", "mark", "angle", "bend_to", "in_shoe")
    marks = [{key: mark[key] for key in kept} for mark in piece["marks"]]
    return {"cut_length": piece["cut_length"], "cut": piece["cut"], "marks": marks}


def _steps(runs: Sequence[Layout], tape: str) -> list[dict[str, Any]] | None:
    shapes = {tuple(len(piece["marks"]) for piece in run["pieces"]) for run in runs}
    if len(shapes) > 1:
        return None
    return [_piece_steps(runs, piece, count, tape) for piece, count in enumerate(shapes.pop())]


def _piece_steps(runs: Sequence[Layout], piece: int, count: int, tape: str) -> dict[str, Any]:
    cuts = _constant([run["pieces"][piece]["cut_length"] for run in runs])
    marks = [_mark_step(runs, piece, mark, tape) for mark in range(count)]
    return {"cut_length": cuts, "cut": _text(cuts, tape), "marks": marks}


def _mark_step(runs: Sequence[Layout], piece: int, mark: int, tape: str) -> dict[str, Any]:
    marks = [run["pieces"][piece]["marks"][mark] for run in runs]
    same = len({one["from"] for one in marks}) == 1
    step = _constant([one["at"] for one in marks]) if same else None
    return {"step": marks[0]["step"], "at": step, "text": _text(step, tape)}


def _constant(values: Sequence[float]) -> float | None:
    steps = [other - one for one, other in pairwise(values)]
    if max(steps) - min(steps) > ALIKE:
        return None
    return round((values[-1] - values[0]) / len(steps), 9) + 0.0


def _text(step: float | None, tape: str) -> str | None:
    return None if step is None else format_length(step, tape)
