"""A run document in, a layout out: cut length, marks, what they fold up to, and what to watch."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from bending import checks, materials, predicted, reach, reads, supports
from bending.bender import Profile
from bending.handbook import handbook
from bending.lengths import format_length
from bending.marks import Marked, mark_json
from bending.orders import marked
from bending.path import Break, Path, centreline
from bending.pieces import split
from bending.run import Run, parse


def layout(document: Mapping[str, Any], profiles: Mapping[str, Profile] | None = None) -> dict[str, Any]:
    """The ``layout/1`` document of a ``run/1`` document; of one with a ``rack``, the ``layouts/1`` of its pipes.

    ``profiles`` are those that ``bender`` may name. Inches and degrees. Raises ``Problems`` with every fault found;
    nothing is half-solved.
    """
    if isinstance(document, Mapping) and document.get("rack") is not None:
        from bending.rack import rack_layout  # a rack lays out its pipes with this module

        return rack_layout(document, profiles)
    return layout_of_run(document, profiles)


def layout_of_run(document: Mapping[str, Any], profiles: Mapping[str, Profile] | None = None) -> dict[str, Any]:
    """As ``layout``, for who can take one run only: a rack is refused (``rack_of_pipes``)."""
    run = parse(document, profiles)
    return laid(run, centreline(run))


def laid(run: Run, path: Path) -> dict[str, Any]:
    """The ``layout/1`` of a run that was read, along its centreline. Raises ``Problems`` over a stick's length."""
    parts = split(run, path)
    pieces = tuple(marked(run, path, piece) for piece in parts)
    offered, strapped = reach.offers(run, path, pieces), supports.straps(run, path, parts)
    return {
        "format": "layout/1",
        "tag": run.tag,
        "bender": _bender(run.profile),
        "developed_length": round(path.length, 9),
        "pieces": [_piece(run, path, one) for one in pieces],
        "picked": [pick.as_json() for pick in run.picked],
        "predicted": predicted.dimensions(run, path, pieces),
        "handbook": handbook(run, path),
        "checks": checks.of(run, path, pieces, offered, strapped),
        "orders": [offer.as_json(number) for number, piece in enumerate(offered) for offer in piece],
        "materials": materials.of(run, path, pieces, strapped),
        "size": materials.size(run, path, pieces),
        "reads": reads.back(run),
    }


def _bender(profile: Profile) -> dict[str, Any]:
    bender = {
        "name": profile.name,
        "radius": profile.radius,
        "arrow_lead": profile.arrow_lead,
        "outside_diameter": profile.outside_diameter,
    }
    return {**bender, "envelope": profile.envelope.as_json()} if profile.envelope else bender


def _piece(run: Run, path: Path, one: Marked) -> dict[str, Any]:
    piece = one.piece
    made = {
        "cut_length": round(piece.length, 9),
        "cut": format_length(piece.length, run.tape),
        "zero": piece.zero,
        "order": piece.order,
        "gap": piece.gap,
        "threads": list(piece.threads),
        "marks": [mark_json(run, mark, path.bends[mark.bend]) for mark in one.marks],
    }
    return {**made, "then": _then(path, piece.then)} if piece.then else made


def _then(path: Path, one: Break) -> dict[str, Any]:
    """The fitting between a piece and the next: the straights that it takes of both legs, and how it turns."""
    bend = path.bends[one.bend]
    return {
        "fitting": one.fitting.kind,
        "at": one.at,
        "before": round(one.fitting.before - bend.tangent, 9),
        "angle": round(bend.angle, 9),
        "roll": bend.roll,
        "radius": bend.radius,
        "after": round(one.fitting.after - bend.tangent, 9),
    }
