"""Printed tables as typed look-ups. Each CSV names its source, edition, page and unit in its first lines."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from pathlib import Path

RACEWAYS = ("EMT", "IMC", "RMC")
# Those that are joined by threads.
THREADED = ("IMC", "RMC")
# A 10 ft stick: EMT Steel Tube Institute; RMC and IMC are 10 ft with their coupling on.
USUAL_STICK = 120.0
# Carbon steel, lb per cubic inch: a physical property, the same in every handbook.
STEEL_DENSITY = 0.2836

_FOLDER = Path(__file__).parent / "tables"


class TableError(ValueError):
    """A raceway, size or way of bending that no table has. ``code``: ``unknown_raceway``, ``unknown_size`` or
    ``unknown_way``."""

    def __init__(self, code: str, text: str) -> None:
        super().__init__(text)
        self.code = code
        self.text = text


@dataclass(frozen=True)
class Source:
    """Where a table was printed."""

    source: str
    edition: str
    page: str
    unit: str


@dataclass(frozen=True)
class Tube:
    """One trade size of one raceway: inches."""

    size: str
    metric: int
    outside_diameter: float
    wall: float
    inside_diameter: float


@dataclass(frozen=True)
class Coupling:
    """What joins two sticks of one size: ``gap`` it leaves between them, and ``room``, the straight that it needs on
    either side; inches."""

    gap: float
    room: float


def sizes(raceway: str) -> tuple[str, ...]:
    """Trade sizes of a raceway in rising order. Raises ``TableError``."""
    return tuple(_tubes(raceway))


def tube(raceway: str, size: str) -> Tube:
    """The dimensions of a trade size, in inches. Raises ``TableError``. Source: the raceway's CSV."""
    tubes = _tubes(raceway)
    if size not in tubes:
        raise TableError("unknown_size", f"{raceway} has no size {size!r}: use one of {', '.join(tubes)}")
    return tubes[size]


def outside_diameter(raceway: str, size: str) -> float:
    """Of a trade size, in inches. Raises ``TableError``. Source: as ``tube``."""
    return tube(raceway, size).outside_diameter


def inside_diameter(raceway: str, size: str) -> float:
    """Of a trade size, in inches. Raises ``TableError``. Source: as ``tube``."""
    return tube(raceway, size).inside_diameter


def wall(raceway: str, size: str) -> float:
    """Nominal wall of a trade size, in inches. Raises ``TableError``. Source: as ``tube``."""
    return tube(raceway, size).wall


def weight_per_inch(raceway: str, size: str) -> float:
    """Pounds of bare steel tube per inch: pi (d - wall) wall times the density of carbon steel.

    Raises ``TableError``. Source: the section of ``tube``; the density stands in every handbook of materials.
    """
    one = tube(raceway, size)
    return 3.141592653589793 * (one.outside_diameter - one.wall) * one.wall * STEEL_DENSITY


def least_radius(size: str, how: str = "one-shot") -> float:
    """Least centreline radius that the code's table allows, in inches; ``how`` is ``one-shot`` or ``other``.

    Raises ``TableError``. Source: NFPA 70 chapter 9 table 2, edition in ``tables/bend_radius.csv``.
    """
    rows = _radii()
    if size not in rows:
        raise TableError("unknown_size", f"no bend radius is printed for size {size!r}")
    if how == "one-shot":
        return rows[size][0]
    if how == "other":
        return rows[size][1]
    raise TableError("unknown_way", f"{how!r} is no way to bend: use one-shot or other")


def fitting_room(raceway: str, size: str) -> float | None:
    """Straight that an end's fitting needs, in inches; ``None`` where no usual value is known.

    Source: common practice, none printed; ``tables/fitting_room.csv`` says so too.
    """
    return _rooms().get((raceway, size))


def coupling(raceway: str, size: str) -> Coupling:
    """The coupling of a trade size: inches. Raises ``TableError``.

    Source: common practice, none printed; ``tables/couplings.csv`` says so too.
    """
    found = _couplings().get((raceway, size))
    if found is None:
        raise TableError("unknown_size", f"{raceway} has no coupling for {size!r}")
    return found


def support_span(size: str) -> float:
    """How far apart supports of a straight run with threaded couplings may stand, in inches. Raises ``TableError``.

    Source: NAVEDTRA 14027, Table 5-5; ``tables/support_spans.csv``.
    """
    spans = _spans()
    if size not in spans:
        raise TableError("unknown_size", f"no distance between supports is printed for size {size!r}")
    return spans[size]


def source(name: str) -> Source:
    """Source, edition, page and unit of the table in ``tables/NAME.csv``."""
    head = dict(line[2:].split(": ", 1) for line in _lines(name) if line.startswith("# "))
    return Source(head["source"], head["edition"], head["page"], head["unit"])


@cache
def _lines(name: str) -> tuple[str, ...]:
    return tuple((_FOLDER / f"{name}.csv").read_text(encoding="utf-8").splitlines())


def read_rows(name: str) -> list[dict[str, str]]:
    """The rows of ``tables/NAME.csv`` by column, in the units that its first lines name."""
    return list(csv.DictReader(line for line in _lines(name) if not line.startswith("#")))


def _tubes(raceway: str) -> dict[str, Tube]:
    if raceway not in RACEWAYS:
        raise TableError("unknown_raceway", f"{raceway!r} isn't a raceway: use one of {', '.join(RACEWAYS)}")
    return _read_tubes(raceway.lower())


@cache
def _read_tubes(name: str) -> dict[str, Tube]:
    return {
        row["size"]: Tube(
            row["size"],
            int(row["metric"]),
            float(row["outside_diameter"]),
            float(row["wall"]),
            float(row["inside_diameter"]),
        )
        for row in read_rows(name)
    }


@cache
def _radii() -> dict[str, tuple[float, float]]:
    return {row["size"]: (float(row["one_shot"]), float(row["other"])) for row in read_rows("bend_radius")}


@cache
def _rooms() -> dict[tuple[str, str], float]:
    return {(row["raceway"], row["size"]): float(row["room"]) for row in read_rows("fitting_room")}


@cache
def _couplings() -> dict[tuple[str, str], Coupling]:
    rows = read_rows("couplings")
    return {(row["raceway"], row["size"]): Coupling(float(row["gap"]), float(row["room"])) for row in rows}


@cache
def _spans() -> dict[str, float]:
    return {row["size"]: float(row["span"]) for row in read_rows("support_spans")}
