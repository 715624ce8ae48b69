"""Features of a run document: one reader for each kind."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from bending import tables
from bending.features import BoxOffset, Feature, Kick, Offset, Saddle3, Saddle4
from bending.over_asked import read_over
from bending.reading import Reader
from bending.reading_turns import Measures, Side, read_turn, with_turn

__all__ = ["LEAST_ANGLE", "Measures", "Side", "read_feature", "read_turn"]

LEAST_ANGLE = 0.5
LARGEST_SLOPE = 80.0
LARGEST_SADDLE = 120.0


_Make = Callable[[Reader, Mapping[str, Any], str, Measures, Side], Feature]
_COMMON = ("kind", "turn", "angle", "rise")


def read_feature(reader: Reader, value: Any, at: str, run: Measures, side: Side) -> Feature | None:
    """One feature of a leg; None when it is refused. Faults go to the reader."""
    if not isinstance(value, Mapping):
        reader.fault(at, "not_an_object", "an object is needed here")
        return None
    kind = value.get("kind")
    if kind == "over":
        return read_over(reader, value, at, run, side)
    if not isinstance(kind, str) or kind not in _KINDS:
        code, words = "missing" if kind is None else "unknown_word", f"one of {', '.join(_KINDS)} or over is needed"
        reader.fault(f"{at}.kind", code, words)
        return None
    make, keys = _KINDS[kind]
    reader.mapping(value, at, (*_COMMON, *keys))
    return make(reader, with_turn(reader, value, at, side), at, run, side)


def _slope(reader: Reader, value: Mapping[str, Any], at: str, largest: float = LARGEST_SLOPE) -> float:
    return reader.number(value, "angle", at, LEAST_ANGLE, largest)


def _read_box_offset(reader: Reader, value: Mapping[str, Any], at: str, run: Measures, side: Side) -> BoxOffset:
    end = reader.word(value, "at", at, ("start", "end"), None)
    if value.get("at") == end and not (side.first if end == "start" else side.last):
        reader.fault(
            f"{at}.at", "not_at_an_end", f"a box offset stands at an end of the run; this leg has no {end} of it"
        )
    tail = reader.maybe_length(value, "tail", at, least=0)
    if tail is None:
        tail = _usual_tail(reader, at, run, run.start_fitting if end == "start" else run.end_fitting)
    return BoxOffset(
        at, _slope(reader, value, at), read_turn(reader, value, at, 0.0), reader.length(value, "rise", at), end, tail
    )


def _usual_tail(reader: Reader, at: str, run: Measures, fitting: bool) -> float:
    room = tables.fitting_room(run.profile.raceway, run.profile.size) if fitting else None
    grip = None if run.profile.hook_grip is None else run.profile.hook_grip + run.profile.arrow_lead
    known = [value for value in (room, grip) if value is not None]
    if not known:
        words = "give a tail: neither the fitting's room nor the bender's hook grip is known"
        reader.fault(f"{at}.tail", "missing", words)
    return max(known, default=1.0)


def _read_offset(reader: Reader, value: Mapping[str, Any], at: str, run: Measures, side: Side) -> Offset:
    rise = reader.length(value, "rise", at, least=0)
    offset_side = reader.maybe_length(value, "side", at, least=-1e5) or 0.0
    if rise == 0 and offset_side == 0:
        reader.fault(f"{at}.rise", "not_positive", "an offset of nothing needs no bend")
    return Offset(
        at,
        _slope(reader, value, at),
        read_turn(reader, value, at, 0.0),
        rise,
        reader.length(value, "at", at, least=-1000),
        reader.flag(value, "from_end", at),
        reader.word(value, "holds", at, ("far", "near"), "far"),
        reader.word(value, "at_is", at, ("pi", "level"), "pi") == "level",
        offset_side,
    )


def _read_saddle3(reader: Reader, value: Mapping[str, Any], at: str, run: Measures, side: Side) -> Saddle3:
    return Saddle3(
        at,
        _slope(reader, value, at, LARGEST_SADDLE),
        read_turn(reader, value, at, 0.0),
        reader.length(value, "rise", at),
        reader.length(value, "centre", at, least=-1000),
        reader.flag(value, "from_end", at),
    )


def _read_saddle4(reader: Reader, value: Mapping[str, Any], at: str, run: Measures, side: Side) -> Saddle4:
    near, far = reader.length(value, "from", at, least=-1000), reader.length(value, "to", at, least=-1000)
    from_end = reader.flag(value, "from_end", at)
    if near >= far and not from_end:
        reader.fault(f"{at}.to", "from_after_to", f"to must lie past from; {far:g} doesn't lie past {near:g}")
    if near == far and from_end:
        reader.fault(f"{at}.to", "from_after_to", "from and to are the same place")
    return Saddle4(
        at,
        _slope(reader, value, at),
        read_turn(reader, value, at, 0.0),
        reader.length(value, "rise", at),
        near,
        far,
        from_end,
        reader.word(value, "at_is", at, ("pi", "level"), "pi") == "level",
    )


def _read_kick(reader: Reader, value: Mapping[str, Any], at: str, run: Measures, side: Side) -> Kick:
    end = reader.word(value, "at", at, ("start", "end"), "end")
    if side.first if end == "start" else side.last:
        words = "a kick with no corner next to it ends out of square with its box: use an offset"
        reader.fault(at, "kick_without_corner", words)
    if value.get("turn") is None:
        reader.fault(f"{at}.turn", "missing", "a kick needs its turn")
    return Kick(at, _slope(reader, value, at), read_turn(reader, value, at, 0.0), reader.length(value, "rise", at), end)


_KINDS: dict[str, tuple[_Make, tuple[str, ...]]] = {
    "box_offset": (_read_box_offset, ("at", "tail")),
    "offset": (_read_offset, ("at", "from_end", "holds", "at_is", "side")),
    "saddle3": (_read_saddle3, ("centre", "from_end")),
    "saddle4": (_read_saddle4, ("from", "to", "from_end", "at_is")),
    "kick": (_read_kick, ("at",)),
}
