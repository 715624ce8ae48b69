"""What every page of somebody who is signed in shares; the middleware lets nobody else through."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest

from shop.jobs.models import Person
from shop.jobs.refusals import Refusal


class PersonRequest(HttpRequest):
    user: Person


def done(request: HttpRequest, service: Any, **said: Any) -> bool:
    """Calls a service; its refusal is told above the page that comes next."""
    try:
        service(**said)
    except Refusal as refusal:
        messages.error(request, refusal.words)
        return False
    return True
