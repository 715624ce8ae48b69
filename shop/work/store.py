"""Where the derivation reads records: the log's rows, each asked for once in a transaction."""

from collections.abc import Callable, Iterable

from django.db.models import QuerySet

from shop.work import derive
from shop.work.derive.reach import Keys
from shop.work.models import Piece, Record, RecordName, RecordPiece


def piece_key(primary: int) -> str:
    """A piece as the derivation calls it. Another letter than a run's: the subject of a line may be either."""
    return f"p{primary}"


def run_key(primary: int) -> str:
    return f"r{primary}"


def place_key(primary: int) -> str:
    return str(primary)


def primary(key: str) -> int:
    """The row's primary key, from the key of a piece, run, place or person."""
    return int(key.lstrip("pr"))


def record_of(row: Record) -> derive.Record:
    """A row as the derivation reads it."""
    return derive.Record(
        nonce=row.nonce,
        verb=row.verb,
        person=str(row.person_id),
        role=row.role,
        device=row.device,
        seq=row.seq,
        done_at=row.done_at,
        sent_at=row.sent_at,
        recorded_at=row.recorded_at,
        at=row.at,
        phone_clock=row.phone_clock,
        piece=piece_key(row.piece_id) if row.piece_id else None,
        run=run_key(row.run_id) if row.run_id else None,
        record=row.annuls or None,
        place=place_key(row.place_id) if row.place_id else None,
        names=tuple(row.answers),
        fields=row.fields,
    )


class Shelf:
    """Records by one kind of key. What was asked for once isn't asked for again: the log is locked meanwhile."""

    def __init__(self, keys_of: Callable[[derive.Record], Iterable[str]]) -> None:
        self.keys_of = keys_of
        self.asked: set[str] = set()
        self.held: dict[str, dict[str, derive.Record]] = {}

    def missing(self, keys: Keys) -> list[str]:
        new = sorted(keys - self.asked)
        self.asked.update(new)
        return new

    def put(self, record: derive.Record) -> None:
        for one in self.keys_of(record):
            self.held.setdefault(one, {})[record.nonce] = record

    def take(self, keys: Keys) -> list[derive.Record]:
        found: dict[str, derive.Record] = {}
        for one in keys:
            found |= self.held.get(one, {})
        return list(found.values())


def _tied(record: derive.Record) -> Iterable[str]:
    return (*((record.piece,) if record.piece else ()), *record.others)


class RowStore:
    """`derive.Store` over the tables; each method asks at most one query for what it wasn't asked before.

    `rows`: every row that was read, by nonce.
    """

    def __init__(self) -> None:
        self.rows: dict[str, Record] = {}
        self._nonces = Shelf(lambda record: (record.nonce,))
        self._named = Shelf(lambda record: record.answers)
        self._pieces = Shelf(_tied)
        self._runs = Shelf(lambda record: (record.run,) if record.run else ())

    def of_nonces(self, nonces: Keys) -> list[derive.Record]:
        if new := self._nonces.missing(nonces):
            self._read(self._nonces, Record.objects.filter(nonce__in=new))
        return self._nonces.take(nonces)

    def naming(self, nonces: Keys) -> list[derive.Record]:
        if new := self._named.missing(nonces):
            naming = RecordName.objects.filter(named__in=new).values("record")
            self._read(self._named, Record.objects.filter(pk__in=naming))
        return self._named.take(nonces)

    def of_pieces(self, pieces: Keys) -> list[derive.Record]:
        if new := self._pieces.missing(pieces):
            wanted = [primary(key) for key in new]
            mentioning = RecordPiece.objects.filter(piece__in=wanted).values("record")
            about = Record.objects.filter(piece__in=wanted)
            # a union: with an OR neither index would be used
            self._read(self._pieces, about.union(Record.objects.filter(pk__in=mentioning), all=True))
        return self._pieces.take(pieces)

    def of_boxes(self, boxes: Keys) -> list[derive.Record]:
        """None: nothing is recorded about a box yet; what lies in one says so by its own pack."""
        return []

    def into_boxes(self, boxes: Keys) -> list[derive.Record]:
        """None are asked for while no record is about a box."""
        return []

    def of_runs(self, runs: Keys) -> list[derive.Record]:
        if new := self._runs.missing(runs):
            self._read(self._runs, Record.objects.filter(run__in=[primary(key) for key in new]))
        return self._runs.take(runs)

    def pieces_of_runs(self, runs: Keys) -> list[str]:
        if not runs:
            return []
        rows = Piece.objects.filter(run__in=[primary(key) for key in runs])
        return [piece_key(found) for found in rows.values_list("pk", flat=True)]

    def _read(self, shelf: Shelf, rows: QuerySet[Record]) -> None:
        for row in rows:
            self.rows.setdefault(row.nonce, row)
            shelf.put(record_of(row))
