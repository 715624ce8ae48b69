"""Conductor fill and jamming: how much copper a raceway may hold.

An aid, and no more: derating, voltage drop and what an edition adopted by a state says aren't looked at. Local code
and the authority having jurisdiction decide, and a licensed person is responsible for the installation.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache

from bending.tables import TableError, read_rows, sizes

# Insulations that share a printed column.
COLUMNS = {"THHN": "thhn", "THWN": "thhn", "THWN-2": "thhn", "XHHW": "xhhw", "XHHW-2": "xhhw"}
# NFPA 70 chapter 9, table 1, note 7 (number from memory): conductors all of one size, a result of 0.8 or more.
ROUND_UP_FROM = 0.8
# NFPA 70 chapter 9, table 1, informational note 2: three conductors pulled into a raceway.
JAMMING = (2.8, 3.2)
# Printed areas have four decimals; their ratio may miss a whole number by less than this.
ROUNDING = 1e-9


@dataclass(frozen=True)
class Conductor:
    """One insulated conductor: inches and square inches."""

    diameter: float
    area: float


@dataclass(frozen=True)
class Bore:
    """The inside of a raceway: inches and square inches, as printed."""

    inside_diameter: float
    total: float
    forty: float


@dataclass(frozen=True)
class Fill:
    """How full a raceway is: square inches, and parts of its inside area. ``jam_ratio`` is None unless three
    conductors of one size are pulled."""

    area: float
    allowed: float
    part: float
    limit: float
    fits: bool
    jam_ratio: float | None
    may_jam: bool


def conductor(insulation: str, size: str) -> Conductor:
    """An insulated conductor by type (``THHN``, ``THWN``, ``THWN-2``, ``XHHW``, ``XHHW-2``) and size (``14`` to ``4/0``
    AWG, ``250`` to ``500`` kcmil). Raises ``TableError`` (``unknown_insulation``, ``unknown_size``).

    Source: NFPA 70 (NEC 2008) chapter 9 table 5.
    """
    column = COLUMNS.get(insulation)
    if column is None:
        raise TableError("unknown_insulation", f"{insulation!r} isn't listed: use one of {', '.join(COLUMNS)}")
    found = _conductors(column)
    if size not in found:
        raise TableError("unknown_size", f"{insulation} has no size {size!r}: use one of {', '.join(found)}")
    return found[size]


def bore(raceway: str, size: str) -> Bore:
    """The printed inside of a trade size. Raises ``TableError``. Source: NFPA 70 chapter 9 table 4."""
    if size not in sizes(raceway):
        raise TableError("unknown_size", f"{raceway} has no size {size!r}: use one of {', '.join(sizes(raceway))}")
    return _bores(raceway.lower())[size]


def fill_limit(count: int, length: float | None = None) -> float:
    """The part of the inside area that ``count`` conductors (1 or more, equipment grounds counted) may take; ``length``
    in inches of the whole raceway between boxes, where known: a nipple may be fuller.

    Raises ``ValueError`` below one conductor or for a length that isn't above 0. Source: NFPA 70 chapter 9 table 1
    and its note 4.
    """
    if count < 1 or (length is not None and not length > 0):
        raise ValueError("fill is for one conductor or more in a raceway longer than 0")
    limits = _limits()
    nipple, longest = limits["nipple"]
    if length is not None and length <= longest:
        return nipple
    return limits[str(min(count, 3))][0]


def fill(raceway: str, size: str, conductors: Sequence[tuple[Conductor, int]], length: float | None = None) -> Fill:
    """How full ``conductors`` (each with how many, 1 or more) make a raceway; other arguments as in ``fill_limit``.

    Areas are summed as printed; nothing is rounded up for conductors of unlike sizes. Raises ``TableError`` and
    ``ValueError``. Source: NFPA 70 chapter 9 tables 1, 4 and 5.
    """
    if any(count < 1 for _, count in conductors):
        raise ValueError("each kind of conductor is there at least once")
    inside = bore(raceway, size)
    limit = fill_limit(sum(count for _, count in conductors), length)
    area = sum(one.area * count for one, count in conductors)
    allowed = _allowed(inside, limit)
    ratio = _three_alike(inside, conductors)
    may_jam = ratio is not None and JAMMING[0] <= ratio <= JAMMING[1]
    return Fill(area, allowed, area / inside.total, limit, _fits(area, allowed, conductors), ratio, may_jam)


def least_size(raceway: str, conductors: Sequence[tuple[Conductor, int]], length: float | None = None) -> str | None:
    """The smallest trade size that holds ``conductors``, or None when none does.

    ``length`` in inches; arguments and errors as ``fill``. Source: as ``fill``.
    """
    fitting = (size for size in sizes(raceway) if fill(raceway, size, conductors, length).fits)
    return next(fitting, None)


def most_conductors(raceway: str, size: str, one: Conductor, length: float | None = None) -> int:
    """How many conductors of one size a raceway may hold (0 and up), as the code's annex counts them.
    ``length`` in inches, as in ``fill_limit``. Raises ``TableError``, and ``ValueError`` for a length not above 0.

    Source: NFPA 70 chapter 9 table 1 and its note 7; annex C gives the same counts.
    """
    inside = bore(raceway, size)
    for few in (3, 2, 1):
        count = _rounded(_allowed(inside, fill_limit(few, length)) / one.area)
        if count >= few:
            return count if few == 3 else few
    return 0


def jam_ratio(inside_diameter: float, diameter: float) -> float:
    """Inside diameter over a conductor's outside diameter (inches, both above 0): three conductors pulled together can
    wedge side by side in a bend where it is 2.8 to 3.2.

    Raises ``ValueError`` for any other diameter. Source: NFPA 70 chapter 9 table 1, informational note 2.
    """
    if not (inside_diameter > 0 and diameter > 0):
        raise ValueError("diameters are above 0")
    return inside_diameter / diameter


def _fits(area: float, allowed: float, conductors: Sequence[tuple[Conductor, int]]) -> bool:
    kinds = {one for one, _ in conductors}
    if len(kinds) == 1:
        return _rounded(allowed / kinds.pop().area) >= sum(count for _, count in conductors)
    return area <= allowed + ROUNDING


def _allowed(inside: Bore, limit: float) -> float:
    """The printed column where there is one, so that a count agrees with the printed annex."""
    return inside.forty if limit == _limits()["3"][0] else inside.total * limit


def _rounded(count: float) -> int:
    return int(count + 1 - ROUND_UP_FROM + ROUNDING)


def _three_alike(inside: Bore, conductors: Iterable[tuple[Conductor, int]]) -> float | None:
    every = [one for one, count in conductors for _ in range(min(count, 4))]
    if len(every) != 3 or len(set(every)) != 1:
        return None
    return jam_ratio(inside.inside_diameter, every[0].diameter)


@cache
def _conductors(column: str) -> dict[str, Conductor]:
    rows = read_rows(f"conductors-{column}")
    return {row["size"]: Conductor(float(row["diameter"]), float(row["area"])) for row in rows}


@cache
def _bores(name: str) -> dict[str, Bore]:
    rows = read_rows(f"fill-{name}")
    return {row["size"]: Bore(float(row["inside_diameter"]), float(row["total"]), float(row["forty"])) for row in rows}


@cache
def _limits() -> dict[str, tuple[float, float]]:
    return {row["conductors"]: (float(row["limit"]), float(row["longest"] or 0)) for row in read_rows("fill-limits")}
