"""What stands round a bender's shoe: the floor, the handle, the frame, and how far the hook lies along the pipe.

Where: a man stands with the hook behind him and the shoe over the pipe. ``along`` is along the pipe away from the
hook, ``up`` from the pipe toward the shoe's axis, ``across`` toward his left; all from the point of the pipe's
centreline where it touches the shoe (on a bender without a hook: from the middle of the shoe, away from the run's
start). What an envelope leaves out isn't there.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from bending.lengths import LengthError, parse_length
from bending.reading import Reader

FARTHEST = 1000.0
MOST_BOXES = 8
SIDES = ("along", "up", "across")
_KEYS = ("floor", "hook", "handle", "frame")
_HANDLE_KEYS = ("length", "width", "upright_at")


@dataclass(frozen=True, slots=True)
class Handle:
    """A bar that turns with the shoe: ``length`` from the shoe's axis to its end and ``width`` in inches;
    ``upright_at`` is the angle of the bend at which it stands straight up, degrees."""

    length: float
    width: float
    upright_at: float


@dataclass(frozen=True, slots=True)
class Box:
    """A part of the frame, which stands still: from and to along each direction, inches."""

    along: tuple[float, float]
    up: tuple[float, float]
    across: tuple[float, float]


@dataclass(frozen=True, slots=True)
class Envelope:
    """``floor``: from the pipe's underside at the shoe down to the floor, 0 where the pipe lies on it, ``None`` for a
    bend made in the air. ``hook``: how far the hook lies along the pipe from the arrow. Inches."""

    floor: float | None = None
    hook: float | None = None
    handle: Handle | None = None
    frame: tuple[Box, ...] = ()

    def as_json(self) -> dict[str, Any]:
        """What ``read_envelope`` reads back."""
        written: dict[str, Any] = {}
        if self.floor is not None:
            written["floor"] = self.floor
        if self.hook is not None:
            written["hook"] = self.hook
        if self.handle:
            written["handle"] = {key: getattr(self.handle, key) for key in _HANDLE_KEYS}
        if self.frame:
            written["frame"] = [{side: list(getattr(box, side)) for side in SIDES} for box in self.frame]
        return written


def read_envelope(reader: Reader, holder: Mapping[str, Any], key: str, at: str) -> Envelope | None:
    """An envelope in a document; what is wrong goes to the reader."""
    mapping = reader.maybe_mapping(holder, key, at, _KEYS)
    if mapping is None:
        return None
    place = reader.place(at, key)
    return Envelope(
        floor=reader.maybe_length(mapping, "floor", place, least=0, most=FARTHEST),
        hook=reader.maybe_length(mapping, "hook", place, least=0, most=FARTHEST),
        handle=_read_handle(reader, mapping, place),
        frame=tuple(
            _read_box(reader, value, f"{place}.frame[{number}]")
            for number, value in enumerate(reader.items(mapping, "frame", place, MOST_BOXES))
        ),
    )


def _read_handle(reader: Reader, holder: Mapping[str, Any], at: str) -> Handle | None:
    mapping = reader.maybe_mapping(holder, "handle", at, _HANDLE_KEYS)
    if mapping is None:
        return None
    place = reader.place(at, "handle")
    return Handle(
        length=reader.length(mapping, "length", place, most=FARTHEST),
        width=reader.length(mapping, "width", place, most=FARTHEST),
        upright_at=reader.number(mapping, "upright_at", place, -180, 180),
    )


def _read_box(reader: Reader, value: Any, at: str) -> Box:
    mapping = reader.mapping(value, at, SIDES) or {side: [0, 0] for side in SIDES}
    along, up, across = (_read_side(reader, mapping.get(side), f"{at}.{side}") for side in SIDES)
    return Box(along, up, across)


def _read_side(reader: Reader, value: Any, at: str) -> tuple[float, float]:
    """From and to, the smaller first."""
    if not isinstance(value, list | tuple) or len(value) != 2:
        reader.fault(at, "missing" if value is None else "not_a_list", "from and to are needed here: [-4, 12]")
        return 0.0, 0.0
    try:
        low, high = (parse_length(one) for one in value)
    except LengthError as error:
        reader.fault(at, error.code, error.text)
        return 0.0, 0.0
    if not (math.isfinite(low + high) and -FARTHEST <= low <= high <= FARTHEST):
        reader.fault(at, "out_of_range", f"from {-FARTHEST:g} to {FARTHEST:g} in, the smaller first")
        return 0.0, 0.0
    return low, high
