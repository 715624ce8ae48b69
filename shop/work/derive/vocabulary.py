"""The shop's words about metal: steps, flags, words, verbs, who may say them, and with which fields."""

from dataclasses import dataclass
from typing import Final

STEPS: Final = (
    "released",
    "cut",
    "bent",
    "checked",
    "labelled",
    "bundled",
    "loaded",
    "dropped",
    "received",
    "in the room",
    "in",
)
RELEASED, CUT, BENT, CHECKED, LABELLED, BUNDLED, LOADED, DROPPED, RECEIVED, IN_ROOM, IN = range(len(STEPS))
CLOSED: Final = "closed"

# what to do next, under the step that it leads to
ACTIONS: Final = {
    CUT: "CUT",
    BENT: "BEND",
    CHECKED: "CHECK",
    LABELLED: "LABEL",
    BUNDLED: "BUNDLE",
    LOADED: "LOAD",
    DROPPED: "DROP",
    RECEIVED: "RECEIVE",
    IN_ROOM: "INSTALL",
    IN: "INSTALL",
}

# worst first: the first of these that is true is the word at a scan
SHOUTED: Final = (
    "SCRAP",
    "REPLACED",
    "OLD REV",
    "HOLD",
    "DAMAGED",
    "WRONG PLACE",
    "LOST",
    "SHORT",
    "OVER",
    "NOT CHECKED",
)
SHOWN: Final = ("USED ELSEWHERE", "FIELD-MODIFIED")
FLAGS: Final = SHOUTED + SHOWN

# columns of a need: a good piece's level
IN_SHOP, ON_TRUCK, HERE, IN_PLACE = range(4)

ROLES: Final = ("foreman", "installer", "lead", "hand", "driver", "office", "viewer")
F: Final = frozenset({"foreman"})
S: Final = frozenset({"lead"})
H: Final = frozenset({"hand"})
D: Final = frozenset({"driver"})
O: Final = frozenset({"office"})  # noqa: E741 - the letters of the verb table
ASKERS: Final = F | S | H | D | O
EVERYONE: Final = ASKERS | {"installer"}

PIECE: Final = frozenset({"piece"})
PIECE_OR_BOX: Final = frozenset({"piece", "box"})

SHOP_KINDS: Final = frozenset({"shop", "rack", "bench", "bin"})
ROOM_KINDS: Final = frozenset({"room", "area", "wall"})
SITE_KINDS: Final = ROOM_KINDS | {"job", "building", "level", "drop"}
TRUCK_KIND: Final = "truck"
PLACE_KINDS: Final = SHOP_KINDS | SITE_KINDS | {TRUCK_KIND}
BOX_KINDS: Final = frozenset({"bag", "bundle", "cart"})

SNAGS: Final = ("short", "over", "damaged", "wrong place", "lost")
DECISIONS: Final = ("use", "rework", "scrap", "send_back", "pull")

# field: what it holds. A tuple is a list of allowed words; the other kinds are read by `problems`.
FIELDS: Final[dict[str, str | tuple[str, ...]]] = {
    "result": ("pass", "fail"),
    "dims": "any",
    "how": ("finish", "batch", "reprint"),
    "into": "into",
    "load": "load",
    "move": "flag",
    "again": "flag",
    "count": "count",
    "of": "count",
    "final": "flag",
    "for": ("again", "stock"),
    "kind": SNAGS,
    "as_built": "any",
    "need": "run",
    "other": "piece",
    "base": "count",
    "matter": "flag",
    "child": "piece",
    "old": ("scrap", "maybe"),
    "change": "any",
    "rev": "rev",
    "decision": DECISIONS,
    "account": ("in", "scrapped", "returned", "unknown"),
    "reason": "any",
    "photo": "any",
    "note": "any",
    "label_no": "count",
    "allowed": "flag",
}
ALWAYS_ALLOWED: Final = frozenset({"reason", "photo", "note", "label_no", "allowed"})


@dataclass(frozen=True, slots=True)
class Verb:
    """What may be said: about which subjects, by whom, with which fields; `place` and `names` where they are needed."""

    about: frozenset[str]
    who: frozenset[str]
    needs: frozenset[str] = frozenset()
    may: frozenset[str] = frozenset()
    place: bool = False
    names: bool = False


def _verb(about: frozenset[str], who: frozenset[str], needs: str = "", may: str = "", **must: bool) -> Verb:
    return Verb(about, who, frozenset(needs.split()), frozenset(may.split()), **must)


VERBS: Final[dict[str, Verb]] = {
    "release": _verb(PIECE, S),
    "cut": _verb(PIECE, S | H | D),
    "bend": _verb(PIECE, S | H | D),
    "check": _verb(PIECE, S | H | D, "result", "dims"),
    "print": _verb(PIECE, EVERYONE, "how"),
    "label": _verb(PIECE, S | H | D),
    "pack": _verb(PIECE_OR_BOX, EVERYONE, "into"),
    "unpack": _verb(PIECE_OR_BOX, EVERYONE),
    "empty": _verb(frozenset({"box"}), EVERYONE),
    "plan": _verb(PIECE_OR_BOX, S | D | O, "load"),
    "unplan": _verb(PIECE_OR_BOX, S | D | O, "", "load", names=True),
    "load": _verb(PIECE_OR_BOX, EVERYONE, "load", "move again"),
    "off_load": _verb(PIECE_OR_BOX, EVERYONE, "", "load"),
    "kept": _verb(PIECE_OR_BOX, EVERYONE, "", "load"),
    "drop": _verb(PIECE_OR_BOX, EVERYONE, "", "load", place=True),
    "receive": _verb(PIECE_OR_BOX, EVERYONE, "", "load count of final", place=True),
    "seen": _verb(PIECE_OR_BOX, EVERYONE, place=True),
    "in": _verb(PIECE, EVERYONE),
    "pull": _verb(PIECE, EVERYONE),
    "return": _verb(PIECE_OR_BOX, EVERYONE, "for", "load"),
    "scrap": _verb(PIECE, EVERYONE),
    "snag": _verb(PIECE, EVERYONE, "kind"),
    "clear": _verb(PIECE, EVERYONE, names=True),
    "modified": _verb(PIECE, EVERYONE, "", "as_built"),
    "hold": _verb(frozenset({"piece", "box", "run"}), F | S),
    "unhold": _verb(frozenset({"piece", "box", "run"}), F | S, names=True),
    "elsewhere": _verb(PIECE, F, "", "need", place=True),
    "swap": _verb(PIECE, EVERYONE, "other", "base matter"),
    "remake": _verb(PIECE, ASKERS, "child old", "change"),
    "cancel_remake": _verb(PIECE, F | S, "child"),
    "supersede": _verb(frozenset({"run"}), F | S | O, "rev"),
    "decide": _verb(PIECE, F | S, "decision rev", "into"),
    "close": _verb(PIECE, F | S | O, "account"),
    "close_batch": _verb(frozenset({"batch"}), S),
    "annul": _verb(frozenset({"record"}), EVERYONE, names=True),
}

# the words that may take a piece back a step; a check only when it fails, a load only with `again`
BACK: Final = frozenset({"unpack", "off_load", "kept", "pull", "return", "check", "load", "snag"})


def rev_rank(rev: str) -> tuple[int, str]:
    """Revisions in their order: A < B < … < Z < AA."""
    return len(rev), rev
