"""What a foreman's phone may keep and send later: runs, drafts, answers; and the pages that it keeps for him."""

from collections.abc import Iterator
from urllib.parse import urlencode

from django.http import QueryDict
from django.urls import reverse

from shop.jobs.models import Job, Person
from shop.jobs.outbox import Entry, Taken
from shop.jobs.permissions import get_for, may, visible
from shop.jobs.refusals import Refusal
from shop.requests import asking, queries, services
from shop.requests.forms import AnswerForm, AskForm
from shop.requests.models import Paper, Question, Revision, Run
from shop.requests.posted import key_of, posted, why_not
from shop.requests.shapes import SHAPES

MOST_JOBS = 3


def run_send(person: Person, entry: Entry) -> Taken:
    """A run, or the next revision of one. What went out with this nonce before is answered first: since then its job
    may have been closed. Refused: as `why_not` and the services."""
    form = posted(person, _with_nonce(entry))
    before = _sent_before(person, entry.nonce)
    if form.can_go():
        return _run_sent(asking.send(form, actor=person))
    if before:
        return _run_sent(before)
    raise why_not(form)


def _sent_before(person: Person, nonce: str) -> Run | None:
    sent = Revision.objects.exclude(state=Paper.DRAFT).filter(made_by=person)
    found = sent.filter(nonce=nonce).first() or sent.filter(run__request__nonce=nonce, number=1).first()
    return found.run if found else None


def _run_sent(run: Run) -> Taken:
    return Taken(f"{run.tag} is sent to the shop.", reverse("run", args=[run.pk]))


def run_keep(person: Person, entry: Entry) -> Taken:
    """A draft, whatever is wrong or empty in its rows."""
    form = posted(person, _with_nonce(entry))
    if not form.can_be_kept():
        raise _head_wrong(form)
    run = asking.keep(form, actor=person).run
    words = f"{run.tag} is kept as a draft. The shop doesn't see it yet."
    return Taken(words, reverse("run-change", args=[run.pk]))


def _head_wrong(form: AskForm) -> Refusal:
    return why_not(form) if form.errors else Refusal("gaps", "A draft needs its place and its tag.")


def question_answer(person: Person, entry: Entry) -> Taken:
    """An answer; the same answer by the same person again is no news."""
    question = get_for(person, "question.answer", Question, pk=key_of(entry.data.get("question", "")))
    form = AnswerForm(entry.data, question=question)
    if not form.is_valid():
        raise Refusal("no_answer", "Tap an answer, or write one.")
    answer = form.cleaned_data["answer"]
    if not (question.answered_by_id == person.pk and question.answer == answer.strip()):
        services.question_answer(question=question, answer=answer, actor=person)
    return Taken("The shop has your answer.", reverse("run", args=[question.revision.run_id]))


def _with_nonce(entry: Entry) -> QueryDict:
    """The entry's nonce counts: a copy of the page carries one that many may have used."""
    data = entry.data.copy()
    data["nonce"] = entry.nonce
    return data


# The pages to keep


def pages(person: Person) -> Iterator[str]:
    """Where he asks, for the jobs that he asks for most, and his runs with the questions that wait for him."""
    if may(person, "request.write"):
        yield reverse("run-ask")
        for job in _jobs(person):
            yield f"{reverse('run-ask')}?{urlencode({'job': job})}"
            for shape in SHAPES:
                yield f"{reverse('run-ask')}?{urlencode({'job': job, 'shape': shape.key})}"
    if may(person, "request.view"):
        yield reverse("my-runs")
    if may(person, "question.answer"):
        for question in queries.open_questions(person)[:10]:
            yield reverse("run", args=[question.revision.run_id])


def _jobs(person: Person) -> list[int]:
    """The job asked for last, then his others; the shop's people, who see all, keep the last one only."""
    last = queries.last_job(person)
    mine = visible(person, Job).filter(closed_at=None).order_by("name").values_list("pk", flat=True)
    ordered = sorted(mine, key=lambda key: key != last)
    return ordered[: 1 if person.in_shop else MOST_JOBS]
