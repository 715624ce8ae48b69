"""Services of asking: send, draft, revise, question and answer, OK, hold, withdraw.

Each is one transaction: it locks the run (or the job, for new runs), checks again under the lock, saves named fields
and writes its line of history. Refusals carry stable codes.
"""

from collections.abc import Sequence

from django.db import transaction

from shop.jobs import clock
from shop.jobs.models import Person
from shop.jobs.refusals import Refusal
from shop.requests import events
from shop.requests.drafts import RunDraft
from shop.requests.models import OPEN_PAPER, Paper, Question, Revision
from shop.requests.paper import check_fits, check_text, has_open_question, locked, refusal, set_state, tell
from shop.requests.sending import draft_drop, draft_save, request_send, revision_send, run_revise

__all__ = [
    "RunDraft",
    "draft_drop",
    "draft_save",
    "question_answer",
    "question_ask",
    "request_send",
    "revision_cancel",
    "revision_hold",
    "revision_ok",
    "revision_send",
    "revision_unhold",
    "run_revise",
]

HOLDABLE = (Paper.SENT, Paper.QUESTION, Paper.OK)


# Question and answer


def question_ask(
    *, revision: Revision, at: str = "", text: str, choices: Sequence[str] = (), actor: Person
) -> Question:
    """A question on one dimension; the run waits until it is answered. Refused: `no_text`, `text_too_long`,
    `text_unreadable`, and by state: only what is sent, OK'd or waiting can be asked about."""
    check_text(text, "text")
    check_fits(at, "at", most=120)
    check_fits("".join(choices), "choices")
    with transaction.atomic():
        found = locked(revision)
        if found.state not in HOLDABLE:
            raise refusal(found)
        question = Question.objects.create(
            revision=found, at=at, text=text.strip(), choices=list(choices), asked_by=actor
        )
        set_state(found, Paper.QUESTION)
        tell("question.ask", found, actor, question=question.pk, at=at, text=question.text)
        return question


def question_answer(*, question: Question, answer: str, actor: Person) -> Question:
    """Answers a question; when none is open any more the run is sent again. Refused: `no_text`, `text_too_long`,
    `text_unreadable`, `answered_already`, and by state."""
    check_text(answer, "answer")
    with transaction.atomic():
        found = locked(question.revision)
        question = Question.objects.get(pk=question.pk)
        if question.answered_at is not None:
            raise Refusal("answered_already", f"It was answered: “{question.answer}”.", answer=question.answer)
        if found.state not in (Paper.QUESTION, Paper.HELD):
            raise refusal(found)
        question.answer, question.answered_by, question.answered_at = answer.strip(), actor, clock.now()
        question.save(update_fields=["answer", "answered_by", "answered_at"])
        _go_on(found)
        tell("question.answer", found, actor, question=question.pk, answer=question.answer)
        return question


def _go_on(revision: Revision) -> None:
    if has_open_question(revision):
        return
    if revision.state == Paper.QUESTION:
        set_state(revision, Paper.SENT)
    elif revision.state == Paper.HELD:
        revision.resumes = Paper.SENT
        set_state(revision, Paper.HELD)
    else:
        raise AssertionError(revision.state)


# The shop lead's and the foreman's yes and no


def revision_ok(*, revision: Revision, actor: Person) -> Revision:
    """The shop lead's OK. Refused: `question_open`, `not_solved`, and by state: `not_sent`, `already_ok`, `held` …"""
    with transaction.atomic():
        found = locked(revision)
        if found.state != Paper.SENT:
            raise refusal(found)
        if found.layout is None:
            raise Refusal("not_solved", "It isn't solved.", problems=found.problems)
        found.ok_at, found.ok_by = clock.now(), actor
        set_state(found, Paper.OK, "ok_at", "ok_by")
        tell("revision.ok", found, actor)
        return found


def revision_hold(*, revision: Revision, actor: Person, reason: str) -> Revision:
    """Holds paper that isn't released, and says why; metal is held by its records.

    Refused: `no_reason`, `too_long`, and by state.
    """
    with transaction.atomic():
        check_fits(reason, "reason")
        if not reason.strip():
            raise Refusal("no_reason", "Say why it is held: somebody has to let it go again.")
        found = locked(revision)
        if found.state not in HOLDABLE:
            raise refusal(found)
        found.resumes = found.state
        set_state(found, Paper.HELD)
        tell("revision.hold", found, actor, reason=reason)
        return found


def revision_unhold(*, revision: Revision, actor: Person) -> Revision:
    """Lets held paper go on where it was. Refused: `not_held`."""
    with transaction.atomic():
        found = locked(revision)
        if found.state != Paper.HELD:
            raise Refusal("not_held", "It isn't on hold.")
        state, found.resumes = Paper(found.resumes), ""
        set_state(found, state)
        tell("revision.unhold", found, actor)
        return found


def revision_cancel(*, revision: Revision, actor: Person, reason: str = "") -> Revision:
    """Withdraws a revision that isn't released; the one before it goes on where it was. Refused by state."""
    with transaction.atomic():
        check_fits(reason, "reason")
        found = locked(revision)
        if found.state not in OPEN_PAPER:
            raise refusal(found)
        set_state(found, Paper.CANCELLED)
        tell("revision.cancel", found, actor, reason=reason)
        before = found.run.revisions.filter(state=Paper.CHANGED, number__lt=found.number).order_by("-number").first()
        if before:
            state, before.resumes = Paper(before.resumes), ""
            set_state(before, state)
            events.revision_withdrawn.send(Revision, revision=found, actor=actor)
        return found
