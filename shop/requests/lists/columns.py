"""The columns of a list of runs: their names, and which field of a run each one fills."""

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from difflib import get_close_matches

from shop.requests.builder import placed
from shop.requests.rows import ROWS, Entry, Row
from shop.requests.shapes import SHAPES, Shape

HEAD = {
    "tag": "Tag",
    "quantity": "Qty",
    "place": "Place",
    "conduit": "Conduit",
    "title": "What it is",
    "needed_day": "Needed on",
    "needed_hour": "At hour",
    "drop": "Dropped at",
    "rush": "Rush",
    "rush_reason": "Why it can't wait",
    "note": "Note",
    "cost_code": "Cost code",
    "shape": "Shape",
    "document": "Run as run/1",
}
# How else people head these columns.
ALSO = {"count": "quantity", "quantity": "quantity", "room": "place", "size": "conduit", "needed": "needed_day"}
_SIGNS = re.compile(r"[^a-z0-9]+")


@dataclass(frozen=True)
class Column:
    """One column: a field of the head, or (with `row` 0 and up) an entry of that row of a shape."""

    name: str
    field: str
    row: int = -1


def plain(name: str) -> str:
    """A heading without capitals and signs: `Far end: measured to` and `far end measured to` are one."""
    return _SIGNS.sub(" ", name.casefold()).strip()


def row_names(rows: Sequence[Row]) -> list[str]:
    """`Start`, `Leg 1`, `Corner`, `Leg 2`, `Box offset 1` …: rows of one kind are counted where there are several."""
    counts, seen, found = Counter(row.kind for row in rows), Counter[str](), []
    for row in rows:
        seen[row.kind] += 1
        words = ROWS[row.kind].words
        found.append(f"{words} {seen[row.kind]}" if counts[row.kind] > 1 else words)
    return found


def _name(row: str, kind: str, entry: Entry) -> str:
    """A leg's only number needs no second word."""
    return row if kind == "leg" else f"{row}: {entry.words[:1].lower()}{entry.words[1:]}"


def of_rows(rows: Sequence[Row]) -> list[Column]:
    """The columns that fill these rows, in the order in which a man measures."""
    names = row_names(rows)
    return [
        Column(_name(names[one.number], one.row.kind, entry), entry.name, one.number)
        for one in placed(rows)
        for entry in ROWS[one.row.kind].entries
    ]


def of_shape(shape: Shape) -> list[Column]:
    return of_rows(shape.rows)


def head() -> list[Column]:
    return [Column(words, field) for field, words in HEAD.items()]


def fields_of(shape: Shape) -> dict[str, Column]:
    """What a heading means on a row of this shape, by its plain name."""
    found = {plain(column.name): column for column in (*head(), *of_shape(shape))}
    return {other: Column(HEAD[field], field) for other, field in ALSO.items()} | found


def all_names() -> dict[str, str]:
    """Every heading that some shape knows: plain name to the name as it is written."""
    columns = [*head(), *(column for shape in SHAPES for column in of_shape(shape))]
    return {plain(column.name): column.name for column in columns} | {other: other for other in ALSO}


def nearest(name: str) -> str:
    """The known heading most like an unknown one; empty if none is."""
    names = all_names()
    found = get_close_matches(plain(name), names, n=1, cutoff=0.6)
    return names[found[0]] if found else ""


def shape_named(text: str) -> Shape | None:
    """A shape by its words or its key, whatever its capitals and signs."""
    wanted = plain(text)
    return next((shape for shape in SHAPES if wanted in (plain(shape.words), plain(shape.key))), None)


def template(shape: Shape) -> list[str]:
    """The headings of an empty list of one shape."""
    return [column.name for column in head() if column.field != "document"] + [
        column.name for column in of_shape(shape)
    ]
