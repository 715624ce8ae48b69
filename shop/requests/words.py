"""A run's rows in the trade's words: what each number was measured from and to, and what a newer revision changed."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from typing import Any

from django.conf import settings

from bending.lengths import LengthError, parse_length, round_to_tape
from shop.requests.builder import Placed, angle_read, placed, rows_of
from shop.requests.rows import ADDED, ROWS, Entry, Row


@dataclass(frozen=True)
class Said:
    """One thing that was asked: its place in the document, its name, the rest in words, the text typed and its sort."""

    place: str
    words: str
    detail: str
    value: str
    sort: str

    @property
    def inches(self) -> float | None:
        """The length, where the shop's tape shows exactly what was typed."""
        return on_tape(self.value) if self.sort == "length" else None

    @property
    def shown(self) -> str:
        return degrees(self.value) if self.sort == "angle" else self.value


@dataclass(frozen=True)
class Change:
    """One thing that a newer revision says otherwise; `old` or `new` is empty where a row came or went."""

    place: str
    words: str
    old: str
    new: str
    sort: str

    @property
    def was(self) -> Said:
        return Said(self.place, self.words, "", self.old, self.sort)

    @property
    def now(self) -> Said:
        return Said(self.place, self.words, "", self.new, self.sort)


def on_tape(text: str) -> float | None:
    """Inches of a typed length that stands on a graduation of the shop's tape; None for any other text."""
    try:
        inches = parse_length(text)
    except LengthError:
        return None
    return inches if abs(inches - round_to_tape(inches, settings.TAPE)) < 1e-6 else None


def degrees(text: str) -> str:
    """An angle as it is read: 22½° for 22.5; other text as it stands."""
    value = angle_read(text)
    if isinstance(value, str):
        return text
    whole, half = divmod(value, 1)
    return f"{int(whole)}½°" if half == 0.5 else f"{value:g}°"


def row_words(rows: Sequence[Row], number: int) -> str:
    """`Leg 2`, `Corner 1`, `Kick`: legs and corners are counted where there are several."""
    kind = rows[number].kind
    alike = [n for n, row in enumerate(rows) if row.kind == kind]
    if kind not in ("leg", "corner") or len(alike) == 1:
        return ROWS[kind].words
    return f"{ROWS[kind].words} {alike.index(number) + 1}"


def row_detail(rows: Sequence[Row], number: int) -> str:
    """What stands small under the row's name: a leg's two references, a feature's bends and direction."""
    row = rows[number]
    if row.kind == "leg":
        return f"{_reference(rows, number, -1)} to {_reference(rows, number, 1)}"
    if row.kind in ("start", "end"):
        return ", ".join(part for part in (row["to"] or "not said yet", row["name"], row["fitting"]) if part)
    if row.kind == "corner":
        return f"turns {row['turn'] or '…'}"
    return ", ".join(part for part in (degrees(row["angle"]), row["turn"]) if part)


def _reference(rows: Sequence[Row], number: int, step: int) -> str:
    """What a leg is measured from (step -1) or to (step 1)."""
    kinds = {-1: ("corner", "start"), 1: ("corner", "end")}[step]
    found = number + step
    while 0 <= found < len(rows) and rows[found].kind not in (*kinds, "leg"):
        found += step
    if not 0 <= found < len(rows) or rows[found].kind == "leg":
        return "…"
    row = rows[found]
    if row.kind != "corner":
        to = row["to"] or {"start": "the start", "end": "the far end"}[row.kind]
        return ", ".join(part for part in (to, row["name"]) if part)
    after = {"": row["measured"], "usual": ""}.get(row["after"], row["after"])
    return _of_bend(row, after if step < 0 else row["measured"])


def _of_bend(corner: Row, measure: str) -> str:
    angle = angle_read(corner["corner"])
    name = "90" if angle == 90 else "bend"
    usual = "back" if angle == 90 else "centre"
    return f"{measure or usual} of the {name}"


def said(document: Mapping[str, Any]) -> tuple[Said, ...]:
    """Every number of a run in the order in which it was measured."""
    rows = rows_of(document)
    return tuple(one for row in placed(rows) for one in _row_said(rows, row))


def _row_said(rows: Sequence[Row], one: Placed) -> list[Said]:
    name, detail = row_words(rows, one.number), row_detail(rows, one.number)
    found = []
    for entry in ROWS[one.row.kind].entries:
        text = one.row[entry.name]
        if entry.sort in ("pick", "text") or not text or (entry.name == "angle" and one.row.kind in ADDED):
            continue
        if entry.name == "allowance" and on_tape(text) == 0 and not one.row["fitting"]:
            continue
        same = entry.name in ("leg", "corner") or entry.words == name
        words = name if same else f"{name}: {_inside(entry.words)}"
        found.append(Said(f"{one.place}.{entry.name}", words, _entry_detail(one.row, entry, detail), text, entry.sort))
    return found


def _inside(words: str) -> str:
    """A field's words in the middle of a line: only the first letter gets small."""
    return f"{words[:1].lower()}{words[1:]}"


def _small(words: str) -> str:
    """Only the first letter: a KO stays a KO."""
    return words[:1].lower() + words[1:]


def _entry_detail(row: Row, entry: Entry, detail: str) -> str:
    if entry.name in ("at", "centre", "from", "to") and entry.sort == "length":
        return f"from the leg's {row['from_end'] or 'start'}"
    if entry.name == "side":
        return row["side_to"]
    if entry.name == "tail":
        return "cut end to the first bend"
    return detail


def changed(old: Mapping[str, Any], new: Mapping[str, Any]) -> tuple[Change, ...]:
    """What the new document says otherwise than the old one, in the new one's order."""
    before, after = rows_of(old), rows_of(new)
    found: list[Change] = []
    kinds = SequenceMatcher(None, [row.kind for row in before], [row.kind for row in after], autojunk=False)
    for word, a0, a1, b0, b1 in kinds.get_opcodes():
        if word == "equal":
            for a, b in zip(range(a0, a1), range(b0, b1), strict=True):
                found += _row_changes(before[a], after, placed(after)[b])
        else:
            found += [_gone(before, placed(before)[a]) for a in range(a0, a1)]
            found += [_come(after, placed(after)[b]) for b in range(b0, b1)]
    return (*_head_changes(old, new), *found)


def _head_changes(old: Mapping[str, Any], new: Mapping[str, Any]) -> tuple[Change, ...]:
    a, b = (f"{one.get('size', '')} {one.get('raceway', '')}".strip() for one in (old, new))
    return (Change("size", "Conduit", a, b, "pick"),) if a != b else ()


def _row_changes(before: Row, rows: Sequence[Row], one: Placed) -> list[Change]:
    name = row_words(rows, one.number)
    return [
        Change(
            f"{one.place}.{entry.name}",
            f"{name}: {_inside(entry.words)}",
            before[entry.name] or "—",
            one.row[entry.name] or "—",
            entry.sort,
        )
        for entry in ROWS[one.row.kind].entries
        if before[entry.name] != one.row[entry.name]
    ]


def _summary(rows: Sequence[Row], one: Placed) -> str:
    numbers = [one.row[entry.name] for entry in ROWS[one.row.kind].entries if entry.sort == "length"]
    return ", ".join(part for part in (*numbers, row_detail(rows, one.number)) if part)


def _gone(rows: Sequence[Row], one: Placed) -> Change:
    return Change("", row_words(rows, one.number), _summary(rows, one), "", "row")


def _come(rows: Sequence[Row], one: Placed) -> Change:
    return Change(one.place, row_words(rows, one.number), "", _summary(rows, one), "row")
