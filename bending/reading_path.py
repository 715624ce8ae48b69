"""Legs and corners of a run document."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from bending.features import BoxOffset, Feature, Kick
from bending.reading import Reader
from bending.reading_features import LEAST_ANGLE, Measures, Side, read_feature, read_turn
from bending.reading_obstructions import Obstruction, read_obstructions
from bending.stands import PEOPLES_WORDS, Stand, moved, turn_of
from bending.vectors import START, Frame

MOST_LEGS = 200
MOST_FEATURES = 100
LARGEST_CORNER = 135.0
REFERENCES = ("back", "centre", "inside")

MOUNTS = ("wall", "ceiling", "deck", "free")
_NOT_YET_ITEMS = ("u_bend", "fitting")


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
        """The kick at this end of the leg (``start`` or ``end``), if it has one."""
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
        side = Side(number == 0, number == len(corners), angles[number], angles[number + 1], stand, frame)
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


def _turned(reader: Reader, item: Mapping[str, Any], corner: Corner, side: Side) -> Corner:
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


def _read_leg(reader: Reader, item: Mapping[str, Any], at: str, run: Measures, side: Side) -> Leg:
    reader.mapping(item, at, ("leg", "from", "to", "features", "obstructions"))
    features = []
    for number, value in enumerate(reader.items(item, "features", at, MOST_FEATURES)):
        feature = read_feature(reader, value, f"{at}.features[{number}]", run, side)
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
        tuple(read_obstructions(reader, item, at)),
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
