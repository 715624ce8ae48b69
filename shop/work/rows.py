"""What is kept on the rows: always the result of folding again from nothing, never a patch."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any, NamedTuple

from shop.work import derive
from shop.work.derive.replies import lines_of
from shop.work.facts import facts_of, piece_fact, pieces_with_facts
from shop.work.models import Line, Piece
from shop.work.store import RowStore, primary


class KeptLine(NamedTuple):
    """A line as its row holds it: keys instead of objects."""

    code: str
    piece: int | None
    record: int | None
    person: int | None
    role: str


@dataclass(frozen=True)
class Folded:
    """Some pieces with their kin, folded: `kept` are the rows as they were read, `rows` what is true."""

    reach: derive.Reach
    facts: derive.Facts
    kept: dict[str, Piece]
    rows: dict[str, derive.PieceAnswer]

    def replies(self) -> dict[str, tuple[str, ...]]:
        """What the makers of the records hear, by nonce."""
        return derive.replies(self.reach.records, self.facts, self.rows, {})


def fold(pieces: Iterable[str], store: RowStore, nonces: frozenset[str] = frozenset()) -> Folded:
    """Folds these pieces and their kin from nothing: about eight queries, however many pieces.

    `nonces`: records that are read with them whether or not they are about any of these pieces.
    """
    family = derive.kin(pieces, store)
    kept = pieces_with_facts(family)
    pieces_only = derive.Facts.of(pieces=map(piece_fact, kept.values()))
    reach = derive.neighbourhood(family, store, pieces_only)
    also = {record.nonce: record for record in (*reach.records, *store.of_nonces(nonces))}
    reach = replace(reach, records=tuple(also.values()))
    facts = facts_of(pieces_only.pieces.values(), reach.records)
    return Folded(reach, facts, kept, derive.derive_pieces(sorted(kept), reach.records, facts))


def refold(pieces: Iterable[str], store: RowStore, nonces: frozenset[str] = frozenset()) -> Folded:
    """Folds, and writes what came out differently than it was kept."""
    folded = fold(pieces, store, nonces)
    write_rows(folded, store)
    write_lines(folded, store)
    return folded


# Pieces


def columns(row: derive.PieceAnswer, store: RowStore) -> dict[str, Any]:
    """The derived columns of one piece's row."""
    last = store.rows[row.last] if row.last else None
    return {
        "step": row.step,
        "rank": row.rank,
        "level": row.level,
        "good": row.good,
        "fills_id": primary(row.need) if row.good and row.need else None,
        "place_id": primary(row.place) if row.place and derive.load_of(row.place) is None else None,
        "box": row.box or "",
        "load": row.load or "",
        "trip": row.trip or "",
        "word": row.word,
        "flags": list(row.flags),
        "not_seen": list(row.not_seen),
        "account": row.account or "",
        "apart": _apart(row),
        "dead": row.dead,
        "replaced_by_id": primary(row.replaced_by) if row.replaced_by else None,
        "last_record_id": last.pk if last else None,
        "seen_at": last.at if last else None,
    }


def _apart(row: derive.PieceAnswer) -> bool:
    """On site, and not counted there as it stands."""
    counted = row.good and "WRONG PLACE" not in row.flags
    return row.on_site and not counted and not row.dead and row.account in (None, "in")


def differences(folded: Folded, store: RowStore) -> dict[int, dict[str, tuple[Any, Any]]]:
    """Piece to column to (kept, folded), where they differ."""
    found: dict[int, dict[str, tuple[Any, Any]]] = {}
    for key, row in folded.rows.items():
        kept = folded.kept[key]
        apart = {name: (getattr(kept, name), value) for name, value in columns(row, store).items()}
        if differing := {name: pair for name, pair in apart.items() if pair[0] != pair[1]}:
            found[kept.pk] = differing
    return found


def write_rows(folded: Folded, store: RowStore) -> None:
    """One statement for one piece; one for many."""
    changed = differences(folded, store)
    pieces = [piece for piece in folded.kept.values() if piece.pk in changed]
    for piece in pieces:
        for name, (_, value) in changed[piece.pk].items():
            setattr(piece, name, value)
    names = sorted({name.removesuffix("_id") for differing in changed.values() for name in differing})
    if len(pieces) == 1:
        pieces[0].save(update_fields=names)
    elif pieces:
        Piece.objects.bulk_update(pieces, names)


# Lines


def lines(folded: Folded, store: RowStore) -> set[KeptLine]:
    """What anybody is told about these pieces, and about the paper records in their reach."""
    log = derive.Log(folded.reach.records, folded.facts)
    own = _own_records(folded, store)
    found = {_kept_line(line, folded.rows, store) for line in lines_of(log, folded.rows, {})}
    return {line for line in found if line.piece is not None or line.record in own}


def _own_records(folded: Folded, store: RowStore) -> set[int]:
    """Records about a run or another record: their lines hang on no piece."""
    return {store.rows[record.nonce].pk for record in folded.reach.records if record.piece is None}


def _kept_line(line: derive.Line, rows: Mapping[str, derive.PieceAnswer], store: RowStore) -> KeptLine:
    return KeptLine(
        code=line.code,
        piece=primary(line.subject) if line.subject is not None and line.subject in rows else None,
        record=store.rows[line.record].pk if line.record else None,
        person=None if line.role else primary(line.to),
        role=line.to if line.role else "",
    )


def kept_lines(folded: Folded, store: RowStore) -> dict[KeptLine, int]:
    """The rows that stand now, with their primary keys."""
    rows = Line.objects.filter(piece__in=[piece.pk for piece in folded.kept.values()])
    if own := _own_records(folded, store):
        rows = rows | Line.objects.filter(piece=None, record__in=own)
    return {KeptLine(*said): row for row, *said in rows.values_list("pk", *KeptLine._fields)}


def write_lines(folded: Folded, store: RowStore) -> None:
    wanted, kept = lines(folded, store), kept_lines(folded, store)
    if gone := [row for line, row in kept.items() if line not in wanted]:
        Line.objects.filter(pk__in=gone).delete()
    new = sorted(wanted - kept.keys(), key=repr)
    Line.objects.bulk_create(_line_row(line) for line in new)


def _line_row(line: KeptLine) -> Line:
    return Line(code=line.code, piece_id=line.piece, record_id=line.record, person_id=line.person, role=line.role)
