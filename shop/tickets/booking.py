"""The handbook's marks for the back of a ticket: what the trade's rules give for the same bends."""

from collections.abc import Mapping, Sequence
from typing import Any

from bending.lengths import format_length
from shop.tickets.checking import bare
from shop.tickets.content import BookRow

WARNING = (
    "Other marks, other hooks. Never mix one of these with one of the front: a book mark with the other hook puts the "
    "bend in another place. Bend by the front."
)
WITHOUT_MARK = "–"


def book_rows(layout: Mapping[str, Any], part: int, tape: str = "1/16") -> tuple[BookRow, ...]:
    """One row for each bend that the book has something to say of, in the order along the stick."""
    marks = sorted(layout["pieces"][part]["marks"], key=lambda mark: mark["station"])
    entries = [entry for entry in layout.get("handbook", ()) if entry["feature"] in {m["feature"] for m in marks}]
    zero = layout["pieces"][part]["zero"]
    fronts = _fronts(entries, marks, zero)
    return tuple(_row(entry, front, zero, tape) for entry, front in zip(entries, fronts, strict=True))


def _fronts(entries: Sequence[Mapping[str, Any]], marks: Sequence[Mapping[str, Any]], zero: str) -> list[str]:
    """What the front says for each entry: the bends of a feature stand in one order on both sides."""
    left = list(marks)
    found = []
    for entry in entries:
        mark = next((one for one in left if one["feature"] == entry["feature"]), None)
        found.append(_front(mark, zero) if mark else "")
        if mark:
            left.remove(mark)
    return found


def _front(mark: Mapping[str, Any], zero: str) -> str:
    return f"{bare(mark['text'])}{_source(mark['from'], zero)}, {mark['mark']}, {_hook(mark['hook'], zero)}"


def _source(measured_from: str, zero: str) -> str:
    """What a mark is measured from, where that isn't the stick's zero."""
    if measured_from == zero:
        return ""
    return " from far end" if measured_from in ("start", "end") else f" from {measured_from}"


def _hook(hook: str, zero: str) -> str:
    if hook == "none":
        return "no hook"
    return "to zero" if hook == zero else "to far"


def _row(entry: Mapping[str, Any], front: str, zero: str, tape: str) -> BookRow:
    step = str(entry["step"])
    if "text" not in entry:
        return BookRow(step, WITHOUT_MARK, WITHOUT_MARK, WITHOUT_MARK, f"no rule: {entry['source']}", front)
    measured_from = {"start": "", "end": " from B end"}.get(entry["from"], f" from {entry['from']}")
    return BookRow(
        step, bare(entry["text"]) + measured_from, entry["mark"], _hook(entry["hook"], zero), _rule(entry, tape), front
    )


def _rule(entry: Mapping[str, Any], tape: str) -> str:
    """The rule's name, and at a feature's last bend what its marks would fold up to; of a segment bend its spacing."""
    folds, asked = entry.get("folds_to"), entry.get("asked")
    if "space_text" in entry:
        return f"{entry['rule']}; {entry['shots']} marks, {bare(entry['space_text'])} apart"
    if not asked or "rise" not in asked:
        return str(entry["rule"])
    if folds is None:
        return f"{entry['rule']}; can't be bent so"
    got, wanted = (bare(format_length(one["rise"], tape)) for one in (folds, asked))
    return f"{entry['rule']}; rise folds to {got}, asked {wanted}"


def book_notes(layout: Mapping[str, Any]) -> tuple[str, ...]:
    """The warning, and where the rules stand."""
    entries = [entry for entry in layout.get("handbook", ()) if "text" in entry]
    sources = dict.fromkeys(part.strip() for entry in entries for part in str(entry["source"]).split(";"))
    return (WARNING, *([f"Rules: {'; '.join(sources)}."] if sources else []))
