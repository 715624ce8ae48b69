"""Boxes: what lies inside, who left without a word, and the receive counts."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from shop.work.derive.answer import BoxAnswer, Count, Left, Line, Note, PieceAnswer
from shop.work.derive.fold import World
from shop.work.derive.record import Record
from shop.work.derive.state import State
from shop.work.derive.vocabulary import DROPPED, STEPS
from shop.work.derive.words import natural


@dataclass(frozen=True, slots=True)
class Tally:
    """The counts of this trip: which one speaks, whether they differ, and what nobody named (short +, over -)."""

    counts: tuple[Record, ...] = ()
    speaks: Record | None = None
    differ: bool = False
    unnamed: int = 0

    @property
    def open(self) -> bool:
        return self.differ or self.unnamed != 0


def box_answers(world: World, rows: Mapping[str, PieceAnswer], keys: Iterable[str]) -> dict[str, BoxAnswer]:
    """The rows of these boxes. `rows` are those of every piece that ever lay in them."""
    inside: dict[str, list[PieceAnswer]] = {}
    gone: dict[str, dict[str, Left]] = {}
    for row in rows.values():
        if row.box is not None:
            inside.setdefault(row.box, []).append(row)
        for left in row.notes_left:
            gone.setdefault(left.box, {})[row.key] = left
    contents = _Contents(world, inside, gone)
    return {key: _answer(world, contents, key, rows) for key in keys}


class _Contents:
    """Pieces inside, through the boxes that lie in a cart, and gone, in boxes that left it too."""

    def __init__(
        self, world: World, inside: Mapping[str, list[PieceAnswer]], gone: Mapping[str, dict[str, Left]]
    ) -> None:
        self.inside, self.without_word = inside, gone
        self.boxes: dict[str, list[str]] = {}
        self.boxes_gone: dict[str, list[tuple[str, Left]]] = {}
        for state in world.boxes.values():
            if state.box is not None:
                self.boxes.setdefault(state.box, []).append(state.key)
            for left in state.notes_left.values():
                self.boxes_gone.setdefault(left.box, []).append((state.key, left))

    def pieces(self, key: str) -> list[str]:
        found = [row.key for row in self.inside.get(key, [])]
        for box in self.boxes.get(key, []):
            found += self.pieces(box)
        return sorted(found, key=natural)

    def gone(self, key: str) -> dict[str, Left]:
        found = dict(self.without_word.get(key, {}))
        for box, left in self.boxes_gone.get(key, []):
            found |= {piece: left for piece in self.pieces(box)}
        here = set(self.pieces(key))
        return {piece: found[piece] for piece in sorted(found, key=natural) if piece not in here}


def _answer(world: World, contents: _Contents, key: str, rows: Mapping[str, PieceAnswer]) -> BoxAnswer:
    state, tally = world.box(key), tally_of(world, world.box(key))
    inside = tuple(contents.pieces(key))
    return BoxAnswer(
        key=key,
        kind=state.box_kind,
        step=STEPS[state.step],
        place=state.place,
        box=state.box,
        load=state.load,
        trip=state.trip,
        inside=inside,
        gone=contents.gone(key),
        trips=dict(state.trips),
        boxes=tuple(sorted(contents.boxes.get(key, []), key=natural)),
        counts=tuple(Count(r.number("count") or 0, r.person, r.nonce) for r in tally.counts),
        open=tally.open,
        unnamed=abs(tally.unnamed),
        over=max(0, -tally.unnamed),
        candidates=_candidates(tally, rows),
        last=state.last,
        lines=tuple(_lines(state, tally, inside)),
        notes=tuple(_notes(state)),
    )


def tally_of(world: World, state: State) -> Tally:
    """What the counts of this trip say: the final one, else the last; each man's last word is his count."""
    counts = tuple(state.counts)
    if not counts:
        return Tally()
    finals = [count for count in counts if count.flag("final")]
    speaks = (finals or list(counts))[-1]
    last_of = {count.person: count.number("count") for count in counts}
    differ = not finals and len(set(last_of.values())) > 1
    return Tally(counts, speaks, differ, _unnamed(world, counts, speaks))


def _unnamed(world: World, counts: tuple[Record, ...], speaks: Record) -> int:
    """Pieces short (over, if negative) that nobody named."""
    of = speaks.number("of")
    if of is None:
        return 0
    missing = of - (speaks.number("count") or 0)
    if missing >= 0:
        return max(0, missing - len(_named(world, counts, of, "short")))
    return min(0, missing + len(_named(world, counts, of, "over")))


def _named(world: World, counts: tuple[Record, ...], of: int, kind: str) -> set[str]:
    """Pieces named short or over at a count of this trip that the speaking one still reckons with."""
    reckoned = [count.nonce for count in counts if (count.number("of") or 0) <= of]
    snags = (snag for nonce in reckoned for snag in world.snags_at.get(nonce, []))
    return {str(snag.piece) for snag in snags if snag.get("kind") == kind}


def _candidates(tally: Tally, rows: Mapping[str, PieceAnswer]) -> tuple[str, ...]:
    """Who may be the missing one: counted in, and not seen singly since."""
    if tally.speaks is None or tally.unnamed <= 0:
        return ()
    return tuple(sorted((r.key for r in rows.values() if r.counted == tally.speaks.nonce), key=natural))


def _lines(state: State, tally: Tally, inside: tuple[str, ...]) -> Iterator[Line]:
    if state.step == DROPPED and inside:
        dropped = state.seen(DROPPED) or state.implied(DROPPED)
        yield Line("dropped_not_received", "foreman", dropped, role=True, subject=state.key)
    if tally.differ:
        for person in dict.fromkeys(count.person for count in tally.counts):
            yield Line("counts_differ", person, tally.counts[-1].nonce, subject=state.key)
    if tally.speaks is not None and tally.unnamed:
        code = "short_unnamed" if tally.unnamed > 0 else "over_unnamed"
        yield Line(code, tally.speaks.person, tally.speaks.nonce, subject=state.key)


def _notes(state: State) -> Iterator[Note]:
    for note in state.notes:
        resolved = note.code == "on_other_load" and note.record not in state.asked_of
        yield note._replace(listed=note.listed and not resolved)
