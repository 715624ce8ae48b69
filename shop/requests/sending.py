"""Sending and keeping: requests, drafts, revisions. The public names stand in `services`."""

from collections.abc import Sequence
from uuid import uuid4

from django.db import IntegrityError, transaction

from shop.jobs import clock
from shop.jobs.models import Job, Person
from shop.jobs.refusals import Refusal
from shop.jobs.services import history_write
from shop.requests import bends, drafts, events
from shop.requests.drafts import RunDraft
from shop.requests.models import Paper, Request, Revision, Run
from shop.requests.paper import check_nonce, lock_job, lock_run, refusal, set_state, tell, tell_all
from shop.requests.seen import check_seen

UNSENT = (Paper.DRAFT, Paper.CANCELLED)


def request_send(*, job: Job, nonce: str, runs: Sequence[RunDraft], cost_code: str = "", actor: Person) -> Request:
    """Sends one or many new runs, exactly once a nonce: sent again, the first request comes back.

    Refused: `no_runs`, `bad_nonce`, `nonce_taken`, `sent_otherwise`, `job_closed`, `tag_taken`, and what `drafts`
    refuses: `not_solved`, `needs_yes`, `rush_without_hour`, `rush_without_reason`, `no_tag`, `no_quantity` …
    """
    check_nonce(nonce)
    if not runs:
        raise Refusal("no_runs", "There is no run to send.")
    sent = Request.objects.filter(nonce=nonce).first()
    return _same_request(sent, job, runs, actor) if sent else _request_new(job, nonce, list(runs), cost_code, actor)


def _request_new(job: Job, nonce: str, runs: list[RunDraft], cost_code: str, actor: Person) -> Request:
    solved = [_solved_to_send(draft, job) for draft in runs]
    return solved_send(job=job, nonce=nonce, runs=runs, solved=solved, cost_code=cost_code, actor=actor)


def solved_send(
    *,
    job: Job,
    nonce: str,
    runs: Sequence[RunDraft],
    solved: Sequence[bends.Solved],
    cost_code: str = "",
    actor: Person,
) -> Request:
    """Sends runs that were checked and solved just now, in as many statements for ten thousand as for one.

    Refused: `job_closed`, `tag_taken`, `nonce_taken`, `sent_otherwise`.
    """
    with transaction.atomic():
        lock_job(job)
        if sent := Request.objects.filter(nonce=nonce).first():
            return _same_request(sent, job, runs, actor)
        drafts.check_tags(runs, job)
        code = cost_code or next((draft.cost_code for draft in runs if draft.cost_code), "")
        request = _request_row(job, nonce, code, actor)
        revisions = _runs_new(request, runs, solved, Paper.SENT, actor)
        tags = [draft.tag for draft in runs]
        history_write(action="request.send", subject=request, actor=actor, job=job, tags=tags)
        tell_all("revision.send", revisions, actor)
        return request


def check_asked(draft: RunDraft, job: Job) -> None:
    """What holds for everything that is sent, solved or not. Refused: as `request_send`."""
    drafts.check(draft, job)
    drafts.check_sendable(draft)


def _solved_to_send(draft: RunDraft, job: Job) -> bends.Solved:
    check_asked(draft, job)
    solved = drafts.solve(draft)
    drafts.check_solved(draft.tag, solved, draft.three_d_yes)
    return solved


def _runs_new(
    request: Request, wanted: Sequence[RunDraft], solved: Sequence[bends.Solved], state: Paper, actor: Person
) -> list[Revision]:
    sent_at = clock.now() if state == Paper.SENT else None
    runs = [Run(request=request, job=request.job, place=draft.place, tag=draft.tag.strip()) for draft in wanted]
    Run.objects.bulk_create(runs, batch_size=500)
    revisions = [Revision(run=run, made_by=actor, state=state, sent_at=sent_at) for run in runs]
    for draft, revision, found in zip(wanted, revisions, solved, strict=True):
        drafts.write(draft, revision, found)
    return Revision.objects.bulk_create(revisions, batch_size=100)


