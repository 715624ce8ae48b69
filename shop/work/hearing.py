"""What the work stage does when paper changes: metal of an older revision is flagged the moment B is sent."""

from typing import Any

from shop.jobs.models import Person
from shop.jobs.refusals import Refusal
from shop.requests.models import Revision
from shop.work.log import lock_log
from shop.work.models import Record
from shop.work.recording import say_own
from shop.work.rows import refold
from shop.work.said import SERVERS_OWN
from shop.work.store import RowStore, piece_key


def revision_superseded(*, revision: Revision, actor: Person, **signal: Any) -> None:
    say_own(
        lock_log(),
        verb="supersede",
        run=revision.run,
        actor=actor,
        nonce=_nonce(revision),
        fields={"rev": revision.letter},
    )
    refold_elsewhere(revision.run_id)


def revision_withdrawn(*, revision: Revision, actor: Person, **signal: Any) -> None:
    """Refused: `ask_lead`, where the record log would take no notice of it: another's, or older than a day."""
    recorded = say_own(lock_log(), verb="annul", annuls=_nonce(revision), actor=actor)
    if "ask_lead" in recorded.replies:
        raise Refusal("ask_lead", "Only who sent it, within a day, or the shop lead may withdraw it.")
    refold_elsewhere(revision.run_id)


def refold_elsewhere(run: int) -> None:
    """Pieces of other runs that were used for this one: whether they count hangs on its shape."""
    used = Record.objects.filter(for_run=run, piece__isnull=False).values_list("piece", flat=True)
    if pieces := {piece_key(piece) for piece in used if piece is not None}:
        refold(pieces, RowStore())


def _nonce(revision: Revision) -> str:
    return f"{SERVERS_OWN}rev-{revision.pk}"
