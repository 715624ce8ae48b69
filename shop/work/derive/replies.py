"""Who is told what: the answer to each record, and the lists of persons and roles."""

from collections.abc import Iterable, Iterator, Mapping

from shop.work.derive.answer import BoxAnswer, Line, Note, PieceAnswer
from shop.work.derive.order import Log
from shop.work.derive.record import Record

# of these, one of the same content is enough: the second is quietly told by whom it was said first
ONCE = {
    "remake": "child",
    "cancel_remake": "child",
    "supersede": "rev",
    "plan": "load",
    "close_batch": "",
    "release": "",
}

Rows = Mapping[str, PieceAnswer] | Mapping[str, BoxAnswer]


def replies_of(log: Log, rows: Mapping[str, PieceAnswer], boxes: Mapping[str, BoxAnswer]) -> dict[str, tuple[str, ...]]:
    """What each record's maker is answered, by nonce. `rows`, `boxes`: those that the records are about."""
    heard: dict[str, set[str]] = {nonce: set(_by_itself(record, log)) for nonce, record in log.records.items()}
    for note in (*_notes(rows.values()), *_notes(boxes.values())):
        if note.record in heard and log.stands(note.record):
            heard[note.record].add(note.code)
    for nonce, first in _said_again(log):
        heard[nonce].add(f"already:{first}")
    return {nonce: tuple(sorted(codes)) or ("ok",) for nonce, codes in heard.items()}


def lines_of(log: Log, rows: Mapping[str, PieceAnswer], boxes: Mapping[str, BoxAnswer]) -> tuple[Line, ...]:
    """Everything that anybody is told: what follows from the rows, then what the makers of records hear."""
    found = [line for row in rows.values() for line in row.lines]
    found += [line for box in boxes.values() for line in box.lines]
    heard = {(n.record, n.code) for n in (*_notes(rows.values()), *_notes(boxes.values())) if n.listed}
    for nonce, code in sorted(heard):
        if log.stands(nonce):
            record = log.records[nonce]
            found.append(Line(code, record.person, nonce, subject=record.subject))
    return (*found, *(line for record in log.ordered for line in _own_lines(record, log)))


def _notes(rows: Iterable[PieceAnswer] | Iterable[BoxAnswer]) -> Iterator[Note]:
    for row in rows:
        yield from row.notes


def _by_itself(record: Record, log: Log) -> Iterator[str]:
    """What is known of a record without what it is about."""
    if record.nonce in log.refused:
        yield "refused"
    elif record.nonce in log.struck:
        yield "annulled"
    else:
        if record.nonce in log.powerless:
            yield "ask_lead"
        if log.times[record.nonce].phone_clock:
            yield "phone_clock"


def _own_lines(record: Record, log: Log) -> Iterator[Line]:
    for code in _by_itself(record, log):
        if code != "annulled":
            yield Line(code, record.person, record.nonce, subject=record.subject)
        if code == "phone_clock":
            yield Line(code, "lead", record.nonce, role=True, subject=record.subject)


def _said_again(log: Log) -> Iterator[tuple[str, str]]:
    """Paper that was said before: this record's nonce, and that of the first."""
    first: dict[tuple[str, str | None, object], str] = {}
    unplanned = log.named_by("unplan")
    for record in log.standing:
        if record.verb in ONCE and record.nonce not in unplanned:
            said = first.setdefault((record.verb, record.subject, record.get(ONCE[record.verb])), record.nonce)
            if said != record.nonce:
                yield record.nonce, said
