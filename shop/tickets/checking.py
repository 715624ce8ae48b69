"""What the bench checks: dimensions with tolerances, the running check after each bend, and the boxes to tick.

Tolerances and the words are common practice in the trade; no standard gives them for ordinary conduit.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from bending.drawing import check_dimensions
from bending.drawing.checkdims import Check
from bending.lengths import format_length
from shop.tickets.content import CheckBox

ORDINARY, TIGHT = "±1/8", "±1/16"
SADDLE_ORDINARY, SADDLE_TIGHT = "+1/8 −0", "+1/16 −0"
RUNS_LONG = "±1/4"
MOST_BOXES, MOST_TICKS = 3, 3
# A bend's own direction may differ this much from a plane and still be called flat; degrees.
FLAT = 0.5
# A leg up to a yard that sticks out of a 90 is a stub; inches.
LONGEST_STUB = 36.0
LEG_WORDS = {
    ("end", "end"): "overall",
    ("end", "back"): "A end to back",
    ("back", "back"): "back to back",
    ("back", "end"): "back to B end",
}
RISE_WORDS = {1: "kick", 2: "rise", 3: "rise", 4: "rise"}


@dataclass(frozen=True)
class Bench:
    """One piece as the bench checks it: its marks in bending order and what a tape can take when it is done."""

    marks: Sequence[Mapping[str, Any]]
    dimensions: Sequence[Check]
    document: Mapping[str, Any]
    tape: str

    @classmethod
    def of(cls, layout: Mapping[str, Any], document: Mapping[str, Any], piece: int) -> Bench:
        return cls(
            layout["pieces"][piece]["marks"], check_dimensions(layout, piece), document, tape_of(layout, document)
        )

    def length(self, check: Check) -> str:
        return format_length(check.value, self.tape)

    def starred(self, check: Check) -> bool:
        """Whether the foreman said that it must hit."""
        stars = [star for star in self.document.get("stars") or () if isinstance(star, str)]
        return any(check.place in (star, f"{star}.leg") for star in stars)

    def bends(self, feature: str) -> list[Mapping[str, Any]]:
        """A feature's marks in bending order."""
        return [mark for mark in self.marks if mark["feature"] == feature]

    def rise(self, feature: str) -> str:
        found = [check for check in self.dimensions if check.place == f"{feature}.rise"]
        return bare(self.length(found[0])) if found else ""

    @property
    def in_order(self) -> bool:
        """Whether the bends are made as they lie along the stick, from one end to the other."""
        stations = [mark["station"] for mark in self.marks]
        return stations in (sorted(stations), sorted(stations, reverse=True))


def tape_of(layout: Mapping[str, Any], document: Mapping[str, Any]) -> str:
    """The tape that the cut was written with."""
    written = "1 mm" if str(layout["pieces"][0]["cut"]).endswith("mm") else "1/16"
    return str(document.get("tape") or written)


def degrees(angle: float) -> str:
    """An angle inside running words, halves as the trade writes them."""
    whole, rest = divmod(round(angle, 1), 1)
    return f"{whole:g}½°" if rest == 0.5 else f"{round(angle, 1):g}°"


def bare(length: str) -> str:
    """A length inside running words: no inch mark."""
    return length.removesuffix('"')


def boxes(bench: Bench) -> tuple[CheckBox, ...]:
    """The two or three dimensions that are written down, the must-hits first, then lengths, one rise, one place."""
    by_worth = sorted(bench.dimensions, key=lambda check: (not bench.starred(check), _worth(check, bench)))
    found: list[CheckBox] = []
    for check in by_worth:
        box = CheckBox(
            words(check, bench), bench.length(check), tolerance(check, bench), check.place, bench.starred(check)
        )
        if all((box.words, box.length) != (other.words, other.length) for other in found):
            found.append(box)
    return tuple(found[:MOST_BOXES])


def _worth(check: Check, bench: Bench) -> tuple[int, float]:
    """Lower is dearer: what fits between fixed ends, the largest rise, where the high spot lies, the other rises."""
    if check.kind == "length":
        return (4 if _long_end(bench, check) else 0), 0.0
    rises = [one.value for one in bench.dimensions if one.kind == "rise"]
    if check.kind == "rise":
        return (1 if check.value == max(rises) else 3), -check.value
    return 2, -check.value


