"""One fact about a piece, box, run, batch or another record; and what may be refused by looking at it alone."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from shop.work.derive.facts import Facts
from shop.work.derive.vocabulary import ALWAYS_ALLOWED, FIELDS, VERBS, Verb

KEYS = frozenset({"piece", "box", "run", "load", "rev"})
# no table of these is frozen: a batch is a word, and a record may be named before it comes
NOT_KEPT = frozenset({"batch", "record"})
SUBJECTS = ("piece", "box", "run", "batch", "record")


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """Who did what to one subject, when and where.

    Exactly one of `piece`, `box`, `run`, `batch`, `record` (a nonce, for annul) is set. `role` is frozen as it was.
    `done_at` and `sent_at` are the device's clock, `recorded_at` the server's: all aware. `at` and `phone_clock` are
    what `order.stored_time` gave when the record was stored; where `at` is None it is worked out again.
    `names`: nonces that it answers. `fields`: the verb's own, see `vocabulary.VERBS`.
    """

    nonce: str
    verb: str
    person: str
    role: str
    device: str
    seq: int
    done_at: datetime
    sent_at: datetime
    recorded_at: datetime
    at: datetime | None = None
    phone_clock: bool = False
    piece: str | None = None
    box: str | None = None
    run: str | None = None
    batch: str | None = None
    record: str | None = None
    place: str | None = None
    names: tuple[str, ...] = ()
    fields: Mapping[str, Any] = field(default_factory=dict)

    @property
    def subject(self) -> str | None:
        return self.piece or self.box or self.run or self.batch or self.record

    @property
    def answers(self) -> tuple[str, ...]:
        """All nonces that it names, an annul's subject included, each once."""
        named = (*self.names, self.record) if self.record else self.names
        return tuple(dict.fromkeys(named))

    def get(self, name: str) -> Any:
        return self.fields.get(name)

    def text(self, name: str) -> str | None:
        value = self.fields.get(name)
        return value if isinstance(value, str) else None

    def flag(self, name: str) -> bool:
        return self.fields.get(name) is True

    def number(self, name: str) -> int | None:
        value = self.fields.get(name)
        return value if _is_count(value) else None

    @property
    def others(self) -> tuple[str, ...]:
        """The other pieces that it mentions: a swap's other, a remake's child, the newer piece of a decision."""
        if self.verb == "decide":
            return tuple(filter(None, (self.text("into"),)))
        return tuple(filter(None, (self.text("other"), self.text("child"))))


@dataclass(frozen=True, slots=True)
class Problem:
    """Why a record is refused. `code` is stable; `about` is the field, key or role that is meant."""

    code: str
    about: str = ""


def problems(record: Record, facts: Facts) -> tuple[Problem, ...]:
    """Every reason to refuse a record, from the record and the frozen facts alone; none if it is to be taken.

    Codes: unknown_verb, role_not_allowed, one_subject, wrong_subject, unknown_piece, unknown_box, unknown_run,
    unknown_load, unknown_place, unknown_rev, unknown_field, missing_field, bad_value, missing_place, missing_names.
    """
    verb = VERBS.get(record.verb)
    if verb is None:
        return (Problem("unknown_verb", record.verb),)
    found = [*_of_maker(record, verb), *_of_subject(record, verb, facts), *_of_place(record, verb, facts)]
    return (*found, *_of_names(record, verb), *_of_fields(record, verb, facts))


def _of_maker(record: Record, verb: Verb) -> Iterator[Problem]:
    if record.role not in verb.who:
        yield Problem("role_not_allowed", record.role)
    elif record.verb == "annul" and record.record is None and not record.names:
        yield Problem("missing_names", "record")


def _of_subject(record: Record, verb: Verb, facts: Facts) -> Iterator[Problem]:
    given = [name for name in SUBJECTS if getattr(record, name) is not None]
    if len(given) != 1:
        if not (record.verb == "annul" and not given):
            yield Problem("one_subject", " ".join(given))
    elif given[0] not in verb.about:
        yield Problem("wrong_subject", given[0])
    elif not _known(given[0], getattr(record, given[0]), facts):
        yield Problem(f"unknown_{given[0]}", str(getattr(record, given[0])))


def _of_place(record: Record, verb: Verb, facts: Facts) -> Iterator[Problem]:
    if record.place is None:
        if verb.place:
            yield Problem("missing_place")
    elif not facts.knows_place(record.place):
        yield Problem("unknown_place", record.place)


def _of_names(record: Record, verb: Verb) -> Iterator[Problem]:
    if verb.names and not record.answers and record.verb != "annul":
        yield Problem("missing_names")
    if not all(isinstance(name, str) for name in record.names):
        yield Problem("bad_value", "names")


def _of_fields(record: Record, verb: Verb, facts: Facts) -> Iterator[Problem]:
    for name in sorted(verb.needs - record.fields.keys()):
        yield Problem("missing_field", name)
    if record.verb == "decide" and record.get("decision") == "rework" and "into" not in record.fields:
        yield Problem("missing_field", "into")
    for name, value in record.fields.items():
        if name not in verb.needs | verb.may | ALWAYS_ALLOWED:
            yield Problem("unknown_field", name)
        else:
            yield from _of_value(record, name, value, facts)


def _of_value(record: Record, name: str, value: Any, facts: Facts) -> Iterator[Problem]:
    kind = FIELDS[name]
    if kind == "into":
        kind = "piece" if record.verb == "decide" else "box"
    if kind in KEYS:
        yield from _of_key(record, name, str(kind), value, facts)
    elif not _is_right(kind, value):
        yield Problem("bad_value", name)


def _is_right(kind: str | tuple[str, ...], value: Any) -> bool:
    if isinstance(kind, tuple):
        return isinstance(value, str) and value in kind
    if kind == "any":
        return True
    if kind == "flag":
        return isinstance(value, bool)
    if kind == "count":
        return _is_count(value)
    raise ValueError(f"no rule for a field that holds {kind}")


def _of_key(record: Record, name: str, kind: str, value: Any, facts: Facts) -> Iterator[Problem]:
    if not isinstance(value, str):
        yield Problem("bad_value", name)
    elif not _known(kind, value, facts):
        yield Problem(f"unknown_{kind}", value)
    elif kind == "box" and not _holds(record, value, facts):
        yield Problem("bad_value", name)


def _holds(record: Record, into: str, facts: Facts) -> bool:
    """Bags and bundles go on carts; a cart goes into nothing."""
    if record.box is None or record.box not in facts.boxes:
        return True
    return facts.boxes[into].kind == "cart" and facts.boxes[record.box].kind != "cart"


def _known(kind: str, key: Any, facts: Facts) -> bool:
    if not isinstance(key, str) or not key:
        return False
    if kind == "rev":
        return _is_rev(key)
    tables: dict[str, Mapping[str, object]] = {
        "piece": facts.pieces,
        "box": facts.boxes,
        "run": facts.runs,
        "load": facts.loads,
    }
    return kind in NOT_KEPT or key in tables[kind]


def _is_count(value: Any) -> bool:
    return isinstance(value, int) and not isinstance(value, bool) and value >= 0


def _is_rev(value: str) -> bool:
    return value.isascii() and value.isalpha() and value.isupper()
