"""The board: what is released and not yet gone, by when it is needed; how far each run has got."""

from datetime import timedelta
from typing import Any

from django.db.models import Count, F, Q, QuerySet

from shop.jobs import clock
from shop.jobs.models import Person
from shop.jobs.permissions import visible
from shop.requests.models import Paper, Revision
from shop.work.derive.vocabulary import STEPS
from shop.work.models import Piece

BOXES = ("cut", "bent", "checked", "labelled")


def _come_to(step: str) -> Q:
    """Seen at the step, or further on without being "not checked": a later step doesn't make up for a check."""
    come = Q(pieces__rank__gte=STEPS.index(step))
    return come & ~Q(pieces__not_seen__icontains='"checked"') if step == "checked" else come


def board(person: Person) -> QuerySet[Any]:
    """Released revisions with how many of their pieces have come how far. A dead piece doesn't count."""
    alive = Q(pieces__good=True)
    counts: dict[str, Any] = {f"n_{step}": Count("pieces", filter=alive & _come_to(step)) for step in BOXES}
    return (
        visible(person, Revision)
        .filter(state=Paper.RELEASED)
        .select_related("run__job", "run__place", "profile__bender")
        .annotate(n=Count("pieces", filter=alive), n_gone=Count("pieces", filter=alive & _come_to("loaded")), **counts)
        .order_by(F("needed_at").asc(nulls_last=True), "pk")
    )


def in_shop(rows: QuerySet[Any]) -> QuerySet[Any]:
    """Less those of which every piece has left the shop."""
    return rows.exclude(n__gt=0, n_gone__gte=F("n"))


def flagged(person: Person) -> QuerySet[Piece]:
    """Pieces with something wrong that the shop has to look at; scrap until it is made again."""
    wrong = Q(word__in=("OLD REV", "HOLD", "SHORT", "LOST"))
    unmade = Q(word="SCRAP", dead=False, replaced_by=None, revision__state=Paper.RELEASED)
    return visible(person, Piece).filter(wrong | unmade).select_related("run__job", "revision", "place")


def late(revision: Revision) -> bool:
    return bool(revision.needed_at and revision.needed_at < clock.now() + timedelta(hours=2))