def words(check: Check, bench: Bench) -> str:
    if check.kind == "spot":
        return check.words or "spot"
    if check.kind == "length":
        return LEG_WORDS.get(check.ends, "leg")
    feature = check.place.removesuffix(".rise")
    if is_rolled(bench, feature):
        return "true offset"
    return RISE_WORDS.get(len(bench.bends(feature)), "rise")


def tolerances(bench: Bench) -> dict[str, str]:
    """By the dimension's place in the document, for the picture."""
    return {check.place: tolerance(check, bench) for check in bench.dimensions}


def tolerance(check: Check, bench: Bench) -> str:
    """Common practice: 1/8, 1/16 where it must hit; a saddle is never under; an end that may run long has 1/4."""
    tight, metric = bench.starred(check), bench.tape == "1 mm"
    if check.kind == "rise" and len(bench.bends(check.place.removesuffix(".rise"))) in (3, 4):
        limits = SADDLE_TIGHT if tight else SADDLE_ORDINARY
    elif check.kind == "length" and _long_end(bench, check):
        limits = RUNS_LONG
    else:
        limits = TIGHT if tight else ORDINARY
    return _in_mm(limits) if metric else limits


def _in_mm(limits: str) -> str:
    for inches, metric in (("1/16", "2"), ("1/8", "3"), ("1/4", "6")):
        limits = limits.replace(inches, metric)
    return f"{limits} mm"


def _long_end(bench: Bench, check: Check) -> bool:
    """Whether one of a length's ends is the one that may run long."""
    long = (bench.document.get("run_long") or {}).get("end")
    reached = [name for name, kind in zip(("start", "end"), check.ends, strict=True) if kind == "end"]
    return long in reached


def is_rolled(bench: Bench, feature: str) -> bool:
    """Whether a two-bend offset goes off at an odd roll."""
    return any(abs(mark["roll"] % 90) > FLAT and abs(mark["roll"] % 90) < 90 - FLAT for mark in bench.bends(feature))


def after_each(bench: Bench) -> dict[int, str]:
    """What can be checked after a step, before the next bend hides it; by step."""
    found: dict[int, str] = {}
    for feature in dict.fromkeys(mark["feature"] for mark in bench.marks):
        bends = bench.bends(feature)
        if re.fullmatch(r"path\[\d+\]", feature or ""):
            found |= _after_corners(bench, feature, bends)
        else:
            found |= _after_feature(bench, feature, bends)
    return {step: said for step, said in found.items() if said}


def _after_corners(bench: Bench, feature: str, bends: Sequence[Mapping[str, Any]]) -> dict[int, str]:
    """A corner of one bend or many; a return bend is two, and the way across is known after the second."""
    if "u_bend" not in _item(bench.document, feature):
        return _after_shots(bench, feature, bends)
    half = len(bends) // 2
    found = {**_after_shots(bench, feature, bends[:half]), **_after_shots(bench, feature, bends[half:])}
    across = [check for check in bench.dimensions if check.place == f"{feature}.u_bend"]
    if across:
        found[bends[-1]["step"]] = f"back to back {bare(bench.length(across[0]))}, square"
    return found


def _after_shots(bench: Bench, corner: str, shots: Sequence[Mapping[str, Any]]) -> dict[int, str]:
    """How far a bend of many shots has come, so that nobody loses count; first of all how many, and how far apart."""
    turned, found = 0.0, dict[int, str]()
    for shot in shots:
        turned += shot["angle"]
        found[shot["step"]] = f"so far {degrees(turned)}"
    if len(shots) > 1:
        apart = bare(format_length(abs(shots[1]["station"] - shots[0]["station"]), bench.tape))
        found[shots[0]["step"]] = f"{len(shots)} shots of {degrees(shots[0]['angle'])}, {apart} apart"
    return {**found, shots[-1]["step"]: _after_corner(bench, corner, shots[-1]["step"], turned)}


