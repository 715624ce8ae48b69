"""What a ticket, a label or a sign says: plain frozen data, checked when it is made, drawn elsewhere.

Lengths are text as pencilled (98 13/16", 1588 mm), so that paper and screen can't round apart.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from bending.lengths import LengthError, parse_length
from shop.jobs.codes import is_code
from shop.jobs.sizes import ink_on
from shop.tickets.faults import NotPrinted

MARKS = ("arrow", "notch", "star", "centre")
ENDS = ("start", "end")
HOOKS = (*ENDS, "none")
HEX = re.compile(r"#[0-9A-F]{6}")
MOST_CAUTIONS = 3


def _bad(what: str, value: object) -> NotPrinted:
    return NotPrinted("bad_content", f"The sheet's {what} can't be {value!r}.", what=what)


def _said(what: str, *values: str) -> None:
    for value in values:
        if not value.strip():
            raise _bad(what, value)


def _length(what: str, value: str) -> None:
    try:
        parse_length(value)
    except LengthError as error:
        raise _bad(what, value) from error


@dataclass(frozen=True)
class TradeSize:
    """A raceway and its size (3/4 EMT) with the shop's colour for the size."""

    raceway: str
    size: str
    colour: str

    def __post_init__(self) -> None:
        _said("trade size", self.raceway, self.size)
        if not HEX.fullmatch(self.colour):
            raise _bad("colour", self.colour)

    @property
    def words(self) -> str:
        return f"{self.size} {self.raceway}"

    @property
    def on_it(self) -> str:
        """Black or white, whichever reads better on the colour."""
        return ink_on(self.colour)


@dataclass(frozen=True)
class BendRow:
    """One bend of a ticket, in bending order.

    `zero` is the end that the piece's marks are measured from; `seen_from` is this bend's own, which its lines are said
    from: another one on a piece that is bent end for end.
    """

    step: int
    mark_at: str
    mark: str
    hook: str
    zero: str
    shoe: str
    roll: float
    angle: float
    shoe_more: str = ""
    go_to: float | None = None
    measured_from: str = ""
    check: str = ""
    seen_from: str = ""

    def __post_init__(self) -> None:
        _length("mark", self.mark_at)
        _said("line in the shoe", self.shoe)
        if self.step < 1 or not 0 < self.angle <= 180 or not 0 <= self.roll < 360:
            raise _bad("bend", (self.step, self.angle, self.roll))
        if self.mark not in MARKS or self.hook not in HOOKS or self.zero not in ENDS:
            raise _bad("mark", (self.mark, self.hook, self.zero))
        if self.seen_from not in ("", *ENDS):
            raise _bad("end", self.seen_from)

    @property
    def toward_zero(self) -> bool:
        return self.hook == self.zero

    @property
    def said_from(self) -> str:
        """The end that left and right are said from."""
        return self.seen_from or self.zero


@dataclass(frozen=True)
class CheckBox:
    """A dimension that a tape can take on the table; `place` is its name in the run document."""

    words: str
    length: str
    tolerance: str
    place: str = ""
    star: bool = False

    def __post_init__(self) -> None:
        _said("check", self.words, self.tolerance)
        _length("check", self.length)


@dataclass(frozen=True)
class BookRow:
    """One of the handbook's marks, with what the front says for the same bend."""

    step: str
    mark_at: str
    mark: str
    hook: str
    rule: str
    front: str


@dataclass(frozen=True)
class Printed:
    """Which print of which paper this is; `text` is what the code says."""

    code: str
    text: str
    number: int
    at: str

    def __post_init__(self) -> None:
        if not is_code(self.code) or self.number < 1:
            raise _bad("print", (self.code, self.number))
        _said("print", self.text, self.at)


@dataclass(frozen=True)
class TicketContent:
    """One bench sheet: one piece of a release, for like copies."""

    size: TradeSize
    quantity: int
    tag: str
    place: str
    title: str
    needed: str
    drop: str
    cut: str
    zero_words: str
    zero_more: str
    cut_more: tuple[str, ...]
    bends: tuple[BendRow, ...]
    layout: Mapping[str, Any] = field(repr=False)
    document: Mapping[str, Any] = field(repr=False)
    piece: int
    tape: str
    checks: tuple[CheckBox, ...]
    ticks: tuple[str, ...]
    fittings: tuple[str, str]
    fittings_more: str
    bender: str
    paper: str
    cautions: tuple[str, ...]
    printed: Printed
    loud: tuple[str, ...] = ()
    part: str = ""
    every: int = 5
    names: Mapping[str, str] = field(default_factory=dict)
    tolerances: Mapping[str, str] = field(default_factory=dict)
    book: tuple[BookRow, ...] = ()
    book_notes: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        _said("tag", self.tag)
        _said("place", self.place)
        _said("zero end", self.zero_words)
        _said("bender", self.bender)
        _length("cut", self.cut)
        if self.quantity < 1:
            raise _bad("quantity", self.quantity)
        if len(self.cautions) > MOST_CAUTIONS:
            raise _bad("cautions", len(self.cautions))
        if [bend.step for bend in self.bends] != list(range(1, len(self.bends) + 1)):
            raise _bad("bends", [bend.step for bend in self.bends])


@dataclass(frozen=True)
class LabelContent:
    """The label of one piece: which it is, where it goes, which way it hangs."""

    size: TradeSize
    tag: str
    copy: str
    job: str
    place: str
    a_end: str
    b_end: str
    revision: str
    overall: str
    layout: Mapping[str, Any] = field(repr=False)
    printed: Printed
    up: str = ""
    part: str = ""
    bundle: str = ""
    remake: str = ""
    critical: str = ""

    def __post_init__(self) -> None:
        _said("tag", self.tag)
        _said("copy", self.copy)
        _said("job", self.job)
        _said("revision", self.revision)


@dataclass(frozen=True)
class SignContent:
    """The sign of a place: its own words, read from ten feet, and what to do here."""

    job: str
    above: tuple[str, ...]
    name: str
    steps: tuple[str, ...]
    note: str
    note_more: str
    printed: Printed

    def __post_init__(self) -> None:
        _said("name", self.name)
        _said("steps", *self.steps)
