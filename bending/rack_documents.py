"""The pipes of a rack as run documents: number 1's, with every length that its place in the rack changes."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from bending.bender import Profile
from bending.corners import SAME_RADIUS
from bending.features import BoxOffset, Feature, Kick, Offset, Saddle3, Saddle4
from bending.lengths import format_length
from bending.problems import Problem, Problems
from bending.rack_reading import Rack
from bending.rack_shift import CornerMove, LegMove, moves, toward
from bending.reading_obstructions import Obstruction
from bending.run import Run

Document = dict[str, Any]
NOTHING = 1e-9


@dataclass(frozen=True, slots=True)
class Place:
    """Where one pipe lies beside number 1: inches out and to the left, with both benders and the leg's move."""

    offset: tuple[float, float]
    own: Profile
    first: Profile
    leg: LegMove

    def along(self, inches: float) -> float:
        """A place along number 1's leg, carried square across, from this pipe's own reference."""
        return _plain(inches - self.leg.origin)

    def level(self, angle: float, inward: float) -> float:
        """How much further a level end stands from its bend than number 1's, so that slopes in the rack's plane keep
        their distance; a slope square to it keeps its level end where it was asked for."""
        return self.own.tangent(angle) - self.first.tangent(angle) if abs(inward) > NOTHING else 0.0


def documents(document: Mapping[str, Any], run: Run, rack: Rack) -> list[Document]:
    """A run/1 document for each pipe, number 1's own first; a pipe like number 1 has the very same one.

    ``run`` is number 1's, read from ``document``, with its picks for every ``over``, which all pipes share.
    Raises ``Problems`` where a pipe would need a smaller radius than its bender's round a concentric corner.
    """
    alone = {key: value for key, value in document.items() if key != "rack"}
    problems = list[Problem]()
    found = [_pipe(alone, (run, _on(run, rack.profiles[n])), rack, n, problems) for n in range(rack.count)]
    if problems:
        raise Problems(problems)
    return [alone if one == found[0] else one for one in found]


def _on(run: Run, profile: Profile) -> Run:
    return replace(run, profile=profile, size=profile.size)


def _pipe(document: Document, runs: tuple[Run, Run], rack: Rack, number: int, problems: list[Problem]) -> Document:
    run, other = runs
    legs, corners = moves(run, other, rack.offsets[number])
    changed: dict[str, Document] = {}
    for leg, move in zip(run.legs, legs, strict=True):
        changed.setdefault(leg.at, {})[leg.key] = _plain(move.length)
        place = Place(rack.offsets[number], other.profile, run.profile, move)
        changed.update({feature.at: _feature(feature, place, leg.length) for feature in leg.features})
        if leg.obstructions:
            changed[leg.at]["obstructions"] = [_obstruction(one, place) for one in leg.obstructions]
    if rack.corner == "concentric":
        _concentric(runs, corners, number, changed, problems)
    picked = {pick.at: pick.as_json()["feature"] for pick in run.picked}
    path = [_item(item, f"path[{n}]", changed, picked) for n, item in enumerate(document["path"])]
    return {**document, "size": other.size, "bender": rack.benders[number], "path": path}


def _item(
    item: Mapping[str, Any], at: str, changed: Mapping[str, Document], picked: Mapping[str, Document]
) -> Document:
    made = {**item, **changed.get(at, {})}
    if item.get("features"):
        places = [f"{at}.features[{number}]" for number in range(len(item["features"]))]
        made["features"] = [
            {**picked.get(place, feature), **changed[place]}
            for place, feature in zip(places, item["features"], strict=True)
        ]
    return made


