"""What ``over`` asks for: to clear something, with the bends left to the solver."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from bending.features import Feature
from bending.reading import Reader
from bending.reading_obstructions import Obstruction, read_thing
from bending.reading_turns import Measures, Side

LEAST_ANGLE = 0.5
LARGEST_ANGLE = 80.0


@dataclass(frozen=True, slots=True)
class Over(Feature):
    """A feature that isn't picked yet: its ``rise`` follows from ``thing``, its ``angle`` is 0 unless it was told.

    It stands in a run between reading and picking only.
    """

    thing: Obstruction
    stay_up: bool

    kind = "over"
    bends = 4


def read_over(reader: Reader, value: Mapping[str, Any], at: str, run: Measures, side: Side) -> Over:
    """An ``over``: ``from``, ``to`` and ``height`` of a box, or ``pipe``, ``centre``, ``gap`` and ``insulation``, with
    ``clear``, ``standoff``, ``turn``, ``angle`` and ``stay_up``. Faults go to the reader."""
    thing = read_thing(reader, value, at, run.profile, side, more=("kind", "angle", "stay_up"))
    if value.get("clear") is None:
        reader.fault(f"{at}.clear", "missing", "say how far the conduit must clear it")
    angle = reader.maybe_number(value, "angle", at, LEAST_ANGLE, LARGEST_ANGLE) or 0.0
    return Over(at, angle, thing.turn, 0.0, thing, reader.flag(value, "stay_up", at))
