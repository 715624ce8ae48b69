"""From the form to the services and back: what the builder's page shows, and which service a posted form means."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.db import transaction

from shop.jobs.models import Job, Person
from shop.jobs.permissions import visible
from shop.requests import builder, drawings, queries, services
from shop.requests.forms import AskForm
from shop.requests.models import Paper, Revision, Run
from shop.requests.offers import Asked, Offer, offers
from shop.requests.paper import lock_run
from shop.requests.rows import ADDED, ROWS
from shop.requests.shapes import Shape
from shop.requests.shown import kit_shown, rows_shown
from shop.requests.words import row_words

HEADS = {
    "wont_fit": "{row} won't fit",
    "too_close": "{row} runs into its neighbour",
    "past_the_end": "{row} runs past the pipe's end",
    "leg_too_short": "{row} is too short",
    "two_readings": "{row} reads two ways",
    "angle_too_large": "{row} bends too far",
    "no_bend_left": "{row} has no bend left",
}
# What a shoe is marked with.
ANGLES = ("5", "10", "15", "22½", "30", "45", "60", "90")
# What only the shop can look at: which limits of its bender it hasn't measured yet. The mirror has its own yes.
NOT_HIS = {"not_checked", "mirror"}


@dataclass(frozen=True)
class Trouble:
    """One problem between drawing and rows: what hits what, why, and the keys that would mend it."""

    head: str
    text: str
    target: str
    offers: tuple[Offer, ...] = ()


def page(form: AskForm, fresh: str = "") -> dict[str, Any]:
    """All that the builder's page shows; `fresh` is the row that a button has just added."""
    adds = [(kind, ROWS[kind].words) for kind in ADDED]
    return answer(form) | {"features": adds, "fresh": fresh, "angles": ANGLES, "kit": kit_shown()}


def answer(form: AskForm) -> dict[str, Any]:
    """What is told again at every change: pictures, troubles, the read-back, and the send key's words."""
    solved = form.solved
    keys = _offers(form)
    return {
        "form": form,
        "rows": rows_shown(form, keys),
        "views": _views(form),
        "drawn_in_part": solved.layout is None and bool(builder.missing(form.rows)),
        "troubles": _troubles(form, keys),
        "stops": [check for check in _checks(form) if check["level"] in ("cannot", "rule")],
        "cautions": [one for one in _checks(form) if one["level"] == "caution" and one["code"] not in NOT_HIS],
        "reads": solved.reads,
        "three_d": solved.three_d,
        "key": _key_words(form),
        "unsure": form.unsure,
        "ready": not (form.missing or form.faults or form.needs_yes or form.unsure),
        "cut": _cut(solved.layout),
    }


def _views(form: AskForm) -> tuple[str, ...]:
    places = [problem["at"] for problems in form.wrong.values() for problem in problems]
    places += [str(check["at"]) for check in _checks(form) if check["level"] == "cannot" and check.get("at")]
    return drawings.views(form.document, form.solved.layout, form.sketch, bad=places)


def _checks(form: AskForm) -> list[Mapping[str, Any]]:
    return list((form.solved.layout or {}).get("checks", []))


def _offers(form: AskForm) -> dict[str, tuple[Offer, ...]]:
    """The keys that would mend the first trouble, by the field or row that the trouble stands at."""
    for name, problems in form.wrong.items():
        found = offers(Asked(form.rows, form.head, form.profile), problems, form.solved.problems)
        if found:
            return {name: tuple(found)}
    return {}


def _troubles(form: AskForm, keys: Mapping[str, tuple[Offer, ...]]) -> list[Trouble]:
    return [
        Trouble(_head(form, name, problem), problem["text"], name, keys.get(name, ()) if number == 0 else ())
        for name, problems in form.wrong.items()
        for number, problem in enumerate(problems)
    ]


