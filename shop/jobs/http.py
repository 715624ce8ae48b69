"""The request of somebody who is signed in, for the types' sake: the middleware lets nobody else through."""

from django.http import HttpRequest

from shop.jobs.models import Person


class PersonRequest(HttpRequest):
    user: Person
