"""Splitting a length into sticks: fewest pieces, then fewest cuts, then the longest single off-cut.

A joint's place is where the piece before it ends; the next one begins a gap further on.
"""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from typing import NamedTuple

# Places are sums of a dozen floats.
CLOSE = 1e-9
# Nobody orders a run of more sticks, and reading a document takes no longer for one that asks for it.
MOST_STICKS = 100

Span = tuple[float, float]


class Stock(NamedTuple):
    """What a length is made of: the stick, what a joint leaves between two pieces, and the least piece; inches."""

    stick: float
    gap: float
    least: float

    @property
    def steps(self) -> Span:
        """From one joint's place to the next."""
        return self.least + self.gap, self.stick + self.gap

    def sticks(self, whole: float) -> int:
        """How many sticks ``whole`` inches take at the least, wherever the joints are."""
        return max(1, math.ceil((whole + self.gap) / (self.stick + self.gap) - CLOSE))


def joints(ends: Span, places: Sequence[Span], stock: Stock) -> list[float] | None:
    """Where the pieces end that make the length from ``ends[0]`` to ``ends[1]``, but the last; inches.

    ``places``: rising spans that a joint may lie in. None where they allow no split. Two neighbours of a split with
    the fewest pieces are together longer than a stick, or they were one: that bounds the pieces. Cuts are counted as
    pieces that aren't a whole stick. At the best split every chain of whole sticks ends at a limit: an end of the
    length, of a span, or a piece of the least length; so only places a chain away from one need be tried.
    """
    begins, until = ends[0] - stock.gap, ends[1]
    if until - ends[0] <= stock.stick + CLOSE:
        return []
    reached = _reached(begins, until, places, stock)
    if reached is None:
        return None
    layers = _layers(begins, until, reached, places, stock)
    return _best(begins, until, layers, stock)


def _reached(begins: float, until: float, places: Sequence[Span], stock: Stock) -> list[list[Span]] | None:
    """Where a first, second, ... joint can lie, up to the first count of them from which the end is reached."""
    least, most = stock.steps
    if least > most + CLOSE:
        return None
    found: list[list[Span]] = []
    spans: list[Span] = [(begins, begins)]
    for _ in range(2 * stock.sticks(until - begins - stock.gap) + 1):
        if any(low + least <= until + CLOSE and until - CLOSE <= high + most for low, high in spans):
            return found
        spans = _within(_moved(spans, least, most), places)
        if not spans:
            return None
        found.append(spans)
    return None


def _layers(
    begins: float, until: float, reached: Sequence[list[Span]], places: Sequence[Span], stock: Stock
) -> list[list[float]]:
    """The places worth trying for each joint, rising."""
    least, most = stock.steps
    behind, spans = [], [(until, until)]
    for forward in reversed(reached):
        spans = _within(_moved(spans, -most, -least), forward)
        behind.append(spans)
    allowed = behind[::-1]
    forth = _chained(begins, allowed, (least, most))
    back = _chained(until, allowed[::-1], (-least, -most))[::-1]
    return [sorted(one | other) for one, other in zip(forth, back, strict=True)]


def _chained(start: float, allowed: Sequence[list[Span]], steps: Span) -> list[set[float]]:
    """Joint by joint the ends of its spans, and what is a whole or a least piece away from the joint before."""
    found, before = [], {start}
    for spans in allowed:
        here = {end for span in spans for end in span}
        here |= {round(place + step, 9) for place in before for step in steps if _is_in(place + step, spans)}
        found.append(here)
        before = here
    return found


def _is_in(place: float, spans: Sequence[Span]) -> bool:
    number = bisect_right(spans, (place + CLOSE, math.inf)) - 1
    return number >= 0 and place <= spans[number][1] + CLOSE


class _Way(NamedTuple):
    """The best way to a joint: cuts so far, the longest off-cut's negative, and the joint before."""

    cuts: int
    left: float
    before: float


def _best(begins: float, until: float, layers: Sequence[list[float]], stock: Stock) -> list[float]:
    ways: list[dict[float, _Way]] = [{begins: _Way(0, 0.0, begins)}]
    for layer in [*layers, [until]]:
        before = sorted(ways[-1])
        found = {place: _step(place, before, ways[-1], stock) for place in layer}
        ways.append({place: way for place, way in found.items() if way})
    here, joined = until, []
    for layer_ways in reversed(ways[2:]):
        here = layer_ways[here].before
        joined.append(here)
    return joined[::-1]


def _step(place: float, before: Sequence[float], ways: dict[float, _Way], stock: Stock) -> _Way | None:
    """The best way to a joint at ``place``; of equal ones from the joint that lies farthest on."""
    least, most = stock.steps
    low, high = bisect_left(before, place - most - CLOSE), bisect_right(before, place - least + CLOSE)
    best: tuple[float, float, float] = (math.inf, 0.0, 0.0)
    # Written out: it is tried for every two places a piece apart.
    for last in before[low:high]:
        cuts, left, _ = ways[last]
        waste = most - place + last
        if waste > 2 * CLOSE:
            cuts, left = cuts + 1, min(left, -waste)
        if cuts < best[0] or (cuts == best[0] and left <= best[1]):
            best = (cuts, left, last)
    return _Way(int(best[0]), best[1], best[2]) if best[0] < math.inf else None


# Spans: rising, apart, both ends in them.


def _moved(spans: Iterable[Span], least: float, most: float) -> list[Span]:
    """Everything that is ``least`` to ``most`` on from somewhere in the spans."""
    found: list[Span] = []
    for low, high in spans:
        if found and low + least <= found[-1][1] + CLOSE:
            found[-1] = (found[-1][0], max(found[-1][1], high + most))
        else:
            found.append((low + least, high + most))
    return found


def _within(spans: Sequence[Span], places: Sequence[Span]) -> list[Span]:
    """What both have in common."""
    found, number = [], 0
    for low, high in places:
        while number < len(spans) and spans[number][1] < low - CLOSE:
            number += 1
        for one, other in spans[number:]:
            if one > high + CLOSE:
                break
            begins, ends = max(low, one), min(high, other)
            found.append((begins, max(begins, ends)))
    return found


def least_stick(ends: Span, places: Sequence[Span], stock: Stock, step: float = 1 / 16) -> float:
    """The shortest stick that the length can be split for, to a ``step`` up; inches. A longer one than it does too."""
    low, high = math.floor(stock.stick / step), math.ceil((ends[1] - ends[0]) / step)
    while high - low > 1:
        middle = (low + high) // 2
        fits = _reached(ends[0] - stock.gap, ends[1], places, stock._replace(stick=middle * step)) is not None
        low, high = (low, middle) if fits else (middle, high)
    return high * step


def without(spans: Sequence[Span], forbidden: Iterable[Span]) -> list[Span]:
    """The spans less everything strictly inside the forbidden ones."""
    found = list(spans)
    for low, high in forbidden:
        parts = [part for one, other in found for part in ((one, min(other, low)), (max(one, high), other))]
        found = [part for part in dict.fromkeys(parts) if part[0] <= part[1]]
    return found


def pieces(ends: Span, joined: Sequence[float], gap: float) -> list[Span]:
    """From where to where each piece goes."""
    starts = [ends[0], *(place + gap for place in joined)]
    return list(zip(starts, [*joined, ends[1]], strict=True))
