"""What waits for the shop lead, grouped by why; and one revision as he reviews it."""

from dataclasses import dataclass

from django.db.models import F, Prefetch, QuerySet

from shop.jobs.models import Person
from shop.jobs.permissions import visible
from shop.requests.models import OPEN_PAPER, Paper, Profile, Question, Revision

GROUPS = ("Changed", "Rush", "Answered", "New", "OK'd: release them", "Waits for an answer", "Held")


@dataclass(frozen=True)
class Group:
    """One part of the inbox: its name and its revisions, the earliest needed first."""

    name: str
    revisions: list[Revision]


def waiting(person: Person) -> QuerySet[Revision]:
    """Every revision that is sent and not released, earliest need first, those without a day last."""
    questions = Prefetch("questions", Question.objects.order_by("asked_at"))
    rows = visible(person, Revision).filter(state__in=OPEN_PAPER)
    rows = rows.select_related("run__job", "run__place").prefetch_related(questions)
    return rows.order_by(F("needed_at").asc(nulls_last=True), "pk")


def inbox(person: Person) -> list[Group]:
    """The inbox in its groups; a revision stands in the first group that it belongs to."""
    sorted_in: dict[str, list[Revision]] = {name: [] for name in GROUPS}
    for revision in waiting(person):
        sorted_in[_group(revision)].append(revision)
    return [Group(name, found) for name, found in sorted_in.items() if found]


def _group(revision: Revision) -> str:
    by_state = {Paper.QUESTION: "Waits for an answer", Paper.OK: "OK'd: release them", Paper.HELD: "Held"}
    if revision.state in by_state:
        return by_state[Paper(revision.state)]
    if revision.number > 1:
        return "Changed"
    if revision.rush:
        return "Rush"
    return "Answered" if revision.questions.all() else "New"


def benders_for(revision: Revision) -> list[Profile]:
    """The newest profile of each bender that bends this raceway and size."""
    rows = Profile.objects.filter(raceway=revision.raceway, size=revision.size, bender__retired_at=None)
    newest: dict[int, Profile] = {}
    for profile in rows.select_related("bender").order_by("version"):
        newest[profile.bender_id] = profile
    return list(newest.values())
