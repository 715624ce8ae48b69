"""The linear programs of a cut plan: which patterns, how often, so that every piece is cut. HiGHS solves them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

import highspy
import numpy as np
from numpy.typing import NDArray

from bending.cutplan.fit import Stock
from bending.cutplan.patterns import Grid, Pattern, Whole

Real = NDArray[np.float64]
NEGLIGIBLE = 1e-7


class QuietHighs(highspy.Highs):
    """HiGHS prints a banner when its callbacks are hooked up; standard output belongs to the answer."""

    def enableCallbacks(self) -> None:
        """As the solver does it, but without its banner."""
        self.silent()
        super().enableCallbacks()  # type: ignore[no-untyped-call]


class Master:
    """Least new sticks over the patterns known: a cover row for each type, a count row for each limited stock."""

    def __init__(self, grid: Grid, stocks: Sequence[Stock]) -> None:
        self.stocks, self.types = stocks, len(grid.cells)
        self.limited = [kind for kind, stock in enumerate(stocks) if stock.count is not None]
        self.patterns: dict[Pattern, int] = {}
        low = [*map(float, grid.demand), *(-highspy.kHighsInf for _ in self.limited)]
        high = [*(highspy.kHighsInf for _ in grid.demand), *(float(stocks[kind].count or 0) for kind in self.limited)]
        self.low, self.high = np.asarray(low), np.asarray(high)
        self.highs = self._empty()

    def _empty(self) -> Any:
        highs = QuietHighs()  # type: ignore[no-untyped-call]
        highs.setOptionValue("threads", 1)
        nothing = np.zeros(0)
        starts = np.zeros(len(self.low), np.int32)
        highs.addRows(len(self.low), self.low, self.high, 0, starts, nothing.astype(np.int32), nothing)
        return highs

    def add(self, patterns: Iterable[Pattern]) -> int:
        """Add those not yet known; how many there were."""
        fresh = [pattern for pattern in dict.fromkeys(patterns) if pattern not in self.patterns]
        for pattern in fresh:
            self.patterns[pattern] = len(self.patterns)
        self._add_columns(self.highs, fresh)
        return len(fresh)

    def _add_columns(self, highs: Any, patterns: Sequence[Pattern]) -> None:
        starts: list[int] = []
        rows: list[int] = []
        counts: list[int] = []
        for stock, pairs in patterns:
            starts.append(len(rows))
            rows += [index for index, _ in pairs]
            counts += [count for _, count in pairs]
            if stock in self.limited:
                rows.append(self.types + self.limited.index(stock))
                counts.append(1)
        costs = np.asarray([float(self.stocks[stock].new) for stock, _ in patterns])
        low, high = np.zeros(len(patterns)), np.full(len(patterns), highspy.kHighsInf)
        index, value = np.asarray(rows, np.int32), np.asarray(counts, np.float64)
        highs.addCols(len(patterns), costs, low, high, len(rows), np.asarray(starts, np.int32), index, value)

    def solve(self, seconds: float) -> tuple[Real, Real] | None:
        """(how often each pattern, the price of each row), or None when time ran out."""
        self.highs.setOptionValue("time_limit", self.highs.getRunTime() + seconds)
        self.highs.run()
        if self.highs.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            return None
        solution = self.highs.getSolution()
        return np.asarray(solution.col_value), np.asarray(solution.row_dual)

    def demand(self, demand: Whole, counts: Sequence[int]) -> None:
        """Ask for `demand` of each type from here on, and allow `counts` of the limited stocks (in their order)."""
        for row, wanted in enumerate(demand):
            self.highs.changeRowBounds(row, float(wanted), highspy.kHighsInf)
        for row, count in enumerate(counts, self.types):
            self.highs.changeRowBounds(row, -highspy.kHighsInf, float(count))

    def objective(self, times: Real) -> float:
        """New sticks, counted from the solution itself; patterns that came after it aren't part of it."""
        pairs = zip(self.patterns, times, strict=False)
        return float(sum(count for (stock, _), count in pairs if self.stocks[stock].new))

    def reduced(self, pattern: Pattern, duals: Real) -> float:
        """What one more of `pattern` would cost at these prices; negative means that it pays."""
        stock, pairs = pattern
        cost = float(self.stocks[stock].new) - sum(count * float(duals[index]) for index, count in pairs)
        return cost - self.stock_price(stock, duals)

    def stock_price(self, stock: int, duals: Real) -> float:
        """The dual of a limited stock's count row: never positive."""
        return float(duals[self.types + self.limited.index(stock)]) if stock in self.limited else 0.0

    def whole(self, worth_trying: Sequence[Pattern], seconds: float, enough: int) -> dict[Pattern, int]:
        """Whole numbers of those patterns, as few sticks as `seconds` find; `enough` sticks end the search."""
        highs = self._empty()
        self._add_columns(highs, worth_trying)
        every = np.arange(len(worth_trying), dtype=np.int32)
        highs.changeColsIntegrality(len(every), every, np.full(len(every), 1, np.uint8))
        # Sticks are whole: nothing is gained by closing a gap of less than one.
        options = {"time_limit": seconds, "mip_rel_gap": 0.0, "mip_abs_gap": 0.99, "objective_target": enough + 0.5}
        for option, value in options.items():
            highs.setOptionValue(option, value)
        highs.run()
        times = np.rint(np.asarray(highs.getSolution().col_value)) if highs.getSolution().value_valid else []
        return {worth_trying[at]: int(n) for at, n in enumerate(times) if n > 0}
