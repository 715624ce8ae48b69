"""What a person asks for, before it is anybody's row: checked, solved, and written onto a revision."""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from shop.jobs.models import Job, Place
from shop.jobs.refusals import Refusal
from shop.requests import bends
from shop.requests.models import Profile, Revision, Run

MOST_COPIES = 999
DEEPEST = 40
# A database takes so many values in one statement.
MOST_AT_ONCE = 500
LARGEST = 10**15
LONGEST_WORDS = {"tag": 30, "title": 80, "note": 2000, "rush_reason": 200, "cost_code": 40}


@dataclass(frozen=True, kw_only=True)
class RunDraft:
    """One run as asked for. `document` is its run/1 text as typed; `profile` None lets the shop's present one be taken.

    `three_d_yes`: the person said yes to a run that leaves one plane, as it was read back.
    """

    place: Place
    tag: str
    document: dict[str, Any]
    quantity: int = 1
    title: str = ""
    profile: Profile | None = None
    note: str = ""
    needed_at: datetime | None = None
    drop: Place | None = None
    rush: bool = False
    rush_reason: str = ""
    three_d_yes: bool = False
    cost_code: str = ""


def profile_of(draft: RunDraft) -> Profile | None:
    """The profile that was chosen, else the shop's present one for the conduit."""
    if draft.profile is not None:
        return draft.profile
    raceway, size = conduit(draft.document)
    return bends.profile_for(raceway, size)


def conduit(document: Any) -> tuple[str, str]:
    """Raceway and size as the document has them; empty where they are no words that could be kept."""
    said = document if isinstance(document, dict) else {}
    raceway, size = said.get("raceway"), said.get("size")
    if isinstance(raceway, str) and isinstance(size, str) and len(raceway) <= 12 and len(size) <= 8:
        return raceway, size
    return "", ""


def check(draft: RunDraft, job: Job) -> None:
    """What holds for a draft as well. Refused: `no_tag`, `text_too_long`, `text_unreadable`, `no_quantity`,
    `too_many_copies`, `wrong_job`, `place_retired`."""
    _check_words(draft)
    if draft.quantity < 1:
        raise Refusal("no_quantity", "Say how many alike are needed: one or more.")
    if draft.quantity > MOST_COPIES:
        raise Refusal("too_many_copies", f"At most {MOST_COPIES} alike in one run.", most=MOST_COPIES)
    for place in filter(None, (draft.place, draft.drop)):
        if place.job_id != job.pk:
            raise Refusal("wrong_job", f"“{place}” isn't a place of {job}.")
        if place.retired_at is not None:
            raise Refusal("place_retired", f"“{place}” isn't used any more; pick another place.")


def check_sendable(draft: RunDraft) -> None:
    """What holds for a run that is sent. Refused: `rush_without_hour`, `rush_without_reason`."""
    if draft.rush and draft.needed_at is None:
        raise Refusal("rush_without_hour", "A rush needs the hour by which it must be there.")
    if draft.rush and not draft.rush_reason.strip():
        raise Refusal("rush_without_reason", "Say why it can't wait.")


def solve(draft: RunDraft) -> bends.Solved:
    return bends.solve(draft.document, profile_of(draft))


def check_solved(tag: str, solved: bends.Solved, said_yes: bool) -> None:
    """Refused: `not_solved` with the problems as its limits, `needs_yes`."""
    if solved.layout is None:
        words = solved.problems[0]["text"]
        raise Refusal("not_solved", f"{tag} can't be bent as it stands: {words}", problems=solved.problems)
    if solved.three_d and not said_yes:
        raise Refusal("needs_yes", f"{tag} leaves one plane: say yes to how it is read back.", reads=solved.reads)


def check_tags(drafts: Sequence[RunDraft], job: Job) -> None:
    """Refused: `tag_taken`, whether by another run of the job or twice among these."""
    wanted = Counter(draft.tag.strip() for draft in drafts)
    twice = [tag for tag, count in wanted.items() if count > 1]
    for tag in (*twice, *tags_taken(job, wanted)):
        raise Refusal("tag_taken", f"There is a run {tag} in {job} already.", tag=tag)


def tags_taken(job: Job, wanted: Iterable[str]) -> set[str]:
    """Which of these tags the job has already."""
    tags = list(wanted)
    parts = [tags[first : first + MOST_AT_ONCE] for first in range(0, len(tags), MOST_AT_ONCE)]
    return {tag for part in parts for tag in Run.objects.filter(job=job, tag__in=part).values_list("tag", flat=True)}


def write(draft: RunDraft, revision: Revision, solved: bends.Solved) -> None:
    """Puts all that the draft says on the revision's fields; saving is the caller's."""
    revision.raceway, revision.size = conduit(draft.document)
    revision.title, revision.note = draft.title.strip(), draft.note
    revision.document, revision.quantity = draft.document, draft.quantity
    revision.profile, revision.cost_code = profile_of(draft), draft.cost_code.strip()
    revision.needed_at, revision.drop = draft.needed_at, draft.drop
    revision.rush, revision.rush_reason = draft.rush, draft.rush_reason.strip()
    revision.three_d_yes = draft.three_d_yes
    write_solved(revision, solved)


def write_solved(revision: Revision, solved: bends.Solved) -> None:
    revision.layout, revision.problems = solved.layout, solved.problems
    revision.parts, revision.shape, revision.three_d = solved.parts, solved.shape, solved.three_d


def draft_of(revision: Revision) -> RunDraft:
    """A revision read back as what was asked for."""
    same = ("document", "quantity", "title", "note", "needed_at", "drop", "rush", "rush_reason", "three_d_yes")
    said = {name: getattr(revision, name) for name in (*same, "cost_code")}
    return RunDraft(place=revision.run.place, tag=revision.run.tag, profile=revision.profile, **said)


# What a nonce stands for; the place may be another one by now, by a later revision.
SAID = ("document", "quantity", "title", "note", "needed_at", "rush", "rush_reason", "cost_code")


def is_same(revision: Revision, draft: RunDraft) -> bool:
    """Whether a revision says what the draft asks for, word for word."""
    kept = draft_of(revision)
    return all(_bare(getattr(kept, name)) == _bare(getattr(draft, name)) for name in SAID)


def _bare(value: Any) -> Any:
    return value.strip() if isinstance(value, str) else value


def _check_words(draft: RunDraft) -> None:
    if not draft.tag.strip():
        raise Refusal("no_tag", "A run needs a tag.")
    for name, most in LONGEST_WORDS.items():
        if len(getattr(draft, name)) > most:
            raise Refusal(
                "text_too_long", f"The {name.replace('_', ' ')} takes {most} characters.", field=name, most=most
            )
    words = [getattr(draft, name) for name in LONGEST_WORDS]
    if not (all(map(can_be_kept, words)) and can_be_kept(draft.document)):
        raise Refusal("text_unreadable", "There are characters in it that can't be kept; type it again.")


def can_be_kept(value: Any, depth: int = 0) -> bool:
    """Whether any database keeps it: no NUL, no half characters, no number that isn't one, not nested without end."""
    if isinstance(value, str):
        return "\0" not in value and not any("\ud800" <= sign <= "\udfff" for sign in value)
    if isinstance(value, dict) and depth < DEEPEST:
        return all(
            isinstance(key, str) and can_be_kept(key) and can_be_kept(one, depth + 1) for key, one in value.items()
        )
    if isinstance(value, list | tuple) and depth < DEEPEST:
        return all(can_be_kept(one, depth + 1) for one in value)
    if isinstance(value, float):
        return value - value == 0
    return value is None or (isinstance(value, int) and abs(value) < LARGEST)