def _concentric(
    runs: tuple[Run, Run], corners: Sequence[CornerMove], number: int, changed: dict[str, Document],
    problems: list[Problem],
) -> None:  # fmt: skip
    """Round a common centre every pipe has its own radius: number 1's, less what it lies toward the inside."""
    run, other = runs
    for corner, move in zip(run.corners, corners, strict=True):
        if corner.fitting or abs(move.inward) < NOTHING:
            continue
        radius = (corner.radius or run.profile.radius) - move.inward
        if radius < other.profile.radius - SAME_RADIUS:
            words = (
                f"pipe {number + 1} would have a radius of {format_length(radius)} at {corner.at}, and its "
                f"bender's own is {other.profile.radius:.2f}: make number 1 the inside one, or give that corner a "
                "larger radius"
            )
            problems.append(Problem("rack.corner", "concentric_too_small", words))
        changed.setdefault(corner.at, {})["radius"] = _plain(radius)


def _feature(feature: Feature, place: Place, length: float) -> Document:
    """What changes of a feature; positions are from the leg's start, wherever number 1's were measured from."""
    return _FEATURES[type(feature)](feature, place, length)


def _box_offset(one: BoxOffset, place: Place, length: float) -> Document:
    inward = toward(place.offset, one.turn)
    if abs(inward) < NOTHING:
        return {}
    shift = inward * math.tan(math.radians(one.angle) / 2)
    return {"tail": _plain(one.tail + shift - place.level(one.angle, inward))}


def _offset(one: Offset, place: Place, length: float) -> Document:
    inward = toward(place.offset, one.turn + math.degrees(math.atan2(one.side, one.rise)))
    spot = length - one.spot_along if one.from_end else one.spot_along
    spot -= inward * math.tan(math.radians(one.angle) / 2)
    if one.level_meant:
        spot += place.level(one.angle, inward) * (1 if one.holds == "far" else -1)
    return {"at": place.along(spot), "from_end": False}


def _saddle3(one: Saddle3, place: Place, length: float) -> Document:
    inward = toward(place.offset, one.turn)
    more = inward * (1 / math.cos(math.radians(one.angle) / 2) - 1)
    centre = length - one.centre if one.from_end else one.centre
    return {"centre": place.along(centre), "from_end": False, "rise": _plain(one.rise + more)}


def _saddle4(one: Saddle4, place: Place, length: float) -> Document:
    inward = toward(place.offset, one.turn)
    apart = inward * math.tan(math.radians(one.angle) / 2)
    if one.level_meant:
        apart -= place.level(one.angle, inward)
    near, far = (length - one.far, length - one.near) if one.from_end else (one.near, one.far)
    return {"from": place.along(near - apart), "to": place.along(far + apart), "from_end": False}


def _kick(one: Kick, place: Place, length: float) -> Document:
    return {"rise": _plain(place.leg.kicks[one.end])}


_FEATURES: dict[type[Feature], Callable[[Any, Place, float], Document]] = {
    BoxOffset: _box_offset,
    Offset: _offset,
    Saddle3: _saddle3,
    Saddle4: _saddle4,
    Kick: _kick,
}


def _obstruction(one: Obstruction, place: Place) -> Document:
    """The same thing as it stands to this pipe; flush, because its level is told from the pipe's own line."""
    turn = math.radians(one.turn)
    level = one.level - place.offset[0] * math.cos(turn) - place.offset[1] * math.sin(turn)
    half, more = place.own.outside_diameter / 2, {"turn": one.turn, "clear": one.clear}
    if one.radius:
        return _round(one, level, half, more) | {"centre": place.along(one.middle)}
    where = {"from": place.along(one.begins), "to": place.along(one.ends)}
    if level + half > 0:
        return {**where, **more, "height": level + half}
    return {**where, **more, "off": -level, "turn": (one.turn + 180) % 360}


def _round(one: Obstruction, level: float, half: float, more: Document) -> Document:
    """Told by its gap; so much of it as reaches behind the pipe's underside is told as insulation."""
    if level < 0:
        level, more = -level, {**more, "turn": (one.turn + 180) % 360}
    bare = min(one.radius, level + half)
    return {**more, "pipe": 2 * bare, "insulation": one.radius - bare, "gap": level + half - bare}


def _plain(inches: float) -> float:
    return round(inches, 9) + 0.0
