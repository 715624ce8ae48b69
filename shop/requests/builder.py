"""The builder's rows as form data and as a run/1 document, both ways, keeping every word as typed.

Form names are `r<row>-<entry>`, with the row's kind in `r<row>-row`. A place such as `path[2].features[0].rise`, in
which the solver says what is wrong, belongs to one such name.
"""

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise
from typing import Any

from shop.requests.rows import ADDED, FEATURES, ROWS, Entry, Row, new_row

# Django takes at most a thousand fields of one form; eighty rows of the longest kind stay under it.
MOST_ROWS = 80
LONGEST = 200
# Parts what an end was measured to from which one it is.
AND = ", "
_ANGLE = re.compile(r"(\d{1,3})(?:\.(\d{1,6}))?|(\d{1,3}) (\d{1,2})/(\d{1,2})")
_HALVES = str.maketrans({"½": " 1/2", "¼": " 1/4", "¾": " 3/4", "°": "", "⁄": "/"})
_HIDDEN = "".join(map(chr, [*range(9), *range(11, 32), 127]))


@dataclass(frozen=True)
class Placed:
    """A row with its number in the form and its place in the document."""

    number: int
    row: Row
    place: str

    @property
    def name(self) -> str:
        return f"r{self.number}"

    def field(self, entry: str) -> str:
        return f"{self.name}-{entry}"


def clean(text: object) -> str:
    """Typed text that any database keeps: no control characters, no halves of characters, no more than 200 signs."""
    plain = str(text).translate({ord(sign): None for sign in _HIDDEN})
    return plain.encode("utf-8", "ignore").decode("utf-8").strip()[:LONGEST]


def rows_read(data: Mapping[str, str], unseal: Callable[[str], dict[str, Any]]) -> tuple[Row, ...]:
    """The rows of a posted form in their order; the first number that is missing ends them."""
    return tuple(_row_read(data, number, unseal) for number in _numbers(data))


def _numbers(data: Mapping[str, str]) -> Iterator[int]:
    for number in range(MOST_ROWS):
        if data.get(f"r{number}-row") not in ROWS:
            return
        yield number


def _row_read(data: Mapping[str, str], number: int, unseal: Callable[[str], dict[str, Any]]) -> Row:
    kind = data[f"r{number}-row"]
    values = {entry.name: clean(data.get(f"r{number}-{entry.name}", "")) for entry in ROWS[kind].entries}
    return Row(kind, values, unseal(data.get(f"r{number}-kept", "")))


def placed(rows: Sequence[Row]) -> tuple[Placed, ...]:
    """Each row with its place: `start`, `end`, `path[0]`, `path[0].features[1]` …"""
    found, step, feature = [], -1, 0
    for number, row in enumerate(rows):
        if row.kind in ("start", "end"):
            place = row.kind
        elif row.kind in ("leg", "corner"):
            step, feature, place = step + 1, 0, f"path[{step + 1}]"
        else:
            place, feature = f"path[{max(step, 0)}].features[{feature}]", feature + 1
        found.append(Placed(number, row, place))
    return tuple(found)


# Rows to document


def document(rows: Sequence[Row], *, tag: str, raceway: str, size: str, kept: Mapping[str, Any]) -> dict[str, Any]:
    """The run/1 document of the rows. Lengths stay as typed; an angle that reads as a number becomes one.

    Nothing is mended here: rows out of order or empty numbers give a document in which the solver finds them.
    """
    path: list[dict[str, Any]] = []
    ends: dict[str, dict[str, Any]] = {}
    for row in rows:
        if row.kind in ("start", "end"):
            ends[row.kind] = _end(row)
        elif row.kind == "leg":
            path.append({**_written(row), "leg": row["leg"]})
        elif row.kind == "corner":
            path.append({"corner": "", **_written(row)})
        elif path:
            path[-1].setdefault("features", []).append(_feature(row))
    _measure(rows, path)
    head = {"format": "run/1", "tag": tag, "raceway": raceway, "size": size}
    return {**kept, **head, **ends, "path": path}


def _written(row: Row, *leave: str) -> dict[str, Any]:
    """What the row says under run/1's own names; empty entries are left out."""
    skip = {"measured", "after", "side_to", *leave}
    said = [(entry, row[entry.name]) for entry in ROWS[row.kind].entries if entry.name not in skip]
    return {**row.kept, **{entry.name: _value(entry, text) for entry, text in said if text}}


def _end(row: Row) -> dict[str, Any]:
    """What it was measured to and which one it is stand in one text: `box face, box C-3`."""
    said = _written(row, "name")
    return {**said, "to": f"{row['to']}{AND}{row['name']}"} if row["name"] else said


