"""The rail: the pages of the house by role, with a count where something waits."""

from collections.abc import Callable
from dataclasses import dataclass

from django.urls import NoReverseMatch, reverse

from shop.jobs.models import Person
from shop.jobs.permissions import may


@dataclass(frozen=True)
class Page:
    """A page that the rail may lead to: its URL's name, its word, and the action that opens it."""

    name: str
    words: str
    action: str


@dataclass(frozen=True)
class RailEntry:
    url: str
    words: str
    here: bool
    waiting: int


PAGES = (
    Page("today", "Today", "today.view"),
    Page("run-ask", "Ask", "request.write"),
    Page("my-runs", "My runs", "request.write"),
    Page("inbox", "Inbox", "inbox.view"),
    Page("board", "Board", "board.view"),
    Page("areas", "Areas", "area.view"),
    Page("code-typed", "Find", "piece.view"),
    Page("history", "History", "history.view"),
)

# page name: how many things wait there for this person. A stage fills in its own when it is loaded.
WAITING: dict[str, Callable[[Person], int]] = {}


def entries_for(person: Person, path: str) -> list[RailEntry]:
    """The person's pages in the rail's order; pages that no stage has are left out."""
    return [entry for page in PAGES if may(person, page.action) and (entry := _entry(page, person, path))]


def _entry(page: Page, person: Person, path: str) -> RailEntry | None:
    try:
        url = reverse(page.name)
    except NoReverseMatch:
        return None
    here = path == url or (url != "/" and path.startswith(url))
    count = WAITING.get(page.name)
    return RailEntry(url, page.words, here, count(person) if count else 0)
