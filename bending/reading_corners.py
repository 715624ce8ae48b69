"""What stands between two legs of a run document: a corner, a return bend or a fitting."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any, NamedTuple

from bending.bender import LARGEST_RADIUS, Profile
from bending.corners import FITTINGS, IN_LINE, SAME_RADIUS, Corner, Fitting
from bending.lengths import format_length
from bending.reading import Reader
from bending.reading_features import LEAST_ANGLE, read_turn

LARGEST_CORNER = 135.0
MOST_SHOTS = 180
LARGEST_ALLOWANCE = 1000.0
KINDS = ("corner", "u_bend", "fitting")


class Join(NamedTuple):
    """A corner, or with ``width`` the two like corners of a return bend, centre to centre."""

    corner: Corner
    width: float | None = None


def read_join(reader: Reader, item: Mapping[str, Any], at: str, profile: Profile) -> Join:
    """One item between two legs; faults go to the reader."""
    if "fitting" in item:
        return Join(_read_fitting(reader, item, at, profile))
    if "u_bend" in item:
        reader.mapping(item, at, ("u_bend", "turn", "radius", "shots", "mount"))
        radius, shots = _read_segment(reader, item, at, profile)
        corner = Corner(at, 90.0, read_turn(reader, item, at, None), radius, shots)
        return Join(corner, reader.length(item, "u_bend", at))
    reader.mapping(item, at, ("corner", "turn", "radius", "shots", "mount"))
    angle = _read_angle(reader, item, at)
    radius, shots = _read_segment(reader, item, at, profile)
    return Join(Corner(at, angle, read_turn(reader, item, at, None), radius, shots))


def _read_angle(reader: Reader, item: Mapping[str, Any], at: str) -> float:
    angle = item.get("corner")
    if isinstance(angle, int | float) and LARGEST_CORNER < angle <= 360:
        words = f"one corner turns at most {LARGEST_CORNER:g} degrees: a return is a u_bend, or two 90s"
        reader.fault(f"{at}.corner", "angle_too_large", words)
        return 90.0
    return reader.number(item, "corner", at, LEAST_ANGLE, LARGEST_CORNER)


def _read_segment(
    reader: Reader, item: Mapping[str, Any], at: str, profile: Profile
) -> tuple[float | None, int | None]:
    """Radius and shots of a segment bend; none for the bender's own radius."""
    radius = reader.maybe_length(item, "radius", at, most=LARGEST_RADIUS)
    shots = _read_shots(reader, item, at)
    if radius is not None and radius < profile.radius - SAME_RADIUS:
        words = f"this bender's own radius is {profile.radius:.2f}: a smaller one needs another shoe"
        reader.fault(f"{at}.radius", "radius_too_small", words)
        return None, None
    if radius is None or radius <= profile.radius + SAME_RADIUS:
        if shots is not None:
            words = f"shots belong to a radius larger than the bender's {profile.radius:.2f}: give that radius too"
            reader.fault(f"{at}.shots", "shots_without_radius", words)
        return None, None
    return radius, shots


def _read_shots(reader: Reader, item: Mapping[str, Any], at: str) -> int | None:
    shots = reader.maybe_number(item, "shots", at, 2, MOST_SHOTS)
    if shots is None:
        return None
    if shots != int(shots):
        reader.fault(f"{at}.shots", "not_whole", "a whole number of shots is needed here")
    return int(shots)


def _read_fitting(reader: Reader, item: Mapping[str, Any], at: str, profile: Profile) -> Corner:
    reader.mapping(item, at, ("fitting", "corner", "turn", "radius", "allowance", "mount"))
    kind = reader.word(item, "fitting", at, FITTINGS, None)
    before, after = _read_allowance(reader, item, at)
    fitting = Fitting(kind, before, after)
    if kind in IN_LINE or (kind == "conduit body" and item.get("corner") is None):
        for key in ("corner", "turn", "radius"):
            if item.get(key) is not None:
                reader.fault(f"{at}.{key}", "no_turn", f"a {kind} without a corner goes straight on")
        return Corner(at, 0.0, 0.0, None, None, fitting)
    angle, turn = _read_angle(reader, item, at), read_turn(reader, item, at, None)
    if kind == "factory elbow":
        return Corner(at, angle, turn, _elbow_radius(reader, item, at, profile, (angle, fitting)), None, fitting)
    if item.get("radius") is not None:
        reader.fault(f"{at}.radius", "no_radius", f"a {kind} has no radius")
    return Corner(at, angle, turn, None, None, fitting)


def _read_allowance(reader: Reader, item: Mapping[str, Any], at: str) -> tuple[float, float]:
    """One length for both sides, or a list of two."""
    value = item.get("allowance")
    if not isinstance(value, list | tuple):
        both = reader.length(item, "allowance", at, least=0, most=LARGEST_ALLOWANCE)
        return both, both
    if len(value) != 2:
        words = "one length is needed here, or two: for the side that the run comes from, and for the other"
        reader.fault(f"{at}.allowance", "not_two", words)
        return 0.0, 0.0
    sides = {f"allowance[{number}]": one for number, one in enumerate(value)}
    before, after = (reader.length(sides, key, at, least=0, most=LARGEST_ALLOWANCE) for key in sides)
    return before, after


def _elbow_radius(
    reader: Reader, item: Mapping[str, Any], at: str, profile: Profile, turned: tuple[float, Fitting]
) -> float:
    angle, fitting = turned
    radius = reader.length(item, "radius", at, least=profile.outside_diameter / 2, most=LARGEST_RADIUS)
    tangent = radius * math.tan(math.radians(angle) / 2)
    if min(fitting.before, fitting.after) < tangent - SAME_RADIUS:
        least = format_length(math.ceil(tangent * 16 - 1e-6) / 16)
        words = f"this elbow alone takes {least} of each leg, from where their lines cross to its end"
        reader.fault(f"{at}.allowance", "allowance_too_short", words)
    return radius
