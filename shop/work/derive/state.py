"""What the fold keeps of one stick of metal or one box, while it goes through the records in order."""

from dataclasses import dataclass, field
from typing import NamedTuple

from shop.work.derive.answer import Left, Note
from shop.work.derive.record import Record
from shop.work.derive.vocabulary import CHECKED, DROPPED, LOADED, RECEIVED, RELEASED

Tag = tuple[bool, str]


class Evidence(NamedTuple):
    """A record that saw a step, or (`seen` False) only implies it; `counted`: by the count of a box."""

    step: int
    nonce: str
    seen: bool
    counted: bool = False


class Ruling(NamedTuple):
    """A decision about metal of an old revision; it holds for that revision of that run only."""

    run: str
    rev: str
    decision: str
    record: str
    into: str | None


class Snag(NamedTuple):
    kind: str
    record: str


@dataclass(slots=True)
class State:
    """Of a stick (`box_kind` "") or a box. `box_place`: where its box was when that last moved it.

    `returned`: for what it was given back, until it goes on. `asked_of`: scans on other trucks that it didn't heed.
    """

    key: str
    box_kind: str = ""
    step: int = RELEASED
    evidence: list[Evidence] = field(default_factory=list)
    place: str | None = None
    box: str | None = None
    box_place: str | None = None
    load: str | None = None
    trip: str | None = None
    loaded: bool = False
    loader: tuple[str, str] | None = None
    rode: tuple[str, ...] = ()
    trips: dict[str, str] = field(default_factory=dict)
    snags: list[Snag] = field(default_factory=list)
    short_of: dict[str, str] = field(default_factory=dict)
    counted: str | None = None
    found: tuple[str, str | None] | None = None
    verdict: str | None = None
    account: str | None = None
    turned_up: str | None = None
    scrapped: str | None = None
    modified: str | None = None
    elsewhere: str | None = None
    elsewhere_need: str | None = None
    returned: str | None = None
    rulings: list[Ruling] = field(default_factory=list)
    origin: str | None = None
    left: Left | None = None
    notes_left: dict[str, Left] = field(default_factory=dict)
    asked_of: dict[str, str] = field(default_factory=dict)
    counts: list[Record] = field(default_factory=list)
    final: bool = False
    last: str | None = None
    notes: list[Note] = field(default_factory=list)

    @property
    def tag(self) -> Tag:
        """Its own key among sticks and boxes together."""
        return bool(self.box_kind), self.key

    def seen(self, step: int) -> str | None:
        """The first record of this trip that saw a step."""
        return next((e.nonce for e in self.evidence if e.step == step and e.seen), None)

    def implied(self, step: int) -> str | None:
        """The first record of this trip from which a step follows."""
        return next((e.nonce for e in self.evidence if e.step > step or (e.step == step and not e.seen)), None)

    def forward(self, step: int, record: Record, *, seen: bool = True) -> bool:
        """A step is said (F1). Whether it is believed to be the present one; below that it only fills in (F2)."""
        if not seen or self.seen(step) is None:
            counted = record.box is not None and record.verb == "receive"
            self.evidence.append(Evidence(step, record.nonce, seen, counted))
        if step < self.step:
            return False
        self.step = step
        return True

    def back(self, step: int, record: Record, *, seen: bool) -> None:
        """A word takes it back (F3): what was seen above only implies what lies below it."""
        self._leave_trip(step)
        self.evidence = [e if e.step <= step else Evidence(step, e.nonce, False) for e in self.evidence]
        self.step, self.account, self.counts, self.final = step, None, [], False
        if step == LOADED:
            self.evidence = [e for e in self.evidence if not (e.step == LOADED and e.seen)]
        self.evidence.append(Evidence(step, record.nonce, seen))

    def _leave_trip(self, step: int) -> None:
        if self.trip is not None and self.step >= DROPPED:
            self.trips[self.trip] = "received" if self.step >= RECEIVED else "dropped"
        if step < LOADED:
            self.trip, self.load, self.loaded, self.loader, self.rode = None, None, False, None, ()
            self.asked_of.clear()

    def forget_check(self) -> None:
        self.evidence = [e for e in self.evidence if not (e.step == CHECKED and e.seen)]

    def uncount(self) -> None:
        """Takes back "received" as far as counts of its box said it: back to what was seen otherwise."""
        if self.step != RECEIVED:
            return
        kept = [e for e in self.evidence if e.step < RECEIVED or not e.counted]
        if not any(e.step == RECEIVED for e in kept):
            self.evidence = kept
            self.step = max((e.step for e in kept), default=RELEASED)

    def note(self, record: Record, code: str, listed: bool = True) -> None:
        self.notes.append(Note(record.nonce, code, listed))

    def drop_snags(self, *kinds: str) -> bool:
        """Takes away the snags of these kinds; whether there were any."""
        before = len(self.snags)
        self.snags = [snag for snag in self.snags if snag.kind not in kinds]
        return len(self.snags) != before

    def look(self) -> tuple[object, ...]:
        """All that a record may change, to tell whether it did."""
        seen = tuple(sorted({e.step for e in self.evidence if e.seen}))
        metal = (self.verdict, self.account, self.scrapped, self.modified, self.returned, len(self.snags))
        lies = (self.step, self.place, self.box, self.load, self.trip, self.elsewhere, self.elsewhere_need)
        return (seen, metal, lies)
