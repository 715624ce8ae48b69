"""The cautions of a ticket: at most three lines, only those that apply to this piece. Common practice, no source."""

import math
from collections.abc import Mapping, Sequence
from typing import Any

# One person carries neither more than this nor a bent piece longer than this.
HEAVY_LB, LONG_IN = 50.0, 120.0
THREADED = ("RMC", "IMC")
REAM = "Ream both ends: chips are hot and sharp. Kinked, flattened or rippled: scrap it, don't rework."


def cautions(piece: Mapping[str, Any], weight: float | None, raceway: str, bender_kind: str) -> tuple[str, ...]:
    """Lines for one piece of a layout; weight in pounds if it is known."""
    lines = [_swing(piece["marks"], float(piece["cut_length"])), _apply(piece, weight, raceway, bender_kind), REAM]
    return tuple(line for line in lines if line)


def _swing(marks: Sequence[Mapping[str, Any]], cut: float) -> str:
    """How much pipe stands past a bend, on the side away from the hook: it moves while the bend is made. Without a hook
    both sides do."""
    if not marks:
        return "Eye protection. Hands clear of the blade."
    past = [(max(_sides(mark["station"], cut, mark["hook"])), mark["step"]) for mark in marks]
    longest, step = max(past)
    feet = math.ceil(round(longest / 12, 3))
    return f"Swing: up to {feet} ft of pipe moves past bend {step}; stand clear. Eye protection; hands out of the shoe."


def _sides(station: float, cut: float, hook: str) -> tuple[float, ...]:
    return {"start": (cut - station,), "end": (station,)}.get(hook, (station, cut - station))


def _apply(piece: Mapping[str, Any], weight: float | None, raceway: str, bender_kind: str) -> str:
    found = []
    if weight is not None and weight > HEAVY_LB:
        found.append(f"Two people: about {math.ceil(weight)} lb.")
    elif piece["marks"] and float(piece["cut_length"]) > LONG_IN:
        found.append("Two people: over 10 ft with a bend.")
    if raceway in THREADED:
        found.append("Thread before bending, no gloves at the threader, oil off the floor. Never heat galvanized pipe.")
    if bender_kind == "hydraulic":
        found.append("Pins and pivot shoes set for this size; stand to the side.")
    return " ".join(found)
