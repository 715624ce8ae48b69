"""What can be cut from one stick: pieces gathered into types on a grid, and the patterns worth most at given prices.

A grid is whole cells. Rounded `up`, every pattern of the grid can really be cut; rounded down, every pattern that can
really be cut is in the grid, so a bound proven there holds. On an exact grid both are true.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bending.cutplan.fit import Stock

Whole = NDArray[np.int64]
Pattern = tuple[int, tuple[tuple[int, int], ...]]
# Prices are whole numbers of this part of a stick, so that a bound is proven without rounding error.
STICK_PRICE = 1 << 30


@dataclass(frozen=True)
class Grid:
    """Pieces by type: `cells` (ascending), how many, which; each stock's cells, and the type that it takes uncut."""

    cells: Whole
    demand: Whole
    members: tuple[tuple[int, ...], ...]
    rooms: tuple[int, ...]
    uncut: tuple[int | None, ...]
    type_of: tuple[int, ...]


@dataclass(frozen=True)
class Priced:
    """One pricing: the best value on each stock, and the best pattern under each largest piece. A row is a bundle of
    one type; `sizes` are the cells of one piece of it, ascending."""

    best: Whole
    values: Whole
    groups: tuple[tuple[int, int, int], ...]
    sizes: tuple[int, ...]
    takes: tuple[NDArray[np.bool_], ...]
    uncut: tuple[int, ...]


def make_grid(widths: Sequence[int], stocks: Sequence[Stock], unit: int, up: bool) -> Grid:
    """Gather pieces that round to the same cells of `unit`; a piece that needs a whole stick keeps its own type."""
    whole = {stock.length for stock in stocks if stock.new}
    keys = [(-(-width // unit) if up else width // unit, width if width in whole else 0) for width in widths]
    types = {key: index for index, key in enumerate(sorted(set(keys)))}
    type_of = tuple(types[key] for key in keys)
    members: list[list[int]] = [[] for _ in types]
    for piece, index in enumerate(type_of):
        members[index].append(piece)
    by_length = {key[1]: index for key, index in types.items() if key[1]}
    return Grid(
        np.asarray([cells for cells, _ in types], np.int64),
        np.asarray([len(some) for some in members], np.int64),
        tuple(tuple(some) for some in members),
        tuple(stock.capacity // unit for stock in stocks),
        tuple(by_length.get(stock.length) if stock.new else None for stock in stocks),
        type_of,
    )


def _bundles(grid: Grid, prices: Whole) -> list[tuple[int, int, int]]:
    """(type, how many, cells): each priced type in bundles of 1, 2, 4 ... that together make what one stick can use."""
    bundles, most = [], max(grid.rooms)
    for index in np.flatnonzero(prices > 0):
        cells, left = int(grid.cells[index]), int(grid.demand[index])
        left = min(left, most // cells) if cells else left
        size = 1
        while left > 0:
            size = min(size, left)
            bundles.append((int(index), size, size * cells))
            left, size = left - size, size * 2
    return bundles


def price(grid: Grid, prices: Whole) -> Priced:
    """The patterns worth the most: a bounded knapsack over every room at once, pieces in ascending size.

    `prices`: one whole number a type (parts of `STICK_PRICE`).
    """
    rooms = np.asarray(grid.rooms, np.int64)
    worth = np.zeros(int(rooms.max()) + 1, np.int64)
    groups, takes = _bundles(grid, prices), []
    values = np.full((len(groups), len(rooms)), -1, np.int64)
    for row, (index, size, cells) in enumerate(groups):
        value = size * int(prices[index])
        left = rooms - cells
        values[row] = np.where(left >= 0, worth[left] + value, -1)
        candidate = worth[: len(worth) - cells] + value
        takes.append(candidate > worth[cells:])
        np.maximum(worth[cells:], candidate, out=worth[cells:])
    uncut = tuple(-1 if index is None else int(prices[index]) for index in grid.uncut)
    best = np.maximum(worth[rooms], np.asarray(uncut, np.int64))
    sizes = tuple(int(grid.cells[index]) for index, _, _ in groups)
    return Priced(best, values, tuple(groups), sizes, tuple(takes), uncut)


def trace(priced: Priced, grid: Grid, row: int, stock: int) -> Pattern:
    """The pattern behind `priced.values[row, stock]`: that bundle, and the best of the smaller ones beside it."""
    index, size, cells = priced.groups[row]
    room, counts = grid.rooms[stock] - cells, {index: size}
    # Pieces ascend: those longer than the room that is left needn't be looked at.
    at = min(row, bisect_right(priced.sizes, room)) - 1
    while at >= 0:
        index, size, cells = priced.groups[at]
        if room >= cells and priced.takes[at][room - cells]:
            counts[index] = counts.get(index, 0) + size
            room -= cells
            at = min(at, bisect_right(priced.sizes, room))
        at -= 1
    return stock, tuple(sorted(counts.items()))


def best_patterns(priced: Priced, grid: Grid, thresholds: Whole, most: int) -> list[Pattern]:
    """At most `most` patterns worth more than their stock's threshold, the best first, each under its own largest
    piece, so that one pricing offers many unlike patterns."""
    excess = priced.values - thresholds[None, :]
    flat = np.argsort(-excess, axis=None, kind="stable")[:most]
    found = [trace(priced, grid, *divmod(int(at), len(thresholds))) for at in flat if excess.flat[at] > 0]
    for stock, (value, index) in enumerate(zip(priced.uncut, grid.uncut, strict=True)):
        if index is not None and value > thresholds[stock]:
            found.append((stock, ((index, 1),)))
    return found


def proven(grid: Grid, stocks: Sequence[Stock], prices: Whole, best: Whole) -> float:
    """The new sticks that `prices` prove are needed (the dual value, limited stocks paid for by what they'd save)."""
    unlimited = [int(best[kind]) for kind, stock in enumerate(stocks) if stock.count is None]
    scale = max(STICK_PRICE, *unlimited)
    value = int((prices * grid.demand).sum())
    for kind, stock in enumerate(stocks):
        if stock.count is not None:
            value -= stock.count * max(0, int(best[kind]) - (scale if stock.new else 0))
    return value / scale
