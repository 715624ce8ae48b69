"""Deriving everything again from the records alone, and comparing it with what is kept on the rows."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from django.db import transaction

from shop.work import derive
from shop.work.log import lock_log
from shop.work.models import Line, Piece, Record, RecordName, RecordPiece
from shop.work.rows import Folded, KeptLine, differences, fold, kept_lines, lines, write_lines, write_rows
from shop.work.store import RowStore, piece_key, primary, record_of

AT_ONCE = 200


@dataclass(frozen=True)
class Difference:
    """One thing that is kept otherwise than the records say. `subject`: a piece, a record, a line."""

    subject: str
    what: str
    kept: Any
    folded: Any

    def __str__(self) -> str:
        return f"{self.subject}: {self.what} is kept as {self.kept!r}, the records say {self.folded!r}"


def derive_again(mend: bool = False, at_once: int = AT_ONCE) -> Iterator[Difference]:
    """Every difference in the whole database, each once; with `mend` the rows are put right. The log is locked
    piecemeal, so that the shop goes on recording meanwhile."""
    told: set[str] = set()
    for difference in _all(mend, at_once):
        if str(difference) not in told:
            told.add(str(difference))
            yield difference


def _all(mend: bool, at_once: int) -> Iterator[Difference]:
    done: set[int] = set()
    for keys in _slices(Piece.objects.order_by("pk").values_list("pk", flat=True), at_once):
        if left := [key for key in keys if key not in done]:
            yield from _compare(left, (), mend, done)
    apart = Record.objects.filter(piece=None).order_by("pk").values_list("pk", flat=True)
    for keys in _slices(apart, at_once):
        yield from _compare((), keys, mend, done)
    yield from _strays(mend)


def _slices(keys: Iterable[int], at_once: int) -> Iterator[list[int]]:
    found = list(keys)
    for start in range(0, len(found), at_once):
        yield found[start : start + at_once]


@transaction.atomic
def _compare(pieces: Sequence[int], records: Sequence[int], mend: bool, done: set[int]) -> list[Difference]:
    lock_log()
    store = RowStore()
    folded = _fold(pieces, records, store)
    done.update(piece.pk for piece in folded.kept.values())
    found = [*_of_rows(folded, store), *_of_lines(folded, store), *_of_look_ups(store)]
    if mend and found:
        write_rows(folded, store)
        write_lines(folded, store)
        _mend_look_ups(store)
    return found


def _fold(pieces: Sequence[int], records: Sequence[int], store: RowStore) -> Folded:
    said = [record_of(row) for row in Record.objects.filter(pk__in=records)] if records else []
    touched = {key for record in said for key in derive.touched(record, store)[0]}
    keys = touched | {piece_key(piece) for piece in pieces}
    return fold(keys, store, frozenset(record.nonce for record in said))


def _of_rows(folded: Folded, store: RowStore) -> Iterator[Difference]:
    for piece, apart in differences(folded, store).items():
        for what, (kept, right) in apart.items():
            yield Difference(f"piece {piece}", what.removesuffix("_id"), kept, right)


def _of_lines(folded: Folded, store: RowStore) -> Iterator[Difference]:
    right, kept = lines(folded, store), kept_lines(folded, store).keys()
    for line in sorted(right - kept, key=repr):
        yield Difference(_line(line), "the line", "nothing", "there")
    for line in sorted(kept - right, key=repr):
        yield Difference(_line(line), "the line", "there", "nothing")


def _line(line: KeptLine) -> str:
    to = line.role or f"person {line.person}"
    return f"{line.code} to {to} on piece {line.piece}, record {line.record}"


# The tables that look records up the other way


def _of_look_ups(store: RowStore) -> Iterator[Difference]:
    rows = {row.pk: row for row in store.rows.values()}
    kept = _kept_look_ups(rows)
    for key, row in rows.items():
        right = _look_ups(row)
        if kept.get(key, set()) != right:
            yield Difference(f"record {key}", "look-ups", sorted(kept.get(key, set())), sorted(right))


def _look_ups(row: Record) -> set[tuple[str, str]]:
    record = record_of(row)
    words = ("into",) if record.verb == "decide" else ("other", "child")
    pieces = {(word, str(primary(key))) for word in words if (key := record.text(word))}
    return pieces | {("names", nonce) for nonce in record.answers}


def _kept_look_ups(rows: Iterable[int]) -> dict[int, set[tuple[str, str]]]:
    keys = list(rows)
    found: dict[int, set[tuple[str, str]]] = {}
    for record, named in RecordName.objects.filter(record__in=keys).values_list("record", "named"):
        found.setdefault(record, set()).add(("names", named))
    for record, word, piece in RecordPiece.objects.filter(record__in=keys).values_list("record", "word", "piece"):
        found.setdefault(record, set()).add((word, str(piece)))
    return found


def _mend_look_ups(store: RowStore) -> None:
    rows = {row.pk: row for row in store.rows.values()}
    kept = _kept_look_ups(rows)
    wrong = [row for key, row in rows.items() if kept.get(key, set()) != _look_ups(row)]
    RecordName.objects.filter(record__in=wrong).delete()
    RecordPiece.objects.filter(record__in=wrong).delete()
    for row in wrong:
        for word, said in sorted(_look_ups(row)):
            if word == "names":
                RecordName.objects.create(record=row, named=said)
            else:
                RecordPiece.objects.create(record=row, word=word, piece_id=int(said))


def _strays(mend: bool) -> Iterator[Difference]:
    """Lines that hang on no piece although their record is about one."""
    rows = Line.objects.filter(piece=None, record__piece__isnull=False) | Line.objects.filter(piece=None, record=None)
    for line in rows:
        yield Difference(f"{line.code}, line {line.pk}", "the line", "there", "nothing")
    if mend:
        Line.objects.filter(pk__in=[line.pk for line in rows]).delete()
