"""Reading the parts of a cut plan: every fault found, each in its place, and lengths as whole units."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from bending.cutplan.fit import Stock
from bending.lengths import LengthError, parse_length
from bending.problems import Problem, Problems

# 1/512 in, 0.001 in and 0.1 mm are all whole numbers of these.
UNITS = 8_128_000
FIELDS = ("tag", "stick", "kerf", "pieces", "drops", "lots", "trim", "end_trim", "useful", "whole", "seconds")
MOST = {"pieces": 20_000, "drops": 2_000, "lots": 50, "whole": 20_000}
# Common practice, no source: under two feet an off-cut is scrap.
USEFUL = 24
SECONDS, MOST_SECONDS = 30.0, 600.0


def in_units(inches: float) -> int:
    """Whole units of a length in inches, to the nearest."""
    return round(inches * UNITS)


@dataclass(frozen=True)
class Source:
    """Where a kind of stick comes from: "stick", "lot" or "drop"; which; its length in inches as given."""

    kind: str
    index: int | None
    length: float


@dataclass(frozen=True)
class Parts:
    """A document that can be planned. Lengths in units; `widths` are those of the `loose` pieces with the blade added;
    `whole` maps the pieces that take a stick uncut to its kind."""

    tag: str | None
    lengths: tuple[int, ...]
    kerf: int
    useful: int
    seconds: float
    stocks: tuple[Stock, ...]
    sources: tuple[Source, ...]
    whole: dict[int, int]

    @cached_property
    def loose(self) -> list[int]:
        return [piece for piece in range(len(self.lengths)) if piece not in self.whole]

    @property
    def widths(self) -> list[int]:
        return [self.lengths[piece] + self.kerf for piece in self.loose]


class Reader:
    """Reads fields and gathers what is wrong with them."""

    def __init__(self, document: Mapping[str, Any]) -> None:
        self.document = document
        self.problems: list[Problem] = []

    def refuse(self, at: str, code: str, text: str) -> None:
        """Note a fault; reading goes on to find the others."""
        self.problems.append(Problem(at, code, text))

    def length(self, value: Any, at: str, zero: bool = False) -> float:
        """Inches; 0 when refused."""
        try:
            inches = parse_length(value)
        except LengthError as error:
            self.refuse(at, error.code, error.text)
            return 0.0
        if inches < 0 or (in_units(inches) == 0 and not zero):
            self.refuse(at, "not_positive", f"a length here is {'0 or more' if zero else 'more than 0'}")
            return 0.0
        return inches

    def field(self, name: str, default: Any = None, zero: bool = False) -> float:
        """A length of the document in inches, with what stands for one that is left out; 0 when refused."""
        if name not in self.document and default is None:
            self.refuse(name, "missing", f"a cut plan needs {name}")
            return 0.0
        return self.length(self.document.get(name, default), name, zero)

    def rows(self, name: str) -> Sequence[Any]:
        """A list of the document, none longer than `MOST` allows; empty when refused."""
        value = self.document.get(name, [])
        if not isinstance(value, list | tuple):
            self.refuse(name, "not_a_list", f"{name} is a list")
            return []
        if len(value) > MOST[name]:
            self.refuse(name, "too_many", f"at most {MOST[name]:,} {name}; these are {len(value):,}")
            return []
        return value

    def seconds(self) -> float:
        """The time limit, 0 to `MOST_SECONDS`; the usual one when refused."""
        value = self.document.get("seconds", SECONDS)
        good = isinstance(value, int | float) and not isinstance(value, bool) and 0 <= value <= MOST_SECONDS
        if not good:
            self.refuse("seconds", "out_of_range", f"a time limit is 0 to {MOST_SECONDS:g} seconds")
        return float(value) if good else SECONDS

    def finish(self) -> None:
        """Raises `Problems` with every fault that was noted."""
        if self.problems:
            raise Problems(self.problems)


def read(document: Mapping[str, Any]) -> Parts:
    """The document of `cutplan` as `Parts`. Raises `Problems` with every fault found."""
    if not isinstance(document, Mapping):
        raise Problems([Problem("", "not_an_object", "a cut plan is asked for with one JSON object")])
    reader = Reader(document)
    _known(reader)
    kerf = in_units(reader.field("kerf", zero=True))
    useful = in_units(reader.field("useful", USEFUL, zero=True))
    lengths = _pieces(reader)
    stocks, sources = _stocks(reader, kerf)
    seconds = reader.seconds()
    reader.finish()
    whole, left = _whole(reader, lengths, stocks, kerf)
    _too_long(reader, lengths, left, whole, kerf)
    reader.finish()
    return Parts(document.get("tag"), lengths, kerf, useful, seconds, left, sources, whole)


def _known(reader: Reader) -> None:
    for name in reader.document:
        if name not in FIELDS and not (name == "format" and reader.document[name] == "parts/1"):
            reader.refuse(str(name)[:60], "unknown_field", f"the fields are {', '.join(FIELDS)}")
    tag = reader.document.get("tag")
    if tag is not None and not isinstance(tag, str):
        reader.refuse("tag", "not_text", "a tag is text")


def _pieces(reader: Reader) -> tuple[int, ...]:
    rows = reader.rows("pieces")
    if not rows and not any(problem.at == "pieces" for problem in reader.problems):
        reader.refuse("pieces", "missing", "a cut plan needs at least one piece")
    return tuple(in_units(reader.length(value, f"pieces[{index}]")) for index, value in enumerate(rows))


def _stocks(reader: Reader, kerf: int) -> tuple[tuple[Stock, ...], tuple[Source, ...]]:
    """The stick, the lots and the off-cuts, in this order."""
    trims = in_units(reader.field("trim", 0, zero=True)) + in_units(reader.field("end_trim", 0, zero=True))
    full = [(Source("stick", None, reader.field("stick")), None, "stick"), *_lots(reader)]
    stocks, sources = [], []
    for source, count, at in full:
        length = in_units(source.length)
        if 0 < length <= trims:
            reader.refuse(at, "trimmed_away", "the trims leave nothing of this stick")
        stocks.append(Stock(length + kerf, length - trims + kerf, True, count))
        sources.append(source)
    for index, value in enumerate(reader.rows("drops")):
        source = Source("drop", index, reader.length(value, f"drops[{index}]"))
        stocks.append(Stock(in_units(source.length) + kerf, in_units(source.length) + kerf, False, 1))
        sources.append(source)
    return tuple(stocks), tuple(sources)


def _lots(reader: Reader) -> Iterable[tuple[Source, int | None, str]]:
    for index, value in enumerate(reader.rows("lots")):
        at = f"lots[{index}]"
        lot = value if isinstance(value, Mapping) else {"length": value}
        count = _count(reader, lot, at)
        length = reader.length(lot.get("length"), f"{at}.length" if lot is value else at)
        yield Source("lot", index, length), count, at


def _count(reader: Reader, lot: Mapping[str, Any], at: str) -> int | None:
    for name in lot:
        if name not in ("length", "count"):
            reader.refuse(f"{at}.{str(name)[:60]}", "unknown_field", "a lot has length and count")
    count = lot.get("count")
    good = count is None or (isinstance(count, int) and not isinstance(count, bool) and 0 <= count <= MOST["pieces"])
    if not good:
        reader.refuse(f"{at}.count", "out_of_range", f"a count is a whole number from 0 to {MOST['pieces']:,}")
    return count if good else None


def _whole(
    reader: Reader, lengths: Sequence[int], stocks: Sequence[Stock], kerf: int
) -> tuple[dict[int, int], tuple[Stock, ...]]:
    """The pieces that take a stick uncut, with its kind, and the stocks without those sticks."""
    chosen: dict[int, int] = {}
    left = list(stocks)
    for row, piece in enumerate(reader.rows("whole")):
        if not isinstance(piece, int) or isinstance(piece, bool) or not 0 <= piece < len(lengths) or piece in chosen:
            reader.refuse(f"whole[{row}]", "no_such_piece", "the whole sticks are indexes into pieces, each once")
            continue
        kind = _as_long(left, lengths[piece] + kerf)
        if kind is None:
            reader.refuse(f"whole[{row}]", "not_a_stick_long", "no stick is left that is exactly as long as this piece")
            continue
        chosen[piece] = kind
        left[kind] = _one_less(left[kind])
    return chosen, tuple(left)


def _as_long(stocks: Sequence[Stock], width: int) -> int | None:
    kinds = (kind for kind, stock in enumerate(stocks) if stock.new and stock.length == width and stock.count != 0)
    return next(kinds, None)


def _one_less(stock: Stock) -> Stock:
    return stock if stock.count is None else replace(stock, count=stock.count - 1)


def _too_long(
    reader: Reader, lengths: Sequence[int], stocks: Sequence[Stock], whole: Mapping[int, int], kerf: int
) -> None:
    longest = max(stock.capacity for stock in stocks if stock.count != 0)
    uncut = {stock.length for stock in stocks if stock.new}
    for piece, length in enumerate(lengths):
        if length + kerf > longest and length + kerf not in uncut and piece not in whole:
            text = f"this piece is longer than any stick: at most {(longest - kerf) / UNITS:g} in"
            reader.refuse(f"pieces[{piece}]", "too_long_for_stick", text)
