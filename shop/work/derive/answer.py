"""What is derived: one frozen row for each piece and box, and the aggregates over the rows."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import NamedTuple


class Line(NamedTuple):
    """Something that a person or a role is told about `subject`. `to`: a person's key or a role; `role` says which."""

    code: str
    to: str
    record: str | None = None
    role: bool = False
    subject: str | None = None


class Left(NamedTuple):
    """Out of a box without a word: which box, by which record, which verb."""

    box: str
    record: str
    verb: str


class Note(NamedTuple):
    """What a record's maker hears about it. `listed`: it stays on his list; the rest is only the answer."""

    record: str
    code: str
    listed: bool = True


@dataclass(frozen=True, slots=True)
class PieceAnswer:
    """All that is true of one code. `step` and `not_seen` are words of `vocabulary.STEPS` (and "closed").

    `rank` is the step's place in that list, also when closed; `level` the column of its need (0 in shop … 3 in);
    `good`: counts for `need`; `dead`: its metal is another piece now. `trips`: loads that it came on before this trip,
    with how far. `rode`: the boxes in which it was loaded. `left`: the last box it left without a word, `notes_left`
    all that still stand. `counted`: the count in which it stands unseen since. `found`: where a short or lost one was.
    """

    key: str
    run: str
    rev: str
    copy: int
    part: int
    batch: str | None
    step: str
    rank: int
    level: int
    good: bool
    need: str | None
    place: str | None
    box: str | None
    load: str | None
    trip: str | None
    word: str
    flags: tuple[str, ...]
    not_seen: tuple[str, ...]
    inferred: Mapping[str, str]
    seen: Mapping[str, str]
    account: str | None = None
    replaced_by: str | None = None
    origin: str | None = None
    dead: bool = False
    on_site: bool = False
    prints: int = 0
    left: Left | None = None
    notes_left: tuple[Left, ...] = ()
    counted: str | None = None
    found: tuple[str, str | None] | None = None
    loaded: bool = False
    trips: Mapping[str, str] = field(default_factory=dict)
    rode: tuple[str, ...] = ()
    last: str | None = None
    lines: tuple[Line, ...] = ()
    notes: tuple[Note, ...] = ()


class Count(NamedTuple):
    """One receive count of a box on this trip."""

    number: int
    person: str
    record: str


@dataclass(frozen=True, slots=True)
class BoxAnswer:
    """All that is true of one box. n = inside, m = n + gone (left without a word, by piece).

    `counts` of this trip, `unnamed`: how many are short (`over`: too many) at the count that speaks and that nobody
    named; `candidates`: who may be the short one.
    """

    key: str
    kind: str
    step: str
    place: str | None
    box: str | None
    load: str | None
    trip: str | None
    inside: tuple[str, ...]
    gone: Mapping[str, Left]
    trips: Mapping[str, str] = field(default_factory=dict)
    boxes: tuple[str, ...] = ()
    counts: tuple[Count, ...] = ()
    open: bool = False
    unnamed: int = 0
    over: int = 0
    candidates: tuple[str, ...] = ()
    last: str | None = None
    lines: tuple[Line, ...] = ()
    notes: tuple[Note, ...] = ()

    @property
    def n(self) -> int:
        return len(self.inside)

    @property
    def m(self) -> int:
        return len(self.inside) + len(self.gone)


@dataclass(frozen=True, slots=True)
class NeedAnswer:
    """The five columns of a need; they add up to `asked`. `dropped` is part of `here`. `but`: on site, not counted."""

    run: str
    rev: str
    asked: int
    in_shop: int
    on_truck: int
    here: int
    in_place: int
    missing: int
    dropped: int = 0
    over: int = 0
    doubt: int = 0
    but: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class LoadAnswer:
    """A load's lines by piece, n of m over those that still count, and the same by box."""

    load: str
    lines: Mapping[str, str]
    n: int
    m: int
    boxes: tuple[int, int]


@dataclass(frozen=True, slots=True)
class BatchAnswer:
    """n bent of m; the rest is open by name, whether the batch is closed or not."""

    batch: str
    n: int
    m: int
    open: tuple[str, ...]
    closed: bool = False


@dataclass(frozen=True, slots=True)
class Answer:
    """Everything that a set of records says. `replies`: nonce to codes, ("ok",) where there is nothing to say.

    `lines` are all that anybody is told. `assemblies`: (run, copy) to the step of its least stick.
    """

    pieces: Mapping[str, PieceAnswer]
    boxes: Mapping[str, BoxAnswer]
    needs: Mapping[str, NeedAnswer]
    loads: Mapping[str, LoadAnswer]
    batches: Mapping[str, BatchAnswer]
    assemblies: Mapping[tuple[str, int], str]
    replies: Mapping[str, tuple[str, ...]]
    lines: tuple[Line, ...] = ()

    def listed(self, to: str) -> tuple[str, ...]:
        """The codes on one person's or role's list, sorted."""
        return tuple(sorted(line.code for line in self.lines if line.to == to))
