"""Printing: each asking is counted, dated and told in the history, and only if the sheet could be drawn.

Drawing stands inside the transaction: the number is on the sheet, and a sheet that can't be drawn must not be counted.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import uuid4

from django.conf import settings
from django.db import models, transaction
from django.db.models import Max

from shop.jobs import clock
from shop.jobs.models import Person, Place
from shop.jobs.refusals import Refusal
from shop.jobs.services import history_write
from shop.requests.models import Paper as RevisionPaper
from shop.tickets import compose, qr
from shop.tickets.canvas import Paper
from shop.tickets.drawing.label import draw_label
from shop.tickets.drawing.sign import draw_sign
from shop.tickets.drawing.ticket import draw_ticket
from shop.tickets.models import PaperKind, Print
from shop.tickets.specs import label_for, label_stock, page_stock
from shop.work.models import Piece, Release
from shop.work.services import Said, records_add

# Steps at which a printed label is the one that is stuck on.
FINISHED = ("bent", "checked")


@dataclass(frozen=True)
class Sheet:
    """What came out: the PDF, a name to save it by, and the prints that were counted."""

    pdf: bytes
    name: str
    prints: tuple[Print, ...]


@transaction.atomic
def print_ticket(*, release: Release, actor: Person, stock: str = "", piece: Piece | None = None) -> Sheet:
    """The bench ticket of a release on a page stock; with `piece`, of one remade piece of it.

    Refused: `dead_ticket`, `held`, `other_release`, `no_such_stock`, and as NotPrinted whatever can't be drawn.
    """
    page = page_stock(stock or settings.PAPER)
    found = _locked_release(release)
    _check_alive(found, piece)
    row = _count(PaperKind.TICKET, found, actor, stock=stock or settings.PAPER, release=found)
    contents = compose.tickets(found, number=row.number, at=row.asked_at, piece=piece)
    paper = Paper(f"Ticket {contents[0].tag}")
    for content in contents:
        draw_ticket(paper, page, content)
    run = found.revision.run
    history_write(action="ticket.print", subject=found, actor=actor, job=run.job, tag=run.tag, number=row.number)
    return Sheet(paper.finish(), f"{contents[0].tag} ticket, print {row.number}.pdf", (row,))


def _locked_release(release: Release) -> Release:
    """With everything that a ticket says, in one query; locked, so that two prints never have one number."""
    rows = Release.objects.select_for_update(of=("self",)).select_related(
        "revision__run__job", "revision__run__place", "revision__drop", "profile__bender"
    )
    return rows.prefetch_related("pieces").get(pk=release.pk)


def _check_alive(release: Release, piece: Piece | None) -> None:
    """An old ticket is never printed again: it would be bent from."""
    if release.dead:
        raise Refusal("dead_ticket", f"{release.revision} was replaced; print the newer ticket.")
    if release.revision.state == RevisionPaper.HELD:
        raise Refusal("held", f"{release.revision} is on hold; nothing is bent from it.")
    if piece is not None and piece.release_id != release.pk:
        raise Refusal("other_release", f"{piece} is made from another release.")


@transaction.atomic
def print_labels(*, pieces: Sequence[Piece], actor: Person, stock: str = "") -> Sheet:
    """The labels of pieces, in the order given, one a page; without a stock each size gets the one that it can carry.

    All labels of one PDF are of one size: that of the first piece. Refused: `nothing_to_print`, `dead_piece`,
    `no_such_stock`, and as NotPrinted whatever can't be drawn.
    """
    if not pieces:
        raise Refusal("nothing_to_print", "There is no piece to print a label for.")
    now = clock.now()
    _tell_records(pieces, actor)
    found = {piece.pk: piece for piece in compose.label_query().filter(pk__in=[piece.pk for piece in pieces])}
    ordered = [found[piece.pk] for piece in pieces]
    _check_metal(ordered)
    name = stock or _stock_for(ordered[0])
    rows = _count_labels(ordered, actor, name, now)
    paper = Paper(f"Labels of {ordered[0].run.tag}")
    for piece, row in zip(ordered, rows, strict=True):
        draw_label(paper, label_stock(name), compose.label(piece, number=row.number, at=now))
    _tell_labels(ordered, actor, name)
    return Sheet(paper.finish(), f"{_labels_name(ordered)}.pdf", tuple(rows))


def release_pieces(release: Release) -> list[Piece]:
    """A release's living pieces in bending order. Refused: `dead_ticket`."""
    if release.dead:
        raise Refusal("dead_ticket", f"{release.revision} was replaced; print the labels of the newer release.")
    return list(release.pieces.filter(dead=False).order_by("copy", "part", "remake"))


