"""Profiles: what one shoe does to one raceway of one size, and what it can hold."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from bending import tables
from bending.envelope import Envelope, read_envelope
from bending.reading import Reader

QUARTER = math.pi / 2
LARGEST_RADIUS = 1000.0
# Of two neighbours the larger angle picks which least straight holds.
SMALL_ANGLE = 15.0
ORDERS = ("push-through", "last-turned", "centre-out", "back-to-back", "end-for-end", "centres")
MARK_KINDS = ("arrow", "notch", "star", "centre")
# The marks that an order can't do without; it takes them where the run has a bend for them.
NEEDS = {
    "push-through": ("arrow",),
    "last-turned": ("arrow",),
    "centre-out": ("arrow", "notch"),
    "back-to-back": ("arrow", "star"),
    "end-for-end": ("arrow",),
    "centres": ("centre",),
}

_KEYS = (
    "name", "radius", "arrow_lead", "take_up", "gain", "nameplate_radius", "hook_grip", "heel", "straight_small",
    "straight_large", "largest_angle", "springback", "reading_step", "marks", "order", "envelope", "how",
)  # fmt: skip


@dataclass(frozen=True)
class Profile:
    """A bender's shoe on one raceway and size: inches and degrees, 0 < radius <= 1000.

    ``radius`` is to the centreline after springback; ``arrow_lead`` runs from the arrow, away from the hook, to where
    the bend starts. What is ``None`` isn't known: a limit that isn't known isn't checked, and the layout says so.
    """

    name: str
    raceway: str
    size: str
    outside_diameter: float
    radius: float
    arrow_lead: float
    nameplate_radius: float | None = None
    hook_grip: float | None = None
    heel_small: float | None = None
    heel_large: float | None = None
    straight_small: float | None = None
    straight_large: float | None = None
    largest_angle: float | None = None
    springback_k: float = 0.0
    springback_c: float = 0.0
    reading_step: float = 0.0
    marks: Mapping[str, str] = field(default_factory=lambda: {kind: kind for kind in MARK_KINDS[:3]})
    order: str = "push-through"
    how: str = "one-shot"
    envelope: Envelope | None = None

    @property
    def take_up(self) -> float:
        """Of a 90, to the back of the bend: arrow lead + radius + half the outside diameter (inches)."""
        return self.arrow_lead + self.radius + self.outside_diameter / 2

    def tangent(self, angle: float) -> float:
        """From a bend's start to its point of intersection, inches, for 0 < angle < 180 degrees."""
        return self.radius * math.tan(math.radians(angle) / 2)

    def arc(self, angle: float) -> float:
        """Developed length of a bend, inches."""
        return self.radius * math.radians(angle)

    def back(self, angle: float) -> float:
        """How far the back of a corner stands beyond its point of intersection, inches."""
        return self.outside_diameter / 2 * math.tan(math.radians(angle) / 2)

    def gain(self, angle: float = 90.0) -> float:
        """Of a bend whose legs are measured to its back, inches: 2 (R + d/2) tan(angle/2) - arc."""
        return 2 * (self.tangent(angle) + self.back(angle)) - self.arc(angle)

    def straight_between(self, angle: float, other: float) -> float | None:
        """Least straight between neighbours of these angles, inches; ``None`` if the profile doesn't say."""
        return self.straight_small if max(angle, other) <= SMALL_ANGLE else self.straight_large

    def heel(self, angle: float) -> float | None:
        """Least straight from a bend of this angle to the end of the pipe behind the heel, inches; ``None`` if the
        profile doesn't say."""
        return self.heel_small if angle <= SMALL_ANGLE else self.heel_large

    def lacks(self, order: str) -> str | None:
        """The first mark that an order needs and this bender doesn't have."""
        return next((mark for mark in NEEDS[order] if mark not in self.marks), None)

    def reading(self, angle: float) -> float:
        """What the hand bends to so that the pipe comes back to ``angle``: degrees, as fine as the bender shows."""
        raw = angle * (1 + self.springback_k) + self.springback_c
        return raw if self.reading_step <= 0 else round(raw / self.reading_step) * self.reading_step

    @classmethod
    def from_radius(
        cls, name: str, raceway: str, size: str, *, radius: float, arrow_lead: float, **more: Any
    ) -> Profile:
        """A profile from its geometry. Raises ``tables.TableError`` for a raceway or size that no table has."""
        return cls(name, raceway, size, tables.outside_diameter(raceway, size), radius, arrow_lead, **more)

    @classmethod
    def from_take_up(cls, name: str, raceway: str, size: str, *, take_up: float, gain: float, **more: Any) -> Profile:
        """A profile from the take-up and gain of a 90 as measured on the shop's own bender (inches).

        Radius = (gain - d) / (2 - pi/2); arrow lead = take-up - radius - d/2. Derivation in NOMENCLATURE.md.
        """
        diameter = tables.outside_diameter(raceway, size)
        radius, lead = geometry_of(take_up, gain, diameter)
        return cls(name, raceway, size, diameter, radius, lead, **more)

    @classmethod
    def from_json(cls, mapping: Mapping[str, Any], raceway: str, size: str) -> Profile:
        """A profile as it is written in a run or kept by a shop. Raises ``Problems``, placed inside the mapping."""
        reader = Reader()
        profile = read_profile(reader, mapping, "", raceway, size)
        reader.refuse_if_any()
        assert profile is not None
        return profile

    def as_json(self) -> dict[str, Any]:
        """What ``from_json`` reads back: the geometry as radius and arrow lead, and everything that is known."""
        written: dict[str, Any] = {"name": self.name, "radius": self.radius, "arrow_lead": self.arrow_lead}
        for key in ("nameplate_radius", "hook_grip", "straight_small", "straight_large", "largest_angle"):
            if getattr(self, key) is not None:
                written[key] = getattr(self, key)
        small, large = self.heel_small, self.heel_large
        if small is not None or large is not None:
            written["heel"] = small if small == large else {"small": small, "large": large}
        if self.springback_k or self.springback_c:
            written["springback"] = {"k": self.springback_k, "c": self.springback_c}
        if self.envelope is not None:
            written["envelope"] = self.envelope.as_json()
        return {**written, "reading_step": self.reading_step, "marks": dict(self.marks), "order": self.order,
                "how": self.how}  # fmt: skip


