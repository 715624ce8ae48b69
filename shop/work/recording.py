"""Taking records in: each nonce once, under the log's one lock, and every row that they touch folded again."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import prefetch_related_objects

from shop.jobs import clock
from shop.jobs.models import History, Person, Place
from shop.jobs.refusals import Refusal
from shop.jobs.services import history_write
from shop.requests.models import Run
from shop.work import derive
from shop.work.log import SERVER, lock_log, server_seq, store_records
from shop.work.models import Piece, Record, RecordLock, RefusedRecord
from shop.work.rows import Folded, refold
from shop.work.said import SERVERS_OWN, WORDS, Said, as_json, bad_nonce, facts_for, problems
from shop.work.store import RowStore, piece_key, record_of


@dataclass(frozen=True)
class Recorded:
    """What became of one thing said. `record` and `piece` (as it stands now) where it was taken; `refused` where not.

    `replies`: what its maker hears: ("ok",), or codes such as `already:NONCE`, `on_other_load`, `phone_clock`.
    `repeated`: the nonce was known before, and nothing was stored.
    """

    said: Said
    record: Record | None = None
    piece: Piece | None = None
    replies: tuple[str, ...] = ()
    refused: tuple[derive.Problem, ...] = ()
    repeated: bool = False


def record_add(
    *,
    verb: str,
    actor: Person,
    nonce: str,
    piece: Piece | None = None,
    run: Run | None = None,
    annuls: str = "",
    device: str = SERVER,
    seq: int = 0,
    done_at: datetime | None = None,
    sent_at: datetime | None = None,
    place: Place | None = None,
    names: Sequence[str] = (),
    reason: str = "",
    fields: Mapping[str, Any] | None = None,
    others: Mapping[str, Piece | Run] | None = None,
) -> Recorded:
    """Stores one record and folds what it touches. The same nonce again is answered from the one that is stored.

    Raises `Refusal` with the first problem's code, after the refused record was kept for its maker.
    """
    said = Said(
        verb=verb, actor=actor, nonce=nonce, piece=piece, run=run, annuls=annuls, device=device, seq=seq,
        done_at=done_at, sent_at=sent_at, place=place, names=names, reason=reason, fields=fields or {},
        others=others or {},
    )  # fmt: skip
    (recorded,) = records_add([said])
    return raise_refused(recorded)


def records_add(said: Iterable[Said]) -> list[Recorded]:
    """A queue in one transaction: all are stored, what they touch is folded once. Nothing is raised for what is
    refused: it is kept, and said in the answer."""
    with transaction.atomic():
        lock_log()
        return take(list(said), clock.now())


def take(queue: Sequence[Said], now: datetime, own: bool = False) -> list[Recorded]:
    """Stores and folds; the log must be locked. `own`: a service of the server speaks, in its own words too."""
    before = _known([said.nonce for said in queue if not bad_nonce(said, own)])
    out = _sort_out(queue, before, now, own)
    stored = _store(out.new, now)
    _refuse(out.refused, now)
    known = {nonce: row for nonce, row in before.items() if isinstance(row, Record)} | stored
    folded = fold_touched(known.values())
    replies = folded.replies()
    return [_answer(said, known, folded, replies, out) for said in queue]


# Sorting a queue out


@dataclass
class SortedOut:
    """A queue: what is new, what is refused now, what was refused before."""

    new: list[Said]
    refused: dict[str, tuple[Said, tuple[derive.Problem, ...]]]
    again: dict[str, tuple[derive.Problem, ...]]
    repeated: set[int]


def _known(nonces: Sequence[str]) -> dict[str, Record | RefusedRecord]:
    taken = {row.nonce: row for row in Record.objects.filter(nonce__in=nonces)}
    refused = RefusedRecord.objects.filter(nonce__in=nonces) if len(taken) < len(set(nonces)) else []
    return {**{row.nonce: row for row in refused}, **taken}


def _sort_out(
    queue: Sequence[Said], before: Mapping[str, Record | RefusedRecord], now: datetime, own: bool
) -> SortedOut:
    out = SortedOut([], {}, {}, set())
    seen = set(before)
    for said in queue:
        if bad_nonce(said, own):
            out.again[said.nonce] = (derive.Problem("bad_nonce"),)
        elif said.nonce in seen:
            out.repeated.add(id(said))
        elif found := problems(said, now, own):
            out.refused[said.nonce] = (said, found)
        else:
            out.new.append(said)
        seen.add(said.nonce)
    out.again |= {n: (derive.Problem(r.code, r.about),) for n, r in before.items() if isinstance(r, RefusedRecord)}
    return out


def _store(new: Sequence[Said], now: datetime) -> dict[str, Record]:
    prefetch_related_objects([said.piece for said in new if said.piece], "run")
    triples = [(said, said.record(now), derive.stored_time(said.record(now), facts_for(said))) for said in new]
    rows = store_records(triples)
    History.objects.bulk_create(_line_of_history(said, row) for said, row in zip(new, rows, strict=True))
    return {row.nonce: row for row in rows}


def _line_of_history(said: Said, row: Record) -> History:
    subject = said.piece or said.run or row
    about = said.piece.run if said.piece else said.run
    return History(
        at=row.recorded_at,
        person=said.actor,
        role=row.role,
        action=f"record.{said.verb}",
        job_id=about.job_id if about else None,
        subject=subject._meta.model_name or "",
        subject_id=subject.pk,
        data={"nonce": row.nonce, "tag": about.tag if about else "", **({"reason": row.reason} if row.reason else {})},
    )


def _refuse(refused: Mapping[str, tuple[Said, tuple[derive.Problem, ...]]], now: datetime) -> None:
    """Kept as it came, shown to its maker, never dropped."""
    prefetch_related_objects([said.piece for said, _ in refused.values() if said.piece], "run")
    rows = RefusedRecord.objects.bulk_create(
        RefusedRecord(
            nonce=nonce,
            person=said.actor,
            role=said.actor.role,
            piece=said.piece,
            code=found[0].code,
            about=_kept_text(found[0].about),
            said=as_json(said),
            recorded_at=now,
        )
        for nonce, (said, found) in refused.items()
    )
    History.objects.bulk_create(
        History(
            at=now,
            person=row.person,
            role=row.role,
            action="record.refuse",
            job_id=row.piece.run.job_id if row.piece else None,
            subject="refusedrecord",
            subject_id=row.pk,
            data={"nonce": row.nonce, "code": row.code},
        )
        for row in rows
    )


def _kept_text(text: str) -> str:
    return ascii(text)[1:-1][:64]


# Folding


def fold_touched(known: Iterable[Record]) -> Folded:
    """Folds and writes all that these records touch, in a number of queries that doesn't grow with them."""
    store, records = RowStore(), [record_of(row) for row in known]
    nonces = frozenset(record.nonce for record in records)
    store.of_nonces(nonces)
    store.naming(nonces)
    store.of_pieces(frozenset(key for record in records for key in (record.piece, *record.others) if key))
    pieces = {key for record in records for key in derive.touched(record, store)[0]}
    return refold(pieces, store, nonces)


