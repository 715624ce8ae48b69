"""What a person may say about a piece: the next thing by its word, then everything else, in the trade's words.

An act is a verb with its fields filled in. What it still needs from the person (a place, a load, a bundle, a
reason) is asked for on the same page.
"""

from dataclasses import dataclass, field
from typing import Any

from shop.jobs.models import Person
from shop.work.derive.vocabulary import VERBS
from shop.work.models import Piece


@dataclass(frozen=True)
class Act:
    """`key` is its stable name in the form; `needs` names the inputs: place, load, box, reason, length."""

    key: str
    verb: str
    words: str
    fields: dict[str, Any] = field(default_factory=dict)
    needs: tuple[str, ...] = ()
    optional: tuple[str, ...] = ()


FORWARD = (
    Act("cut", "cut", "It is cut"),
    Act("bend", "bend", "It is bent"),
    Act("check", "check", "It passes the check", {"result": "pass"}),
    Act("label", "label", "The label is on"),
    Act("pack", "pack", "It is in a bundle", needs=("box",)),
    Act("load", "load", "It is on the truck", needs=("load",)),
    Act("drop", "drop", "I left it there", needs=("place",)),
    Act("receive", "receive", "It is here, counted", needs=("place",)),
    Act("seen", "seen", "I see it here", needs=("place",)),
    Act("in", "in", "It is in"),
)
WRONG = (
    Act("check-fail", "check", "It fails the check", {"result": "fail"}, needs=("reason",)),
    Act("damaged", "snag", "Damaged", {"kind": "damaged"}, needs=("reason",)),
    Act("short", "snag", "Short: on the slip, not here", {"kind": "short"}),
    Act("lost", "snag", "Nobody finds it", {"kind": "lost"}),
    Act("hold", "hold", "Hold it", needs=("reason",)),
    Act("scrap-short", "scrap", "Scrap: cut short", {"reason": "short"}),
    Act("scrap-kinked", "scrap", "Scrap: kinked", {"reason": "kinked"}),
    Act("scrap-angle", "scrap", "Scrap: wrong angle", {"reason": "wrong angle"}),
    Act("scrap-mirrored", "scrap", "Scrap: mirrored", {"reason": "mirrored"}),
    Act("scrap-pipe", "scrap", "Scrap: pipe fault", {"reason": "pipe fault"}),
    Act("modified", "modified", "Changed on site", needs=("length",)),
    Act("elsewhere", "elsewhere", "Used somewhere else", needs=("place",)),
)
BACK = (
    Act("unpack", "unpack", "Taken out of its bundle"),
    Act("off-load", "off_load", "Off the truck again", needs=("place",)),
    Act("kept", "kept", "It stays on the truck"),
    Act("return", "return", "Back to the shop, for another trip", {"for": "again"}),
    Act("stock", "return", "Back to the shop for good", {"for": "stock"}),
    Act("pull", "pull", "Pulled out again"),
)
BY_KEY = {act.key: act for act in (*FORWARD, *WRONG, *BACK)}

NEXT = {
    "CUT": "cut",
    "BEND": "bend",
    "CHECK": "check",
    "NOT CHECKED": "check",
    "LABEL": "label",
    "BUNDLE": "pack",
    "LOAD": "load",
    "DROP": "drop",
    "RECEIVE": "receive",
    "INSTALL": "in",
    "WRONG PLACE": "seen",
    "SHORT": "receive",
    "LOST": "seen",
}


def next_act(piece: Piece, person: Person) -> Act | None:
    """The one act that the piece's word calls for, if the person may say it."""
    act = BY_KEY.get(NEXT.get(piece.word, ""))
    return act if act and may_say(person, act) else None


def may_say(person: Person, act: Act) -> bool:
    return person.role in VERBS[act.verb].who


def acts_for(piece: Piece, person: Person) -> dict[str, list[Act]]:
    """All that the person may say, in three groups: it went on, something is wrong, it goes back."""
    main = next_act(piece, person)
    groups = {"on": FORWARD, "wrong": WRONG, "back": BACK}
    return {name: [act for act in acts if act != main and may_say(person, act)] for name, acts in groups.items()}
