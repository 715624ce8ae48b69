"""A run document in, a layout out: cut length, marks, what they fold up to, and what to watch."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from bending import checks, materials, predicted, reads
from bending.bender import Profile
from bending.handbook import handbook
from bending.lengths import format_length
from bending.marks import Marked, mark_json, marked
from bending.path import Path, centreline
from bending.pieces import split
from bending.problems import Problem, Problems
from bending.run import Run, parse


def layout(document: Mapping[str, Any], profiles: Mapping[str, Profile] | None = None) -> dict[str, Any]:
    """The ``layout/1`` document of a ``run/1`` document. ``profiles`` are those that ``bender`` may name.

    Inches and degrees. Raises ``Problems`` with every fault found; nothing is half-solved.
    """
    run = parse(document, profiles)
    path = centreline(run)
    _refuse_over_a_stick(run, path)
    pieces = tuple(marked(run, path, piece) for piece in split(run, path))
    return {
        "format": "layout/1",
        "tag": run.tag,
        "bender": _bender(run.profile),
        "developed_length": round(path.length, 9),
        "pieces": [_piece(run, path, one) for one in pieces],
        "predicted": predicted.dimensions(run, path, pieces),
        "handbook": handbook(run, path),
        "checks": checks.of(run, path, pieces),
        "materials": materials.of(run, path),
        "size": materials.size(run, path),
        "reads": reads.back(run),
    }


def _bender(profile: Profile) -> dict[str, Any]:
    return {
        "name": profile.name,
        "radius": profile.radius,
        "arrow_lead": profile.arrow_lead,
        "outside_diameter": profile.outside_diameter,
    }


def _piece(run: Run, path: Path, one: Marked) -> dict[str, Any]:
    piece = one.piece
    return {
        "cut_length": round(piece.length, 9),
        "cut": format_length(piece.length, run.tape),
        "zero": piece.zero,
        "order": piece.order,
        "gap": piece.gap,
        "threads": list(piece.threads),
        "marks": [mark_json(run, piece, mark, path.bends[mark.bend]) for mark in one.marks],
    }


def _refuse_over_a_stick(run: Run, path: Path) -> None:
    if run.stick is not None and path.length > run.stick + 1e-9:
        over = format_length(path.length - run.stick)
        words = f"this run is {over} longer than a stick, and runs aren't split into sticks yet: ask for it in two runs"
        raise Problems([Problem("stick", "not_yet", words)])
