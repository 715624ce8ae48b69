"""A run as a person saw it when he began to change it: two who change the same run must not overwrite each other."""

import hashlib
import json

from shop.jobs.refusals import Refusal
from shop.requests.models import Paper, Revision, Run

CONTENTS = ("document", "quantity", "title", "note", "rush", "rush_reason", "cost_code", "drop_id", "needed_at")


def seen_token(run: Run) -> str:
    """Stands for the newest revision and, while it is a draft, for all that it says."""
    newest = _newest(run)
    said = [getattr(newest, name) for name in CONTENTS]
    head = [newest.number, newest.state == Paper.DRAFT, run.place_id, run.tag]
    text = json.dumps([head, said], default=str, sort_keys=True)
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def check_seen(run: Run, seen: str) -> None:
    """Refused: `changed_meanwhile`, with the run as it is `seen` now; where nothing was shown, nothing is checked."""
    if not seen or seen == (now := seen_token(run)):
        return
    words = f"{run.tag} was changed meanwhile: {_by_whom(_newest(run))}."
    raise Refusal("changed_meanwhile", words, seen=now, run=run.pk)


def _newest(run: Run) -> Revision:
    return run.revisions.select_related("made_by").order_by("-number")[0]


def _by_whom(revision: Revision) -> str:
    what = "a draft of its next revision was kept" if revision.state == Paper.DRAFT else f"{revision.letter} was sent"
    return f"{what} by {revision.made_by.title}"
