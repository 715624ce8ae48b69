"""What each role may do: one table, and the one way to get an object that a person may touch."""

from typing import TypeVar

from django.core.exceptions import PermissionDenied
from django.db.models import Model, Q, QuerySet
from django.http import Http404

from shop.jobs.models import Person, Role

FOREMAN, INSTALLER, LEAD, HAND, DRIVER, OFFICE, VIEWER = Role
FIELD = frozenset({FOREMAN, INSTALLER})
SHOP = frozenset({LEAD, HAND, DRIVER, OFFICE})
EVERYBODY = FIELD | SHOP

# action: roles. Viewers act through links of their own, which die; they may do nothing here.
MAY: dict[str, frozenset[Role]] = {
    "today.view": FIELD,
    "outbox.send": EVERYBODY,
    "job.view": EVERYBODY,
    "place.view": EVERYBODY,
    "place.add": frozenset({FOREMAN, LEAD, OFFICE}),
    "place.print": EVERYBODY,
    "request.view": EVERYBODY,
    "request.write": frozenset({FOREMAN, LEAD}),
    "request.send": frozenset({FOREMAN, LEAD}),
    "photo.add": EVERYBODY - {OFFICE},
    "question.ask": frozenset({LEAD}),
    "question.answer": frozenset({FOREMAN}),
    "inbox.view": frozenset({LEAD, OFFICE}),
    "revision.ok": frozenset({LEAD}),
    "revision.release": frozenset({LEAD}),
    "revision.override": frozenset({LEAD, OFFICE}),
    "board.view": SHOP,
    "ticket.print": frozenset({LEAD, HAND}),
    "label.print": frozenset({LEAD, HAND, DRIVER, FOREMAN}),
    "piece.view": EVERYBODY,
    "piece.record": EVERYBODY,
    "piece.remake": frozenset({FOREMAN, LEAD, HAND, DRIVER, OFFICE}),
    "area.view": EVERYBODY,
    "history.view": frozenset({LEAD, OFFICE}),
    "people.view": frozenset({LEAD, OFFICE}),
}

ModelT = TypeVar("ModelT", bound=Model)


def may(person: Person, action: str) -> bool:
    """Whether the person's role may do it at all. An unknown action is an error, never a no."""
    return bool(person.is_active and Role(person.role) in MAY[action])


def permit(person: Person, action: str) -> None:
    """403 unless the person may do it."""
    if not may(person, action):
        raise PermissionDenied(action)


def visible(person: Person, model: type[ModelT]) -> QuerySet[ModelT]:
    """The rows of a model that the person may see: the shop sees all, the field its jobs and what belongs to no job."""
    rows: QuerySet[ModelT] = model._default_manager.all()
    if person.in_shop:
        return rows
    if person.role == Role.VIEWER:
        return rows.none()
    path: str = model.JOB_PATH  # type: ignore[attr-defined]
    mine = Q(**{f"{path}__in": person.jobs.all()})
    return rows.filter(mine | Q(**{f"{path}__isnull": True}))


def get_for(person: Person, action: str, model: type[ModelT], **key: object) -> ModelT:
    """The object, permitted: 404 if it isn't the person's to see, 403 if it isn't the person's to do."""
    found = visible(person, model).filter(**key).first()
    if found is None:
        raise Http404(f"no {model.__name__} with {key}")
    permit(person, action)
    return found