def _check_metal(pieces: Sequence[Piece]) -> None:
    for piece in pieces:
        if piece.dead:
            raise Refusal("dead_piece", f"{piece} is another piece's metal now; print that one's label.")


def _stock_for(piece: Piece) -> str:
    symbol = qr.symbol(qr.text_of(piece.code, settings.LABEL_ADDRESS))
    return label_for(float(piece.release.layout["bender"]["outside_diameter"]), symbol.modules)


def _tell_records(pieces: Sequence[Piece], actor: Person) -> None:
    """A print is a fact about the piece. Taking records in locks the log, which numbers the labels one by one."""
    printed = set(Print.objects.filter(kind=PaperKind.LABEL, piece__in=pieces).values_list("piece_id", flat=True))
    said = [
        Said(verb="print", actor=actor, nonce=f"label-{uuid4().hex}", piece=piece, fields={"how": _how(piece, printed)})
        for piece in pieces
    ]
    for one in records_add(said):
        if one.refused:
            raise Refusal(one.refused[0].code, f"The print of {one.said.piece} wasn't taken: {one.refused[0].code}.")


def _how(piece: Piece, printed: set[int]) -> str:
    """Only a first label that comes out when the piece is bent says that it is on."""
    if piece.pk in printed:
        return "reprint"
    return "finish" if piece.step in FINISHED else "batch"


def _count_labels(pieces: Sequence[Piece], actor: Person, stock: str, now: datetime) -> list[Print]:
    """One row a piece; two queries, however many."""
    before = Print.objects.filter(kind=PaperKind.LABEL, piece__in=pieces).values("piece").annotate(last=Max("number"))
    last = {row["piece"]: row["last"] for row in before}
    return Print.objects.bulk_create(
        Print(
            kind=PaperKind.LABEL,
            piece=piece,
            number=last.get(piece.pk, 0) + 1,
            stock=stock,
            asked_by=actor,
            asked_at=now,
        )
        for piece in pieces
    )


def _tell_labels(pieces: Sequence[Piece], actor: Person, stock: str) -> None:
    first = pieces[0]
    subject: models.Model = first if len(pieces) == 1 else first.release
    history_write(
        action="label.print", subject=subject, actor=actor, job=first.run.job, tag=first.run.tag, count=len(pieces),
        stock=stock,
    )  # fmt: skip


def _labels_name(pieces: Sequence[Piece]) -> str:
    first = pieces[0]
    if len(pieces) == 1:
        remade = f" R{first.remake}" if first.remake else ""
        return f"{first.run.tag}{remade} label, copy {first.copy}"
    return f"{first.run.tag} labels, {len(pieces)}"


@transaction.atomic
def print_sign(*, place: Place, actor: Person, stock: str = "") -> Sheet:
    """A place's sign on a page stock. Refused: `no_such_stock`, and as NotPrinted whatever can't be drawn."""
    page = page_stock(stock or settings.PAPER)
    found = Place.objects.select_for_update(of=("self",)).select_related("job").get(pk=place.pk)
    row = _count(PaperKind.SIGN, found, actor, stock=stock or settings.PAPER, place=found)
    paper = Paper(f"Sign {found.name}")
    draw_sign(paper, page, compose.sign(found, number=row.number, at=row.asked_at))
    history_write(
        action="place.print", subject=found, actor=actor, job=found.job, name=found.full_name, number=row.number
    )
    return Sheet(paper.finish(), f"Sign {found.name}, print {row.number}.pdf", (row,))


def _count(kind: PaperKind, of: Release | Place, actor: Person, *, stock: str, **subject: models.Model) -> Print:
    """The next number; the row that is printed is locked."""
    last = of.prints.filter(kind=kind).aggregate(last=Max("number"))["last"] or 0
    return Print.objects.create(
        kind=kind, number=last + 1, stock=stock, asked_by=actor, asked_at=clock.now(), **subject
    )
