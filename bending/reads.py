"""A run read back in words, for the man who asked for it to say yes or no."""

from __future__ import annotations

from bending.features import BoxOffset, Feature, Kick, Offset, Saddle3, Saddle4
from bending.lengths import format_length
from bending.reading_path import Leg
from bending.reading_turns import DIRECTIONS
from bending.run import End, Run
from bending.vectors import Frame
from bending.walk import corner_bend, leg_frames
from bending.words import angle_text

_WORDS = {degrees: word for word, degrees in DIRECTIONS.items()}
_REFERENCES = {"back": "the back of", "centre": "the centre of", "inside": "the inside of"}


def back(run: Run) -> str:
    """The run as sentences: in his words where the run says how he stands, in its frame's where not."""
    frames = leg_frames(run)
    parts = [f"{_standing(run)}rom {_end(run.start)}"]
    for number, leg in enumerate(run.legs):
        if leg.key == "u_bend":
            continue
        last = number == len(run.legs) - 1
        goal = _end(run.end) if last else f"{_REFERENCES[leg.to_reference]} {_corner(run, number, frames[number])}"
        parts.append(f"{_text(run, leg.length)} to {goal}{_features(run, leg, frames[number])}")
    return "; ".join([f"{parts[0]}, {parts[1]}", *parts[2:]]) + "."


def _end(end: End) -> str:
    words = end.to or "the end"
    return f"{words} ({end.fitting})" if end.fitting else words


def _standing(run: Run) -> str:
    """How he stands to read it, up to the first letter of the rest."""
    stand = run.legs[0].stand
    if stand.mount == "free" or stand.up is None:
        return "F"
    if stand.mount == "wall":
        return f"Facing the wall, the first leg going {stand.named((1.0, 0.0, 0.0))}: f"
    return f"{'Under the ceiling' if stand.mount == 'ceiling' else 'On the deck'}, looking along the first leg: f"


def _corner(run: Run, number: int, frame: Frame) -> str:
    corner, leg, across = run.corners[number], run.legs[number], run.legs[number + 1]
    returns = across.key == "u_bend"
    kick = leg.kick("end")
    frame = frame.carried(kick.angle, kick.turn) if kick else frame
    surface, onto = leg.stand.mount, run.legs[number + 2 if returns else number + 1].stand.mount
    change = "" if onto == surface else f", onto the {onto}" if onto != "free" else ", free of it"
    way = f" {_way(leg, frame, corner.turn)}" if corner.angle else ""
    if corner.fitting:
        turns = f", {angle_text(corner.angle)}{way}" if corner.angle else ""
        return f"a {corner.fitting.kind}{turns}{change}"
    shots = corner.count(corner_bend(run, number))
    swept = f" of {_text(run, corner.radius)} radius in {shots} shots" if corner.radius else ""
    if returns:
        return f"the first 90{swept} of a return bend{way}, {_text(run, across.length)} wide{change}"
    return f"a {angle_text(corner.angle)}{way}{swept}{change}"


def _way(leg: Leg, frame: Frame, turn: float) -> str:
    return leg.stand.named(frame.toward(turn)) or direction(turn)


def direction(turn: float) -> str:
    """A turn in words: out, left, in, right, or degrees from out toward left."""
    return _WORDS.get(turn % 360) or f"toward {angle_text(turn % 360)}° from out toward left"


def _features(run: Run, leg: Leg, frame: Frame) -> str:
    return "".join(f", {_feature(run, feature, _way(leg, frame, feature.turn))}" for feature in leg.features)


def _text(run: Run, inches: float) -> str:
    return format_length(inches, "1/32" if run.tape == "1/16" else run.tape)


def _feature(run: Run, one: Feature, way: str) -> str:
    rise, angle = _text(run, one.rise), f"{angle_text(one.angle)}°"
    if isinstance(one, BoxOffset):
        return f"a box offset {way} {rise} at {angle} at the {one.end}"
    if isinstance(one, Kick):
        return f"a kick {way} {rise} at {angle} at the {one.end}"
    if isinstance(one, Saddle3):
        return f"a three-bend saddle {way} {rise} at {angle}, its centre at {_spot(run, one.centre, one.from_end)}"
    if isinstance(one, Saddle4):
        places = f"{_text(run, one.begins)} to {_spot(run, one.ends, one.from_end)}"
        return f"a four-bend saddle {way} {rise} at {angle} from {places}"
    if isinstance(one, Offset):
        return f"an offset {way} {rise}{_side(run, one)} at {angle}, its {one.holds} bend at {_offset_spot(run, one)}"
    raise ValueError(f"no words for a {one.kind}")


def _spot(run: Run, along: float, from_end: bool) -> str:
    return f"{_text(run, along)} from the leg's {'end' if from_end else 'start'}"


def _offset_spot(run: Run, one: Offset) -> str:
    return _spot(run, one.spot_along, one.from_end)


def _side(run: Run, one: Offset) -> str:
    if not one.side:
        return ""
    return f" and {_text(run, abs(one.side))} to the {'left' if one.side > 0 else 'right'} of that"
