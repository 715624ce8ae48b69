"""The search for the fewest new sticks: best fit first, then column generation on finer and finer grids."""

from __future__ import annotations

import math
import time
from collections.abc import Iterator, Sequence

from bending.cutplan.bound import quick_bound
from bending.cutplan.columns import Best, Generation, whole_sticks
from bending.cutplan.fit import Stick, Stock, best_fit
from bending.cutplan.master import Master
from bending.cutplan.patterns import Grid, Pattern, make_grid
from bending.cutplan.rounding import round_plan

CELLS = (1 << 11, 1 << 13, 1 << 15)
# Cells times types: what a pricing may cost while it is quick, and at most.
QUICK_WORK, MOST_WORK = 5_000_000, 40_000_000
GENERATION_SHARE = 0.6


def search(widths: Sequence[int], stocks: Sequence[Stock], seconds: float) -> Best | list[int]:
    """The fewest new sticks that `seconds` find, never more than best fit's, and a proven bound; or, when best fit
    finds no stick for some pieces, those pieces.

    `widths` and `stocks` are whole units with the blade added (see `cutplan.fit`); one new stock must be unlimited.
    """
    deadline = time.monotonic() + seconds
    widths, stocks = _simplest(widths, stocks)
    sticks, homeless = best_fit(widths, stocks)
    if homeless:
        return homeless
    best = Best(widths, stocks, sticks, quick_bound(widths, stocks), deadline)
    chosen = list(grids(widths, stocks))
    for unit, up in chosen:
        # Half of what is left, so that no grid takes the time of those that come after it.
        best.deadline = deadline if (unit, up) == chosen[-1] else (time.monotonic() + deadline) / 2
        if best.done:
            break
        _improve(best, make_grid(widths, stocks, unit, up), may_cut=up, may_prove=not up or unit == 1)
    return best


def _simplest(widths: Sequence[int], stocks: Sequence[Stock]) -> tuple[list[int], list[Stock]]:
    """The same sizes in the largest unit that measures them all."""
    unit = math.gcd(*widths, *(size for stock in stocks for size in (stock.length, stock.capacity))) or 1
    simpler = [Stock(stock.length // unit, stock.capacity // unit, stock.new, stock.count) for stock in stocks]
    return [width // unit for width in widths], simpler


def grids(widths: Sequence[int], stocks: Sequence[Stock]) -> Iterator[tuple[int, bool]]:
    """(cell size, rounded up) from a quick grid to the finest that is affordable; cell size 1 is exact."""
    room, kinds = max(stock.capacity for stock in stocks), len(set(widths))
    if room * kinds > QUICK_WORK:
        for cells in _levels(kinds):
            if cells < room:
                yield -(-room // cells), True
                yield -(-room // cells), False
    if room * kinds <= MOST_WORK:
        yield 1, True


def _levels(kinds: int) -> list[int]:
    """The coarse grids worth a try: none coarser than one that is quick already."""
    affordable = [cells for cells in CELLS if cells * min(kinds, cells) <= MOST_WORK]
    quick = [cells for cells in affordable if cells * min(kinds, cells) <= QUICK_WORK // 2]
    return [cells for cells in affordable if cells >= max(quick, default=0)]


def _improve(best: Best, grid: Grid, may_cut: bool, may_prove: bool) -> None:
    """One column generation over `grid`: a better bound when its patterns are all there are, a better plan when each
    of them can be cut."""
    master = Master(grid, best.stocks)
    master.add(_pattern(stick, grid) for stick in best.sticks)
    # Once more with every pattern that pays, when those that prove the bound don't make a plan.
    for to_the_end in (False, True) if may_cut else (False,):
        generation = Generation(master, grid, best, share=GENERATION_SHARE if may_cut else 1.0)
        solved = generation.run(to_the_end)
        if may_prove:
            best.bound = max(best.bound, whole_sticks(generation.bound))
        if may_cut and solved is not None and not best.done:
            round_plan(best, grid, master, *solved)
        if best.done:
            break


def _pattern(stick: Stick, grid: Grid) -> Pattern:
    counts: dict[int, int] = {}
    for piece in stick.pieces:
        counts[grid.type_of[piece]] = counts.get(grid.type_of[piece], 0) + 1
    return stick.stock, tuple(sorted(counts.items()))
