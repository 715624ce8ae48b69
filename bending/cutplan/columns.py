"""Column generation: patterns that pay, round by round, and the proof of how few new sticks could do.

Source of the method: Gilmore and Gomory, Operations Research 9 (1961) and 11 (1963); the bound at any prices is
Farley's, Operations Research 38 (1990); prices are smoothed toward those of the best bound, after Wentges,
International Transactions in Operational Research 4 (1997).
"""

from __future__ import annotations

import math
import time
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from bending.cutplan.fit import Stick, Stock, new_sticks
from bending.cutplan.master import NEGLIGIBLE, Master, Real
from bending.cutplan.patterns import STICK_PRICE, Grid, Whole, best_patterns, price, proven

PATTERNS_A_ROUND = 300
SMOOTHING, LEAST_SMOOTHING = 0.7, 0.05
# A price this high already says "at any cost"; higher ones could overflow.
HIGHEST_PRICE = 1e4
# A bound is a sum of many rounded-down prices; what lies above a whole number by less than this isn't another stick.
ROUNDING = 1e-6


@dataclass
class Best:
    """The best plan and the best bound so far, and when to stop. Lengths as in `cutplan.fit`."""

    widths: Sequence[int]
    stocks: Sequence[Stock]
    sticks: list[Stick]
    bound: int
    deadline: float

    @property
    def used(self) -> int:
        return new_sticks(self.stocks, self.sticks)

    @property
    def done(self) -> bool:
        return self.used <= self.bound or self.left <= 0

    @property
    def left(self) -> float:
        """Seconds."""
        return self.deadline - time.monotonic()

    def offer(self, sticks: list[Stick], homeless: list[int]) -> None:
        """Keep a plan that cuts every piece from fewer new sticks."""
        if not homeless and new_sticks(self.stocks, sticks) < self.used:
            self.sticks = sticks


def whole_sticks(bound: float) -> int:
    """The whole sticks that a proven fraction of sticks asks for."""
    return math.ceil(bound - ROUNDING)


class Generation:
    """The rounds of one column generation; `cut` new sticks are settled already and not part of it.

    It takes at most `share` of the time that is left, so that the rest can make a plan of what it found.
    """

    def __init__(self, master: Master, grid: Grid, best: Best, cut: int = 0, share: float = 1.0) -> None:
        self.master, self.grid, self.best, self.cut = master, grid, best, cut
        self.until = time.monotonic() + share * best.left
        self.bound = 0.0
        self.centre = np.zeros(len(grid.cells))

    def run(self, to_the_end: bool = False) -> tuple[Real, Real] | None:
        """Rounds until no pattern pays or time is up: the last solution and its prices. Unless `to_the_end`, also
        until the bound is known, which is sooner."""
        solved = None
        while self.left > 0:
            latest = self.master.solve(self.left)
            if latest is None:
                break
            solved = latest
            if not to_the_end and self._closed(self.master.objective(solved[0])):
                break
            if not self._round(solved[1]):
                break
        return solved

    @property
    def left(self) -> float:
        """Seconds."""
        return self.until - time.monotonic()

    def _closed(self, objective: float) -> bool:
        return whole_sticks(self.bound) >= min(whole_sticks(objective), self.best.used - self.cut)

    def _round(self, duals: Real) -> int:
        """Add patterns that pay, priced nearer and nearer to `duals`; how many."""
        real = np.clip(duals[: len(self.grid.cells)], 0.0, HIGHEST_PRICE)
        weight = SMOOTHING if self.centre.any() else 0.0
        while self.left > 0:
            added = self._price(weight * self.centre + (1 - weight) * real, duals)
            if added or weight == 0:
                return added
            weight = weight / 2 if weight > LEAST_SMOOTHING else 0.0
        return 0

    def _price(self, prices: Real, duals: Real) -> int:
        whole: Whole = np.floor(prices * STICK_PRICE).astype(np.int64)
        priced = price(self.grid, whole)
        bound = proven(self.grid, self.best.stocks, whole, priced.best)
        if bound > self.bound:
            self.bound, self.centre = bound, prices
        offered = best_patterns(priced, self.grid, self._thresholds(duals), PATTERNS_A_ROUND)
        return self.master.add(pattern for pattern in offered if self.master.reduced(pattern, duals) < -NEGLIGIBLE)

    def _thresholds(self, duals: Real) -> Whole:
        """What a pattern must be worth on each stock before it pays."""
        costs = [stock.new - self.master.stock_price(kind, duals) for kind, stock in enumerate(self.best.stocks)]
        return np.ceil(np.asarray(costs, np.float64) * STICK_PRICE).astype(np.int64)
