"""Rows kept up to date record by record, in memory, the way a database has to: touch, read the neighbourhood, fold."""

from collections.abc import Iterable
from dataclasses import replace

from shop.work import derive
from shop.work.derive import Facts, MemoryStore, Reach, Record


class Keeper:
    def __init__(self, facts: Facts) -> None:
        self.facts = facts
        self.store = MemoryStore(facts)
        self.pieces = derive.derive_pieces(facts.pieces, [], facts)
        self.boxes = derive.derive_boxes(facts.boxes, [], facts)

    def add(self, *records: Record) -> None:
        """A queue: all are put in, the union of what they touch is folded once."""
        touched: list[tuple[frozenset[str], frozenset[str]]] = []
        for record in records:
            self.store.add(record)
        for record in records:
            touched.append(derive.touched(record, self.store))
        self._fold_pieces(frozenset().union(*(pieces for pieces, _ in touched)))
        self._fold_boxes(frozenset().union(*(boxes for _, boxes in touched)))

    def _fold_pieces(self, pieces: Iterable[str]) -> None:
        reach = derive.neighbourhood(pieces, self.store, self.facts)
        known = [code for code in reach.pieces if code in self.facts.pieces]
        self.pieces |= derive.derive_pieces(known, reach.records, facts_of(reach, self.facts))

    def _fold_boxes(self, boxes: Iterable[str]) -> None:
        known = [key for key in boxes if key in self.facts.boxes]
        reach = derive.box_neighbourhood(known, self.store, self.facts)
        self.boxes |= derive.derive_boxes(known, reach.records, facts_of(reach, self.facts))


def facts_of(reach: Reach, facts: Facts) -> Facts:
    """Only the pieces and boxes that the records of a neighbourhood mention: as much as a database would read."""
    pieces = reach.pieces | {key for r in reach.records for key in (r.piece, *r.others) if key}
    boxes = reach.boxes | {key for r in reach.records for key in (r.box, r.text("into")) if key}
    return replace(
        facts,
        pieces={key: piece for key, piece in facts.pieces.items() if key in pieces},
        boxes={key: box for key, box in facts.boxes.items() if key in boxes},
    )
