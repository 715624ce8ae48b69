"""The log of records: its one lock, its clock and its rows. Rows are only ever added."""

from collections.abc import Iterable

from shop.work import derive
from shop.work.models import Record, RecordLock, RecordName, RecordPiece
from shop.work.said import Said
from shop.work.store import primary

SERVER = "server"


def lock_log() -> RecordLock:
    """Waits for the log's one row. Where a run is locked as well, the run comes first."""
    found, _ = RecordLock.objects.select_for_update().get_or_create(pk=1)
    return found


def server_seq(lock: RecordLock) -> int:
    """The next number of the server's own records; the lock must be held."""
    lock.seq += 1
    lock.save(update_fields=["seq"])
    return lock.seq


def store_records(found: Iterable[tuple[Said, derive.Record, derive.StoredTime]]) -> list[Record]:
    """Inserts the rows of records that were found right, with what looks them up the other way."""
    triples = list(found)
    rows = Record.objects.bulk_create(_row(said, record, time) for said, record, time in triples)
    pairs = [(row, record) for row, (_, record, _) in zip(rows, triples, strict=True)]
    RecordName.objects.bulk_create(
        RecordName(record=row, named=nonce) for row, record in pairs for nonce in record.answers
    )
    RecordPiece.objects.bulk_create(other for row, record in pairs for other in _others(row, record))
    return rows


def _row(said: Said, record: derive.Record, time: derive.StoredTime) -> Record:
    need = record.text("need")
    return Record(
        nonce=record.nonce,
        verb=record.verb,
        piece=said.piece,
        run=said.run,
        annuls=said.annuls,
        person=said.actor,
        role=record.role,
        device=record.device,
        seq=record.seq,
        done_at=record.done_at,
        sent_at=record.sent_at,
        recorded_at=record.recorded_at,
        at=time.at,
        phone_clock=time.phone_clock,
        place=said.place,
        reason=said.reason,
        fields=dict(record.fields),
        answers=list(record.names),
        for_run_id=primary(need) if need else None,
    )


def _others(row: Record, record: derive.Record) -> list[RecordPiece]:
    words = ("into",) if record.verb == "decide" else ("other", "child")
    named = [(word, record.text(word)) for word in words]
    return [RecordPiece(record=row, piece_id=primary(key), word=word) for word, key in named if key]
