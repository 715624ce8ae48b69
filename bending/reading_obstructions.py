"""What stands in a leg's way, as a run document tells it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from bending.bender import Profile
from bending.reading import Reader
from bending.reading_turns import Measures, Side, read_turn, with_turn

MOST_OBSTRUCTIONS = 40


@dataclass(frozen=True, slots=True)
class Obstruction:
    """Something that the conduit must clear by ``clear``: inches, in the plane of its leg and of ``turn`` (degrees from
    out toward left), and without an end square to that plane.

    A box reaches from ``begins`` to ``ends`` along the leg from its start reference, and from ``level`` (off the leg's
    line, toward ``turn``) back without end. A round one (``radius`` not 0) has its axis at ``level`` midway between.
    With ``from_end`` the two are still measured from the leg's other reference.
    """

    at: str
    turn: float
    begins: float
    ends: float
    level: float
    radius: float
    clear: float
    from_end: bool = False

    @property
    def middle(self) -> float:
        return (self.begins + self.ends) / 2

    @property
    def top(self) -> float:
        """How far off the leg's line, toward ``turn``, it reaches."""
        return self.level + self.radius

    def placed(self, length: float) -> Obstruction:
        """The same on a leg of this length, measured from its start reference."""
        if not self.from_end:
            return self
        return replace(self, begins=length - self.ends, ends=length - self.begins, from_end=False)


def read_obstructions(
    reader: Reader, item: Mapping[str, Any], at: str, run: Measures, side: Side
) -> tuple[Obstruction, ...]:
    """The obstructions of one leg. Faults go to the reader."""
    found = []
    for number, value in enumerate(reader.items(item, "obstructions", at, MOST_OBSTRUCTIONS)):
        place = f"{at}.obstructions[{number}]"
        if not isinstance(value, Mapping):
            reader.mapping(value, place)
        elif value.get("off") is not None:
            found.append(_read_beside(reader, value, place, side))
        else:
            found.append(read_thing(reader, value, place, run.profile, side))
    return tuple(found)


def read_thing(
    reader: Reader, value: Mapping[str, Any], at: str, profile: Profile, side: Side, *, more: Sequence[str] = ()
) -> Obstruction:
    """Something that stands on the run's surface, or hangs off it: a box by its height, a pipe by its gap.

    Both are told from the plane that the straps hold the run off: behind the pipe, on the side away from ``turn``.
    ``more`` are keys that belong to somebody else. Faults go to the reader.
    """
    round_one = value.get("pipe") is not None
    own = ("pipe", "centre", "gap", "insulation") if round_one else ("from", "to", "height")
    reader.mapping(value, at, (*own, "turn", "clear", "standoff", "from_end", *more))
    strap = reader.maybe_length(value, "standoff", at, least=0) or 0.0
    behind = strap + profile.outside_diameter / 2
    if round_one:
        gap = reader.maybe_length(value, "gap", at, least=0) or 0.0
        return _read_round(reader, with_turn(reader, value, at, side), at, gap - behind)
    height = reader.length(value, "height", at)
    return _read_box(reader, with_turn(reader, value, at, side), at, height - behind)


def _read_beside(reader: Reader, value: Mapping[str, Any], at: str, side: Side) -> Obstruction:
    """Something beside the run, ``off`` its line toward ``turn``. A box there is one that reaches back from its near
    face, seen the other way round."""
    round_one = value.get("pipe") is not None
    own = ("pipe", "centre", "insulation") if round_one else ("from", "to")
    reader.mapping(value, at, (*own, "off", "turn", "clear", "from_end"))
    off = reader.length(value, "off", at, least=0)
    if value.get("turn") is None:
        reader.fault(f"{at}.turn", "missing", "say which way it stands off the run: its turn")
    value = with_turn(reader, value, at, side)
    if round_one:
        return _read_round(reader, value, at, off)
    box = _read_box(reader, value, at, -off)
    return replace(box, turn=(box.turn + 180) % 360)


def _read_box(reader: Reader, value: Mapping[str, Any], at: str, level: float) -> Obstruction:
    begins, ends = reader.length(value, "from", at, least=-1000), reader.length(value, "to", at, least=-1000)
    from_end = reader.flag(value, "from_end", at)
    if begins == ends or (begins > ends and not from_end):
        reader.fault(f"{at}.to", "from_after_to", "to must lie past from")
    low, high = min(begins, ends), max(begins, ends)
    return Obstruction(
        at, read_turn(reader, value, at, 0.0), low, high, level, 0.0, _clear(reader, value, at), from_end
    )


def _read_round(reader: Reader, value: Mapping[str, Any], at: str, near: float) -> Obstruction:
    """``near`` is the bare pipe's near face, off the leg's line; insulation lies round it."""
    half = reader.length(value, "pipe", at) / 2
    centre = reader.length(value, "centre", at, least=-1000)
    radius = half + (reader.maybe_length(value, "insulation", at, least=0) or 0.0)
    turn, from_end = read_turn(reader, value, at, 0.0), reader.flag(value, "from_end", at)
    clear = _clear(reader, value, at)
    return Obstruction(at, turn, centre - radius, centre + radius, near + half, radius, clear, from_end)


def _clear(reader: Reader, value: Mapping[str, Any], at: str) -> float:
    return reader.maybe_length(value, "clear", at, least=0) or 0.0
