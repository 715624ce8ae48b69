"""How few new sticks could possibly do: quick bounds, each proven by a weight that no stick can hold more than one of.

Source of the two families: Martello and Toth, Knapsack Problems (1990), bound L2; Carlier, Clautiaux and Moukrim,
Computers and Operations Research 34 (2007), function f_CCM,1. Both are dual-feasible functions: if the pieces on any
one stick weigh at most 1, the pieces together need at least their weight in sticks.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from bending.cutplan.fit import Stock

Whole = NDArray[np.int64]
MOST_STEPS = 2000


def quick_bound(widths: Sequence[int], stocks: Sequence[Stock]) -> int:
    """A proven lower bound on the new sticks for `widths` (units, blade added; as in `cutplan.fit`)."""
    if not widths:
        return 0
    sizes = np.sort(np.asarray(widths, np.int64))
    size = _largest(int(sizes[-1]), stocks)
    drops = [(stock.capacity, int(stock.count or 0)) for stock in stocks if not stock.new]
    bounds = [-(-(int(sizes.sum()) - sum(room * count for room, count in drops)) // size)]
    if all(room <= size for room, _ in drops):
        # An off-cut no longer than a stick holds a weight of at most one stick.
        most = max(large_bound(sizes, size), stepped_bound(sizes, size))
        bounds.append(most - sum(count for _, count in drops))
    return max(0, *bounds)


def _largest(width: int, stocks: Sequence[Stock]) -> int:
    """The size of a stick that is as good as any new one: the longest usable, whole when some piece needs it whole."""
    usable = max(stock.capacity for stock in stocks if stock.new)
    return usable if width <= usable else max(stock.length for stock in stocks if stock.new)


def large_bound(sizes: Whole, size: int) -> int:
    """Bound L2: for each step t, pieces over size - t fill a stick, pieces under t are left out.

    `sizes` ascending. Sticks of `size` units.
    """
    down = sizes[::-1]
    total = np.concatenate(([0], np.cumsum(down)))
    halves = int(np.searchsorted(-down, -(size // 2), "left"))
    steps = np.unique(np.concatenate(([1], sizes[2 * sizes <= size])))
    alone = np.minimum(np.searchsorted(-down, steps - size, "left"), halves)
    last = np.searchsorted(-down, -steps, "right")
    room = (halves - alone) * size - (total[halves] - total[alone])
    extra = -(-(total[last] - total[halves] - room) // size)
    return halves + max(0, int(extra.max()))


def stepped_bound(sizes: Whole, size: int) -> int:
    """f_CCM,1: small pieces weigh the whole steps of t in them, large ones what that leaves of the stick."""
    steps = np.unique(sizes[2 * sizes <= size])
    every = max(1, len(steps) // MOST_STEPS)
    kinds, counts = np.unique(sizes, return_counts=True)
    return max((_stepped(kinds, counts, size, int(step)) for step in steps[::every]), default=0)


def _stepped(kinds: Whole, counts: Whole, size: int, step: int) -> int:
    whole = size // step
    small = 2 * (kinds // step)
    large = 2 * (whole - (size - kinds) // step)
    weight = np.where(2 * kinds < size, small, np.where(2 * kinds == size, whole, large))
    return -(-int((weight * counts).sum()) // (2 * whole))
