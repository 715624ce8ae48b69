"""A rack: number 1's run and the pipes beside it, each laid out as its own run, with their table and their gaps."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from itertools import groupby, pairwise
from typing import Any, NamedTuple

from bending.bender import Profile
from bending.check import PRACTICE, Check, check
from bending.layout import laid
from bending.lengths import format_length
from bending.path import Path, centreline
from bending.problems import Problem, Problems
from bending.rack_along import carried
from bending.rack_documents import documents
from bending.rack_gap import Nearest, nearest, parts
from bending.rack_reading import Rack, read_rack
from bending.rack_shift import moves
from bending.rack_table import table
from bending.reading import MOST_PROBLEMS, Reader
from bending.run import Run, parse

# All pipes together, so that no document takes long to answer.
MOST_BENDS = 500
# Gaps that differ by less are one, and pipes nearer than this touch: inches.
SAME_GAP = 1e-6

Profiles = Mapping[str, Profile]


class Pipe(NamedTuple):
    """One pipe of a rack: its number from 1, its run's document before and after the places along its centreline were
    put in, its run and centreline, and its layout."""

    number: int
    asked: Mapping[str, Any]
    document: Mapping[str, Any]
    run: Run
    path: Path
    layout: dict[str, Any]


def rack_layout(document: Mapping[str, Any], profiles: Profiles | None = None) -> dict[str, Any]:
    """The ``layouts/1`` of a ``run/1`` document with a ``rack``: a layout/1 for each pipe, number 1 first.

    Inches and degrees. ``{"format", "tag", "rack", "runs", "documents", "table", "gaps", "checks", "reads"}``:
    ``documents`` has the run/1 of each of ``runs``, ``gaps`` the least between two neighbours, outside to outside, and
    where. Raises ``Problems`` with every fault found, those of another pipe than number 1 with its number in their
    words; nothing is half-solved.
    """
    run, rack = _read(document, profiles or {})
    pipes = _pipes(document, run, rack, profiles or {})
    gaps = [_gap(rack, *pair) for pair in pairwise(pipes)]
    found = [gap["check"] for gap in gaps if gap["check"]["level"] != "ok"]
    runs = [_with(pipe, gaps) for pipe in pipes]
    sizes = [profile.size for profile in rack.profiles]
    return {
        "format": "layouts/1",
        "tag": run.tag,
        "rack": _as_json(run, rack),
        "runs": runs,
        "documents": [pipe.document for pipe in pipes],
        "table": table(runs, _alike(pipes), sizes, run.tape),
        "gaps": gaps,
        "checks": found or [min(gaps, key=lambda gap: float(gap["gap"]))["check"]],
        "reads": _reads(run, rack, runs[0], _alike(pipes)),
    }


def _read(document: Mapping[str, Any], profiles: Profiles) -> tuple[Run, Rack]:
    """Number 1 and the rack, or what is wrong with both."""
    reader, run = Reader(), None
    try:
        run = parse({key: value for key, value in document.items() if key != "rack"}, profiles)
    except Problems as found:
        reader.problems += found.problems
    rack = read_rack(reader, document, run, profiles)
    reader.refuse_if_any()
    assert run is not None and rack is not None
    return run, rack


def _pipes(document: Mapping[str, Any], run: Run, rack: Rack, profiles: Profiles) -> list[Pipe]:
    first = centreline(run)
    _refuse_too_many(rack.count * len(first.bends))
    asked = documents(document, run, rack)
    pipes, problems = [Pipe(1, asked[0], asked[0], run, first, laid(run, first))], list[Problem]()
    for number, one in enumerate(asked[1:], start=2):
        before = pipes[-1]
        try:
            pipes.append(_pipe(number, one, rack, (pipes[0], before), profiles))
        except Problems as found:
            problems += [Problem(each.at, each.code, f"pipe {number}: {each.text}") for each in found.problems]
        _refuse_too_many(sum(len(pipe.path.bends) for pipe in pipes))
    if problems:
        raise Problems(problems[:MOST_PROBLEMS])
    return pipes


def _pipe(number: int, document: Mapping[str, Any], rack: Rack, known: tuple[Pipe, Pipe], profiles: Profiles) -> Pipe:
    """One more pipe than number 1 and the last one known. Neighbours that are asked alike are solved once."""
    first, before = known
    if document == before.asked:
        return before._replace(number=number)
    run = parse(document, profiles)
    path = centreline(run)
    made, run = carried(document, (run, path), (first.run, first.path), rack.offsets[number - 1])
    return Pipe(number, document, made, run, path, laid(run, path))


def _refuse_too_many(bends: int) -> None:
    if bends > MOST_BENDS:
        words = f"a rack has at most {MOST_BENDS} bends in all; these are {bends}"
        raise Problems([Problem("rack", "too_many", words)])


def _alike(pipes: Sequence[Pipe]) -> list[list[int]]:
    """Numbers of neighbours that are the same pipe."""
    return [[pipe.number for pipe in group] for _, group in groupby(pipes, key=lambda pipe: id(pipe.layout))]


def _gap(rack: Rack, one: Pipe, other: Pipe) -> dict[str, Any]:
    """The least gap between two neighbours: where, and how far it is from the one between their straights."""
    places = rack.offsets[one.number - 1], rack.offsets[other.number - 1]
    found = nearest(parts(one.run, one.path, places[0]), parts(other.run, other.path, places[1]))
    halves = (one.run.profile.outside_diameter + other.run.profile.outside_diameter) / 2
    gap, straight = found.apart - halves, math.dist(*places) - halves
    return {
        "pipes": [one.number, other.number],
        "gap": round(gap, 9),
        "straight_gap": round(straight, 9),
        "at": found.part.at,
        "part": found.part.part,
        "station": round(found.station, 9),
        "point": [round(value, 9) + 0.0 for value in found.point],
        "check": _check((one.number, other.number), gap, straight, found),
    }


def _check(pair: tuple[int, int], gap: float, straight: float, found: Nearest) -> Check:
    who, where = f"pipes {pair[0]} and {pair[1]}", f"{_part(found)} of pipe {pair[0]}"
    if gap <= SAME_GAP:
        words = f"{who} touch at {where}: space them wider, or bend them round a common centre"
        return check("rack_touches", "cannot", words, PRACTICE, found.part.at)
    if gap < straight - SAME_GAP:
        words = f"{who} come within {format_length(gap)} at {where}: on the straight it is {format_length(straight)}"
        return check("rack_gap_closes", "caution", words, PRACTICE, found.part.at)
    return check("rack_gap", "ok", f"{who} are never nearer than {format_length(gap)}, outside to outside", PRACTICE)


def _part(found: Nearest) -> str:
    kind = "a straight" if found.part.part == "straight" else "a bend"
    return f"{kind} ({found.part.at}, {format_length(found.station)} along)"


def _with(pipe: Pipe, gaps: Sequence[Mapping[str, Any]]) -> dict[str, Any]:
    """A pipe's layout with the checks of its own gaps: whoever releases it alone must see them."""
    own = [gap["check"] for gap in gaps if pipe.number in gap["pipes"] and gap["check"]["level"] != "ok"]
    return {**pipe.layout, "checks": [*pipe.layout["checks"], *own]} if own else pipe.layout


