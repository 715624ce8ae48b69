"""Services of jobs, places and people. Each writes a history row in its own transaction."""

from collections.abc import Sequence
from typing import Any

from django.db import models, transaction
from django.utils import timezone

from shop.jobs.codes import new_code
from shop.jobs.models import History, Job, Membership, Person, Place, PlaceKind
from shop.jobs.refusals import Refusal


def history_write(
    *, action: str, subject: models.Model, actor: Person | None, job: Job | None = None, **data: Any
) -> History:
    """One line of history; called inside the transaction of the change that it tells."""
    line = _line(action, subject, actor, job, data)
    line.save()
    return line


def history_write_all(
    *, action: str, said: Sequence[tuple[models.Model, dict[str, Any]]], actor: Person, job: Job | None = None
) -> None:
    """A line each for many subjects, with what is told of it, in few statements."""
    lines = [_line(action, subject, actor, job, data) for subject, data in said]
    History.objects.bulk_create(lines, batch_size=500)


def _line(action: str, subject: models.Model, actor: Person | None, job: Job | None, data: dict[str, Any]) -> History:
    return History(
        person=actor,
        role=actor.role if actor else "",
        action=action,
        job=job,
        subject=subject._meta.model_name or "",
        subject_id=subject.pk,
        data=data,
    )


@transaction.atomic
def person_add(*, username: str, title: str, role: str, password: str | None, actor: Person | None) -> Person:
    """A new person. Refused: `username_taken`."""
    if Person.objects.filter(username=username).exists():
        raise Refusal("username_taken", f"“{username}” is taken; pick another sign-in.")
    person = Person.objects.create_person(username=username, title=title, role=role, password=password)
    history_write(action="person.add", subject=person, actor=actor, role_given=role)
    return person


@transaction.atomic
def job_add(*, name: str, address: str = "", time_zone: str = "America/Chicago", actor: Person | None) -> Job:
    """A new job with the root of its tree of places. Refused: `job_taken`."""
    if Job.objects.filter(name=name).exists():
        raise Refusal("job_taken", f"There is a job “{name}” already.")
    job = Job.objects.create(name=name, address=address, time_zone=time_zone)
    place_add(name=name, kind=PlaceKind.JOB, parent=None, job=job, actor=actor)
    history_write(action="job.add", subject=job, actor=actor, job=job)
    return job


@transaction.atomic
def member_add(*, job: Job, person: Person, actor: Person | None) -> Membership:
    """Puts a person on a job; twice is once."""
    membership, made = Membership.objects.get_or_create(job=job, person=person)
    if made:
        history_write(action="member.add", subject=person, actor=actor, job=job)
    return membership


@transaction.atomic
def place_add(*, name: str, kind: str, parent: Place | None, job: Job | None = None, actor: Person | None) -> Place:
    """A new place under its parent. Refused: `place_taken`, `place_without_name`."""
    name = " ".join(name.split())
    job = parent.job if parent else job
    if not name:
        raise Refusal("place_without_name", "A place needs a name.")
    if Place.objects.filter(parent=parent, job=job, name=name).exists():
        raise Refusal("place_taken", f"There is a place “{name}” here already.")
    full_name = f"{parent.full_name}, {name}" if parent else name
    place = Place.objects.create(job=job, parent=parent, kind=kind, name=name, full_name=full_name, code=new_code())
    place.path = f"{parent.path if parent else '/'}{place.pk}/"
    place.save(update_fields=["path"])
    history_write(action="place.add", subject=place, actor=actor, job=job, name=full_name)
    return place


@transaction.atomic
def place_close_set(*, place: Place, closes_at: Any, word: str, actor: Person) -> Place:
    """When walls close or the deck is poured here; None clears it."""
    place.closes_at, place.closes_word = closes_at, word
    place.save(update_fields=["closes_at", "closes_word"])
    when = timezone.localtime(closes_at).isoformat() if closes_at else None
    history_write(action="place.close_set", subject=place, actor=actor, job=place.job, closes_at=when, word=word)
    return place
