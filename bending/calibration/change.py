"""What another profile would do to runs that are laid out already."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from bending.bender import Profile
from bending.layout import layout_of_run
from bending.problems import Problems

MOST_RUNS = 5000
_NAME = "this one"

Answer = Mapping[str, Any]


@dataclass(frozen=True)
class Change:
    """One run, laid out with both profiles: inches and degrees, new less old.

    ``applies``: whether the profile is for this raceway and size. ``could`` and ``can`` be bent: before and after.
    Changes are the largest of its pieces' cuts, of its marks (``step`` of ``piece``, from 0), and of what is bent to;
    none where either can't be laid out, or ``other_marks`` says that the marks aren't the same bends any more.
    ``why`` it can be bent no more: ``at``, ``code`` and ``text`` of each reason that is new.
    """

    number: int
    tag: str
    applies: bool
    could: bool = False
    can: bool = False
    other_marks: bool = False
    cut_change: float | None = None
    mark_change: float | None = None
    reading_change: float | None = None
    piece: int | None = None
    step: int | None = None
    why: tuple[Mapping[str, str], ...] = ()

    @property
    def lost(self) -> bool:
        """Whether it could be bent and can't any more."""
        return self.could and not self.can

    def as_json(self) -> dict[str, Any]:
        """The same by its names; what isn't known is left out."""
        names = ("number", "tag", "applies", "could", "can", "other_marks", "piece", "step")
        told = {name: getattr(self, name) for name in names if getattr(self, name) is not None}
        changes = {name: getattr(self, name) for name in ("cut_change", "mark_change", "reading_change")}
        told |= {name: round(one, 6) for name, one in changes.items() if one is not None}
        return {**told, "why": list(self.why)} if self.why else told


def changes(documents: Sequence[Mapping[str, Any]], before: Profile, after: Profile) -> list[Change]:
    """What each run/1 document's layout becomes when ``after`` takes the place of ``before``, in the same order.

    Both profiles are for one raceway and size; a run of another, or one that names another bender, is told as not
    concerned. Raises nothing for a run that can't be laid out: that is an answer. Lengths are inches.
    """
    return [_change(number, document, before, after) for number, document in enumerate(documents)]


def _change(number: int, document: Mapping[str, Any], before: Profile, after: Profile) -> Change:
    tag = document.get("tag")
    tag = tag if isinstance(tag, str) else ""
    named = document.get("bender")
    other = isinstance(named, str) and named != before.name
    if other or (document.get("raceway"), document.get("size")) != (before.raceway, before.size):
        return Change(number, tag, applies=False)
    old, faults = _laid_out(document, before)
    new, reasons = _laid_out(document, after)
    known = {(one["at"], one["code"]) for one in faults}
    why = tuple(one for one in reasons if (one["at"], one["code"]) not in known)
    measured = _measured(old, new) if old and new else {}
    return Change(number, tag, True, not faults, not reasons, why=why, **measured)


def _laid_out(document: Mapping[str, Any], profile: Profile) -> tuple[Answer | None, list[dict[str, str]]]:
    """A run's layout on a profile, and what keeps it from being bent."""
    try:
        laid = layout_of_run({**document, "bender": _NAME}, {_NAME: profile})
    except Problems as problems:
        return None, [one.as_json() for one in problems.problems]
    cannot = [check for check in laid["checks"] if check["level"] == "cannot"]
    return laid, [{"at": one.get("at", ""), "code": one["code"], "text": one["words"]} for one in cannot]


def _measured(old: Answer, new: Answer) -> dict[str, Any]:
    if [_bends(piece) for piece in old["pieces"]] != [_bends(piece) for piece in new["pieces"]]:
        return {"other_marks": True}
    pairs = list(zip(old["pieces"], new["pieces"], strict=True))
    cuts = [after["cut_length"] - before["cut_length"] for before, after in pairs]
    marks = [
        (after["at"] - before["at"], after["bend_to"] - before["bend_to"], number, after["step"])
        for number, (one, other) in enumerate(pairs)
        for before, after in zip(one["marks"], other["marks"], strict=True)
    ]
    told: dict[str, Any] = {"cut_change": max(cuts, key=abs)}
    if marks:
        worst = max(marks, key=lambda mark: abs(mark[0]))
        told |= {"mark_change": worst[0], "piece": worst[2], "step": worst[3]}
        told["reading_change"] = max((mark[1] for mark in marks), key=abs)
    return told


def _bends(piece: Mapping[str, Any]) -> list[tuple[Any, ...]]:
    """What makes two marks the same mark."""
    return [tuple(mark[key] for key in ("step", "feature", "mark", "hook", "from")) for mark in piece["marks"]]