def _as_json(run: Run, rack: Rack) -> dict[str, Any]:
    return {
        "count": rack.count,
        "sizes": [profile.size for profile in rack.profiles],
        "spacings": list(rack.spacings),
        "side": rack.side,
        "align": rack.align,
        "corner": rack.corner,
        "number_1": rack.number_1 or _by_corner(run, rack),
    }


def _by_corner(run: Run, rack: Rack) -> str:
    """On which side of the first corner in the rack's plane number 1 lies; nothing where there is none."""
    _, corners = moves(run, run, rack.offsets[-1])
    for corner, move in zip(run.corners, corners, strict=True):
        if corner.angle and abs(move.inward) > SAME_GAP:
            return "outside of the corner" if move.inward > 0 else "inside of the corner"
    return ""


def _reads(run: Run, rack: Rack, first: Mapping[str, Any], alike: Sequence[Sequence[int]]) -> str:
    told = _as_json(run, rack)
    spacings = " and ".join(dict.fromkeys(format_length(one, run.tape) for one in rack.spacings))
    named = f" (number 1: {told['number_1']})" if told["number_1"] else ""
    words = f"A rack of {rack.count}{named}, {spacings} centre to centre, the others to the {rack.side} of number 1"
    if len(set(told["sizes"])) > 1:
        words += f", sizes {', '.join(told['sizes'])} with their {rack.align}s in line"
    if run.corners:
        words += ", corners round a common centre" if rack.corner == "concentric" else ", corners of the same radius"
    same = f"; {rack.count} alike" if len(alike) == 1 else ""
    return f"{words}{same}. Number 1: {first['reads']}"
