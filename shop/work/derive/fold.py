"""The fold: standing records, in order, over sticks of metal and boxes. What it leaves is true of the metal."""

from dataclasses import dataclass, replace

from shop.work.derive.answer import Left
from shop.work.derive.facts import Facts
from shop.work.derive.order import Log
from shop.work.derive.record import Record
from shop.work.derive.state import Ruling, State, Tag
from shop.work.derive.verbs import HANDLERS, raise_snag
from shop.work.derive.vocabulary import (
    BENT,
    BUNDLED,
    CHECKED,
    CUT,
    DROPPED,
    IN,
    IN_ROOM,
    LABELLED,
    LOADED,
    RECEIVED,
    ROOM_KINDS,
    SITE_KINDS,
)

# the step that a verb says: what makes the same word said again "already"
SAYS = {
    "cut": CUT,
    "bend": BENT,
    "check": CHECKED,
    "label": LABELLED,
    "pack": BUNDLED,
    "load": LOADED,
    "drop": DROPPED,
    "receive": RECEIVED,
    "in": IN,
    "elsewhere": IN,
    "pull": IN_ROOM,
}
# said again they change nothing, and no step tells by whom they were said first
QUIET = frozenset({"unpack", "off_load", "pull", "return", "seen", "scrap", "close"})
# what `paper` and `counts` read; no metal moves by it
PAPER = frozenset({"release", "plan", "unplan", "clear", "hold", "unhold", "remake", "cancel_remake"})


@dataclass(frozen=True, slots=True)
class Dead:
    """A code whose metal became another piece by rework: how far it had come, and what it is now."""

    state: State
    into: str