def _answer(
    said: Said, known: Mapping[str, Record], folded: Folded, replies: Mapping[str, tuple[str, ...]], out: SortedOut
) -> Recorded:
    refused = out.again.get(said.nonce) or out.refused.get(said.nonce, (said, ()))[1]
    repeated = id(said) in out.repeated
    if refused:
        return Recorded(said, refused=refused, repeated=repeated)
    record = known[said.nonce]
    piece = folded.kept.get(piece_key(record.piece_id)) if record.piece_id else None
    return Recorded(said, record, piece, replies[said.nonce], repeated=repeated)


def raise_refused(recorded: Recorded) -> Recorded:
    """Raises `Refusal` with the first problem's code if it was refused."""
    if not recorded.refused:
        return recorded
    first = recorded.refused[0]
    codes = [problem.code for problem in recorded.refused]
    raise Refusal(first.code, WORDS[first.code], about=first.about, codes=codes)


@transaction.atomic
def refused_read(*, refused: RefusedRecord, actor: Person) -> RefusedRecord:
    """Its maker has read it: it leaves his list and stays in the log. Refused: `not_yours`; twice is once."""
    found = RefusedRecord.objects.select_for_update().get(pk=refused.pk)
    if found.person_id != actor.pk:
        raise Refusal("not_yours", "Only who said it can put it away.")
    if found.read_at is None:
        found.read_at = clock.now()
        found.save(update_fields=["read_at"])
        history_write(action="record.refused_read", subject=found, actor=actor, nonce=found.nonce)
    return found


# The server's own words


def say_own(lock: RecordLock, *, verb: str, actor: Person, nonce: str = "", **more: Any) -> Recorded:
    """A record that a service makes, inside its own transaction and under the log's lock. Raises `Refusal`."""
    seq = server_seq(lock)
    said = Said(verb=verb, actor=actor, nonce=nonce or f"{SERVERS_OWN}{seq}", device=SERVER, seq=seq, **more)
    (recorded,) = take([said], clock.now(), own=True)
    return raise_refused(recorded)
