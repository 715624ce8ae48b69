"""Legs, corners and features of a run document."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any, NamedTuple

from bending import tables
from bending.bender import Profile
from bending.features import BoxOffset, Feature, Kick, Offset, Saddle3, Saddle4
from bending.reading import Reader, shown
from bending.stands import PEOPLES_WORDS, Stand, moved, turn_of
from bending.vectors import START, Frame

MOST_LEGS = 200
MOST_FEATURES = 100
MOST_OBSTRUCTIONS = 40
LARGEST_CORNER = 135.0
LEAST_ANGLE = 0.5
LARGEST_SLOPE = 80.0
LARGEST_SADDLE = 120.0
REFERENCES = ("back", "centre", "inside")
DIRECTIONS = {"out": 0.0, "left": 90.0, "in": 180.0, "right": 270.0}

MOUNTS = ("wall", "ceiling", "deck", "free")
_NOT_YET_ITEMS = ("u_bend", "fitting")


class Measures(NamedTuple):
    """What reading a path must know of its run."""

    measure: str | None
    profile: Profile
    start_fitting: bool
    end_fitting: bool
    stand: Stand


@dataclass(frozen=True, slots=True)
class Obstruction:
    """Something on the run's surface that the conduit must clear: inches along the leg, and off the surface."""

    at: str
    begins: float
    ends: float
    height: float
    clear: float
    standoff: float


@dataclass(frozen=True, slots=True)
class Leg:
    """One leg: its length between two references (``back``, ``centre``, ``inside``, or ``end`` at a run's end)."""

    at: str
    length: float
    from_reference: str
    to_reference: str
    features: tuple[Feature, ...]
    obstructions: tuple[Obstruction, ...]
    stand: Stand

    def kick(self, end: str) -> Kick | None:
        for feature in self.features:
            if isinstance(feature, Kick) and feature.end == end:
                return feature
        return None


@dataclass(frozen=True, slots=True)
class Corner:
    """A bend between two legs: its angle, and its turn in degrees from out toward left."""

    at: str
    angle: float
    turn: float


class _Side(NamedTuple):
    """What a leg's reader must know of where the leg stands."""

    first: bool
    last: bool
    before: float
    after: float
    stand: Stand
    frame: Frame


def read_path(reader: Reader, mapping: Mapping[str, Any], run: Measures) -> tuple[tuple[Leg, ...], tuple[Corner, ...]]:
    """The legs and the corners between them; faults go to the reader."""
    items = reader.items(mapping, "path", "", 2 * MOST_LEGS - 1)
    if not items:
        if not reader.problems or reader.problems[-1].at != "path":
            reader.fault("path", "missing", "a path with at least one leg is needed")
        return (), ()
    if not _alternates(reader, items):
        return (), ()
    corners = [_read_corner(reader, item, f"path[{2 * n + 1}]") for n, item in enumerate(items[1::2])]
    angles = [0.0, *(corner.angle for corner in corners), 0.0]
    legs, stand, frame = list[Leg](), run.stand, START
    for number, item in enumerate(items[::2]):
        side = _Side(number == 0, number == len(corners), angles[number], angles[number + 1], stand, frame)
        legs.append(_read_leg(reader, item, f"path[{2 * number}]", run, side))
        if number < len(corners):
            before = side._replace(frame=_kicked(frame, legs[-1]))
            corners[number] = _turned(reader, items[2 * number + 1], corners[number], before)
            frame = before.frame.carried(corners[number].angle, corners[number].turn)
            stand = _next_stand(reader, items[2 * number + 1], corners[number].at, stand, frame)
    return tuple(legs), tuple(corners)


def _kicked(frame: Frame, leg: Leg) -> Frame:
    kick = leg.kick("end")
    return frame.carried(kick.angle, kick.turn) if kick else frame


def _turned(reader: Reader, item: Mapping[str, Any], corner: Corner, side: _Side) -> Corner:
    """A corner with one of his words put into degrees, now that the leg before it is known."""
    word = item.get("turn")
    if not isinstance(word, str) or word not in PEOPLES_WORDS:
        return corner
    return replace(corner, turn=turn_of(reader, side.stand, side.frame, word, f"{corner.at}.turn"))


def _next_stand(reader: Reader, item: Mapping[str, Any], at: str, stand: Stand, frame: Frame) -> Stand:
    mount = reader.word(item, "mount", at, MOUNTS, "")
    return moved(reader, stand, mount, frame, f"{at}.mount") if mount else stand


def _alternates(reader: Reader, items: Any) -> bool:
    before = len(reader.problems)
    for number, item in enumerate(items):
        place = f"path[{number}]"
        wanted = "corner" if number % 2 else "leg"
        if not isinstance(item, Mapping):
            reader.fault(place, "not_an_object", f"a {wanted} is needed here")
        elif any(key in item for key in _NOT_YET_ITEMS):
            reader.fault(
                place, "not_yet", f"a path of legs and corners is all that is read yet, no {', '.join(_NOT_YET_ITEMS)}"
            )
        elif wanted not in item:
            reader.fault(place, "not_alternating", f"a {wanted} is needed here: legs and corners take turns")
    if len(items) % 2 == 0:
        reader.fault(f"path[{len(items) - 1}]", "not_alternating", "a path ends with a leg")
    return len(reader.problems) == before


