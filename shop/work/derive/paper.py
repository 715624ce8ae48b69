"""What is true of the paper: joins over the standing records that need no order, laid over the folded metal."""

from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import NamedTuple

from shop.work.derive.answer import Line, Note, PieceAnswer
from shop.work.derive.facts import Piece
from shop.work.derive.fold import World
from shop.work.derive.record import Record
from shop.work.derive.state import Ruling, State
from shop.work.derive.vocabulary import (
    ACTIONS,
    BENT,
    CLOSED,
    CUT,
    DROPPED,
    FLAGS,
    HERE,
    IN,
    IN_PLACE,
    IN_SHOP,
    LOADED,
    ON_TRUCK,
    RELEASED,
    SHOUTED,
    STEPS,
    rev_rank,
)

BAD = frozenset({"SCRAP", "REPLACED", "OLD REV", "DAMAGED", "LOST", "SHORT"})
SNAG_FLAGS = {"damaged": "DAMAGED", "wrong place": "WRONG PLACE", "lost": "LOST", "short": "SHORT", "over": "OVER"}


class Remake(NamedTuple):
    child: str
    scrap: bool
    record: str


class Paper:
    """Revisions, holds, remakes and what is set aside, for one world."""

    def __init__(self, world: World) -> None:
        self.world, self.facts, self.log = world, world.facts, world.log
        self.superseded: dict[str, Record] = {}
        self.holds: dict[tuple[str, str], list[str]] = {}
        self.remakes: dict[str, list[Remake]] = {}
        self.aside: dict[str, str] = {}
        self._read()
        self._set_aside_by_use()

    def _read(self) -> None:
        released = self.log.named_by("unhold")
        cancelled = {(r.piece, r.text("child")) for r in self.log.standing if r.verb == "cancel_remake"}
        for record in self.log.standing:
            if record.verb == "supersede":
                self._supersede(record)
            elif record.verb == "hold" and record.nonce not in released:
                self._hold(record)
            elif record.verb == "remake":
                self._remake(record, (record.piece, record.text("child")) in cancelled)

    def _supersede(self, record: Record) -> None:
        run, rev = str(record.run), str(record.text("rev"))
        if run not in self.superseded or rev_rank(rev) > rev_rank(str(self.superseded[run].text("rev"))):
            self.superseded[run] = record

    def _hold(self, record: Record) -> None:
        kind = "piece" if record.piece else "box" if record.box else "run"
        self.holds.setdefault((kind, str(record.subject)), []).append(record.nonce)

    def _remake(self, record: Record, cancelled: bool) -> None:
        parent, child = str(record.piece), str(record.text("child"))
        if parent == child:
            return
        if cancelled:
            self.aside.setdefault(child, parent)
        else:
            remake = Remake(child, record.get("old") == "scrap", record.nonce)
            self.remakes.setdefault(parent, []).append(remake)

    def _set_aside_by_use(self) -> None:
        for metal, code in sorted(self.world.owner.items()):
            state = self.world.sticks.get(metal)
            piece = self.facts.pieces.get(code)
            ruling = self.ruling(state, piece) if state and piece else None
            if ruling is not None and ruling.decision == "use" and ruling.into not in (None, code):
                self.aside.setdefault(str(ruling.into), code)

    def present(self, run: str) -> str:
        """The run's revision now: the greatest that superseded, else the first."""
        if run in self.superseded:
            return str(self.superseded[run].text("rev"))
        return self.facts.runs[run].first

    def ruling(self, state: State, piece: Piece) -> Ruling | None:
        """The last valid decision for the present revision."""
        now = self.present(piece.run)
        return next((r for r in reversed(state.rulings) if r.run == piece.run and r.rev == now), None)

    def answer(self, code: str) -> PieceAnswer:
        """The row of one piece."""
        return Sheet(self, code).row()


