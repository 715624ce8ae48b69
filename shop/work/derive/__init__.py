"""What is true of pieces, boxes, needs and loads, derived from a set of records. Pure: the standard library only.

A record is never edited, and a row is never patched: whatever comes in, early or late, the same fold is done again.

    from shop.work import derive

    derive.problems(record, facts)             # () or why it is refused; by the record and frozen facts alone
    derive.stored_time(record, facts)          # (at, phone_clock): fixed on the row when the record is stored
    derive.derive(records, facts)              # Answer: everything, from scratch

One record comes in (one transaction, under the log's one lock):

    1. insert it; if its nonce exists, answer from the one that is stored
    2. pieces, boxes = derive.touched(record, store)       # store: derive.Store, seven small queries
    3. reach = derive.neighbourhood(pieces, store, facts)  # .pieces, .boxes, .records; facts: of all it mentions
    4. rows = derive.derive_pieces(reach.pieces, reach.records, facts)    # key to PieceAnswer
    5. write rows and their lines; needs, loads and batches are sums over rows: `needs_of`, `loads_of`, `batches_of`
    6. boxes: reach = derive.box_neighbourhood(boxes, store, facts); derive.derive_boxes(boxes, reach.records, facts)
    7. derive.replies(reach.records, facts, piece rows, box rows)[nonce] is what its maker hears

A queue of many records is one such step: insert all, touch the union, fold once.
"""

from shop.work.derive.answer import (
    Answer,
    BatchAnswer,
    BoxAnswer,
    Count,
    Left,
    Line,
    LoadAnswer,
    NeedAnswer,
    Note,
    PieceAnswer,
)
from shop.work.derive.counts import (
    Plan,
    assemblies_of,
    batches_of,
    loads_of,
    needs_of,
    plans_of,
    wanted_first,
)
from shop.work.derive.derivation import derive, derive_boxes, derive_pieces, present_revisions, replies, word_at
from shop.work.derive.facts import Box, Facts, Load, Piece, Place, Run, load_of, truck_place
from shop.work.derive.lookup import look_up, resolve
from shop.work.derive.order import Key, Log, StoredTime, stored_time
from shop.work.derive.reach import MemoryStore, Reach, Store, box_neighbourhood, kin, neighbourhood, touched
from shop.work.derive.record import Problem, Record, problems

__all__ = [
    "Answer",
    "BatchAnswer",
    "Box",
    "BoxAnswer",
    "Count",
    "Facts",
    "Key",
    "Left",
    "Line",
    "Load",
    "LoadAnswer",
    "Log",
    "MemoryStore",
    "NeedAnswer",
    "Note",
    "Piece",
    "PieceAnswer",
    "Place",
    "Plan",
    "Problem",
    "Reach",
    "Record",
    "Run",
    "Store",
    "StoredTime",
    "assemblies_of",
    "batches_of",
    "box_neighbourhood",
    "derive",
    "derive_boxes",
    "derive_pieces",
    "kin",
    "load_of",
    "loads_of",
    "look_up",
    "needs_of",
    "neighbourhood",
    "plans_of",
    "present_revisions",
    "problems",
    "replies",
    "resolve",
    "stored_time",
    "touched",
    "truck_place",
    "wanted_first",
    "word_at",
]
