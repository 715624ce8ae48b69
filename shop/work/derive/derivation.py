"""The derivation as a whole, and the parts of it that a database keeps up to date."""

from collections.abc import Iterable, Mapping

from shop.work.derive.answer import Answer, BoxAnswer, PieceAnswer
from shop.work.derive.boxes import box_answers
from shop.work.derive.counts import assemblies_of, batches_of, loads_of, needs_of, plans_of
from shop.work.derive.facts import Facts
from shop.work.derive.fold import World
from shop.work.derive.order import Log
from shop.work.derive.paper import Paper, Sheet
from shop.work.derive.record import Record
from shop.work.derive.replies import lines_of, replies_of


def derive(records: Iterable[Record], facts: Facts) -> Answer:
    """Everything that is true, from nothing but the records and the facts, in whatever order they are given."""
    log = Log(records, facts)
    world = World(log)
    paper = Paper(world)
    rows = {code: paper.answer(code) for code in facts.pieces}
    boxes = box_answers(world, rows, facts.boxes)
    present = {run: paper.present(run) for run in facts.runs}
    plans = plans_of(log.standing, log.named_by("unplan"))
    closed = {str(record.batch) for record in log.standing if record.verb == "close_batch"}
    return Answer(
        pieces=rows,
        boxes=boxes,
        needs=needs_of(rows.values(), boxes.values(), present, facts),
        loads=loads_of(rows.values(), boxes, plans, facts.loads),
        batches=batches_of(rows.values(), closed, facts),
        assemblies=assemblies_of(rows.values(), facts),
        replies=replies_of(log, rows, boxes),
        lines=lines_of(log, rows, boxes),
    )


def derive_pieces(pieces: Iterable[str], records: Iterable[Record], facts: Facts) -> dict[str, PieceAnswer]:
    """The rows of some pieces from the records of their `neighbourhood`. `facts`: of all that those mention."""
    paper = Paper(World(Log(records, facts)))
    return {code: paper.answer(code) for code in pieces}


def derive_boxes(boxes: Iterable[str], records: Iterable[Record], facts: Facts) -> dict[str, BoxAnswer]:
    """The rows of some boxes from the records of `box_neighbourhood`."""
    world = World(Log(records, facts))
    paper = Paper(world)
    packed = {r.piece for r in world.log.standing if r.verb == "pack" and r.piece is not None}
    codes = packed | {world.code(state) for state in world.sticks.values()}
    return box_answers(world, {code: paper.answer(code) for code in sorted(codes) if code in facts.pieces}, boxes)


def replies(
    records: Iterable[Record], facts: Facts, rows: Mapping[str, PieceAnswer], boxes: Mapping[str, BoxAnswer]
) -> dict[str, tuple[str, ...]]:
    """What the makers of these records are answered. `rows` and `boxes`: those the records are about, derived."""
    return replies_of(Log(records, facts), rows, boxes)


def present_revisions(records: Iterable[Record], facts: Facts) -> dict[str, str]:
    """Run to its revision now, for every run of the facts. `records`: all about those runs, and their annuls."""
    paper = Paper(World(Log(records, facts)))
    return {run: paper.present(run) for run in facts.runs}


def word_at(code: str, place: str, records: Iterable[Record], facts: Facts) -> str:
    """The one word at a scan of a piece whose place is known."""
    return Sheet(Paper(World(Log(records, facts))), code).word_at(place)
