"""Reading a rack: how many pipes lie beside number 1, how far apart, on which side, and on whose benders."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from bending import tables
from bending.bender import Profile, read_profile
from bending.lengths import format_length
from bending.reading import Reader, shown
from bending.run import Run, named_bender
from bending.stands import PEOPLES_WORDS, turn_of
from bending.vectors import START

MOST_PIPES = 60
LARGEST_SPACING = 1000.0
# Sine of a turn that is square to the rack, and what rounding may make of two pipes that touch: inches.
SQUARE = 1e-6
TOUCHING = 1e-6
SIDES = ("left", "right")
ALIGNS = ("bottom", "centre")
CORNERS = ("same", "concentric")
_KEYS = ("count", "spacing", "side", "sizes", "spacings", "align", "corner", "number_1", "benders")


@dataclass(frozen=True, slots=True)
class Rack:
    """Pipes side by side, number 1 first: inches. ``spacings`` run from each centre to the next along the surface.

    ``benders`` are as the document writes them, ``profiles`` as they were read. ``side``: left or right of number 1.
    """

    side: str
    spacings: tuple[float, ...]
    profiles: tuple[Profile, ...]
    benders: tuple[Any, ...]
    align: str
    corner: str
    number_1: str

    @property
    def count(self) -> int:
        return len(self.profiles)

    @property
    def offsets(self) -> tuple[tuple[float, float], ...]:
        """How far each pipe's centre lies from number 1's: inches out of the surface and to the left."""
        way = 1.0 if self.side == "left" else -1.0
        lefts = [way * math.fsum(self.spacings[:number]) for number in range(self.count)]
        return tuple((self._out(one), left) for one, left in zip(self.profiles, lefts, strict=True))

    def _out(self, profile: Profile) -> float:
        if self.align == "centre":
            return 0.0
        return (profile.outside_diameter - self.profiles[0].outside_diameter) / 2


def read_rack(
    reader: Reader, document: Mapping[str, Any], run: Run | None, profiles: Mapping[str, Profile]
) -> Rack | None:
    """The ``rack`` of a document whose number 1 is ``run``; None after a fault. Faults go to the reader.

    Without a run, because that has faults of its own, those that a rack has in any case are found.
    """
    before = len(reader.problems)
    mapping = reader.maybe_mapping(document, "rack", "", _KEYS)
    if mapping is None:
        return None
    count = _read_count(reader, mapping)
    align = reader.word(mapping, "align", "rack", ALIGNS, "bottom")
    corner = reader.word(mapping, "corner", "rack", CORNERS, "same")
    number_1 = reader.text(mapping, "number_1", "rack")
    if run is None:
        return None
    sizes = _read_sizes(reader, mapping, run, count)
    benders = _read_benders(reader, mapping, document.get("bender"), sizes)
    spacings = _read_spacings(reader, mapping, len(sizes))
    side = _read_side(reader, mapping, run)
    shoes = _read_shoes(reader, (sizes, benders), run, profiles) if len(reader.problems) == before else None
    if shoes is None:
        return None
    rack = Rack(side, spacings, shoes, tuple(benders), align, corner, number_1)
    _refuse_touching(reader, mapping, rack)
    return rack


def _read_count(reader: Reader, mapping: Mapping[str, Any]) -> int | None:
    count = reader.maybe_number(mapping, "count", "rack", 2, MOST_PIPES)
    if count is None:
        return None
    if count != int(count):
        reader.fault("rack.count", "not_whole", "a whole number of pipes is needed here")
    return int(count)


def _read_sizes(reader: Reader, mapping: Mapping[str, Any], run: Run, count: int | None) -> list[str]:
    """A size for each pipe, number 1's first; at most as many as a rack may have."""
    sizes = reader.items(mapping, "sizes", "rack", MOST_PIPES)
    if not sizes:
        if count is None:
            reader.fault("rack.count", "missing", "say how many pipes there are: count, or sizes with one for each")
        return [run.size] * (count or 2)
    known = _known_sizes(reader, sizes, run)
    if len(sizes) < 2:
        reader.fault("rack.sizes", "too_few", "a rack has two pipes or more, number 1 among them")
    elif count is not None and count != len(sizes):
        reader.fault("rack.count", "counts_differ", f"there are {len(sizes)} sizes, and a count of {count}")
    return known


def _known_sizes(reader: Reader, sizes: Sequence[Any], run: Run) -> list[str]:
    """The sizes, with number 1's for what is none."""
    known = tables.sizes(run.raceway)
    for number, size in enumerate(sizes):
        if not isinstance(size, str) or size not in known:
            reader.fault(f"rack.sizes[{number}]", "unknown_word", f"one of {', '.join(known)} is needed here")
    if sizes[0] in known and sizes[0] != run.size:
        words = f"the path is number 1's, and its size is {run.size}: the first of these must be the same"
        reader.fault("rack.sizes[0]", "sizes_differ", words)
    return [size if isinstance(size, str) and size in known else run.size for size in sizes]


