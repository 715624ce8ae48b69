"""The cut plan: which piece is sawn from which stick, with off-cuts used first and the blade's width counted.

The blade is lost between cuts and before the off-cut, not after an end that is used whole. All lengths of a document
are rounded to 1/8,128,000 in, in which 1/512 in, 0.001 in and 0.1 mm are whole numbers: so sums of them are exact.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from bending.cutplan.fit import Stick
from bending.cutplan.parts import UNITS, Parts, read
from bending.cutplan.search import search
from bending.cutplan.tidy import tidy
from bending.problems import Problem, Problems

DECIMALS = 6


def cutplan(document: Mapping[str, Any]) -> dict[str, Any]:
    """The fewest new sticks for the pieces of `document`, never more than best-fit-decreasing, and a proven bound.

    Takes `{"stick", "kerf", "pieces": [...]}` and, when wanted: `drops` (off-cuts on the rack, used first, not
    trimmed), `lots` (other stick lengths: a length, or `{"length", "count"}` where there are only so many), `trim`
    and `end_trim` (lost at a fresh stick's first and last end, blade included; a piece as long as the stick takes
    it uncut), `useful` (least off-cut worth keeping, 24 in), `whole` (indexes of pieces that must be whole uncut
    sticks), `seconds` (time limit, 0 to 600, default 30; 0 is best fit alone) and `tag`. Lengths are inches above 0
    up to 100,000, or text as `lengths.parse_length` reads it; kerf and trims may be 0.

    Returns `{"format": "cutplan/1", "tag", "sticks": [{"from": "drop" | "stick" | "lot", "index", "length", "cuts",
    "left", "keep"}], "used", "bound", "kept", "scrap"}`: off-cuts first; `index` into drops or lots, None for a
    stick; `cuts` are indexes into pieces, the longest first; `left` is the off-cut in inches and `keep` whether it
    is worth keeping; `used` counts new sticks and no plan needs fewer than `bound`; `kept` and `scrap` are the
    inches of off-cuts on either side of `useful`.

    Raises `Problems` with every fault found, and with `no_stick_left` when limited lots and off-cuts run out.
    Source: the methods' papers are named in `cutplan.columns` and `cutplan.bound`.
    """
    parts = read(document)
    best = search(parts.widths, parts.stocks, parts.seconds)
    if isinstance(best, list):
        raise Problems(_homeless(parts.loose[piece]) for piece in best)
    sticks = tidy(best.widths, best.stocks, best.sticks)
    rows = [*_uncut_rows(parts), *(_row(parts, stick) for stick in sticks)]
    rows.sort(key=lambda row: _reading_order(parts, row))
    return _answer(parts, rows, best.bound + len(parts.whole))


def _homeless(piece: int) -> Problem:
    text = "no stick is left for this piece: add to the lots or off-cuts, or to the length of the stick"
    return Problem(f"pieces[{piece}]", "no_stick_left", text)


def _uncut_rows(parts: Parts) -> list[dict[str, Any]]:
    return [_stick_row(parts, kind, [piece], 0) for piece, kind in parts.whole.items()]


def _row(parts: Parts, stick: Stick) -> dict[str, Any]:
    cuts = sorted((parts.loose[piece] for piece in stick.pieces), key=lambda piece: (-parts.lengths[piece], piece))
    needed = sum(parts.lengths[piece] + parts.kerf for piece in cuts)
    return _stick_row(parts, stick.stock, cuts, max(0, parts.stocks[stick.stock].capacity - parts.kerf - needed))


def _stick_row(parts: Parts, kind: int, cuts: list[int], left: int) -> dict[str, Any]:
    source = parts.sources[kind]
    row: dict[str, Any] = {"from": source.kind, "index": source.index, "length": source.length, "cuts": cuts}
    return row | {"left": round(left / UNITS, DECIMALS), "keep": left > 0 and left >= parts.useful}


def _reading_order(parts: Parts, row: Mapping[str, Any]) -> tuple[Any, ...]:
    """Off-cuts first; then sticks cut alike together, so that the saw's stop is set once."""
    cuts = [-parts.lengths[piece] for piece in row["cuts"]]
    return row["from"] != "drop", -row["length"], cuts, row["cuts"]


def _answer(parts: Parts, rows: Sequence[Mapping[str, Any]], bound: int) -> dict[str, Any]:
    used = sum(row["from"] != "drop" for row in rows)
    kept = sum(row["left"] for row in rows if row["keep"])
    scrap = sum(row["left"] for row in rows if not row["keep"])
    tagged = {} if parts.tag is None else {"tag": parts.tag}
    answer: dict[str, Any] = {"format": "cutplan/1", **tagged, "sticks": list(rows), "used": used, "bound": bound}
    return answer | {"kept": round(kept, DECIMALS), "scrap": round(scrap, DECIMALS)}
