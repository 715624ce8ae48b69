"""What stands in a leg's way, as a run document tells it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from bending.reading import Reader

MOST_OBSTRUCTIONS = 40


@dataclass(frozen=True, slots=True)
class Obstruction:
    """Something on the run's surface that the conduit must clear: inches along the leg, and off the surface."""

    at: str
    begins: float
    ends: float
    height: float
    clear: float
    standoff: float


def read_obstructions(reader: Reader, item: Mapping[str, Any], at: str) -> list[Obstruction]:
    """The obstructions of one leg. Faults go to the reader."""
    found = []
    for number, value in enumerate(reader.items(item, "obstructions", at, MOST_OBSTRUCTIONS)):
        place = f"{at}.obstructions[{number}]"
        if isinstance(value, Mapping) and (value.get("pipe") is not None or value.get("turn") is not None):
            reader.fault(
                place, "not_yet", "only an edge off the run's own surface is checked yet: from, to, height, clear"
            )
        elif reader.mapping(value, place, ("from", "to", "height", "clear", "standoff")) is not None:
            found.append(_read_obstruction(reader, value, place))
    return found


def _read_obstruction(reader: Reader, value: Mapping[str, Any], at: str) -> Obstruction:
    begins, ends = reader.length(value, "from", at, least=-1000), reader.length(value, "to", at, least=-1000)
    if begins >= ends:
        reader.fault(f"{at}.to", "from_after_to", "to must lie past from")
    return Obstruction(
        at,
        begins,
        ends,
        reader.length(value, "height", at),
        reader.maybe_length(value, "clear", at, least=0) or 0.0,
        reader.maybe_length(value, "standoff", at, least=0) or 0.0,
    )