def geometry_of(take_up: float, gain: float, outside_diameter: float) -> tuple[float, float]:
    """``(radius, arrow_lead)`` in inches of a shoe whose 90 has this take-up and gain, both to the back of the bend."""
    radius = (gain - outside_diameter) / (2 - QUARTER)
    return radius, take_up - radius - outside_diameter / 2


def read_profile(reader: Reader, value: Any, at: str, raceway: str, size: str) -> Profile | None:
    """A profile written in a document; what is wrong goes to the reader, and then ``None`` comes back."""
    mapping = reader.mapping(value, at, _KEYS)
    if mapping is None:
        return None
    before = len(reader.problems)
    diameter = tables.outside_diameter(raceway, size)
    radius, lead = _read_geometry(reader, mapping, at, diameter)
    more = _read_limits(reader, mapping, at)
    if len(reader.problems) > before:
        return None
    return Profile(reader.text(mapping, "name", at), raceway, size, diameter, radius, lead, **more)


def _read_geometry(reader: Reader, mapping: Mapping[str, Any], at: str, diameter: float) -> tuple[float, float]:
    by_radius = "radius" in mapping or "arrow_lead" in mapping
    by_take_up = "take_up" in mapping or "gain" in mapping
    if by_radius == by_take_up:
        words = "give radius and arrow_lead, or take_up and gain: one pair, not both"
        reader.fault(at, "bender_twice" if by_radius else "bender_missing", words)
        return 1.0, 0.0
    if by_radius:
        radius = reader.length(mapping, "radius", at, most=LARGEST_RADIUS)
        lead = reader.length(mapping, "arrow_lead", at, least=-LARGEST_RADIUS, most=LARGEST_RADIUS)
    else:
        take_up = reader.length(mapping, "take_up", at, least=0, most=LARGEST_RADIUS)
        gain = reader.length(mapping, "gain", at, least=0, most=LARGEST_RADIUS)
        radius, lead = geometry_of(take_up, gain, diameter)
    if not diameter / 2 < radius <= LARGEST_RADIUS:
        reader.fault(
            reader.place(at, "radius" if by_radius else "gain"), "radius_impossible", _no_radius(radius, diameter)
        )
    return radius, lead


