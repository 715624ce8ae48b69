"""The same number of new sticks, put to better use: off-cuts filled first, one long off-cut, no stick too long."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence

from bending.cutplan.fit import Rooms, Stick, Stock, counts_left


def tidy(widths: Sequence[int], stocks: Sequence[Stock], sticks: Sequence[Stick]) -> list[Stick]:
    """A plan of no more new sticks in which no piece on a new stick would still fit on an off-cut.

    Lengths as in `cutplan.fit`; the sticks given are left as they are.
    """
    copies = [Stick(stick.stock, stick.room, list(stick.pieces)) for stick in sticks]
    drops = [stick for stick in copies if not stocks[stick.stock].new] + _untouched(stocks, copies)
    new = [stick for stick in copies if stocks[stick.stock].new]
    _fill_drops(widths, drops, new)
    new = [stick for stick in new if stick.pieces]
    _gather(widths, new)
    new = [stick for stick in new if stick.pieces]
    _shorten(widths, stocks, new)
    return [stick for stick in drops if stick.pieces] + new


def _untouched(stocks: Sequence[Stock], sticks: Sequence[Stick]) -> list[Stick]:
    left = counts_left(stocks, sticks)
    drops = [kind for kind, stock in enumerate(stocks) if not stock.new]
    return [Stick(kind, stocks[kind].capacity) for kind in drops for _ in range(left[kind] or 0)]


def _fill_drops(widths: Sequence[int], drops: Sequence[Stick], new: Sequence[Stick]) -> None:
    """Move the longest pieces that fit, from the emptiest new stick where there is a choice."""
    numbered = enumerate(new)
    placed = sorted((widths[piece], stick.room, number, piece) for number, stick in numbered for piece in stick.pieces)
    for drop in sorted(drops, key=lambda stick: stick.room):
        while placed and placed[0][0] <= drop.room:
            width, _, number, piece = placed.pop(bisect_right(placed, (drop.room + 1,)) - 1)
            new[number].take(piece, width)
            drop.put(piece, width)


def _gather(widths: Sequence[int], new: Sequence[Stick]) -> None:
    """Move pieces of the emptiest stick into room on the others: one long off-cut is worth several short ones."""
    if len(new) < 2:
        return
    last = max(range(len(new)), key=lambda number: new[number].room)
    rooms = Rooms((stick.room, number) for number, stick in enumerate(new) if number != last)
    for piece in sorted(new[last].pieces, key=lambda piece: -widths[piece]):
        number = rooms.tightest(widths[piece])
        if number is not None:
            new[last].take(piece, widths[piece])
            new[number].put(piece, widths[piece])
            rooms.put(new[number].room, number)


def _shorten(widths: Sequence[int], stocks: Sequence[Stock], new: Sequence[Stick]) -> None:
    """Cut what fits on a shorter stick from a shorter stick, while there are any."""
    left = counts_left(stocks, new)
    for stick in new:
        needed = sum(widths[piece] for piece in stick.pieces)
        kinds = [kind for kind, count in enumerate(left) if count != 0 and _holds(stocks[kind], stick, needed)]
        shortest = min(kinds, key=lambda kind: stocks[kind].length, default=stick.stock)
        if stocks[shortest].length < stocks[stick.stock].length:
            _swap(left, stick.stock, shortest)
            stick.stock, stick.room = shortest, max(0, stocks[shortest].capacity - needed)


def _holds(stock: Stock, stick: Stick, needed: int) -> bool:
    return stock.new and (needed <= stock.capacity or (len(stick.pieces) == 1 and needed == stock.length))


def _swap(left: list[int | None], back: int, taken: int) -> None:
    for kind, change in ((back, 1), (taken, -1)):
        count = left[kind]
        left[kind] = None if count is None else count + change
