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
    6. boxes the same way: `derive_boxes(boxes, records, facts)` over `neighbourhood((), store, facts, boxes)`
    7. derive.replies(records, facts, piece rows, box rows)[nonce] is what its maker hears

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
from shop.work.derive.facts import Box, Facts, Load, Piece, Place, Run, load_of, truck_place
from shop.work.derive.order import Key, Log, StoredTime, stored_time
from shop.work.derive.reach import MemoryStore, Reach, Store, kin, neighbourhood, touched
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
    "Problem",
    "Reach",
    "Record",
    "Run",
    "Store",
    "StoredTime",
    "kin",
    "load_of",
    "neighbourhood",
    "problems",
    "stored_time",
    "touched",
    "truck_place",
]