def _after_corner(bench: Bench, corner: str, step: int, angle: float) -> str:
    """The leg that this bend has finished, and whether it is square."""
    number = int(corner[5:-1])
    before = [f"path[{number - 1}]", f"path[{number - 2}]"]
    done = {one["feature"] for one in bench.marks if one["step"] <= step}
    leg = number - 1 if _all_done(bench, number - 1, done) else number + 1
    found = [check for check in bench.dimensions if check.place == f"path[{leg}].leg"]
    square = "square" if abs(angle - 90) < FLAT else degrees(angle)
    kick = next((f for f in sorted(done) if f and f.startswith(before[0] + ".") and len(bench.bends(f)) == 1), None)
    if kick:
        return f"kick {bench.rise(kick)}, {square}"
    if not found or not _all_done(bench, leg, done):
        return square
    stub = "end" in found[0].ends and found[0].value <= LONGEST_STUB
    name = "back to back" if found[0].ends == ("back", "back") else "stub" if stub else "to back"
    return f"{name} {bare(bench.length(found[0]))}, {square}"


def _all_done(bench: Bench, leg: int, done: Iterable[str]) -> bool:
    """Whether a leg's own bends and both corners at its ends are made."""
    own = {m["feature"] for m in bench.marks if m["feature"] and re.match(rf"path\[{leg}\]\.", m["feature"])}
    corners = {f"path[{leg - 1}]", f"path[{leg + 1}]"} & {m["feature"] for m in bench.marks}
    return own | corners <= set(done)


def _after_feature(bench: Bench, feature: str, bends: Sequence[Mapping[str, Any]]) -> dict[int, str]:
    """By how many bends a feature has: offsets after the second, saddles as they grow."""
    last, rise = bends[-1]["step"], bench.rise(feature)
    if len(bends) == 1:
        return {}
    if len(bends) == 2:
        at_end = _kind(bench.document, feature) == "box_offset"
        rolled = is_rolled(bench, feature)
        said = f"end {rise} out, parallel" if at_end else f"{'offset' if rolled else 'rise'} {rise}, parallel"
        return {last: said}
    found = {last: f"rise {rise}, feet in line"}
    if not bench.in_order:
        return found
    if len(bends) == 3:
        outer = degrees(bends[0]["angle"])
        return {bends[0]["step"]: f"{outer}, flat", bends[1]["step"]: f"both slopes {outer}", **found}
    return {bends[1]["step"]: f"rise {rise}, level", bends[2]["step"]: "flat, no dog leg", **found}


def _kind(document: Mapping[str, Any], feature: str) -> str:
    """What the document calls a feature, by its place `path[0].features[1]`."""
    numbers = re.fullmatch(r"path\[(\d+)\]\.features\[(\d+)\]", feature)
    if not numbers:
        return ""
    leg, place = (int(number) for number in numbers.groups())
    try:
        return str(document["path"][leg]["features"][place]["kind"])
    except (KeyError, IndexError):
        return ""


def _item(document: Mapping[str, Any], place: str) -> Mapping[str, Any]:
    """What stands at `path[1]` of a document; nothing if it has none."""
    path, number = document.get("path") or (), int(place[5:-1])
    return path[number] if number < len(path) and isinstance(path[number], Mapping) else {}


def ticks(bench: Bench) -> tuple[str, ...]:
    """Boxes to tick, only those that the shape has, the dearest mistake first."""
    rolls = {round(mark["roll"] % 180) % 180 for mark in bench.marks}
    square = any(abs(mark["angle"] - 90) < FLAT for mark in bench.marks)
    corners = any(re.fullmatch(r"path\[\d+\]", mark["feature"] or "") for mark in bench.marks)
    asked = (
        (len(rolls) > 1 or any(roll % 90 for roll in rolls), "right hand, not mirrored"),
        (square, "90s square"),
        (len(bench.marks) > 1, "flat, no dog leg" if len(rolls) == 1 else "no dog leg"),
        (bool(bench.marks) and not corners, "ends in line, parallel"),
        (any(check.words == "overall" for check in bench.dimensions), "not over length"),
    )
    return tuple(words for has, words in asked if has)[:MOST_TICKS]
