"""What the services of the paper share: locks, states, typed refusals by state, the line of history."""

from collections.abc import Sequence

from shop.jobs.models import Job, Person
from shop.jobs.refusals import Refusal
from shop.jobs.services import history_write, history_write_all
from shop.requests import drafts
from shop.requests.models import Paper, Revision, Run

REFUSED_FOR = {
    Paper.DRAFT: ("not_sent", "It is a draft; send it first."),
    Paper.QUESTION: ("question_open", "A question on it waits for its answer."),
    Paper.OK: ("already_ok", "It is OK'd already."),
    Paper.RELEASED: ("already_released", "It is released already."),
    Paper.CLOSED: ("closed", "It is closed."),
    Paper.CHANGED: ("old_revision", "A newer revision has taken its place."),
    Paper.HELD: ("held", "It is on hold."),
    Paper.CANCELLED: ("cancelled", "It was withdrawn."),
    Paper.SENT: ("wrong_state", "It waits for the shop lead."),
}


def lock_job(job: Job) -> None:
    found = Job.objects.select_for_update(no_key=True).get(pk=job.pk)
    if found.closed_at is not None:
        raise Refusal("job_closed", f"{job} is closed.")


def lock_run(pk: int) -> Run:
    """NO KEY: a record that is being stored only needs that the run is there."""
    rows = Run.objects.select_related("job", "place", "request")
    return rows.select_for_update(no_key=True, of=("self",)).get(pk=pk)


def locked(revision: Revision) -> Revision:
    run = lock_run(revision.run_id)
    found = Revision.objects.get(pk=revision.pk)
    found.run = run
    return found


def set_state(revision: Revision, state: Paper, *also: str) -> None:
    revision.state = state
    revision.save(update_fields=["state", "resumes", *also])


def refusal(revision: Revision) -> Refusal:
    code, words = REFUSED_FOR[Paper(revision.state)]
    return Refusal(code, f"{revision.run.tag} rev {revision.letter}: {words}", state=revision.state)


def tell(action: str, revision: Revision, actor: Person, **data: object) -> None:
    run = revision.run
    history_write(action=action, subject=revision, actor=actor, job=run.job, tag=run.tag, rev=revision.letter, **data)


def tell_all(action: str, revisions: Sequence[Revision], actor: Person) -> None:
    """The same line of history for each, of runs of one job."""
    said = [(revision, {"tag": revision.run.tag, "rev": revision.letter}) for revision in revisions]
    history_write_all(action=action, said=said, actor=actor, job=revisions[0].run.job)


def check_nonce(nonce: str, apart_from: str = "\n") -> None:
    """Refused: `bad_nonce`. `apart_from`: how no nonce of a person may begin."""
    if not 0 < len(nonce) <= 64 or not drafts.can_be_kept(nonce) or nonce.startswith(apart_from):
        raise Refusal("bad_nonce", "What makes sending happen once is missing; load the page again.")


def check_text(text: str, field: str, most: int = 400) -> None:
    """Words that must be there. Refused: `no_text`, `text_too_long`, `text_unreadable`."""
    if not text.strip():
        raise Refusal("no_text", "Write it in words.", field=field)
    check_fits(text, field, most)


def check_fits(text: str, field: str, most: int = 400) -> None:
    """Words that may be there. Refused: `text_too_long`, `text_unreadable`."""
    if len(text) > most:
        raise Refusal("text_too_long", f"At most {most} characters.", field=field, most=most)
    if not drafts.can_be_kept(text):
        raise Refusal("text_unreadable", "There are characters in it that can't be kept; type it again.", field=field)


def has_open_question(revision: Revision) -> bool:
    return revision.questions.filter(answered_at=None).exists()