def _request_row(job: Job, nonce: str, cost_code: str, actor: Person) -> Request:
    """The lock is on one job: the same nonce sent to another at the same moment is stopped by the database alone."""
    try:
        with transaction.atomic():
            return Request.objects.create(job=job, nonce=nonce, made_by=actor, cost_code=cost_code)
    except IntegrityError as error:
        raise Refusal("nonce_taken", "This was sent for another job already.") from error


def _same_request(sent: Request, job: Job, runs: Sequence[RunDraft], actor: Person) -> Request:
    if (sent.job_id, sent.made_by_id) != (job.pk, actor.pk):
        raise Refusal("nonce_taken", "This was sent by somebody else already.")
    if len(runs) == 1:
        _check_same(sent.runs.earliest("pk").revisions.get(number=1), runs[0])
    return sent


def _check_same(sent: Revision, draft: RunDraft) -> None:
    """A page that was changed after it was sent, and sends again, must not be told that the change has gone."""
    if not drafts.is_same(sent, draft):
        raise Refusal("sent_otherwise", f"{sent.run.tag} was sent already, and not as it stands here.", run=sent.run_id)


# Drafts


def draft_save(
    *,
    run_draft: RunDraft,
    job: Job,
    actor: Person,
    revision: Revision | None = None,
    nonce: str = "",
    seen: str = "",
) -> Revision:
    """Keeps a draft: a new run's, or over the given draft; given a revision that was sent, the draft of its successor.

    A new run's is kept once a nonce: kept again, the draft is written over. `seen` is the run as the person saw it. A
    draft may have problems; they stand on it. Refused: `tag_taken`, `tag_fixed`, `place_fixed`, `cancelled`,
    `nonce_taken`, `changed_meanwhile`, and what `drafts.check` refuses.
    """
    drafts.check(run_draft, job)
    solved = drafts.solve(run_draft)
    with transaction.atomic():
        if revision is None:
            return _draft_new(run_draft, solved, job, actor, nonce or uuid4().hex)
        run = lock_run(revision.run_id)
        _check_still_draft(revision)
        check_seen(run, seen)
        return _draft_over(run, _own_draft(run, actor), run_draft, solved, actor)


def _draft_new(draft: RunDraft, solved: bends.Solved, job: Job, actor: Person, nonce: str) -> Revision:
    lock_job(job)
    nonce = f"draft-{nonce}"[:64]
    if kept := Request.objects.filter(nonce=nonce, job=job, made_by=actor).first():
        return _draft_again(lock_run(kept.runs.get().pk), draft, solved, actor)
    drafts.check_tags([draft], job)
    request = _request_row(job, nonce, draft.cost_code, actor)
    revision = _runs_new(request, [draft], [solved], Paper.DRAFT, actor)[0]
    tell("revision.draft", revision, actor)
    return revision


def _draft_again(run: Run, draft: RunDraft, solved: bends.Solved, actor: Person) -> Revision:
    """Kept once more with the same nonce: written over, unless it was sent since."""
    last = run.revisions.order_by("-number")[0]
    last.run = run
    return _draft_over(run, last, draft, solved, actor) if last.state == Paper.DRAFT else last


def _draft_over(run: Run, revision: Revision, draft: RunDraft, solved: bends.Solved, actor: Person) -> Revision:
    _move_run(run, draft)
    drafts.write(draft, revision, solved)
    revision.save()
    tell("revision.draft", revision, actor)
    return revision


def _check_still_draft(revision: Revision) -> None:
    """A page that was open on a draft may not start a new one when the draft was sent from another page."""
    if revision.state == Paper.DRAFT and not Revision.objects.filter(pk=revision.pk, state=Paper.DRAFT).exists():
        raise Refusal("not_draft", "It was sent meanwhile.")


def draft_drop(*, revision: Revision, actor: Person) -> None:
    """Throws a draft away, with its run where nothing of it was ever sent. Refused: `not_draft`."""
    with transaction.atomic():
        run = lock_run(revision.run_id)
        found = Revision.objects.get(pk=revision.pk)
        if found.state != Paper.DRAFT:
            raise Refusal("not_draft", "It was sent; it can be withdrawn, not thrown away.")
        tell("revision.drop", found, actor)
        found.delete()
        if not run.revisions.exists():
            request = run.request
            run.delete()
            if not request.runs.exists():
                request.delete()


