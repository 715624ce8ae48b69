"""What the page of one run shows: pictures, numbers with what they were measured to, questions, revisions."""

from typing import Any

from django.db.models import QuerySet

from shop.jobs.models import Person
from shop.jobs.permissions import may
from shop.requests import drawings, queries
from shop.requests.forms import AnswerForm
from shop.requests.models import OPEN_PAPER, Paper, Question, Revision, Run
from shop.requests.words import changed, said

CHANGEABLE = (*OPEN_PAPER, Paper.RELEASED, Paper.DRAFT)


def run_page(run: Run, person: Person, rev: str = "", answer: AnswerForm | None = None) -> dict[str, Any]:
    """`rev` is the letter of a revision to look at, else the present one; `answer` a form that wasn't taken."""
    revisions = list(run.revisions.select_related("made_by", "profile__bender", "drop").order_by("-number"))
    revision = next((one for one in revisions if one.letter == rev), run.present)
    before = next((one for one in revisions if one.number < revision.number and one.state != Paper.DRAFT), None)
    questions = list(_questions(run))
    asked = [one for one in questions if one.answered_at is None and one.revision_id == revision.pk]
    lit = [question.at for question in asked if question.at]
    return {
        "run": run,
        "job": run.job,
        "revision": revision,
        "revisions": revisions,
        "is_present": revision.pk == run.present.pk,
        "held_because": queries.held_because(revision),
        "draft": next((one for one in revisions if one.state == Paper.DRAFT), None),
        "views": _views(revision, lit),
        "solid": drawings.solid(revision),
        "numbers": said(revision.document),
        "lit": lit,
        "reads": (revision.layout or {}).get("reads", ""),
        "before": before,
        "changes": changed(before.document, revision.document) if before else (),
        "photos": run.photos.select_related("made_by").order_by("made_at", "pk"),
        "asked": [(question, _form(question, answer)) for question in asked],
        "answered": [question for question in questions if question.answered_at is not None],
        "can_answer": may(person, "question.answer"),
        "can_change": may(person, "request.write") and run.present.state in CHANGEABLE,
        "can_withdraw": may(person, "request.write") and revision.state in (*OPEN_PAPER, Paper.DRAFT),
    }


def _questions(run: Run) -> QuerySet[Question]:
    """Of every revision: what was answered on A still tells why B is as it is."""
    found = Question.objects.filter(revision__run=run).select_related("revision", "asked_by", "answered_by")
    return found.order_by("-asked_at")


def _views(revision: Revision, lit: list[str]) -> tuple[str, ...]:
    bad = [problem["at"] for problem in revision.problems]
    return drawings.views_of(revision, bad=bad, lit=lit)


def _form(question: Question, answer: AnswerForm | None) -> AnswerForm:
    """The form that came back, where it is this question's; else an empty one."""
    return answer if answer and answer.question.pk == question.pk else AnswerForm(question=question)
