"""Checks of what the bender can hold: each piece in its own order, and which order works where that one doesn't."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from bending.check import PRACTICE, Check, check
from bending.marks import Marked
from bending.path import Path
from bending.reach import Offers, Why, in_words, working
from bending.run import Run
from bending.swing import MOST_BENDS
from bending.words import angle_text

# These hold whatever the order.
ALWAYS = ("straight_between", "largest_angle")


def checks(run: Run, path: Path, pieces: Sequence[Marked], offered: Sequence[Offers]) -> Iterator[Check]:
    """``cannot`` for everything that stands in the way, or ``ok``; a caution for each limit that isn't known.

    An order is never changed here: what was asked for, or is the bender's usual one, stays until somebody asks for
    another. The check says which would do.
    """
    found = [one for piece, offer in zip(pieces, offered, strict=True) for one in _piece(piece, offer)]
    yield from found
    yield from _over_90(run, path)
    if any(one.marks for one in pieces):
        yield from _not_checked(run, pieces)
        if not found and not unknown_limits(run):
            yield check("held", "ok", "Every bend can be set and held by this bender's profile.", PRACTICE)


def _piece(one: Marked, offered: Offers) -> Iterator[Check]:
    (used,) = [offer for offer in offered if offer.order == one.piece.order]
    others = working(offered)
    for why in used.whys:
        yield check(why.code, "cannot", _words(why, others, len(offered)), PRACTICE, why.at)


def _words(why: Why, others: Sequence[str], count: int) -> str:
    if why.code in ALWAYS:
        return why.words
    return f"{why.words} Bent {in_words(others)} it can be made." if others else f"{why.words} No other order makes it."


def _over_90(run: Run, path: Path) -> Iterator[Check]:
    largest = run.profile.largest_angle or 180.0
    for bend in path.bends:
        if 90 + 1e-6 < bend.angle <= largest + 1e-9 and not bend.fitting:
            words = f"{angle_text(bend.angle)} is past a right angle: see that the shoe reaches it in one set."
            yield check("over_90", "caution", words, PRACTICE, bend.at)


def unknown_limits(run: Run) -> list[str]:
    """The limits that the profile doesn't give, in words."""
    profile = run.profile
    limits = {
        "hook grip": profile.hook_grip,
        "heel up to 15": profile.heel_small,
        "heel for larger bends": profile.heel_large,
        "straight between bends up to 15": profile.straight_small,
        "straight between larger bends": profile.straight_large,
        "largest angle": profile.largest_angle,
    }
    return [name for name, value in limits.items() if value is None]


def _not_checked(run: Run, pieces: Sequence[Marked]) -> Iterator[Check]:
    unknown = unknown_limits(run)
    if unknown:
        words = f"Not checked, because the bender's profile doesn't give it: {', '.join(unknown)}."
        yield check("not_checked", "caution", words, PRACTICE, "bender")
    swung = "whether the bent part swings into floor, handle or frame"
    if run.profile.envelope is None:
        yield check("not_checked", "caution", f"Not checked: {swung}. The profile has no envelope.", PRACTICE)
    elif max(len(one.marks) for one in pieces) > MOST_BENDS:
        words = f"Not checked: {swung}. It is tried for pieces of up to {MOST_BENDS} bends."
        yield check("not_checked", "caution", words, PRACTICE)
