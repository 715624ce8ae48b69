"""A piece's whole life, newest first: what was seen, by whom; and the steps that nobody saw."""

from dataclasses import dataclass
from datetime import datetime

from shop.jobs.models import Place
from shop.work.derive.vocabulary import STEPS
from shop.work.models import Piece, Record

WORDS = {
    "release": "released",
    "cut": "cut",
    "bend": "bent",
    "check": "checked",
    "print": "label printed",
    "label": "label put on",
    "pack": "bundled",
    "unpack": "taken out of its bundle",
    "load": "on the truck",
    "off_load": "off the truck again",
    "kept": "kept on the truck",
    "drop": "left there",
    "receive": "here, counted",
    "seen": "seen",
    "in": "in",
    "pull": "pulled out again",
    "return": "on its way back",
    "scrap": "scrapped",
    "snag": "something is wrong",
    "clear": "that is cleared",
    "modified": "changed on site",
    "hold": "held",
    "unhold": "let go again",
    "elsewhere": "used somewhere else",
    "swap": "labels swapped",
    "remake": "remake asked for",
    "cancel_remake": "remake called off",
    "decide": "decided",
    "close": "closed",
    "annul": "taken back",
    "supersede": "a newer revision was sent",
    "plan": "on the load list",
    "unplan": "off the load list",
    "empty": "bundle emptied",
    "close_batch": "batch closed",
}


@dataclass(frozen=True)
class Moment:
    """One line of a life. `seen` is false for a step that only a later one implies; `at` is then empty."""

    words: str
    detail: str
    at: datetime | None
    who: str
    seen: bool = True
    struck: bool = False


def life(piece: Piece) -> list[Moment]:
    """The records of a piece, newest first, then the steps that nobody saw."""
    records = Record.objects.filter(piece=piece).select_related("person", "place").order_by("-at", "-pk")
    struck = set(
        Record.objects.filter(annuls__in=[record.nonce for record in records]).values_list("annuls", flat=True)
    )
    told = [_moment(record, record.nonce in struck) for record in records]
    unseen = [step for step in reversed(STEPS) if step in piece.not_seen]
    told += [Moment(step, "nobody saw it; a later step says so", None, "", seen=False) for step in unseen]
    return [*told, Moment("released", f"rev {piece.revision.letter}", piece.made_at, "Shop lead")]


def _moment(record: Record, struck: bool) -> Moment:
    detail = [*_details(record), f"by the phone's clock {record.done_at:%H:%M}" if record.phone_clock else ""]
    words = "check failed" if record.fields.get("result") == "fail" else WORDS[record.verb]
    return Moment(words, ", ".join(filter(None, detail)), record.at, record.person.title, struck=struck)


def _details(record: Record) -> list[str]:
    said = record.fields
    named = {"load": "load {}", "into": "in {}", "kind": "{}", "as_built": "{}", "account": "as {}"}
    told = [words.format(said[name]) for name, words in named.items() if said.get(name)]
    return [*told, _where(record.place), record.reason]


def _where(place: Place | None) -> str:
    return f"at {place}" if place else ""
