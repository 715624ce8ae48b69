"""Pieces onto sticks, tightest room first: the plan that any cleverer plan has to beat.

Lengths here are whole units with the blade's width already added, to pieces and to sticks alike: then n pieces fit
a stick exactly when their widths sum to no more than its capacity, because the last cut of a full stick is free.
"""

from __future__ import annotations

from bisect import bisect_left, insort
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field


@dataclass(frozen=True)
class Stock:
    """One kind of stick: its whole length and what the trims leave of it (units, blade added)."""

    length: int
    capacity: int
    new: bool = True
    count: int | None = None

    def takes(self, width: int) -> bool:
        """A piece exactly as long as the stick takes it uncut and untrimmed."""
        return width <= self.capacity or width == self.length


@dataclass
class Stick:
    """One stick that is being filled."""

    stock: int
    room: int
    pieces: list[int] = field(default_factory=list)

    def put(self, piece: int, width: int) -> None:
        """Lay a piece of `width` units (blade added) on the stick."""
        self.pieces.append(piece)
        self.room = max(0, self.room - width)

    def take(self, piece: int, width: int) -> None:
        """Take a piece of `width` units off the stick again."""
        self.pieces.remove(piece)
        self.room += width


class Rooms:
    """Sticks by the room left on them."""

    def __init__(self, sticks: Iterable[tuple[int, int]] = ()) -> None:
        self._sorted = sorted(sticks)

    def tightest(self, width: int) -> int | None:
        """Take out the stick whose room is the least that holds `width`."""
        index = bisect_left(self._sorted, (width, -1))
        return self._sorted.pop(index)[1] if index < len(self._sorted) else None

    def put(self, room: int, number: int) -> None:
        """Keep stick `number`, with `room` units left on it."""
        insort(self._sorted, (room, number))


class Fitter:
    """Best fit: an off-cut that holds the piece before any stick, the tightest one first, and a new stick last."""

    def __init__(self, widths: Sequence[int], stocks: Sequence[Stock], sticks: Iterable[Stick]) -> None:
        self.widths, self.stocks = widths, stocks
        self.sticks = [Stick(stick.stock, stick.room, list(stick.pieces)) for stick in sticks]
        self.left = counts_left(stocks, self.sticks)
        self._lay_out_drops()
        self.drop_rooms, self.new_rooms = self._rooms(new=False), self._rooms(new=True)

    def _lay_out_drops(self) -> None:
        for kind, stock in enumerate(self.stocks):
            if not stock.new:
                self.sticks += [Stick(kind, stock.capacity) for _ in range(int(self.left[kind] or 0))]

    def _rooms(self, new: bool) -> Rooms:
        numbered = enumerate(self.sticks)
        return Rooms((stick.room, number) for number, stick in numbered if self.stocks[stick.stock].new is new)

    def place(self, piece: int) -> bool:
        """Put `piece` on a stick; False when no stick is left that holds it."""
        width = self.widths[piece]
        for rooms in (self.drop_rooms, self.new_rooms):
            number = rooms.tightest(width)
            if number is not None:
                self._put(rooms, number, piece)
                return True
        return self._open(piece)

    def _put(self, rooms: Rooms, number: int, piece: int) -> None:
        self.sticks[number].put(piece, self.widths[piece])
        rooms.put(self.sticks[number].room, number)

    def _open(self, piece: int) -> bool:
        width = self.widths[piece]
        kinds = [kind for kind, stock in enumerate(self.stocks) if self.left[kind] != 0 and stock.new]
        kinds = [kind for kind in kinds if self.stocks[kind].takes(width)]
        if not kinds:
            return False
        # A stick used whole wastes nothing; else the longest stick leaves the most to fit the rest on.
        kind = max(kinds, key=lambda k: (self.stocks[k].length == width, self.stocks[k].capacity))
        self._count_down(kind)
        self.sticks.append(open_stick(self.stocks, kind, width))
        self._put(self.new_rooms, len(self.sticks) - 1, piece)
        return True

    def _count_down(self, kind: int) -> None:
        count = self.left[kind]
        self.left[kind] = None if count is None else count - 1


def open_stick(stocks: Sequence[Stock], kind: int, width: int) -> Stick:
    """A fresh stick of `kind` for a first piece of `width`: one that is used whole isn't trimmed."""
    return Stick(kind, max(stocks[kind].capacity, width))


def counts_left(stocks: Sequence[Stock], sticks: Iterable[Stick]) -> list[int | None]:
    """How many sticks of each kind `sticks` leave; None where there are always more."""
    left = [stock.count for stock in stocks]
    for stick in sticks:
        count = left[stick.stock]
        left[stick.stock] = None if count is None else count - 1
    return left


def best_fit(
    widths: Sequence[int], stocks: Sequence[Stock], pieces: Iterable[int] | None = None, sticks: Iterable[Stick] = ()
) -> tuple[list[Stick], list[int]]:
    """Best-fit-decreasing of `pieces` (all by default) onto the room left on `sticks` and onto fresh ones.

    Returns the sticks that have pieces, and the pieces that found no stick.
    """
    chosen = range(len(widths)) if pieces is None else pieces
    fitter = Fitter(widths, stocks, sticks)
    homeless = [piece for piece in sorted(chosen, key=lambda p: (-widths[p], p)) if not fitter.place(piece)]
    return [stick for stick in fitter.sticks if stick.pieces], homeless


def new_sticks(stocks: Sequence[Stock], sticks: Iterable[Stick]) -> int:
    """How many of `sticks` are new ones."""
    return sum(stocks[stick.stock].new for stick in sticks)