def _head(form: AskForm, name: str, problem: Mapping[str, Any]) -> str:
    """What hits what, in five words."""
    number = name.partition("-")[0].removeprefix("r")
    row = row_words(form.rows, int(number)) if number.isdigit() else "The run" if not name else "The conduit"
    return HEADS.get(problem["code"], "{row}: look at this").format(row=row)


def _key_words(form: AskForm) -> str:
    """The send key says what is still between him and sending."""
    if form.faults:
        return f"Fix {form.faults}, then send"
    if form.missing:
        return f"Fill {len(form.missing)}, then send"
    yeses = len(form.unsure) + form.needs_yes
    return "Send" if not yeses else "Say yes, then send" if yeses == 1 else f"Answer {yeses}, then send"


def _cut(layout: Mapping[str, Any] | None) -> dict[str, Any] | None:
    """The whole in one line: how long it is cut, how many bends, how many degrees."""
    if layout is None:
        return None
    marks = [mark for piece in layout["pieces"] for mark in piece["marks"]]
    total = sum(mark["angle"] for mark in marks)
    return {"length": layout["developed_length"], "bends": len(marks), "degrees": f"{total:g}"}


def pick(person: Person, job_key: str, shapes: Sequence[Shape]) -> dict[str, Any]:
    """The pictures to start from, for one of the person's jobs; what he asked last comes first."""
    jobs = list(visible(person, Job).filter(closed_at=None).order_by("name"))
    wanted = job_key if job_key.isdigit() else str(queries.last_job(person))
    job = next((job for job in jobs if str(job.pk) == wanted), jobs[0] if jobs else None)
    last = queries.last_revision(person, job)
    return {"jobs": jobs, "job": job, "shapes": shapes, "last": last, "last_icon": last and drawings.icon(last.layout)}


def edited(form: AskForm, action: str) -> str:
    """Does one button's work on the form's rows; answers the name of the first row that it changed."""
    before, form.rows = form.rows, builder.edited(form.rows, action)
    pairs = enumerate(zip(before, form.rows, strict=False))
    return next((f"r{number}" for number, (old, new) in pairs if old != new), "")


# Saving


def send(form: AskForm, actor: Person) -> Run:
    """A new run, the next revision of one, or the draft of one, sent once a nonce."""
    nonce, seen, draft, run = form.cleaned_data["nonce"], form.cleaned_data["seen"], form.draft(), form.run
    if run is None:
        job = form.cleaned_data["job"]
        sent = services.request_send(job=job, nonce=nonce, runs=[draft], cost_code=draft.cost_code, actor=actor)
        return sent.runs.get()
    if run.revisions.exclude(state=Paper.DRAFT).exists():
        return services.run_revise(run=run, draft=draft, actor=actor, nonce=nonce, seen=seen).run
    return _draft_send(run, draft, actor, nonce=nonce, seen=seen)


def _draft_send(run: Run, draft: services.RunDraft, actor: Person, *, nonce: str, seen: str) -> Run:
    """Locked first: of two that send the same draft at once, the second finds it sent."""
    with transaction.atomic():
        run = lock_run(run.pk)
        if run.revisions.exclude(state=Paper.DRAFT).exists():
            return services.run_revise(run=run, draft=draft, actor=actor, nonce=nonce, seen=seen).run
        kept = services.draft_save(run_draft=draft, job=run.job, actor=actor, revision=run.revisions.get(), seen=seen)
        return services.revision_send(revision=kept, actor=actor, nonce=nonce).run


def keep(form: AskForm, actor: Person) -> Revision:
    """The draft of a new run, or of a run's next revision."""
    run = form.run
    job = run.job if run else form.cleaned_data["job"]
    newest = run.revisions.order_by("-number").first() if run else None
    said = {"nonce": form.cleaned_data["nonce"], "seen": form.cleaned_data["seen"]}
    return services.draft_save(run_draft=form.draft(), job=job, actor=actor, revision=newest, **said)
