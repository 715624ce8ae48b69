"""One revision as the shop lead reviews it: pictures, numbers with what they were measured to, checks, history."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.utils.safestring import SafeString, mark_safe

from bending import drawing
from shop.jobs.models import History, Person
from shop.jobs.templatetags.numbers import inches
from shop.requests import drawings, queries, words
from shop.requests.models import Paper, Revision
from shop.requests.services import HOLDABLE
from shop.work.models import Piece, Release

LEVELS = ("cannot", "rule", "caution", "ok")
A_SIXTEENTH = 1 / 16
STATE_WORDS = {
    Paper.SENT: "It can't be OK'd while something in it can't be bent.",
    Paper.QUESTION: "It waits for the foreman's answer.",
    Paper.HELD: "It is on hold.",
    Paper.RELEASED: "It is released: revision, layout and profile are frozen.",
    Paper.CHANGED: "A newer revision has taken its place.",
    Paper.CANCELLED: "It was withdrawn.",
    Paper.CLOSED: "It is closed.",
    Paper.DRAFT: "It is a draft.",
    Paper.OK: "",
}
HISTORY_WORDS = {
    "revision.draft": "Kept as a draft",
    "revision.send": "Asked for",
    "question.ask": "A question was asked",
    "question.answer": "The question was answered",
    "revision.ok": "OK'd",
    "revision.hold": "Put on hold",
    "revision.unhold": "Let go again",
    "revision.cancel": "Withdrawn",
    "revision.release": "Released",
}


@dataclass(frozen=True)
class Stick:
    cut: float
    svg: SafeString
    bends: int


@dataclass(frozen=True)
class Asked:
    """One number that was asked for, as typed, and what the rounded marks will give where that is known."""

    said: words.Said
    comes_out: str


@dataclass(frozen=True)
class Told:
    at: datetime
    words: str
    who: str


def review(revision: Revision, person: Person) -> dict[str, Any]:
    """Everything that the page shows. Nothing is solved here: it stands on the revision."""
    release = _live_release(revision)
    return {
        "revision": revision,
        "run": revision.run,
        "views": drawings.views(revision.document, revision.layout),
        "solid": drawings.solid(revision),
        "sticks": _sticks(revision),
        "asked": _asked(revision),
        "checks": _checks(revision),
        "marks": _marks(revision),
        "questions": list(revision.questions.order_by("asked_at").select_related("asked_by", "answered_by")),
        "release": release,
        "pieces": list(Piece.objects.filter(release=release).order_by("copy", "remake")) if release else [],
        "history": _history(revision),
        "can_ask": revision.state in (Paper.SENT, Paper.QUESTION, Paper.OK),
        "can_ok": revision.state == Paper.SENT and revision.layout is not None,
        "can_release": revision.state == Paper.OK,
        "can_hold": revision.state in HOLDABLE,
        "held": revision.state == Paper.HELD,
        "held_because": queries.held_because(revision),
        "state_words": STATE_WORDS[Paper(revision.state)],
    }


def _live_release(revision: Revision) -> Release | None:
    rows = revision.releases.filter(replaced_at=None, remake_only=False).select_related("profile__bender")
    return rows.order_by("-number").first()


def _sticks(revision: Revision) -> list[Stick]:
    layout = revision.layout or {"pieces": []}
    pieces = layout["pieces"]
    drawn = [drawing.stick(layout, number, width=400) for number in range(len(pieces))]
    svgs = [mark_safe(drawing.to_svg(one)) for one in drawn]
    return [Stick(piece["cut_length"], svg, len(piece["marks"])) for piece, svg in zip(pieces, svgs, strict=True)]


def _asked(revision: Revision) -> list[Asked]:
    """In the order in which it was measured; `comes out` stands only where the tape shows a difference."""
    found = {
        row["at"]: inches(row["predicted"]) for row in revision.dimensions if abs(row["difference"]) >= A_SIXTEENTH
    }
    return [Asked(one, found.get(one.place, "")) for one in words.said(revision.document)]


def _marks(revision: Revision) -> list[dict[str, Any]]:
    """In bending order, each with its hook and what it is measured from said as seen from its stick's zero."""
    pieces = (revision.layout or {}).get("pieces", [])
    several = len(pieces) > 1
    return [
        {**mark, **_said(mark, piece["zero"]), "stick": number if several else 0}
        for number, piece in enumerate(pieces, start=1)
        for mark in piece["marks"]
    ]


def _said(mark: Mapping[str, Any], zero: str) -> dict[str, str]:
    hook = "no hook" if mark["hook"] == "none" else "hook to zero" if mark["hook"] == zero else "hook to far"
    measured_from = {"start": "from far end", "end": "from far end", zero: ""}
    return {"hook_words": hook, "from_words": measured_from.get(mark["from"], f"from {mark['from']}")}


def _checks(revision: Revision) -> list[dict[str, Any]]:
    """Worst first."""
    found = (revision.layout or {}).get("checks", [])
    return sorted(found, key=lambda check: LEVELS.index(check["level"]))


def _history(revision: Revision) -> list[Told]:
    rows = History.objects.filter(subject="revision", subject_id=revision.pk).select_related("person")
    return [_told(row) for row in rows.order_by("-at", "-pk")[:30]]


def _told(row: History) -> Told:
    words = HISTORY_WORDS.get(row.action, row.action.replace(".", " "))
    if row.data.get("reason"):
        words = f"{words}: {row.data['reason']}"
    return Told(row.at, words, row.person.title if row.person else "")
