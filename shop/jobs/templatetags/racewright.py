"""Template words that every page may use."""

from django import template

from shop.jobs import permissions
from shop.jobs.codes import printed

register = template.Library()


@register.filter
def may(person: object, action: str) -> bool:
    """`{% if user|may:"revision.ok" %}`: whether the person's role may do it."""
    return bool(getattr(person, "is_authenticated", False)) and permissions.may(person, action)  # type: ignore[arg-type]


@register.filter
def code(value: str) -> str:
    """A code as it is printed, 4-3-3."""
    return printed(value)
