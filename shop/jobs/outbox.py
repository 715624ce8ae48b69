"""What people did without a signal and their browsers kept: taken one entry at a time, each once by its nonce.

A stage enters what it takes in `KINDS`, and which pages its people need without a signal in `PAGES`.
"""

import json
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import Http404, QueryDict

from shop.jobs.models import Person
from shop.jobs.refusals import Refusal

MOST_AT_ONCE = 500


@dataclass(frozen=True)
class Entry:
    """One thing to do. `data` are a form's fields; `seq` counts the device's entries; clocks are the device's, ISO."""

    nonce: str
    kind: str
    data: QueryDict
    device: str
    seq: int
    made_at: str
    sent_at: str


@dataclass(frozen=True)
class Taken:
    """What came of it: one sentence, and the page that shows it."""

    words: str
    page: str


# kind: what does it for a person. It must answer the same entry alike, however often it comes.
KINDS: dict[str, Callable[[Person, Entry], Taken]] = {}
# Each names the pages (paths) that a person's browser keeps a copy of.
PAGES: list[Callable[[Person], Iterable[str]]] = []


def pages_for(person: Person) -> list[str]:
    """The pages to keep for this person, in the order in which they are fetched."""
    return list(dict.fromkeys(page for pages in PAGES for page in pages(person)))


def read(body: bytes, person: Person) -> list[Entry]:
    """The entries of a posted batch. Refused: `unreadable`, `too_many`, `other_person`."""
    try:
        said = json.loads(body)
        entries = [_entry(one, said) for one in said["entries"]]
        whose = said["person"]
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError) as error:
        raise Refusal("unreadable", "This isn't a list of things to do.") from error
    if len(entries) > MOST_AT_ONCE:
        raise Refusal("too_many", f"At most {MOST_AT_ONCE} at once.", most=MOST_AT_ONCE)
    if whose != person.pk:
        raise Refusal("other_person", "Somebody else has signed in meanwhile; what is kept here isn't his.")
    return entries


def _entry(one: Mapping[str, Any], said: Mapping[str, Any]) -> Entry:
    return Entry(
        nonce=str(one["nonce"]),
        kind=str(one["kind"]),
        data=QueryDict(str(one["data"])),
        device=str(said["device"])[:64],
        seq=int(one["seq"]),
        made_at=str(one["made_at"])[:40],
        sent_at=str(said["sent_at"])[:40],
    )


def take(person: Person, entry: Entry) -> dict[str, Any]:
    """Does it, or says why not: `nonce`, `state` (done, refused), `words`, and `page` or `code` with its limits."""
    try:
        taken = _kind(entry)(person, entry)
    except Refusal as refusal:
        return _refused(entry, refusal)
    except PermissionDenied:
        return _refused(entry, Refusal("not_allowed", "You may not do this any more."))
    except Http404:
        return _refused(entry, Refusal("not_found", "What it was about isn't there, or isn't yours to see any more."))
    return {"nonce": entry.nonce, "state": "done", "words": taken.words, "page": taken.page}


def _kind(entry: Entry) -> Callable[[Person, Entry], Taken]:
    if entry.kind not in KINDS:
        raise Refusal("unknown_kind", "This page is older than the shop's site: load it again and do it once more.")
    return KINDS[entry.kind]


def _refused(entry: Entry, refusal: Refusal) -> dict[str, Any]:
    said = {"code": refusal.code, "words": refusal.words, "limits": refusal.limits}
    return {"nonce": entry.nonce, "state": "refused", **said}
