"""Places along number 1's centreline, carried square across to a pipe beside it: its joints and its pull points."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from bending.path import Path
from bending.run import Run
from bending.vectors import add, dot

KEYS = ("joint_at", "no_joint", "pull_points")
Offset = tuple[float, float]


def carried(
    document: Mapping[str, Any], pipe: tuple[Run, Path], first: tuple[Run, Path], offset: Offset
) -> tuple[Mapping[str, Any], Run]:
    """A pipe's document and run with number 1's places along the centreline put where they come beside it.

    ``offset`` is how far the pipe lies from number 1: inches out and to the left.
    """
    run, path = pipe
    if not any(getattr(first[0], key) for key in KEYS):
        return document, run

    def there(station: float) -> float:
        return round(across(first[1], path, offset, station), 9)

    joints, points = ([there(one) for one in getattr(first[0], key)] for key in ("joint_at", "pull_points"))
    without = [(there(low), there(high)) for low, high in first[0].no_joint]
    told = {"joint_at": joints, "pull_points": points, "no_joint": [list(one) for one in without]}
    moved = {key: value for key, value in told.items() if document.get(key) is not None}
    made = replace(run, joint_at=tuple(joints), pull_points=tuple(points), no_joint=tuple(without))
    return {**document, **moved}, made


def across(first: Path, own: Path, offset: Offset, station: float) -> float:
    """The station of a pipe's centreline that lies square beside number 1's ``station``; in a bend, as far through it.

    Inches, from each pipe's own start, 0 to its developed length. Both have the same legs and features.
    """
    for corner, other in zip(first.corners, own.corners, strict=True):
        low, high = first.bends[corner.first].begins, first.bends[corner.last].ends
        if low <= station <= high and high > low:
            begins, ends = own.bends[other.first].begins, own.bends[other.last].ends
            return begins + (station - low) / (high - low) * (ends - begins)
    for line, other_line in zip(first.lines, own.lines, strict=True):
        for number in range(line.first + 1, line.last + 1):
            there = number + other_line.first - line.first
            if station <= _end(first, number):
                return _on_straight((first, number), (own, there), offset, station)
            if number < line.last and station < first.bends[number].ends:
                bend, twin = first.bends[number], own.bends[there]
                return twin.begins + (station - bend.begins) / bend.arc * twin.arc
    return station - first.length + own.length


def _begin(path: Path, number: int) -> float:
    return path.bends[number - 1].ends if number else 0.0


def _end(path: Path, number: int) -> float:
    return path.bends[number].begins if number < len(path.bends) else path.length


def _on_straight(first: tuple[Path, int], own: tuple[Path, int], offset: Offset, station: float) -> float:
    """No further than the straight itself goes, where the pipe's bends come elsewhere than number 1's."""
    path, number = own
    begins, ends = _begin(path, number), _end(path, number)
    start = add(path.place(number, begins), (0.0, offset[1], offset[0]))
    along = dot(add(first[0].place(first[1], station), start, -1.0), path.directions[number])
    return min(max(begins, ends), max(begins, begins + along))