def _value(entry: Entry, text: str) -> Any:
    if entry.name == "from_end":
        return True
    return angle_read(text) if entry.sort == "angle" or entry.name == "turn" else text


def _feature(row: Row) -> dict[str, Any]:
    if row.kind == "other":
        return dict(row.kept)
    said = {"kind": "offset" if row.kind == "rolled" else row.kind, **_written(row)}
    if row.kind == "rolled":
        # An empty side stays: without it the document would ask for a plain offset.
        said["side"] = f"-{row['side']}" if row["side_to"] == "right" else row["side"]
    return said


def _measure(rows: Sequence[Row], path: list[dict[str, Any]]) -> None:
    """A corner's measure stands on the ends of the two legs that meet in it."""
    corners = [row for row in rows if row.kind in ("leg", "corner")]
    for step, row in enumerate(corners):
        if row.kind != "corner":
            continue
        after = row["after"] or row["measured"]
        if row["measured"] and step > 0:
            path[step - 1]["to"] = row["measured"]
        if after not in ("", "usual") and step + 1 < len(path):
            path[step + 1]["from"] = after


def angle_read(text: str) -> float | int | str:
    """Degrees from `22.5`, `22½`, `22 1/2` or `45°`; the text itself where it isn't one of these."""
    found = _ANGLE.fullmatch(" ".join(text.translate(_HALVES).split()))
    if not found:
        return text
    whole, part, mixed, over, under = found.groups()
    if whole is not None:
        return float(f"{whole}.{part}") if part else int(whole)
    if int(under) == 0:
        return text
    degrees = float(int(mixed) + Fraction(int(over), int(under)))
    return int(degrees) if degrees.is_integer() else degrees


# Document to rows


def rows_of(document: Mapping[str, Any]) -> tuple[Row, ...]:
    """The rows that give the document back. What the builder has no entry for is kept on its row."""
    path = [step for step in _list(document.get("path")) if isinstance(step, Mapping)]
    rows = [_end_of("start", document)]
    for number, step in enumerate(path):
        if "corner" in step:
            rows.append(_corner_of(document, path, number))
        else:
            rows.append(_row_of("leg", step, "features", *_ends_used(path, number)))
            rows += [_feature_of(one) for one in _list(step.get("features")) if isinstance(one, Mapping)]
    return (*rows, _end_of("end", document))


def kept_of(document: Mapping[str, Any]) -> dict[str, Any]:
    """What the document carries beside its path and ends: `stars`, `tape`, `bender` …"""
    shown = {"format", "tag", "raceway", "size", "start", "end", "path", "measure"}
    return {name: value for name, value in document.items() if name not in shown}


def _list(value: Any) -> list[Any]:
    return value if isinstance(value, list) else []


def _mapping(value: Any) -> Mapping[str, Any]:
    return value if isinstance(value, Mapping) else {}


def _row_of(kind: str, said: Mapping[str, Any], *leave: str) -> Row:
    """An entry that the document doesn't name stands at its own default, which the solver would take too."""
    names = {entry.name: entry for entry in ROWS[kind].entries}
    values = {name: _text(said[name]) if name in said else _unsaid(kind, entry) for name, entry in names.items()}
    if "from_end" in values:
        values["from_end"] = "end" if said.get("from_end") is True else ""
    left = {*names, *leave, "kind"}
    return Row(kind, values, {name: value for name, value in said.items() if name not in left})


def _end_of(kind: str, document: Mapping[str, Any]) -> Row:
    row = _row_of(kind, _mapping(document.get(kind)))
    to, _, name = row["to"].partition(AND)
    return replace(row, values={**row.values, "to": to, "name": name})


def _unsaid(kind: str, entry: Entry) -> str:
    if entry.name == "turn" and kind in FEATURES and kind != "kick":
        return "out"
    return entry.start if entry.sort == "pick" else ""


def _text(value: Any) -> str:
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    return str(value)


def _ends_used(path: list[Mapping[str, Any]], number: int) -> list[str]:
    """`from` and `to` of a leg belong to the corners' rows, where there is a corner."""
    return [*(["from"] if number > 0 else []), *(["to"] if number + 1 < len(path) else [])]


def _corner_of(document: Mapping[str, Any], path: list[Mapping[str, Any]], number: int) -> Row:
    usual = document.get("measure", "")
    before = path[number - 1].get("to", usual) if number > 0 else ""
    after = path[number + 1].get("from", usual) if number + 1 < len(path) else before
    row = _row_of("corner", path[number])
    said_after = "" if after == before else after or "usual"
    return replace(row, values={**row.values, "measured": _text(before), "after": _text(said_after)})


def _feature_of(said: Mapping[str, Any]) -> Row:
    kind = said.get("kind")
    if kind == "offset" and "side" in said:
        return _rolled_of(said)
    if kind not in ADDED:
        return Row("other", {}, dict(said))
    return _row_of(str(kind), said)


