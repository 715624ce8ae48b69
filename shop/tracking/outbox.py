"""The pages of the field that its people's browsers keep."""

from collections.abc import Iterator

from django.urls import reverse

from shop.jobs.models import Person
from shop.jobs.permissions import may


def pages(person: Person) -> Iterator[str]:
    """Today, and what is needed today."""
    if may(person, "today.view"):
        yield reverse("today")
        yield reverse("needed")
    yield reverse("not-sent")
