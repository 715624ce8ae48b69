"""Template words of the frame: who may do what, the rail, fields of forms, icons."""

from collections.abc import Mapping

from django import template
from django.forms import BoundField
from django.http import HttpRequest
from django.templatetags.static import static
from django.urls import NoReverseMatch, reverse
from django.utils.html import format_html
from django.utils.safestring import SafeString

from shop.jobs import permissions
from shop.jobs.codes import printed
from shop.jobs.rail import RailEntry, entries_for

register = template.Library()


@register.filter
def may(person: object, action: str) -> bool:
    """`{% if user|may:"revision.ok" %}`: whether the person's role may do it."""
    return bool(getattr(person, "is_authenticated", False)) and permissions.may(person, action)  # type: ignore[arg-type]


@register.filter
def code(value: str) -> str:
    """A code as it is printed, 4-3-3."""
    return printed(value)


@register.filter
def words(text: str) -> list[str]:
    """`{% for name in "disc tray"|words %}`: a short list that a template names itself."""
    return text.split()


@register.filter
def get(mapping: Mapping[str, object], key: str) -> object:
    """One value of a mapping by a key that the page computed; nothing where it isn't there."""
    return mapping.get(key, "")


@register.simple_tag
def icon(name: str, size: str = "") -> SafeString:
    """A shape of `look/signs.svg` for the eye alone; the word stands beside it. Sizes: sm, big."""
    words = f"i {size}" if size else "i"
    return format_html(
        '<svg class="{}" aria-hidden="true" focusable="false"><use href="{}#{}"/></svg>',
        words,
        static("look/signs.svg"),
        name,
    )


@register.simple_tag
def url_if(name: str, *args: object) -> str:
    """The address of a page, or nothing where no page has that name."""
    try:
        return reverse(name, args=args)
    except NoReverseMatch:
        return ""


@register.inclusion_tag("parts/_rail.html", takes_context=True)
def rail(context: template.Context) -> dict[str, list[RailEntry]]:
    """The pages that the person's role may open, the present one marked."""
    request: HttpRequest = context["request"]
    return {"entries": entries_for(request.user, request.path)}  # type: ignore[arg-type]


@register.inclusion_tag("parts/_field.html")
def field(bound: BoundField) -> dict[str, BoundField]:
    """`{% field form.note %}`: label, input with what was typed, help, errors in words."""
    return {"field": bound}


@register.inclusion_tag("parts/_form_errors.html")
def form_errors(form: object) -> dict[str, object]:
    """What is wrong with the form as a whole."""
    return {"form": form}