class Sheet:
    """One piece: its metal and its paper side by side."""

    def __init__(self, paper: Paper, code: str) -> None:
        self.paper, self.world, self.facts = paper, paper.world, paper.facts
        self.code, self.piece = code, paper.facts.pieces[code]
        dead = self.world.dead.get(code)
        self.dead_for = dead.into if dead else None
        self.state = _without_metal(dead.state) if dead else self.world.stick(code)
        self.ruling = None if dead else paper.ruling(self.state, self.piece)
        self.step = self.state.step
        self.flags = self.flags_at(self.state.place)

    # flags

    def flags_at(self, place: str | None) -> tuple[str, ...]:
        """The flags as they stand, or as they would at another place; worst first."""
        raised = set(self._held()) | ({"REPLACED"} if self.replaced_by() else set())
        if self.dead_for is None:
            raised |= set(self._of_paper()) | set(self._of_metal())
            if self._wrong_place(place):
                raised.add("WRONG PLACE")
        return tuple(flag for flag in FLAGS if flag in raised)

    def _held(self) -> Iterator[str]:
        around = [("box", box) for box in self.world.chain(self.state)]
        if any(key in self.paper.holds for key in [("piece", self.code), ("run", self.piece.run), *around]):
            yield "HOLD"

    def _of_paper(self) -> Iterator[str]:
        remakes = self.paper.remakes.get(self.code, [])
        decision = self.ruling.decision if self.ruling else None
        if any(remake.scrap for remake in remakes) or decision == "scrap":
            yield "SCRAP"
        if self.piece.rev != self.paper.present(self.piece.run) and decision not in ("use", "rework"):
            yield "OLD REV"
        if self.code in self.paper.aside and CUT <= self.step < IN and not self.state.returned:
            yield "OVER"

    def _of_metal(self) -> Iterator[str]:
        state = self.state
        yield from (SNAG_FLAGS[snag.kind] for snag in state.snags)
        if state.scrapped:
            yield "SCRAP"
        if state.verdict == "fail":
            yield "HOLD"
        if state.elsewhere:
            yield "USED ELSEWHERE"
        if state.modified:
            yield "FIELD-MODIFIED"
        if self.step >= BENT and state.verdict != "pass" and "checked" not in self.piece.skip:
            yield "NOT CHECKED"

    def _wrong_place(self, place: str | None) -> bool:
        state, facts = self.state, self.facts
        if place is None or state.scrapped or state.elsewhere or state.account not in (None, "in"):
            return False
        if facts.on_site(place):
            return not facts.around(place, facts.wanted(self.code))
        return self.step >= (DROPPED if facts.on_truck(place) else LOADED)

    def replaced_by(self) -> str | None:
        """The live remake, what it was reworked into, or the one for which it was set aside uncut."""
        if self.dead_for is not None:
            return self.dead_for
        if self.code in self.paper.remakes:
            return self.paper.remakes[self.code][0].child
        return self.paper.aside.get(self.code) if self.step < CUT else None

    # words

    def word(self, flags: tuple[str, ...]) -> str:
        """The one word that matters."""
        if flags and flags[0] in SHOUTED:
            return flags[0]
        if self.state.account is not None:
            return "CLOSED"
        ahead = (step for step in range(self.step + 1, IN + 1) if STEPS[step] not in self.piece.skip)
        return next((ACTIONS[step] for step in ahead), "IN")

    def word_at(self, place: str) -> str:
        """The word at a scan whose place is known."""
        return self.word(self.flags_at(place))

    # what it counts for

    def need(self) -> str | None:
        state = self.state
        if state.returned == "stock" or self.dead_for is not None:
            return None
        if state.elsewhere is None:
            return self.piece.run
        other = self.facts.runs.get(state.elsewhere_need or "")
        return other.key if other is not None and other.shape == self._shape() else None

    def _shape(self) -> str:
        return self.piece.shape or self.facts.runs[self.piece.run].shape

    def good(self) -> bool:
        bad = BAD.intersection(self.flags) or self.code in self.paper.aside
        return self.need() is not None and not bad and self.state.account in (None, "in")

    def level(self) -> int:
        """The column: by the step, or, in a wrong place, by the place."""
        place = self.state.place
        if "WRONG PLACE" in self.flags and place is not None:
            return self._level_by_place(place)
        if self.step < LOADED:
            return IN_SHOP
        return ON_TRUCK if self.step == LOADED else HERE if self.step < IN else IN_PLACE

    def _level_by_place(self, place: str) -> int:
        if self.facts.in_shop(place):
            return IN_SHOP
        wanted = self.facts.wanted(self.code)
        same_job = self.facts.on_site(place) and self.facts.root(place) == self.facts.root(wanted)
        return HERE if same_job else ON_TRUCK

    def unseen(self) -> dict[str, str]:
        """Steps up to the present one that nobody saw, each with the record that implied it first."""
        if self.state.account not in (None, "in") or self.dead_for is not None:
            return {}
        steps = (step for step in range(CUT, self.step + 1) if STEPS[step] not in self.piece.skip)
        return {STEPS[s]: self.state.implied(s) or "" for s in steps if self.state.seen(s) is None}

    def seen(self) -> dict[str, str]:
        found = ((STEPS[step], self.state.seen(step)) for step in range(CUT, self.step + 1))
        return {step: nonce for step, nonce in found if nonce is not None}

    # who is told

    def lines(self) -> Iterator[Line]:
        yield from self._old_rev_lines()
        for code, to, record in self._state_lines():
            yield Line(code, to, record, role=True, subject=self.code)

    def _state_lines(self) -> Iterable[tuple[str, str, str | None]]:
        state, lost = self.state, {"LOST", "SHORT"}.intersection(self.flags)
        done_with = {"SCRAP", "REPLACED"}.intersection(self.flags)
        if self.dead_for is not None:
            return
        if self.step == DROPPED and state.account is None and not lost:
            yield "dropped_not_received", "foreman", state.seen(DROPPED) or state.implied(DROPPED)
        if lost and not done_with:
            yield "find_or_remake", "lead", next(s.record for s in state.snags if s.kind in ("lost", "short"))
        if state.turned_up:
            yield "turned_up", "lead", state.turned_up
        if self.step == IN and {"SCRAP", "REPLACED", "DAMAGED"}.intersection(self.flags):
            yield "in_though_dead", "foreman", state.seen(IN)

    def _old_rev_lines(self) -> Iterator[Line]:
        superseded = self.paper.superseded.get(self.piece.run)
        nonce, state = superseded.nonce if superseded else None, self.state
        if "OLD REV" not in self.flags:
            return
        if self.step == LOADED and state.load is not None and state.loader is not None:
            yield Line("old_rev_aboard", state.loader[0], nonce, subject=self.code)
        settled = {"SCRAP", "REPLACED"}.intersection(self.flags) or state.account not in (None, "in")
        if self.step > RELEASED and self.ruling is None and not settled:
            yield Line("decide_old_rev", "lead" if self.step < LOADED else "foreman", nonce, True, self.code)

    # the row

    def row(self) -> PieceAnswer:
        state, piece, unseen = self.state, self.piece, self.unseen()
        return PieceAnswer(
            key=self.code,
            run=piece.run,
            rev=piece.rev,
            copy=piece.copy,
            part=piece.part,
            batch=piece.batch,
            step=CLOSED if state.account else STEPS[self.step],
            rank=self.step,
            level=self.level(),
            good=self.good(),
            need=self.need(),
            place=state.place,
            box=state.box,
            load=state.load,
            trip=state.trip,
            word=self.word(self.flags),
            flags=self.flags,
            not_seen=tuple(unseen),
            inferred=unseen,
            seen=self.seen(),
            account=state.account,
            replaced_by=self.replaced_by(),
            origin=state.origin,
            dead=self.dead_for is not None,
            on_site=self.facts.on_site(state.place),
            prints=self.world.prints.get(self.code, 0),
            left=state.left,
            notes_left=tuple(state.notes_left.values()),
            counted=state.counted,
            found=state.found,
            loaded=state.loaded,
            trips=dict(state.trips),
            rode=state.rode,
            last=state.last,
            lines=tuple(self.lines()),
            notes=tuple(_listed(state)),
        )


def _listed(state: State) -> Iterator[Note]:
    for note in state.notes:
        resolved = note.code == "on_other_load" and note.record not in state.asked_of
        yield note._replace(listed=note.listed and not resolved)


def _without_metal(state: State) -> State:
    return replace(state, place=None, box=None, load=None, counted=None, snags=[], notes=[], left=None, notes_left={})
