"""Which piece is this? By tag and copy, or by what a tape says where the label is gone."""

from collections.abc import Iterable, Sequence

from shop.work.derive.answer import PieceAnswer
from shop.work.derive.counts import wanted_first
from shop.work.derive.facts import Facts, Piece
from shop.work.derive.words import natural

# inches: two men read the same stick this far apart (common practice, no source)
TAPE = 0.5


def resolve(run: str, copy: int, rows: Iterable[PieceAnswer]) -> tuple[str, ...]:
    """The pieces that a hand-written tag and copy number may mean, the wanted first."""
    meant = [row for row in rows if row.run == run and row.copy == copy]
    return tuple(row.key for row in sorted(meant, key=wanted_first))


def look_up(facts: Facts, size: str, shape: str, lengths: Sequence[float]) -> tuple[str, ...]:
    """The pieces of a size and shape whose lengths (inches, in the piece's order) are what was measured."""
    found = (key for key, piece in facts.pieces.items() if _fits(piece, facts, size, shape, lengths))
    return tuple(sorted(found, key=natural))


def _fits(piece: Piece, facts: Facts, size: str, shape: str, lengths: Sequence[float]) -> bool:
    own_shape = piece.shape or facts.runs[piece.run].shape
    if piece.size != size or own_shape != shape or len(piece.lengths) < len(lengths):
        return False
    return all(abs(own - tape) <= TAPE for own, tape in zip(piece.lengths, lengths, strict=False))