def revision_send(*, revision: Revision, actor: Person, nonce: str) -> Revision:
    """Sends a draft, exactly once a nonce. Refused: `bad_nonce`, `not_draft`, `nonce_taken` and as `request_send`."""
    check_nonce(nonce)
    with transaction.atomic():
        run = lock_run(revision.run_id)
        found = Revision.objects.select_related("profile__bender", "drop").get(pk=revision.pk)
        if found.nonce == nonce:
            return found
        if found.state != Paper.DRAFT:
            raise Refusal("not_draft", "It was sent already.")
        found.run = run
        draft = drafts.draft_of(found)
        return _send(found, draft, _solved_to_send(draft, run.job), nonce, actor)


def run_revise(*, run: Run, draft: RunDraft, actor: Person, nonce: str = "", seen: str = "") -> Revision:
    """Sends the next revision of a run: B, C … The one before it is changed, and its metal is old from now on.

    `seen` is the run as the person saw it. Refused: `not_sent` (only a draft so far), `tag_fixed`, `place_fixed`,
    `cancelled`, `closed`, `changed_meanwhile`, and as `request_send`.
    """
    nonce = nonce or uuid4().hex
    check_nonce(nonce)
    if sent := _same_revision(run, draft, nonce):
        return sent
    solved = _solved_to_send(draft, run.job)
    with transaction.atomic():
        run = lock_run(run.pk)
        if sent := _same_revision(run, draft, nonce):
            return sent
        check_seen(run, seen)
        if not run.revisions.exclude(state=Paper.DRAFT).exists():
            raise Refusal("not_sent", f"{run.tag} is a draft; send it first.")
        revision = _own_draft(run, actor)
        _move_run(run, draft)
        return _send(revision, draft, solved, nonce, actor)


def _same_revision(run: Run, draft: RunDraft, nonce: str) -> Revision | None:
    """What went out with this nonce before, or nothing."""
    sent = Revision.objects.select_related("run").filter(run=run, nonce=nonce).first()
    if sent:
        _check_same(sent, draft)
    return sent


def _own_draft(run: Run, actor: Person) -> Revision:
    """The run's draft, or a new one after its last revision: not saved yet."""
    last = run.revisions.order_by("-number").first()
    assert last is not None
    if last.state == Paper.DRAFT:
        last.run = run
        return last
    if run.present.state in (Paper.CANCELLED, Paper.CLOSED):
        raise refusal(run.present)
    return Revision(run=run, number=last.number + 1, made_by=actor, state=Paper.DRAFT)


def _move_run(run: Run, draft: RunDraft) -> None:
    """A run that nobody was sent keeps nothing; one that was sent keeps its tag; one that was released its place."""
    sent = run.revisions.exclude(state=Paper.DRAFT).exists()
    if draft.tag.strip() != run.tag:
        if sent:
            raise Refusal("tag_fixed", f"The run stays {run.tag}: people know it by that.")
        drafts.check_tags([draft], run.job)
    if draft.place.pk != run.place_id and run.released_at is not None:
        raise Refusal("place_fixed", "Pieces of it are on their way to its place; ask for a new run there.")
    run.tag, run.place = draft.tag.strip(), draft.place
    run.save(update_fields=["tag", "place"])


def _send(revision: Revision, draft: RunDraft, solved: bends.Solved, nonce: str, actor: Person) -> Revision:
    before = _standing(revision.run)
    drafts.write(draft, revision, solved)
    revision.state, revision.nonce, revision.sent_at = Paper.SENT, nonce, clock.now()
    _save_once(revision)
    tell("revision.send", revision, actor)
    if before:
        before.resumes = before.resumes if before.state == Paper.HELD else before.state
        set_state(before, Paper.CHANGED)
        events.revision_superseded.send(Revision, revision=revision, actor=actor)
    return revision


def _save_once(revision: Revision) -> None:
    """The lock is on one run: a nonce that is another run's already is stopped by the database."""
    try:
        with transaction.atomic():
            revision.save()
    except IntegrityError as error:
        raise Refusal("nonce_taken", "This was sent for another run already.") from error


def _standing(run: Run) -> Revision | None:
    """The present revision, if it was sent and not withdrawn."""
    sent = run.revisions.exclude(state__in=UNSENT).order_by("-number").first()
    return sent