def _read_benders(reader: Reader, mapping: Mapping[str, Any], own: Any, sizes: list[str]) -> list[Any]:
    """What bends each pipe; a pipe of number 1's size may do without its own."""
    told = list(reader.items(mapping, "benders", "rack", MOST_PIPES))
    if told and len(told) != len(sizes):
        words = f"there are {len(sizes)} pipes and {len(told)} benders: give one for each, null for the run's own"
        reader.fault("rack.benders", "counts_differ", words)
        return [own] * len(sizes)
    if told and told[0] is not None and told[0] != own:
        reader.fault("rack.benders[0]", "bender_twice", "number 1's bender is the run's own: leave this one null")
    told = told or [None] * len(sizes)
    for number, (size, bender) in enumerate(zip(sizes, told, strict=True)):
        if bender is None and size != sizes[0]:
            words = f"pipe {number + 1} is of another size than number 1: say what bends {shown(size)}"
            reader.fault(f"rack.benders[{number}]", "missing", words)
    return [own if bender is None else bender for bender in told]


def _read_spacings(reader: Reader, mapping: Mapping[str, Any], count: int) -> tuple[float, ...]:
    if mapping.get("spacings") is None:
        return (reader.length(mapping, "spacing", "rack", most=LARGEST_SPACING),) * (count - 1)
    if mapping.get("spacing") is not None:
        reader.fault("rack.spacing", "spacing_twice", "give spacing for all pipes, or spacings for each, not both")
    told = reader.items(mapping, "spacings", "rack", MOST_PIPES)
    if len(told) != count - 1:
        words = f"{count} pipes have {count - 1} spacings between them; there are {len(told)}"
        reader.fault("rack.spacings", "counts_differ", words)
    named = {f"spacings[{number}]": value for number, value in enumerate(told)}
    return tuple(reader.length(named, key, "rack", most=LARGEST_SPACING) for key in named)


def _read_side(reader: Reader, mapping: Mapping[str, Any], run: Run) -> str:
    """Left or right, or one of his own words for it; it must lie along the surface.

    Untold it is the outside of the first corner in the rack's plane, so that number 1 is inside.
    """
    word = mapping.get("side")
    if not isinstance(word, str) or word not in PEOPLES_WORDS:
        return reader.word(mapping, "side", "rack", SIDES, _outside(run))
    before = len(reader.problems)
    turn = turn_of(reader, run.legs[0].stand, START, word, "rack.side")
    if len(reader.problems) > before:
        return "left"
    for side, degrees in (("left", 90.0), ("right", 270.0)):
        if abs(turn - degrees) < 1e-6:
            return side
    reader.fault(
        "rack.side", "off_the_surface", f"{word} isn't along the surface: a rack's pipes lie beside each other"
    )
    return "left"


def _outside(run: Run) -> str | None:
    """The side away from the first corner that turns to either; none where no corner does."""
    for corner in run.corners:
        left = math.sin(math.radians(corner.turn))
        if corner.angle and abs(left) > SQUARE:
            return "right" if left > 0 else "left"
    return None


def _refuse_touching(reader: Reader, mapping: Mapping[str, Any], rack: Rack) -> None:
    """Straight pipes side by side need more than half of both diameters between their centres."""
    for number, (one, other) in enumerate(pairwise(rack.profiles)):
        halves = (one.outside_diameter + other.outside_diameter) / 2
        across = rack.offsets[number + 1][0] - rack.offsets[number][0]
        if math.hypot(rack.spacings[number], across) <= halves + TOUCHING:
            place = f"rack.spacings[{number}]" if mapping.get("spacings") is not None else "rack.spacing"
            least = format_length(math.ceil(math.sqrt(halves * halves - across * across) * 16 + 1e-3) / 16)
            words = f"pipes {number + 1} and {number + 2} would touch: {least} centre to centre would not"
            reader.fault(place, "spacing_too_small", words)
            if place == "rack.spacing":
                return


def _read_shoes(
    reader: Reader, pipes: tuple[list[str], list[Any]], run: Run, profiles: Mapping[str, Profile]
) -> tuple[Profile, ...] | None:
    """A profile for each pipe, number 1's own first; none after a fault."""
    shoes = [run.profile]
    for number, (size, bender) in enumerate(zip(*pipes, strict=True)):
        if number and (shoe := _profile(reader, number, (size, bender), run, profiles)):
            shoes.append(shoe)
    return tuple(shoes) if len(shoes) == len(pipes[0]) else None


def _profile(
    reader: Reader, number: int, pipe: tuple[str, Any], run: Run, profiles: Mapping[str, Profile]
) -> Profile | None:
    size, bender = pipe
    place = f"rack.benders[{number}]"
    if isinstance(bender, str):
        return named_bender(reader, bender, profiles, (run.raceway, size), place)
    return read_profile(reader, bender, place, run.raceway, size)
