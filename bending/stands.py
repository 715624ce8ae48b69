"""Directions as people stand: his words into the frame's, and back.

Vectors are in the run's starting frame: travel +x, out +z, left +y. Facing a wall, out points at him. Under a ceiling
and on a deck he looks along the leg that the surface begins at.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from bending.reading import Reader
from bending.vectors import START, Frame, Vector, cross, dot, scaled

COMPASS = ("north", "east", "south", "west")
PEOPLES_WORDS = ("up", "down", "off", "toward", "my left", "my right", *COMPASS)
# Facing a wall, the first leg going this way: which turn of the frame is up.
_WALL_UP: dict[str, Vector] = {
    "up": START.t,
    "down": scaled(START.t, -1),
    "my right": START.left,
    "my left": scaled(START.left, -1),
}
# A word this near to the way that the leg goes (or comes from) says nothing of a turn: degrees.
ALONG = 40.0
_SAME = 1e-6
_SAID = 0.05


@dataclass(frozen=True, slots=True)
class Stand:
    """Where he stands for a leg. ``up`` is none on a wall with no heads, ``north`` where no compass word was given.

    ``surface`` is the way off the surface; ``right`` is his own, none where nothing says which way he looks.
    """

    mount: str
    surface: Vector
    up: Vector | None = None
    right: Vector | None = None
    north: Vector | None = None

    def way(self, word: str) -> Vector | None:
        """The unit vector that a word names; none if the run doesn't say enough to know it."""
        if word in COMPASS:
            return self._compass(word)
        opposite = {"down": "up", "toward": "off", "my left": "my right"}.get(word)
        if opposite:
            found = self.way(opposite)
            return None if found is None else scaled(found, -1)
        return {"up": self.up, "off": self.surface, "my right": self.right}[word] if self.mount != "free" else None

    def _compass(self, word: str) -> Vector | None:
        if self.north is None or self.up is None or self.mount == "free":
            return None
        east = cross(self.north, self.up)
        return (self.north, east, scaled(self.north, -1), scaled(east, -1))[COMPASS.index(word)]

    def named(self, direction: Vector) -> str:
        """What he calls a unit vector; empty if he has no words for it. Two words where it lies between."""
        if self.mount == "free" or self.up is None or self.right is None:
            return ""
        axes = self._axes(self.up, self.right)
        sizes = [(dot(direction, axis), words) for axis, words in axes]
        parts = sorted(((abs(size), words[size < 0]) for size, words in sizes), reverse=True)
        return " and ".join(word for size, word in parts if size > _SAID)

    def _axes(self, up: Vector, right: Vector) -> list[tuple[Vector, tuple[str, str]]]:
        upright = (up, ("up", "down"))
        if self.mount == "wall":
            return [upright, (right, ("my right", "my left")), (self.surface, ("off", "toward"))]
        if self.north is not None:
            return [upright, (self.north, ("north", "south")), (cross(self.north, up), ("east", "west"))]
        return [upright, (right, ("my right", "my left")), (cross(up, right), ("ahead", "back toward me"))]

    def moved(self, mount: str, frame: Frame) -> Stand:
        """Where he stands for a leg on another surface, in that leg's frame."""
        if mount == "free" or self.up is None:
            return Stand(mount, frame.u, self.up, None, self.north)
        ahead = scaled(frame.u, -1) if mount == "wall" else frame.t
        return Stand(mount, frame.u, self.up, cross(ahead, self.up), self.north)


def first_stand(reader: Reader, mapping: Mapping[str, Any], mount: str) -> Stand:
    """Where he stands for the first leg, from ``mount``, ``heads`` and ``faces``; faults go to the reader."""
    if mount == "free":
        for key in ("heads", "faces"):
            if mapping.get(key) is not None:
                reader.fault(key, "no_stance", "a run that hangs free has no way to stand: say its mount")
        return Stand("free", START.u)
    if mount == "wall":
        return _at_wall(reader, mapping)
    if mapping.get("faces") is not None:
        reader.fault("faces", "no_wall", "only a wall looks somewhere: say which way the first leg heads")
    heads = reader.word(mapping, "heads", "", COMPASS, "")
    up = START.u if mount == "deck" else scaled(START.u, -1)
    return Stand(mount, START.u, up, cross(START.t, up), _north(START.t, up, heads))


def _at_wall(reader: Reader, mapping: Mapping[str, Any]) -> Stand:
    heads, faces = (
        reader.word(mapping, "heads", "", tuple(_WALL_UP), ""),
        reader.word(mapping, "faces", "", COMPASS, ""),
    )
    if not heads:
        return Stand("wall", START.u)
    up = _WALL_UP[heads]
    return Stand("wall", START.u, up, cross(scaled(START.u, -1), up), _north(START.u, up, faces))


def _north(way: Vector, up: Vector, word: str) -> Vector | None:
    """North, where ``way`` is called by a compass word."""
    if not word:
        return None
    left = cross(up, way)
    return (way, left, scaled(way, -1), scaled(left, -1))[COMPASS.index(word)]


def turn_of(reader: Reader, stand: Stand, frame: Frame, word: str, place: str) -> float:
    """Degrees from out toward left that one of his words means on a leg with this frame."""
    way = stand.way(word)
    if way is None:
        reader.fault(place, "no_stance", f"nothing says which way {word} is here: {_wanted(stand, word)}")
        return 0.0
    if abs(dot(way, frame.t)) > math.cos(math.radians(ALONG)):
        reader.fault(place, "along_the_leg", f"{word} lies along this leg: a turn goes across it")
        return 0.0
    return round(math.degrees(math.atan2(dot(way, frame.left), dot(way, frame.u))), 9) % 360


def _wanted(stand: Stand, word: str) -> str:
    if stand.mount == "free":
        return "give the run's mount, or use out, left, in, right"
    if word in COMPASS and stand.up is not None:
        return "give faces, the way the wall looks" if stand.mount == "wall" else "give heads as a compass word"
    return "give heads, the way the first leg goes"


def moved(reader: Reader, stand: Stand, mount: str, frame: Frame, place: str) -> Stand:
    """The next leg's stand; refused where the carried out isn't the new surface's."""
    if mount != "free" and stand.up is None:
        reader.fault(place, "no_stance", "which way is up isn't known: give the run's mount and heads")
    elif mount != "free" and stand.up is not None:
        tilt = dot(frame.u, stand.up)
        if abs(tilt - {"ceiling": -1.0, "deck": 1.0, "wall": 0.0}[mount]) > _SAME:
            reader.fault(place, "out_not_off_surface", f"after this corner the pipe's out doesn't point off a {mount}")
    return stand.moved(mount, frame)
