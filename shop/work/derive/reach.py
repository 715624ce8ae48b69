"""Which pieces a record touches, and which records say all about a piece: what a database has to read.

`Store` is what must be asked of wherever the records lie; each method is one query. `MemoryStore` is the plain one.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Protocol

from shop.work.derive.facts import Facts
from shop.work.derive.record import Record

Keys = frozenset[str]


class Store(Protocol):
    """Where records lie. Every method may return more than it was asked for, never less."""

    def of_nonces(self, nonces: Keys) -> Iterable[Record]:
        """The records with these nonces."""

    def naming(self, nonces: Keys) -> Iterable[Record]:
        """The records that name any of these nonces."""

    def of_pieces(self, pieces: Keys) -> Iterable[Record]:
        """The records about these pieces, and those that mention them (`Record.others`)."""

    def of_boxes(self, boxes: Keys) -> Iterable[Record]:
        """The records about these boxes."""

    def into_boxes(self, boxes: Keys) -> Iterable[Record]:
        """The packs into these boxes."""

    def of_runs(self, runs: Keys) -> Iterable[Record]:
        """The records about these runs."""

    def pieces_of_runs(self, runs: Keys) -> Iterable[str]:
        """The pieces of these runs."""


@dataclass(frozen=True, slots=True)
class Reach:
    """Some pieces with their kin, the boxes they ever lay in, and every record that says anything about them."""

    pieces: Keys
    boxes: Keys
    records: tuple[Record, ...]


def kin(pieces: Iterable[str], store: Store) -> Keys:
    """The pieces and all that are tied to them by swap, rework, use or remake."""
    found, new = frozenset[str](), frozenset(pieces)
    while new:
        found |= new
        new = frozenset(key for record in store.of_pieces(new) for key in _tied(record)) - found
    return found


def neighbourhood(pieces: Iterable[str], store: Store, facts: Facts, boxes: Iterable[str] = ()) -> Reach:
    """All that has to be read to fold these pieces (and boxes) from nothing."""
    family = kin(pieces, store)
    records = {record.nonce: record for record in store.of_pieces(family)}
    containers, about = _containers(frozenset(boxes) | _into(records.values()), store)
    records |= about
    runs = frozenset(facts.pieces[key].run for key in family if key in facts.pieces)
    records |= {record.nonce: record for record in store.of_runs(runs)}
    return Reach(family, containers, tuple(_linked(records, store).values()))


def box_neighbourhood(boxes: Iterable[str], store: Store, facts: Facts) -> Reach:
    """All that has to be read to count these boxes: the neighbourhood of every piece that ever lay in them."""
    pieces, found = _contents(frozenset(boxes), store)
    return neighbourhood(pieces, store, facts, found)


def touched(record: Record, store: Store) -> tuple[Keys, Keys]:
    """The pieces and boxes whose rows may be different now that this record is in the store."""
    linked = _linked({record.nonce: record}, store)
    pieces = {key for r in linked.values() for key in _tied(r)}
    boxes = frozenset(r.box for r in linked.values() if r.box) | _into(linked.values())
    moved = _contents(frozenset(r.box for r in linked.values() if r.box), store)
    pieces |= moved[0]
    pieces.update(store.pieces_of_runs(frozenset(r.run for r in linked.values() if r.run)))
    family = kin(pieces, store)
    lay_in = _into(store.of_pieces(family))
    return family, _containers(boxes | moved[1] | lay_in, store)[0]


def _tied(record: Record) -> Iterable[str]:
    return (*((record.piece,) if record.piece else ()), *record.others)


def _into(records: Iterable[Record]) -> Keys:
    return frozenset(into for record in records if record.verb == "pack" and (into := record.text("into")))


def _containers(boxes: Keys, store: Store) -> tuple[Keys, dict[str, Record]]:
    """The boxes, the carts that they were ever put on, and the records about them all."""
    found, new, records = frozenset[str](), boxes, dict[str, Record]()
    while new:
        found |= new
        about = {record.nonce: record for record in store.of_boxes(new)}
        records |= about
        new = _into(about.values()) - found
    return found, records


def _contents(boxes: Keys, store: Store) -> tuple[set[str], Keys]:
    """The pieces that were ever put into the boxes or into what lay in them, and those boxes."""
    pieces, found, new = set[str](), frozenset[str](), boxes
    while new:
        found |= new
        packs = list(store.into_boxes(new))
        pieces.update(record.piece for record in packs if record.piece)
        new = frozenset(record.box for record in packs if record.box) - found
    return pieces, found


def _naming_chain(records: dict[str, Record], store: Store) -> dict[str, Record]:
    """The records, those that name them, those that name those, and so on."""
    found, new = dict(records), dict(records)
    while new:
        naming = {record.nonce: record for record in store.naming(frozenset(new))}
        new = {nonce: record for nonce, record in naming.items() if nonce not in found}
        found |= new
    return found


def _linked(records: dict[str, Record], store: Store) -> dict[str, Record]:
    """The records with all that they name or that names them: keys and annuls need both."""
    found, size = dict(records), -1
    while size != len(found):
        size = len(found)
        found = _naming_chain(found, store)
        missing = frozenset(nonce for record in found.values() for nonce in record.answers) - found.keys()
        if missing:
            found |= {record.nonce: record for record in store.of_nonces(missing)}
    return found


class MemoryStore:
    """Records in memory. It holds each nonce once: the one recorded first, as a unique constraint would."""

    def __init__(self, facts: Facts, records: Iterable[Record] = ()) -> None:
        self.facts = facts
        self.records: dict[str, Record] = {}
        for record in records:
            self.add(record)

    def add(self, record: Record) -> None:
        """Put a record in; one that is there already stays as it was, unless this one was recorded earlier."""
        held = self.records.get(record.nonce)
        if held is None or record.recorded_at < held.recorded_at:
            self.records[record.nonce] = record

    def of_nonces(self, nonces: Keys) -> list[Record]:
        return [self.records[nonce] for nonce in nonces if nonce in self.records]

    def naming(self, nonces: Keys) -> list[Record]:
        return [record for record in self.records.values() if nonces.intersection(record.answers)]

    def of_pieces(self, pieces: Keys) -> list[Record]:
        return [record for record in self.records.values() if pieces.intersection(_tied(record))]

    def of_boxes(self, boxes: Keys) -> list[Record]:
        return [record for record in self.records.values() if record.box in boxes]

    def into_boxes(self, boxes: Keys) -> list[Record]:
        return [r for r in self.records.values() if r.verb == "pack" and r.text("into") in boxes]

    def of_runs(self, runs: Keys) -> list[Record]:
        return [record for record in self.records.values() if record.run in runs]

    def pieces_of_runs(self, runs: Keys) -> list[str]:
        return [key for key, piece in self.facts.pieces.items() if piece.run in runs]
