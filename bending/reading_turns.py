"""Which way a thing turns, and what its reader must know of the leg that it stands on."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from bending.bender import Profile
from bending.corners import Corner
from bending.reading import Reader, shown
from bending.stands import PEOPLES_WORDS, Stand, turn_of
from bending.vectors import Frame

DIRECTIONS = {"out": 0.0, "left": 90.0, "in": 180.0, "right": 270.0}


class Measures(NamedTuple):
    """What reading a path must know of its run."""

    measure: str | None
    profile: Profile
    start_fitting: bool
    end_fitting: bool
    stand: Stand


class Side(NamedTuple):
    """What a leg's reader must know of where the leg stands; no corner beside it where the run begins or ends."""

    before: Corner | None
    after: Corner | None
    stand: Stand
    frame: Frame

    @property
    def first(self) -> bool:
        return self.before is None

    @property
    def last(self) -> bool:
        return self.after is None


def read_turn(reader: Reader, item: Mapping[str, Any], at: str, default: float | None) -> float:
    """Degrees from out toward left, from a word or a number of degrees; 0 for a word of his, read later."""
    value, place = item.get("turn"), f"{at}.turn"
    if value is None and default is not None:
        return default
    if isinstance(value, str):
        if value in DIRECTIONS:
            return DIRECTIONS[value]
        if value not in PEOPLES_WORDS:
            reader.fault(place, "unknown_word", f"a direction or degrees are needed, not {shown(value)!r}")
        return 0.0
    return reader.number(item, "turn", at, -360, 360)


def with_turn(reader: Reader, item: Mapping[str, Any], at: str, side: Side) -> Mapping[str, Any]:
    """The same with one of his words for a turn put into degrees."""
    word = item.get("turn")
    if not isinstance(word, str) or word not in PEOPLES_WORDS:
        return item
    return {**item, "turn": turn_of(reader, side.stand, side.frame, word, f"{at}.turn")}