def _rolled_of(said: Mapping[str, Any]) -> Row:
    row = _row_of("rolled", said)
    right = row["side"].startswith("-")
    side = {"side": row["side"].removeprefix("-"), "side_to": "right" if right else "left"}
    return replace(row, values={**row.values, **side})


# Places and fields


def field_of(place: str, rows: Sequence[Row]) -> str:
    """The form's name for a place: a field, a row (`r3`) where no field is meant, or nothing."""
    named = _names(rows)
    if place in named:
        return named[place]
    within = [row for row in placed(rows) if place == row.place or place.startswith((f"{row.place}.", f"{row.place}["))]
    return max(within, key=lambda row: len(row.place)).name if within else ""


def _names(rows: Sequence[Row]) -> dict[str, str]:
    found = {f"{one.place}.{entry.name}": one.field(entry.name) for one in placed(rows) for entry in _entries(one.row)}
    steps = [one for one in placed(rows) if one.row.kind in ("leg", "corner")]
    for before, corner in pairwise(steps):
        if corner.row.kind == "corner":
            found[f"{before.place}.to"] = corner.field("measured")
    for corner, after in pairwise(steps):
        if corner.row.kind == "corner":
            found[f"{after.place}.from"] = corner.field("after" if corner.row["after"] else "measured")
    return found


def _entries(row: Row) -> tuple[Entry, ...]:
    return ROWS[row.kind].entries


def missing(rows: Sequence[Row]) -> tuple[str, ...]:
    """Names of the fields that must be filled and are empty, in their order."""
    return tuple(
        one.field(entry.name)
        for one in placed(rows)
        for entry in _entries(one.row)
        if entry.needed and not one.row[entry.name]
    )


def filled(rows: Sequence[Row]) -> tuple[Row, ...]:
    """The rows without the features in which something is missing: what can be drawn already."""
    gaps = {name.partition("-")[0] for name in missing(rows)}
    return tuple(one.row for one in placed(rows) if one.row.kind not in FEATURES or one.name not in gaps)


# Adding and taking away


def edited(rows: Sequence[Row], action: str) -> tuple[Row, ...]:
    """The rows after a button: `leg_add:3`, `feature_add:3:kick`, `take:4`, `put:r4-angle:15`.

    An action that fits no row changes nothing.
    """
    word, _, rest = action.partition(":")
    target, _, value = rest.partition(":")
    if word == "put":
        return _put(rows, target, value)
    if not target.isascii() or not target.isdigit() or int(target[:4]) >= len(rows):
        return tuple(rows)
    number = int(target[:4])
    if word == "take":
        return _take(rows, number)
    if len(rows) + 2 > MOST_ROWS:
        return tuple(rows)
    if word == "leg_add":
        return _leg_add(rows, number)
    return _feature_add(rows, number, value) if word == "feature_add" else tuple(rows)


def _put(rows: Sequence[Row], target: str, value: str) -> tuple[Row, ...]:
    for one in placed(rows):
        if any(target == one.field(entry.name) for entry in _entries(one.row)):
            entry = target.partition("-")[2]
            changed = replace(one.row, values={**one.row.values, entry: clean(value)})
            return (*rows[: one.number], changed, *rows[one.number + 1 :])
    return tuple(rows)


def _after_features(rows: Sequence[Row], number: int) -> int:
    """The place after a leg and its features."""
    end = number + 1
    while end < len(rows) and rows[end].kind in FEATURES:
        end += 1
    return end


def _leg_add(rows: Sequence[Row], number: int) -> tuple[Row, ...]:
    end = _after_features(rows, number)
    return (*rows[:end], new_row("corner"), new_row("leg"), *rows[end:])


def _feature_add(rows: Sequence[Row], number: int, kind: str) -> tuple[Row, ...]:
    """Before what stands at the leg's end, so that the rows stay in the order in which he measures."""
    if rows[number].kind != "leg" or kind not in ADDED:
        return tuple(rows)
    end = _after_features(rows, number)
    while end - 1 > number and rows[end - 1].kind in ("box_offset", "kick") and rows[end - 1]["at"] == "end":
        end -= 1
    return (*rows[:end], new_row(kind), *rows[end:])


def _take(rows: Sequence[Row], number: int) -> tuple[Row, ...]:
    """A feature goes alone; a corner takes the leg after it, with its features."""
    if rows[number].kind in FEATURES:
        return (*rows[:number], *rows[number + 1 :])
    if rows[number].kind != "corner" or number + 1 >= len(rows):
        return tuple(rows)
    return (*rows[:number], *rows[_after_features(rows, number + 1) :])
