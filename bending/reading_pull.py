"""What a run says of its pull and of its joints: conductors, and places along the developed centreline."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from bending import fill
from bending.lengths import LONGEST
from bending.reading import Reader
from bending.tables import TableError

MOST_PLACES = 200
MOST_ALIKE = 1000


@dataclass(frozen=True, slots=True)
class Wires:
    """So many conductors of one insulation and size (AWG or kcmil), as the code's tables name them."""

    insulation: str
    size: str
    count: int

    @property
    def conductor(self) -> fill.Conductor:
        """One of them: its diameter and area, inches."""
        return fill.conductor(self.insulation, self.size)


def read_places(reader: Reader, mapping: Mapping[str, Any], key: str) -> tuple[float, ...]:
    """Distances along the developed centreline from the run's start, inches above 0, each once."""
    found: list[float] = []
    for number, value in enumerate(reader.items(mapping, key, "", MOST_PLACES)):
        at = f"{key}[{number}]"
        place = reader.length({at: value}, at, "", most=LONGEST)
        if place in found and not reader.problems:
            reader.fault(at, "twice", "this place stands in the list already")
        found.append(place)
    return tuple(found)


def read_stretches(reader: Reader, mapping: Mapping[str, Any], key: str) -> tuple[tuple[float, float], ...]:
    """Stretches of the developed centreline, each ``[from, to]`` in inches from the run's start."""
    found = []
    for number, value in enumerate(reader.items(mapping, key, "", MOST_PLACES)):
        at = f"{key}[{number}]"
        if not isinstance(value, list | tuple) or len(value) != 2:
            reader.fault(at, "not_a_pair", "a stretch is [from, to] along the centreline")
            continue
        low, high = (reader.length({f"{at}[{n}]": one}, f"{at}[{n}]", "", least=0) for n, one in enumerate(value))
        if high <= low:
            reader.fault(at, "out_of_order", "a stretch ends further along than it begins")
        found.append((low, high))
    return tuple(found)


def read_conductors(reader: Reader, mapping: Mapping[str, Any]) -> tuple[Wires, ...]:
    """What is to be pulled, equipment grounds too: ``size``, ``insulation`` and ``count`` of each kind."""
    found = []
    for number, value in enumerate(reader.items(mapping, "conductors", "", MOST_PLACES)):
        at = f"conductors[{number}]"
        one = reader.mapping(value, at, ("size", "insulation", "count"))
        if one is not None:
            found.append(_wires(reader, one, at))
    return tuple(found)


def _wires(reader: Reader, one: Mapping[str, Any], at: str) -> Wires:
    before = len(reader.problems)
    insulation = reader.word(one, "insulation", at, tuple(fill.COLUMNS), None)
    size = reader.text(one, "size", at)
    count = reader.number(one, "count", at, 1, MOST_ALIKE)
    if count != int(count):
        reader.fault(f"{at}.count", "not_whole", "conductors are counted whole")
    if len(reader.problems) == before:
        try:
            fill.conductor(insulation, size)
        except TableError as error:
            reader.fault(f"{at}.size", error.code if size else "missing", error.text)
    return Wires(insulation, size, int(count))
