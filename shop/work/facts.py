"""Rows to the facts of the derivation: what is frozen before any record is made."""

from collections.abc import Iterable

from django.db.models import F

from shop.jobs.models import Place
from shop.requests.models import Paper, Revision, Run, letters
from shop.work import derive
from shop.work.models import Piece
from shop.work.store import piece_key, place_key, primary, run_key

UNSENT = (Paper.DRAFT, Paper.CANCELLED)
# Boxes get their own rows with the stage that packs them; until then whatever is packed into is a bundle.
BOX_KIND = "bundle"


def pieces_with_facts(keys: Iterable[str]) -> dict[str, Piece]:
    """Piece rows by key, with what their facts need annotated: one query, without documents and layouts."""
    rows = Piece.objects.filter(pk__in=[primary(key) for key in keys]).annotate(
        rev_number=F("revision__number"), size=F("revision__size"), shape=F("release__shape")
    )
    return {piece_key(row.pk): row for row in rows}


def piece_fact(row: Piece) -> derive.Piece:
    """The row must come from `pieces_with_facts`."""
    return derive.Piece(
        key=piece_key(row.pk),
        run=run_key(row.run_id),
        rev=letters(row.rev_number),  # type: ignore[attr-defined]
        copy=row.copy,
        part=row.part,
        size=row.size,  # type: ignore[attr-defined]
        shape=row.shape,  # type: ignore[attr-defined]
        skip=frozenset(row.skips),
        since=row.made_at,
    )


def facts_of(pieces: Iterable[derive.Piece], records: Iterable[derive.Record]) -> derive.Facts:
    """All that these pieces and records mention: four queries, however many there are."""
    pieces, records = list(pieces), list(records)
    runs = run_facts({piece.run for piece in pieces} | _texts(records, "need") | {r.run for r in records if r.run})
    places = {run.place for run in runs} | {record.place for record in records if record.place}
    return derive.Facts.of(
        places=place_facts(places),
        runs=runs,
        pieces=pieces,
        boxes=[derive.Box(box, BOX_KIND) for box in sorted(_texts(records, "into", but="decide"))],
        loads=[derive.Load(load) for load in sorted(_texts(records, "load"))],
    )


def _texts(records: Iterable[derive.Record], field: str, but: str = "") -> set[str]:
    return {text for record in records if record.verb != but and (text := record.text(field))}


def run_facts(keys: Iterable[str]) -> list[derive.Run]:
    """Runs with what each sent revision asks for. A run is as its present revision says: parts and shape."""
    wanted = [primary(key) for key in keys]
    runs = Run.objects.filter(pk__in=wanted)
    sent = Revision.objects.filter(run__in=wanted).exclude(state__in=UNSENT).order_by("number")
    revisions: dict[int, list[tuple[int, int, int, str]]] = {}
    for run, number, quantity, parts, shape in sent.values_list("run", "number", "quantity", "parts", "shape"):
        revisions.setdefault(run, []).append((number, quantity, parts, shape))
    return [_run_fact(run, revisions.get(run.pk, [])) for run in runs]


def _run_fact(run: Run, sent: list[tuple[int, int, int, str]]) -> derive.Run:
    parts, shape = sent[-1][2:] if sent else (1, "")
    return derive.Run(
        key=run_key(run.pk),
        place=place_key(run.place_id),
        shape=shape,
        asked={letters(number): quantity for number, quantity, *_ in sent},
        parts=tuple(range(1, parts + 1)),
        since=run.made_at,
    )


def place_facts(keys: Iterable[str]) -> list[derive.Place]:
    """These places with everything they lie in, and the shop's own."""
    paths = Place.objects.filter(pk__in=[primary(key) for key in keys]).values_list("path", flat=True)
    wanted = {step for path in paths for step in path.strip("/").split("/")}
    rows = Place.objects.filter(pk__in=wanted) | Place.objects.filter(job=None)
    return [place_fact(place) for place in rows.order_by("pk")]


def place_fact(place: Place) -> derive.Place:
    parent = place_key(place.parent_id) if place.parent_id else None
    return derive.Place(place_key(place.pk), place.kind, parent, place.made_at)
