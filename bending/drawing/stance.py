"""Where a man stands to look at a run, and what he calls the directions from there.

Vectors are in the run's starting frame: travel +x, out +z, left +y. Facing a wall, out points at him. Under a ceiling
he looks along the first leg and out points at the floor. On a deck he looks along the first leg, down on the run.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from bending.drawing.views import View, X, Y, Z
from bending.drawing.wire import Vector, cross, dot, scale

BACK, RIGHT = scale(X, -1), scale(Y, -1)
COMPASS = ("north", "east", "south", "west")
# Facing a wall, with the first leg going this way: what lies to his right, and what is up.
WALL = {"up": (RIGHT, X), "down": (Y, BACK), "my right": (X, Y), "my left": (BACK, RIGHT)}
# A way that lies less than this along one of his directions isn't said.
LEAST_SHARE = 0.05


@dataclass(frozen=True)
class Stance:
    """`right` and `up` are his own; `view` is the square view he sees (under a ceiling only its directions hold)."""

    mount: str
    right: Vector
    up: Vector
    view: View
    heads: str = ""
    compass_ahead: str = ""

    @property
    def ahead(self) -> Vector:
        return cross(self.up, self.right)

    def named(self, direction: Vector) -> str:
        """What he calls a direction: its largest part, or its two largest if it is well askew."""
        return " and ".join(word for _, word in self.parts(direction) if word) or "ON"

    def parts(self, vector: Vector) -> list[tuple[float, str]]:
        """A vector as distances with his words for them, the largest first; inches, all above 0."""
        along = [(dot(vector, axis), words) for axis, words in self._axes()]
        found = [(abs(size), words[0] if size > 0 else words[1]) for size, words in along]
        least = LEAST_SHARE * max(size for size, _ in found)
        return sorted((one for one in found if one[0] > max(least, 1e-6)), reverse=True)

    def _axes(self) -> list[tuple[Vector, tuple[str, str]]]:
        sides = [(self.right, ("to YOUR RIGHT", "to YOUR LEFT"))]
        if self.mount == "wall":
            return [*sides, (self.up, ("UP", "DOWN")), (Z, ("OFF the wall", "INTO the wall"))]
        return [*sides, (self.up, ("UP", "DOWN")), (self.ahead, ("AHEAD", "BACK toward you"))]

    def way(self, word: str) -> Vector | None:
        """The direction that a man's word names; none for a word that isn't one."""
        known = {
            "up": self.up,
            "down": scale(self.up, -1),
            "my right": self.right,
            "my left": scale(self.right, -1),
            "off": Z,
            "toward": scale(Z, -1),
        }
        return known.get(word) or self._compass(word)

    def _compass(self, word: str) -> Vector | None:
        if word not in COMPASS or self.compass_ahead not in COMPASS:
            return None
        quarters = (COMPASS.index(word) - COMPASS.index(self.compass_ahead)) % 4
        return (self.ahead, self.right, scale(self.ahead, -1), scale(self.right, -1))[quarters]


def stance_of(document: Mapping[str, Any] | None) -> Stance | None:
    """Where he stands for a run/1 document; none if it hangs free, or on a wall with no word of which way is up."""
    asked = document or {}
    mount, heads = asked.get("mount"), str(asked.get("heads") or "")
    if mount == "ceiling":
        return Stance("ceiling", Y, scale(Z, -1), View("AS IT HANGS", Y, scale(Z, -1)), heads, heads)
    if mount == "deck":
        return Stance("deck", RIGHT, Z, View("AS IT LIES", RIGHT, X), heads, heads)
    if mount == "wall" and heads in WALL:
        right, up = WALL[heads]
        return Stance("wall", right, up, View("AS IT HANGS", right, up), heads, _across(asked.get("faces")))
    return None


def _across(faces: Any) -> str:
    """He who faces a wall that looks north looks south."""
    return COMPASS[(COMPASS.index(faces) + 2) % 4] if faces in COMPASS else ""
