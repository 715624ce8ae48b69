"""Racks for tests: short ways to write one, and the distance between two pipes by sampling what they fold up to."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import numpy as np
import numpy.typing as npt

from bending.fold import fold
from tests.bending.documents import Document

Points = npt.NDArray[np.float64]
STEP = 0.1


def beside(document: Document, spacing: Any = "2 1/2", side: str = "left", **more: Any) -> Document:
    """The same run as number 1 of a rack."""
    sizes = {} if "sizes" in more or "count" in more else {"count": 3}
    between = {} if "spacings" in more else {"spacing": spacing}
    return {**document, "rack": {"side": side, **sizes, **between, **more}}


def offsets(answer: dict[str, Any]) -> list[tuple[float, float, float]]:
    """Where each pipe starts, from number 1's start: worked out from what the answer says of the rack."""
    rack, runs = answer["rack"], answer["runs"]
    way = 1 if rack["side"] == "left" else -1
    halves = [one["bender"]["outside_diameter"] / 2 for one in runs]
    outs = [half - halves[0] if rack["align"] == "bottom" else 0.0 for half in halves]
    lefts = [way * sum(rack["spacings"][:number]) for number in range(len(runs))]
    return [(0.0, left, out) for left, out in zip(lefts, outs, strict=True)]


def pieces(laid: dict[str, Any], start: tuple[float, float, float]) -> list[Points]:
    """The folded stick's straights and arcs in order, each as points close together."""
    (piece,) = fold(laid)["pieces"]
    ends = [piece["points"][0], *(spot for bend in piece["bends"] for spot in (bend["start"], bend["end"]))]
    ends.append(piece["points"][-1])
    straights = [_straight(np.array(one), np.array(other)) for one, other in zip(ends[::2], ends[1::2], strict=True)]
    arcs = [_arc(bend) for bend in piece["bends"]]
    found = [straights[0]]
    for arc, straight in zip(arcs, straights[1:], strict=True):
        found += [arc, straight]
    return [points + np.array(start) for points in found]


def _straight(one: Points, other: Points) -> Points:
    count = max(2, math.ceil(float(np.linalg.norm(other - one)) / STEP) + 1)
    return one + np.linspace(0, 1, count)[:, None] * (other - one)


def _arc(bend: dict[str, Any]) -> Points:
    """By its ends and its point of intersection."""
    start, corner = np.array(bend["start"]), np.array(bend["pi"])
    tangent = float(np.linalg.norm(corner - start))
    along, after = (corner - start) / tangent, (np.array(bend["end"]) - corner) / tangent
    inside = after - along * (along @ after)
    inside /= np.linalg.norm(inside)
    angle, radius = math.radians(bend["angle"]), bend["radius"]
    turns = np.linspace(0, angle, max(3, math.ceil(radius * angle / STEP) + 1))[:, None]
    return start + radius * (np.sin(turns) * along + (1 - np.cos(turns)) * inside)


def away(points: Points, line: Points) -> Points:
    """How far each of some points is from a line through others."""
    least = np.full(len(points), np.inf)
    starts, ways = line[:-1], np.diff(line, axis=0)
    sizes = np.maximum(np.sum(ways * ways, axis=1), 1e-30)
    for low in range(0, len(points), 200):
        part = points[low : low + 200]
        apart = part[:, None, :] - starts[None]
        share = np.clip(np.sum(apart * ways[None], axis=2) / sizes, 0, 1)
        off = np.linalg.norm(apart - share[..., None] * ways[None], axis=2)
        least[low : low + 200] = off.min(axis=1)
    return least


def bones(parts: list[Points]) -> list[Points]:
    """A pipe's parts as lines through no more points than they need: two for a straight."""
    return [points if number % 2 else points[[0, -1]] for number, points in enumerate(parts)]


def near_its_own(one: list[Points], other: list[Points], reach: int = 2) -> list[Points]:
    """For each part of a pipe, how far its points are from the neighbour's part of the same number and those near."""
    lines = bones(one)
    found = []
    for number, points in enumerate(other):
        around = lines[max(0, number - reach) : number + reach + 1]
        found.append(np.minimum.reduce([away(points, line) for line in around]))
    return found


def least_gaps(answer: dict[str, Any]) -> list[float]:
    """Between neighbours, outside to outside, wherever they come nearest; measured both ways."""
    runs = answer["runs"]
    lines = [pieces(run, start) for run, start in zip(runs, offsets(answer), strict=True)]
    halves = [run["bender"]["outside_diameter"] / 2 for run in runs]
    pairs = zip(pairwise(lines), pairwise(halves), strict=True)
    return [min(_least(a, b), _least(b, a)) - sum(half) for (a, b), half in pairs]


def _least(one: list[Points], other: list[Points]) -> float:
    return float(away(np.vstack(one), np.vstack(bones(other))).min())