class World:
    """All sticks and boxes of a log after its last record. A code means a stick; swap and rework change which."""

    def __init__(self, log: Log) -> None:
        self.log = log
        self.facts: Facts = log.facts
        self.cleared = log.named_by("clear", "modified").keys()
        self.snags_at = {
            nonce: [snag for snag in snags if snag.nonce not in self.cleared]
            for nonce, snags in log.named_by("snag").items()
        }
        self.metal: dict[str, str] = {}
        self.owner: dict[str, str] = {}
        self.sticks: dict[str, State] = {}
        self.boxes: dict[str, State] = {}
        self.inside: dict[str, dict[Tag, State]] = {}
        self.noted: dict[str, dict[Tag, State]] = {}
        self.dead: dict[str, Dead] = {}
        self.swaps: dict[tuple[frozenset[str], int], str] = {}
        self.prints: dict[str, int] = {}
        self.heard: set[str] = set()
        self.shorts: dict[str, dict[Tag, State]] = {}
        for record in log.standing:
            self.apply(record)

    # which metal

    def stick(self, code: str) -> State:
        """The metal that a code means now; by an old label, what that metal has become."""
        metal = self.metal.setdefault(code, code)
        if metal not in self.sticks:
            self.owner[metal], self.sticks[metal] = code, State(metal)
        return self.sticks[metal]

    def code(self, state: State) -> str:
        return self.owner.get(state.key, state.key)

    def box(self, key: str) -> State:
        if key not in self.boxes:
            self.boxes[key] = State(key, self.facts.boxes[key].kind)
        return self.boxes[key]

    def wanted(self, state: State) -> str | None:
        return None if state.box_kind else self.facts.wanted(self.code(state))

    # what lies where

    def box_of(self, state: State) -> State | None:
        return None if state.box is None else self.box(state.box)

    def box_load(self, state: State) -> str | None:
        around = self.box_of(state)
        return around.load if around else None

    def chain(self, state: State) -> tuple[str, ...]:
        """The boxes around it, innermost first."""
        around: list[str] = []
        while state.box is not None and state.box not in around:
            around.append(state.box)
            state = self.box(state.box)
        return tuple(around)

    def lies_in(self, inner: State, outer: State) -> bool:
        return inner is outer or (bool(outer.box_kind) and outer.key in self.chain(inner))

    def put_in(self, state: State, into: State) -> None:
        self.take_out(state)
        state.box = into.key
        state.notes_left.pop(into.key, None)
        self.inside.setdefault(into.key, {})[state.tag] = state

    def take_out(self, state: State) -> None:
        if state.box is not None:
            self.inside[state.box].pop(state.tag, None)
            state.box, state.box_place = None, None

    def leave(self, state: State, record: Record) -> None:
        """Out of its box without a word (F7, F8): noted on the box until that is emptied."""
        if state.box is not None:
            state.left = Left(state.box, record.nonce, record.verb)
            state.notes_left[state.box] = state.left
            self.noted.setdefault(state.box, {})[state.tag] = state
            self.take_out(state)

    def put_at(self, state: State, place: str | None, record: Record) -> None:
        """F4, and F11: whatever moves it has found it."""
        state.place = place
        if place is None:
            return
        if state.drop_snags("short", "lost"):
            state.found = (record.nonce, place)
        if state.account not in (None, "in"):
            state.account, state.turned_up = None, record.nonce
        if self.facts.on_site(place) and self.facts.around(place, self.wanted(state)):
            state.drop_snags("wrong place")

    # counts

    def count_without(self, count: Record) -> None:
        """F10: who is named short at a count was not in it, whenever that is said; unless it had gone further."""
        for snag in self.snags_at.get(count.nonce, []):
            if snag.get("kind") == "short" and snag.nonce not in self.heard and self._may_miss(count, snag):
                self.heard.add(snag.nonce)
                self._miss(self.stick(str(snag.piece)), count, snag)

    def _may_miss(self, count: Record, snag: Record) -> bool:
        """A count misses what lay in its box or left it without a word; a receive of one stick only that one."""
        state = self.stick(str(snag.piece))
        if count.box is None:
            return self.stick(str(count.piece)) is state
        return count.box in self.chain(state) or count.box in state.notes_left

    def _miss(self, state: State, count: Record, snag: Record) -> None:
        state.last = snag.nonce
        if state.step > RECEIVED:
            state.note(snag, "stands_later")
            return
        if count.box is not None:
            state.short_of[count.box] = count.nonce
            self.shorts.setdefault(count.box, {})[state.tag] = state
        raise_snag(self, state, snag)
        state.uncount()

    def bring_back(self, box: State, record: Record) -> None:
        """F10: a later full count of no fewer brings back what an earlier one named short."""
        count, of = record.number("count"), record.number("of")
        if count is None or of is None or count < of:
            return
        for state in list(self.shorts.get(box.key, {}).values()):
            earlier = self.log.records[state.short_of[box.key]]
            missing = state.box is None and any(snag.kind == "short" for snag in state.snags)
            if missing and earlier is not record and of >= (earlier.number("of") or 0):
                self.put_in(state, box)
                HANDLERS["receive"](self, state, record, box)
                del self.shorts[box.key][state.tag]

    # one record

    def apply(self, record: Record) -> None:
        if record.piece is not None:
            self._about_piece(record, record.piece)
        elif record.box is not None:
            self._about_box(record, self.box(record.box))

    def _about_piece(self, record: Record, code: str) -> None:
        state = self.stick(code)
        self._old_label(record, code, state)
        if record.verb == "print":
            self.prints[code] = self.prints.get(code, 0) + 1
        if record.verb == "swap":
            self._swap(record, code)
        elif record.verb == "decide":
            self._decide(record, state)
        elif record.verb in HANDLERS:
            self._own_scan(record, code, state)
        elif record.verb not in PAPER:
            raise ValueError(f"no rule for {record.verb} about a piece")

    def _own_scan(self, record: Record, code: str, state: State) -> None:
        state.counted = None
        if record.verb == "receive":
            self.count_without(record)
        if not self._named_short(record, code):
            self._say(record, state)

    def _named_short(self, record: Record, code: str) -> bool:
        """Whether it was not in this count of its own."""
        snags = self.snags_at.get(record.nonce, []) if record.verb == "receive" else []
        return any(snag.get("kind") == "short" and snag.piece == code for snag in snags)

    def _old_label(self, record: Record, code: str, state: State) -> None:
        number = record.number("label_no")
        if number is not None and number < self.prints.get(code, 0):
            state.note(record, "old_label")

    def _say(self, record: Record, state: State) -> bool:
        """Its own scan, and whether the same had been said before."""
        before, first, notes = state.look(), self._said_before(record, state), len(state.notes)
        took = HANDLERS[record.verb](self, state, record, None)
        state.last = record.nonce
        loud = {note.code for note in state.notes[notes:]} & {"on_other_load", "stands_later"}
        if state.look() == before and not loud:
            if first is not None:
                state.note(record, f"already:{first}", listed=False)
            elif record.verb in QUIET:
                state.note(record, "already", listed=False)
        return took

    def _said_before(self, record: Record, state: State) -> str | None:
        step = SAYS.get(record.verb)
        if record.verb == "seen" and self.facts.kind(record.place) in SITE_KINDS:
            step = IN_ROOM if self.facts.kind(record.place) in ROOM_KINDS else DROPPED
        return None if step is None else state.seen(step)

    def _about_box(self, record: Record, box: State) -> None:
        if record.verb == "empty":
            self._empty(record, box)
        elif record.verb == "receive":
            if self._say(record, box):
                self.count_without(record)
                self._through(record, box)
                self.bring_back(box, record)
        elif record.verb in HANDLERS:
            if self._say(record, box):
                self._through(record, box)
        elif record.verb not in PAPER:
            raise ValueError(f"no rule for {record.verb} about a box")

    def _through(self, record: Record, box: State) -> None:
        """F6: what the record says of a box it says of all that lies in it at this point."""
        for member in list(self.inside.get(box.key, {}).values()):
            took = HANDLERS[record.verb](self, member, record, box)
            member.last = record.nonce
            if took and member.box_kind:
                self._through(record, member)

    def _empty(self, record: Record, box: State) -> None:
        for member in list(self.inside.get(box.key, {}).values()):
            self.take_out(member)
            member.last = record.nonce
            if record.place:
                self.put_at(member, record.place, record)
        for state in self.noted.pop(box.key, {}).values():
            state.notes_left.pop(box.key, None)
        box.last = record.nonce

    # words that change which metal a code means

    def _swap(self, record: Record, code: str) -> None:
        mine, other = self.stick(code), self.stick(str(record.text("other")))
        if mine is other or record.get("matter") is False:
            return
        key = (frozenset((code, str(record.text("other")))), record.number("base") or 0)
        if key in self.swaps:
            mine.note(record, "already", listed=False)
            return
        self.swaps[key] = record.nonce
        first, second = self.code(mine), self.code(other)
        self.metal[first], self.metal[second] = other.key, mine.key
        self.owner[other.key], self.owner[mine.key] = first, second
        mine.last = other.last = record.nonce

    def _decide(self, record: Record, state: State) -> None:
        decision, into = str(record.text("decision")), record.text("into")
        if record.role != ("lead" if state.step < LOADED else "foreman"):
            state.note(record, "not_yours_now")
            return
        ruling = Ruling(self.run_of(state), str(record.text("rev")), decision, record.nonce, into)
        same = [r for r in state.rulings[-1:] if r[:3] == ruling[:3] and r.into == into]
        if same:
            state.note(record, f"already:{same[0].record}", listed=False)
        elif decision == "rework":
            self._rework(record, state, str(into))
        else:
            state.rulings.append(ruling)
            state.last = record.nonce

    def run_of(self, state: State) -> str:
        piece = self.facts.pieces.get(self.code(state))
        return piece.run if piece else ""

    def _rework(self, record: Record, state: State, into: str) -> None:
        """F12: the metal is the new piece from here on, cut, where it lies; the old code is dead."""
        old, target = self.code(state), self.stick(into)
        if old == into or target is state:
            state.note(record, "already", listed=False)
            return
        if target.step >= CUT:
            state.note(record, "into_taken")
            return
        self.dead[old] = Dead(replace(state, evidence=list(state.evidence), notes=[]), into)
        self.take_out(target)
        state.notes += target.notes
        self.metal[into], self.owner[state.key] = state.key, into
        self.sticks.pop(target.key, None)
        _begin_again(state, record, old)


def _begin_again(state: State, record: Record, old: str) -> None:
    state.back(CUT, record, seen=False)
    state.verdict, state.rulings, state.elsewhere, state.elsewhere_need = None, [], None, None
    state.returned, state.origin, state.last = None, old, record.nonce