def _no_radius(radius: float, diameter: float) -> str:
    least = diameter / 2
    return (
        f"this gives a radius of {radius:.3g} in: it must be more than half the outside diameter ({least:.3f} in) and "
        f"at most {LARGEST_RADIUS:g} in; a gain to the back of a 90 is always more than {diameter:.3f} in"
    )


def _read_limits(reader: Reader, mapping: Mapping[str, Any], at: str) -> dict[str, Any]:
    k, c = _read_springback(reader, mapping, at)
    heel_small, heel_large = _read_heel(reader, mapping, at)
    marks = _read_marks(reader, mapping, at)
    return {
        "nameplate_radius": reader.maybe_length(mapping, "nameplate_radius", at, most=LARGEST_RADIUS),
        "hook_grip": reader.maybe_length(mapping, "hook_grip", at, least=0),
        "heel_small": heel_small,
        "heel_large": heel_large,
        "straight_small": reader.maybe_length(mapping, "straight_small", at, least=0),
        "straight_large": reader.maybe_length(mapping, "straight_large", at, least=0),
        "largest_angle": reader.maybe_number(mapping, "largest_angle", at, 1, 180),
        "springback_k": k,
        "springback_c": c,
        "reading_step": reader.maybe_number(mapping, "reading_step", at, 0, 15) or 0.0,
        "marks": marks,
        "order": _read_order(reader, mapping, at, marks),
        "how": reader.word(mapping, "how", at, ("one-shot", "other"), "one-shot"),
        "envelope": read_envelope(reader, mapping, "envelope", at),
    }


def _read_heel(reader: Reader, mapping: Mapping[str, Any], at: str) -> tuple[float | None, float | None]:
    """One length for every angle, or one up to 15 degrees and one above."""
    if not isinstance(mapping.get("heel"), Mapping):
        heel = reader.maybe_length(mapping, "heel", at, least=0)
        return heel, heel
    heels = reader.maybe_mapping(mapping, "heel", at, ("small", "large")) or {}
    place = reader.place(at, "heel")
    return reader.maybe_length(heels, "small", place, least=0), reader.maybe_length(heels, "large", place, least=0)


def _read_springback(reader: Reader, mapping: Mapping[str, Any], at: str) -> tuple[float, float]:
    springback = reader.maybe_mapping(mapping, "springback", at, ("k", "c")) or {}
    place = reader.place(at, "springback")
    k = reader.maybe_number(springback, "k", place, -0.5, 0.5) or 0.0
    return k, reader.maybe_number(springback, "c", place, -15, 15) or 0.0


def _read_marks(reader: Reader, mapping: Mapping[str, Any], at: str) -> dict[str, str]:
    marks = reader.maybe_mapping(mapping, "marks", at, MARK_KINDS)
    if marks is None:
        return {kind: kind for kind in MARK_KINDS[:3]}
    place = reader.place(at, "marks")
    if set(marks) <= set(MARK_KINDS) - {"arrow", "centre"}:
        reader.fault(place, "no_mark", "a bender has an arrow, or the centre of its shoe, to put a mark on")
    return {kind: reader.text(marks, kind, place) for kind in marks if kind in MARK_KINDS}


def _read_order(reader: Reader, mapping: Mapping[str, Any], at: str, marks: Mapping[str, str]) -> str:
    """The order that the bender is used in: unless it is given, on the centre marks if it has no arrow."""
    usual = "push-through" if "arrow" in marks else "centres"
    order = reader.word(mapping, "order", at, ORDERS, usual)
    lacks = next((mark for mark in NEEDS[order] if mark not in marks), None)
    if lacks and mapping.get("order") is not None:
        reader.fault(reader.place(at, "order"), "order_without_mark", lacking(order, lacks))
    return order


def lacking(order: str, mark: str) -> str:
    """Why an order isn't this bender's."""
    return f"the order {order} needs the bender's {mark}, and its profile has none"
