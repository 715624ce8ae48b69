"""From fractions of patterns to whole sticks: settle the surest patterns, solve the rest again, and so on down."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from bending.cutplan.columns import ROUNDING, Best, Generation
from bending.cutplan.fit import Stick, best_fit, open_stick
from bending.cutplan.master import NEGLIGIBLE, Master, Real
from bending.cutplan.patterns import Grid, Pattern, Whole

# How sure a fraction must be to be settled beside the surest one, and the most of all sticks that is settled at a time
# so that the rest can still answer: a bold dive first, then more careful ones.
DIVES = ((0.6, 0.1), (0.3, 0.1), (0.1, 0.1), (0.3, 0.01), (0.5, 0.003))
SEARCH_SHARE = 0.25


@dataclass
class Settled:
    """Patterns that are settled, and the grid of what is still to be cut."""

    best: Best
    whole: Grid
    times: dict[Pattern, int] = field(default_factory=dict)

    def add(self, chosen: Mapping[Pattern, int]) -> None:
        """Settle patterns, each as often as it says."""
        for pattern, count in chosen.items():
            self.times[pattern] = self.times.get(pattern, 0) + count

    @property
    def rest(self) -> Grid:
        demand = self.whole.demand.copy()
        for (_, pairs), count in self.times.items():
            for index, each in pairs:
                demand[index] -= each * count
        return replace(self.whole, demand=demand)

    @property
    def cut(self) -> int:
        """New sticks."""
        return sum(count for (kind, _), count in self.times.items() if self.best.stocks[kind].new)

    def counts(self, kinds: Iterable[int]) -> list[int]:
        """What is left of the limited stocks `kinds`."""
        return [int(self.best.stocks[kind].count or 0) - self._taken(kind) for kind in kinds]

    def _taken(self, kind: int) -> int:
        return sum(count for (stock, _), count in self.times.items() if stock == kind)


def round_plan(best: Best, grid: Grid, master: Master, times: Real, duals: Real) -> None:
    """Offer `best` the whole plans that the linear program's solution leads to."""
    # A pattern that costs more than what is left to gain can't be part of a better plan.
    gain = best.used - 1 - master.objective(times)
    candidates = [pattern for pattern in master.patterns if master.reduced(pattern, duals) <= gain + ROUNDING]
    for share, step in DIVES:
        if not best.done:
            dive(best, grid, master, times, share=share, step=step)
    if candidates and not best.done:
        found = master.whole(candidates, best.left * SEARCH_SHARE, best.bound)
        best.offer(*cut_patterns(found, grid, best))


def dive(best: Best, grid: Grid, master: Master, times: Real, *, share: float, step: float) -> None:
    """Settle the surest patterns and solve again, until all is cut or nothing can be gained this way."""
    settled = Settled(best, grid)
    while not best.done:
        chosen = surest(master, times, settled.rest.demand, share, step)
        settled.add(chosen)
        best.offer(*cut_patterns(settled.times, grid, best))
        rest = settled.rest
        master.demand(rest.demand, settled.counts(master.limited))
        solved = Generation(master, rest, best, settled.cut).run() if chosen and rest.demand.any() else None
        if solved is None or settled.cut + master.objective(solved[0]) > best.used - 1 + ROUNDING:
            break
        times = solved[0]
    master.demand(grid.demand, Settled(best, grid).counts(master.limited))


def surest(master: Master, times: Real, demand: Whole, share: float, step: float) -> dict[Pattern, int]:
    """The whole parts of the largest `times`, and fractions of `share` and more; at least one pattern that still fits
    `demand`."""
    left = demand.copy()
    chosen: dict[Pattern, int] = {}
    patterns, most = list(master.patterns), max(1.0, step * float(times.sum()))
    for at in np.argsort(-times, kind="stable"):
        if chosen and (times[at] < share or (sum(chosen.values()) >= most and times[at] < 1 - NEGLIGIBLE)):
            break
        count = _fitting(patterns[at], left, max(1, int(times[at] + NEGLIGIBLE))) if times[at] > ROUNDING else 0
        if count:
            chosen[patterns[at]] = count
            for index, each in patterns[at][1]:
                left[index] -= each * count
    return chosen


def _fitting(pattern: Pattern, left: Whole, count: int) -> int:
    return min(count, *(int(left[index]) // each for index, each in pattern[1]))


def cut_patterns(times: Mapping[Pattern, int], grid: Grid, best: Best) -> tuple[list[Stick], list[int]]:
    """Real pieces onto `times` patterns, best fit for those left over: the sticks, and pieces that found none."""
    waiting = [list(members) for members in grid.members]
    sticks = []
    for (kind, pairs), count in times.items():
        for _ in range(count):
            pieces = [waiting[index].pop() for index, each in pairs for _ in range(min(each, len(waiting[index])))]
            sticks += _cut(kind, pieces, best, waiting, grid)
    return best_fit(best.widths, best.stocks, (piece for some in waiting for piece in some), sticks)


def _cut(kind: int, pieces: Iterable[int], best: Best, waiting: list[list[int]], grid: Grid) -> list[Stick]:
    """One stick of `pieces`, or none when none is left to cut; a piece that doesn't really fit goes back to wait."""
    stick: Stick | None = None
    for piece in pieces:
        width = best.widths[piece]
        if stick is None:
            stick = open_stick(best.stocks, kind, width)
        if width > stick.room:
            waiting[grid.type_of[piece]].append(piece)
        else:
            stick.put(piece, width)
    return [stick] if stick else []