def _read_corner(reader: Reader, item: Mapping[str, Any], at: str) -> Corner:
    reader.mapping(item, at, ("corner", "turn", "radius", "mount"))
    if item.get("radius") is not None:
        reader.fault(f"{at}.radius", "not_yet", "a corner's radius isn't read yet")
    angle = item.get("corner")
    if isinstance(angle, int | float) and LARGEST_CORNER < angle <= 360:
        words = f"one bend turns at most {LARGEST_CORNER:g} degrees: a return is two 90s"
        reader.fault(f"{at}.corner", "angle_too_large", words)
        return Corner(at, 90.0, 0.0)
    angle = reader.number(item, "corner", at, LEAST_ANGLE, LARGEST_CORNER)
    return Corner(at, angle, read_turn(reader, item, at, None))


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


def _read_leg(reader: Reader, item: Mapping[str, Any], at: str, run: Measures, side: _Side) -> Leg:
    reader.mapping(item, at, ("leg", "from", "to", "features", "obstructions"))
    features = []
    for number, value in enumerate(reader.items(item, "features", at, MOST_FEATURES)):
        feature = _read_feature(reader, value, f"{at}.features[{number}]", run, side)
        if feature is not None:
            features.append(feature)
    _refuse_two_at_one_end(reader, features)
    kicked = {feature.end for feature in features if isinstance(feature, Kick)}
    return Leg(
        at,
        reader.length(item, "leg", at),
        _reference(reader, item, f"{at}.from", run, None if side.first else _seen(side.before, "start" in kicked)),
        _reference(reader, item, f"{at}.to", run, None if side.last else _seen(side.after, "end" in kicked)),
        tuple(features),
        tuple(_read_obstructions(reader, item, at)),
        side.stand,
    )


def _seen(angle: float, kicked: bool) -> float:
    """A kick's corner counts as a 90, also when its angle cures the kick."""
    return 90.0 if kicked else angle


def _reference(reader: Reader, item: Mapping[str, Any], place: str, run: Measures, angle: float | None) -> str:
    """Back at a 90, centre at any other angle, unless the run or the leg says; ``end`` where there is no corner."""
    at, key = place.rsplit(".", 1)
    if angle is None:
        if item.get(key) is not None:
            reader.fault(place, "no_corner", "this end of the run has no corner to measure to")
        return "end"
    return reader.word(item, key, at, REFERENCES, run.measure or ("back" if angle == 90 else "centre"))


def _refuse_two_at_one_end(reader: Reader, features: list[Feature]) -> None:
    taken: set[str] = set()
    for feature in features:
        if isinstance(feature, BoxOffset | Kick):
            if feature.end in taken:
                reader.fault(
                    feature.at, "two_at_one_end", f"another feature stands at this leg's {feature.end} already"
                )
            taken.add(feature.end)


# One reader for each kind of feature.

_Make = Callable[[Reader, Mapping[str, Any], str, Measures, _Side], Feature]
_COMMON = ("kind", "turn", "angle", "rise")


def _read_feature(reader: Reader, value: Any, at: str, run: Measures, side: _Side) -> Feature | None:
    if not isinstance(value, Mapping):
        reader.fault(at, "not_an_object", "an object is needed here")
        return None
    kind = value.get("kind")
    if kind == "over":
        reader.fault(f"{at}.kind", "not_yet", "over isn't solved yet: use saddle3, saddle4 or offset")
        return None
    if not isinstance(kind, str) or kind not in _KINDS:
        reader.fault(
            f"{at}.kind", "missing" if kind is None else "unknown_word", f"one of {', '.join(_KINDS)} is needed"
        )
        return None
    make, keys = _KINDS[kind]
    reader.mapping(value, at, (*_COMMON, *keys))
    word = value.get("turn")
    if isinstance(word, str) and word in PEOPLES_WORDS:
        value = {**value, "turn": turn_of(reader, side.stand, side.frame, word, f"{at}.turn")}
    return make(reader, value, at, run, side)


def _slope(reader: Reader, value: Mapping[str, Any], at: str, largest: float = LARGEST_SLOPE) -> float:
    return reader.number(value, "angle", at, LEAST_ANGLE, largest)


def _read_box_offset(reader: Reader, value: Mapping[str, Any], at: str, run: Measures, side: _Side) -> BoxOffset:
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


def _read_offset(reader: Reader, value: Mapping[str, Any], at: str, run: Measures, side: _Side) -> Offset:
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


def _read_saddle3(reader: Reader, value: Mapping[str, Any], at: str, run: Measures, side: _Side) -> Saddle3:
    return Saddle3(
        at,
        _slope(reader, value, at, LARGEST_SADDLE),
        read_turn(reader, value, at, 0.0),
        reader.length(value, "rise", at),
        reader.length(value, "centre", at, least=-1000),
        reader.flag(value, "from_end", at),
    )


def _read_saddle4(reader: Reader, value: Mapping[str, Any], at: str, run: Measures, side: _Side) -> Saddle4:
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


def _read_kick(reader: Reader, value: Mapping[str, Any], at: str, run: Measures, side: _Side) -> Kick:
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


def _read_obstructions(reader: Reader, item: Mapping[str, Any], at: str) -> list[Obstruction]:
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
