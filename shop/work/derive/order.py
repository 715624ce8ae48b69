"""One order of a set of records, the same for every reader: stored time, key, and which records stand."""

from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime, timedelta
from typing import NamedTuple

from shop.work.derive.facts import Facts
from shop.work.derive.record import Record, problems

TOLERANCE = timedelta(minutes=5)
ANNUL_WITHIN = timedelta(hours=24)


class StoredTime(NamedTuple):
    """When a record was done, fixed when it is stored; and whether the phone's clock had to be corrected."""

    at: datetime
    phone_clock: bool


class Key(NamedTuple):
    """A record's place in the order. It depends on the record and on what it names, on nothing else."""

    at: datetime
    rank: int
    device: str
    seq: int
    nonce: str


def stored_time(record: Record, facts: Facts) -> StoredTime:
    """The phone's time less its error at sending; the server's where that is impossible. All times aware."""
    skew = record.recorded_at - record.sent_at
    off = abs(skew) > TOLERANCE
    at = _plus(record.done_at, skew) if off else record.done_at
    since = _exists_since(record, facts)
    early = since is not None and since - at > TOLERANCE
    if early or at - record.recorded_at > TOLERANCE:
        return StoredTime(record.recorded_at, True)
    return StoredTime(at, off)


def _plus(at: datetime, skew: timedelta) -> datetime:
    try:
        return at + skew
    except OverflowError:  # a clock so wrong that the calendar ends: as impossible as the far future
        return datetime.max.replace(tzinfo=at.tzinfo)


def _exists_since(record: Record, facts: Facts) -> datetime | None:
    if record.piece is not None and record.piece in facts.pieces:
        return facts.pieces[record.piece].since
    if record.box is not None and record.box in facts.boxes:
        return facts.boxes[record.box].since
    return None


class Log:
    """A set of records, each nonce once, in its one order, with what is refused and what is struck told apart.

    `records` by nonce, `ordered` all, `standing` those that count; `refused` with reasons, `struck` by an annul,
    `powerless`: annuls that come too late or from another man. `names` are what each answers, less circles.
    """

    def __init__(self, records: Iterable[Record], facts: Facts) -> None:
        self.facts = facts
        self.records = _each_once(records)
        self.times = {nonce: _time_of(record, facts) for nonce, record in self.records.items()}
        self.refused = {nonce: found for nonce, record in self.records.items() if (found := problems(record, facts))}
        self.names = _without_circles({nonce: record.answers for nonce, record in self.records.items()})
        self.keys = _keys(self.records, self.times, self.names)
        self.struck, self.powerless = self._strike()
        self.ordered = sorted(self.records.values(), key=lambda record: self.keys[record.nonce])
        self.standing = [record for record in self.ordered if self.stands(record.nonce)]

    def stands(self, nonce: str) -> bool:
        """Whether a record is here, taken and not annulled."""
        return nonce in self.records and nonce not in self.refused and nonce not in self.struck

    def named_by(self, *verbs: str) -> dict[str, list[Record]]:
        """What standing records of these verbs answer: nonce to those who name it, in order."""
        named: dict[str, list[Record]] = {}
        for record in self.standing:
            if record.verb in verbs:
                for nonce in self.names[record.nonce]:
                    named.setdefault(nonce, []).append(record)
        return named

    def _strike(self) -> tuple[set[str], set[str]]:
        """What is annulled, from the last link of each chain backwards; and the annuls that may not."""
        struck: set[str] = set()
        powerless: set[str] = set()
        for nonce in reversed(_named_first(self.names)):
            annul = self.records[nonce]
            if annul.verb != "annul" or nonce in self.refused or nonce in struck:
                continue
            for named in self._annulled(annul):
                if self._may_annul(annul, named):
                    struck.add(named.nonce)
                else:
                    powerless.add(nonce)
        return struck, powerless

    def _annulled(self, annul: Record) -> Iterator[Record]:
        for nonce in self.names[annul.nonce]:
            if nonce in self.records and nonce not in self.refused:
                yield self.records[nonce]

    def _may_annul(self, annul: Record, named: Record) -> bool:
        if named.verb == "release":
            return False
        if annul.role == "lead":
            return True
        apart = abs(self.times[annul.nonce].at - self.times[named.nonce].at)
        return annul.person == named.person and apart <= ANNUL_WITHIN


def _time_of(record: Record, facts: Facts) -> StoredTime:
    if record.at is not None:
        return StoredTime(record.at, record.phone_clock)
    return stored_time(record, facts)


def _each_once(records: Iterable[Record]) -> dict[str, Record]:
    """One nonce, one record: the one recorded first."""
    first: dict[str, Record] = {}
    for record in records:
        held = first.get(record.nonce)
        if held is None or _arrival(record) < _arrival(held):
            first[record.nonce] = record
    return first


def _arrival(record: Record) -> tuple[datetime, datetime, str, int, str]:
    return record.recorded_at, record.done_at, record.device, record.seq, repr(record)


def _keys(
    records: Mapping[str, Record], times: Mapping[str, StoredTime], names: Mapping[str, tuple[str, ...]]
) -> dict[str, Key]:
    keys: dict[str, Key] = {}
    for nonce in _named_first(names):
        record, at, rank = records[nonce], times[nonce].at, 0
        latest = max((keys[n][:2] for n in names[nonce] if n in keys), default=None)
        if latest is not None and at <= latest[0]:
            at, rank = latest[0], latest[1] + 1
        keys[nonce] = Key(at, rank, record.device, record.seq, nonce)
    return keys


def _without_circles(names: Mapping[str, tuple[str, ...]]) -> dict[str, tuple[str, ...]]:
    """Names less those that lead back to the record itself."""
    circle = _circles(names)
    return {nonce: tuple(n for n in named if circle.get(n, n) != circle[nonce]) for nonce, named in names.items()}


def _circles(names: Mapping[str, tuple[str, ...]]) -> dict[str, str]:
    """Each nonce's circle, called by its least member (itself, as a rule): two walks, in order and against it."""
    back: dict[str, list[str]] = {nonce: [] for nonce in names}
    for nonce, named in names.items():
        for n in named:
            if n in names:
                back[n].append(nonce)
    circle: dict[str, str] = {}
    for nonce in reversed(_named_first(names)):
        members = _reach(nonce, back, circle)
        circle.update(dict.fromkeys(members, min(members, default=nonce)))
    return circle


def _reach(start: str, back: Mapping[str, list[str]], done: Mapping[str, str]) -> set[str]:
    found: set[str] = set()
    waiting = [start]
    while waiting:
        nonce = waiting.pop()
        if nonce not in done and nonce not in found:
            found.add(nonce)
            waiting.extend(back[nonce])
    return found


def _named_first(names: Mapping[str, tuple[str, ...]]) -> list[str]:
    """Nonces as a walk along the names finishes them: what is named before who names it, where no circle is."""
    done: dict[str, None] = {}
    seen: set[str] = set()
    for start in sorted(names):
        path: list[tuple[str, Iterator[str]]] = []
        _enter(start, names, seen, path)
        while path:
            named = path[-1][1]
            following = next(named, None)
            if following is None:
                done[path.pop()[0]] = None
            else:
                _enter(following, names, seen, path)
    return list(done)


def _enter(
    nonce: str, names: Mapping[str, tuple[str, ...]], seen: set[str], path: list[tuple[str, Iterator[str]]]
) -> None:
    if nonce in names and nonce not in seen:
        seen.add(nonce)
        path.append((nonce, iter(names[nonce])))
