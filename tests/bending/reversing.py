"""A run told from its other end, and told in a mirror: as documents, for tests that both are the same pipe."""

from __future__ import annotations

import math
from typing import Any

from bending.corners import Corner
from bending.features import BoxOffset, Feature, Kick, Offset, Saddle3, Saddle4
from bending.path import Path
from bending.reading_path import Leg
from bending.run import Run
from bending.vectors import Frame, Vector, add, cross, dot, length, scaled
from tests.bending.documents import Document

SWAPPED = {"start": "end", "end": "start"}
MIRRORED = {"left": "right", "right": "left", "my left": "my right", "my right": "my left"}


def backwards(document: Document, run: Run, path: Path) -> Document:
    """The same pipe as somebody tells it who walks it from its end: ``run`` and ``path`` are the document's own.

    Every direction is read off the legs where they hang, and written in the frame that he carries.
    """
    frame, told = facing_back(path.frames[-1]), list[Document]()
    for number in range(len(run.legs) - 1, -1, -1):
        told.append(_leg(run.legs[number], path.frames[number], frame))
        if number:
            joined, frame = _corner(run, path, number - 1, frame)
            told.append(joined)
    kept = {key: document[key] for key in ("format", "raceway", "size", "bender", "tape")}
    ends = {SWAPPED[key]: document[key] for key in ("start", "end")}
    return {**kept, **ends, "zero": SWAPPED[document["zero"]], "path": told}


def facing_back(frame: Frame) -> Frame:
    """The frame of one who looks the other way along the same leg."""
    return Frame(scaled(frame.t, -1), frame.u, scaled(frame.left, -1))


def turn(way: Vector, frame: Frame) -> float:
    return math.degrees(math.atan2(dot(way, frame.left), dot(way, frame.u)))


def _leg(leg: Leg, there: Frame, frame: Frame) -> Document:
    references = {"from": leg.to_reference, "to": leg.from_reference}
    features = [_feature(one, there, frame) for one in leg.features]
    return {"leg": leg.length, "features": features, **{k: v for k, v in references.items() if v != "end"}}


def _feature(one: Feature, there: Frame, frame: Frame) -> Document:
    way = there.toward(one.turn)
    told: Document = {"kind": one.kind, "angle": one.angle, "rise": one.rise, "turn": turn(way, frame)}
    if isinstance(one, Kick):
        return {**told, "at": SWAPPED[one.end]}
    if isinstance(one, BoxOffset):
        return {**told, "at": SWAPPED[one.end], "tail": one.tail}
    if isinstance(one, Saddle3):
        return {**told, "centre": one.centre, "from_end": not one.from_end}
    level = "level" if getattr(one, "level_meant", False) else "pi"
    if isinstance(one, Saddle4):
        near, far = (one.near, one.far) if one.from_end else (one.far, one.near)
        return {**told, "from": near, "to": far, "from_end": not one.from_end, "at_is": level}
    if isinstance(one, Offset):
        # What went up comes down again; left of that is where it was.
        holds = {"near": "far", "far": "near"}[one.holds]
        told |= {"turn": turn(scaled(way, -1), frame), "side": -one.side, "holds": holds, "at_is": level}
        return {**told, "at": one.spot_along, "from_end": not one.from_end}
    raise ValueError(f"nothing says how a {one.kind} is told from its other end")


def _corner(run: Run, path: Path, number: int, frame: Frame) -> tuple[Document, Frame]:
    """The corner before leg ``number + 1``, walked from that leg; and the frame after it."""
    corner: Corner = path.corners[number].asked
    if corner.fitting:
        raise ValueError("nothing says how a fitting is told from its other end")
    kick = run.legs[number + 1].kick("start")
    if kick:
        way = path.frames[number + 1].toward(kick.turn)
        frame = frame.carried(kick.angle, turn(way, frame))
    ahead = scaled(path.frames[number].t, -1)
    across = add(ahead, frame.t, -dot(ahead, frame.t))
    angle = math.degrees(math.atan2(length(across), dot(ahead, frame.t)))
    toward = turn(across, frame)
    told: Document = {"corner": angle, "turn": toward}
    if corner.radius is not None:
        told["radius"] = corner.radius
    if corner.shots is not None:
        told["shots"] = corner.shots
    return told, frame.carried(angle, toward)


def in_a_mirror(value: Any, key: str = "") -> Any:
    """A document with left for right: turns and sides the other way, all else as it was."""
    if isinstance(value, dict):
        return {name: in_a_mirror(inner, name) for name, inner in value.items()}
    if isinstance(value, list):
        return [in_a_mirror(inner) for inner in value]
    if key in ("turn", "side"):
        return MIRRORED.get(value, value) if isinstance(value, str) else -value
    return value


def from_its_end(path: Path) -> Frame:
    """The frame, and with the path's last point the place, that ``backwards`` starts from."""
    return facing_back(path.frames[-1])


def seen_from(place: Vector, origin: Vector, frame: Frame) -> Vector:
    """A place in the measures of somebody who stands at ``origin`` with that frame: along, left, out."""
    off = add(place, origin, -1.0)
    return dot(off, frame.t), dot(off, frame.left), dot(off, cross(frame.t, frame.left))
