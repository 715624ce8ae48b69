"""What would work instead: numbers that were tried on the solver before they are offered as keys."""

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from bending.lengths import LengthError, format_length, parse_length
from shop.requests import bends, builder
from shop.requests.builder import Placed
from shop.requests.models import Profile
from shop.requests.rows import ROWS, Row
from shop.requests.words import degrees, row_words

ANGLES = (60.0, 45.0, 30.0, 22.5, 15.0, 10.0, 5.0)
PER_INCH = 16
# How far from what he typed a length is looked for, in sixteenths: further away it is another run.
FURTHEST = 24 * PER_INCH
_FEET_DASH = re.compile(r"(\d+) ?[-–] ?(\d.*)")
_FEET_BLANK = re.compile(r"(\d+) (\d+(?: \d+/\d+)?)")
_RUN_TOGETHER = re.compile(r"(\d+)(\d)/(\d+)")


@dataclass(frozen=True)
class Offer:
    """One key: the form's field, what it puts there, and what stands on the key: words, and a length if it is one."""

    field: str
    value: str
    words: str
    inches: float | None = None

    @property
    def action(self) -> str:
        return f"put:{self.field}:{self.value}"


@dataclass(frozen=True)
class Asked:
    """The run that is being mended: rows, the rest of what `builder.document` takes, and the bender."""

    rows: tuple[Row, ...]
    head: Mapping[str, Any]
    profile: Profile | None

    def faults_with(self, field: str, value: str) -> set[str]:
        """Places of the problems that stand after one field is changed."""
        document = builder.document(builder.edited(self.rows, f"put:{field}:{value}"), **self.head)
        return {problem["at"] for problem in bends.solve(document, self.profile).problems}


@dataclass(frozen=True)
class _Spot:
    """One problem's place in the form: its row, its field, and the places of all problems that stand."""

    asked: Asked
    one: Placed
    entry: str
    place: str
    standing: frozenset[str]

    def mends(self, entry: str, value: str) -> bool:
        """Whether the problem goes with that value and no new one comes."""
        left = self.asked.faults_with(self.one.field(entry), value)
        return self.place not in left and left <= self.standing

    def offer(self, entry: str, value: str, words: str, inches: float | None = None) -> Offer:
        return Offer(self.one.field(entry), value, words, inches)


def offers(
    asked: Asked, problems: Sequence[Mapping[str, Any]], standing_all: Sequence[Mapping[str, Any]]
) -> list[Offer]:
    """Up to two keys for the first of these problems that one number mends, while all the others stand."""
    standing = frozenset(str(problem["at"]) for problem in standing_all)
    for problem in problems[:4]:
        spot = _spot(asked, str(problem["at"]), standing)
        found = _offers_at(spot, str(problem["code"])) if spot else []
        if found:
            return found[:2]
    return []


def _spot(asked: Asked, place: str, standing: frozenset[str]) -> _Spot | None:
    name, _, entry = builder.field_of(place, asked.rows).partition("-")
    found = [one for one in builder.placed(asked.rows) if one.name == name]
    return _Spot(asked, found[0], entry, place, standing) if found and entry else None


def _offers_at(spot: _Spot, code: str) -> list[Offer]:
    if code == "two_readings":
        return _readings(spot)
    sorts = {entry.name: entry.sort for entry in ROWS[spot.one.row.kind].entries}
    angle = [_other_angle(spot)] if sorts.get("angle") == "angle" and spot.entry != "angle" else []
    length = [_other_length(spot)] if sorts[spot.entry] == "length" else []
    return [offer for offer in (*angle, *length) if offer]


def _other_angle(spot: _Spot) -> Offer | None:
    """The largest usual angle under the present one that works."""
    present = builder.angle_read(spot.one.row["angle"])
    for angle in ANGLES:
        if isinstance(present, int | float) and angle < present and spot.mends("angle", f"{angle:g}"):
            name = row_words(spot.asked.rows, spot.one.number)
            return spot.offer("angle", f"{angle:g}", f"{name} at {degrees(f'{angle:g}')}")
    return None


def _other_length(spot: _Spot) -> Offer | None:
    """The length nearest to the present one that works, to the sixteenth: longer first, then shorter."""
    try:
        present = parse_length(spot.one.row[spot.entry]) * PER_INCH
    except LengthError:
        return None
    for way in (1, -1):
        start = math.ceil(present) if way > 0 else math.floor(present)
        steps = _fewest_steps(spot, start, way)
        if steps:
            inches = (start + way * steps) / PER_INCH
            words = next(entry.words for entry in ROWS[spot.one.row.kind].entries if entry.name == spot.entry)
            return spot.offer(spot.entry, format_length(inches).rstrip('"'), words, inches)
    return None


def _fewest_steps(spot: _Spot, start: int, way: int) -> int:
    """Doubling, then halving; 0 where nothing within reach works."""

    def works(steps: int) -> bool:
        sixteenths = start + way * steps
        return sixteenths > 0 and spot.mends(spot.entry, format_length(sixteenths / PER_INCH))

    high = 1
    while not works(high):
        high *= 2
        if high > FURTHEST:
            return 0
    low = high // 2
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if works(middle) else (middle, high)
    return high


def _readings(spot: _Spot) -> list[Offer]:
    """Both readings of a text such as 5-2 1/2, each as a key that says how long it is."""
    text = " ".join(spot.one.row[spot.entry].replace('"', "").split())
    found = []
    for reading in _candidates(text):
        try:
            inches = parse_length(reading)
        except LengthError:
            continue
        words = (
            f"{format_length(inches, feet=True)} ({format_length(inches)})" if inches >= 12 else format_length(inches)
        )
        found.append(spot.offer(spot.entry, reading, words.replace('"', "″")))
    return found


def _candidates(text: str) -> list[str]:
    if dash := _FEET_DASH.fullmatch(text):
        return [f"{dash[1]}'-{dash[2]}\"", f"{dash[1]}{dash[2]}"]
    if blank := _FEET_BLANK.fullmatch(text):
        return [f"{blank[1]}'-{blank[2]}\"", f"{blank[1]}{blank[2]}"]
    if together := _RUN_TOGETHER.fullmatch(text):
        return [f"{together[1]} {together[2]}/{together[3]}"]
    return []
