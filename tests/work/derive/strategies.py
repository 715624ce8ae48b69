"""Hypothesis: days in the small shop of `floor`, said by anybody, with clocks that may be wrong."""

import os
from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import timedelta
from typing import Any

import hypothesis
from hypothesis import strategies as st

from shop.work.derive import Record
from shop.work.derive.scenario import DAY_0
from shop.work.derive.vocabulary import FIELDS, VERBS
from tests.work.derive.floor import FACTS

PEOPLE = {"foreman-1": "foreman", "foreman-2": "foreman", "lead-1": "lead", "driver-1": "driver", "driver-2": "driver"}
PEOPLE |= {"hand-1": "hand", "office-1": "office"}
KEYS = {"piece": list(FACTS.pieces), "box": list(FACTS.boxes), "run": list(FACTS.runs), "load": list(FACTS.loads)}
PLACES = [*FACTS.places, "load/118"]
MINUTE = timedelta(minutes=1)
EXAMPLES = int(os.environ.get("DERIVE_EXAMPLES", "40"))

minutes = st.integers(0, 40).map(lambda n: DAY_0 + 10 * n * MINUTE)


def given(*drawn: st.SearchStrategy[Any]) -> Callable[[Callable[..., None]], Callable[..., None]]:
    """Hypothesis's own, with a number of examples that can be raised for a long run, and no deadline."""

    def decorate(test: Callable[..., None]) -> Callable[..., None]:
        return hypothesis.settings(max_examples=EXAMPLES, deadline=None)(hypothesis.given(*drawn)(test))

    return decorate


def values(verb: str, field: str) -> st.SearchStrategy[Any]:
    kind = FIELDS[field]
    if isinstance(kind, tuple):
        return st.sampled_from(kind)
    if kind == "into":
        return st.sampled_from(KEYS["piece"] if verb == "decide" else KEYS["box"])
    if kind == "rev":
        return st.sampled_from("ABC")
    if kind in KEYS:
        return st.sampled_from(KEYS[str(kind)])
    return {"flag": st.booleans(), "count": st.integers(0, 3), "any": st.just("x")}[str(kind)]


def fields(verb: str) -> st.SearchStrategy[Mapping[str, Any]]:
    said = VERBS[verb]
    return st.fixed_dictionaries(
        {name: values(verb, name) for name in sorted(said.needs)},
        optional={name: values(verb, name) for name in sorted(said.may)},
    )


@st.composite
def draft(draw: st.DrawFn, verbs: tuple[str, ...] = tuple(VERBS)) -> Record:
    """One record without its nonce; `names` are numbers of others, as text."""
    verb = draw(st.sampled_from(verbs))
    said = VERBS[verb]
    person = draw(st.sampled_from([p for p, role in PEOPLE.items() if role in said.who]))
    kind = draw(st.sampled_from(sorted(said.about)))
    subject = {} if kind == "record" else {kind: draw(st.sampled_from(KEYS.get(kind, ["b1"])))}
    at = draw(minutes)
    named = draw(st.lists(st.integers(0, 9), min_size=said.names, max_size=2)) if said.names or verb == "snag" else []
    return Record(
        nonce="",
        verb=verb,
        person=person,
        role=PEOPLE[person],
        device=person,
        seq=0,
        done_at=at,
        sent_at=at,
        recorded_at=at,
        place=draw(st.sampled_from(PLACES)) if said.place else draw(st.none() | st.sampled_from(PLACES)),
        names=tuple(str(n) for n in named),
        fields=draw(fields(verb)),
        **subject,
    )


def numbered(drafts: list[Record]) -> list[Record]:
    """Gives nonces and device numbers, and makes the names those of records that are there."""
    nonces = [f"n{number}" for number in range(len(drafts))]
    return [
        replace(record, nonce=nonces[i], seq=i, names=tuple(nonces[int(n) % len(nonces)] for n in record.names))
        for i, record in enumerate(drafts)
    ]


@st.composite
def days(draw: st.DrawFn, verbs: tuple[str, ...] = tuple(VERBS), most: int = 12) -> list[Record]:
    """A set of records of possible clocks, all sent when they were done; a start of packed metal is likely."""
    drafts = draw(st.lists(draft(verbs), max_size=most))
    starts = draw(st.lists(draft(tuple(v for v in ("pack", "load", "receive") if v in verbs)), max_size=4))
    return numbered([*starts, *drafts])


FEW = {"S.3": "S.1", "S.1.R1": "S.2", "K.C.1": "K.A.1", "B.1": "S.2", "H.1": "S.1", "H.2": "K.B.1", "B8": "B7"}
TRICKY = (
    "pack",
    "load",
    "receive",
    "snag",
    "seen",
    "in",
    "kept",
    "empty",
    "swap",
    "decide",
    "off_load",
    "clear",
    "return",
)


@st.composite
def tricky_days(draw: st.DrawFn, most: int = 12) -> list[Record]:
    """Few pieces and boxes, and the words that meddle with each other, many of them naming a count."""
    records = draw(days(verbs=(*TRICKY, "annul", "unpack"), most=most))
    return [renamed(record, FEW) for record in records]


def renamed(record: Record, new: Mapping[str, str]) -> Record:
    """The same said of other pieces and boxes."""
    fields = {key: new.get(value, value) if isinstance(value, str) else value for key, value in record.fields.items()}
    piece, box = new.get(record.piece or "", record.piece), new.get(record.box or "", record.box)
    return replace(record, piece=piece, box=box, fields=fields)


@st.composite
def late_days(draw: st.DrawFn, most: int = 12) -> list[Record]:
    """The same, some of it sent hours later, some of it by phones whose clocks are wrong."""
    records = draw(days(most=most) | tricky_days(most))
    wrong = draw(st.dictionaries(st.sampled_from(list(PEOPLE)), st.integers(-300, 300), max_size=2))
    delays = draw(st.lists(st.integers(0, 30), min_size=len(records), max_size=len(records)))
    return [
        _sent(r, 20 * late * MINUTE, wrong.get(r.person, 0) * MINUTE) for r, late in zip(records, delays, strict=True)
    ]


def _sent(record: Record, late: timedelta, off: timedelta) -> Record:
    came = record.done_at + late
    return replace(record, done_at=record.done_at + off, sent_at=came + off, recorded_at=came)


def ending(records: list[Record], verb: str, number: int = 0, **given: Any) -> Record:
    """One record more, done a day after all the others."""
    person = given.pop("person", "lead-1")
    at = DAY_0 + timedelta(days=1, minutes=number)
    return Record(
        nonce=f"end{number}",
        verb=verb,
        person=person,
        role=PEOPLE[person],
        device=given.pop("device", person),
        seq=len(records) + number,
        done_at=at,
        sent_at=at,
        recorded_at=at,
        **given,
    )
