"""The sign-in page, which in the demo offers the demo's people, and what the site needs without a signal."""

import json
from dataclasses import dataclass
from functools import cache
from typing import Any

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.views import LoginView
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.middleware.csrf import get_token
from django.shortcuts import render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods

from shop.jobs import offline
from shop.jobs import outbox as sent_later
from shop.jobs.forms import SignInForm
from shop.jobs.http import PersonRequest
from shop.jobs.models import Role
from shop.jobs.permissions import permit
from shop.jobs.refusals import Refusal

NOT_TAKEN = 422

DOES = {
    Role.FOREMAN: "asks for runs, answers, receives",
    Role.INSTALLER: "finds pieces, says that they are in",
    Role.LEAD: "reviews, asks back, OKs, releases, prints",
    Role.HAND: "cuts, bends, checks, labels",
    Role.DRIVER: "loads and drops",
    Role.OFFICE: "sees the state of every job",
    Role.VIEWER: "looks only",
}


@dataclass(frozen=True)
class DemoPerson:
    username: str
    password: str
    title: str
    does: str


@cache
def demo_people() -> tuple[DemoPerson, ...]:
    """The people of the demo scenario, as its file has them."""
    scenario = json.loads((settings.BASE_DIR / "fixtures" / "demo.json").read_text())
    password = scenario["password"]
    return tuple(
        DemoPerson(person["username"], password, person["title"], DOES[Role(person["role"])])
        for person in scenario["people"]
    )


class SignIn(LoginView):
    authentication_form = SignInForm
    template_name = "jobs/person_sign_in.html"
    redirect_authenticated_user = True

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        """`demo_people` is empty outside the demo: a shop's sign-in page names nobody."""
        people = demo_people() if settings.DEMO else ()
        return super().get_context_data(demo_people=people, **kwargs)


# Without a signal


@require_GET
@never_cache
@login_not_required
def worker(request: HttpRequest) -> HttpResponse:
    """The service worker, which has to come from the root to serve the whole site."""
    return HttpResponse(offline.worker(), content_type="text/javascript; charset=utf-8")


@require_GET
@login_not_required
def manifest(request: HttpRequest) -> HttpResponse:
    return JsonResponse(offline.manifest(), content_type="application/manifest+json")


@require_GET
@login_not_required
def no_signal(request: HttpRequest) -> HttpResponse:
    """Stands in for a page that this browser has no copy of; it is the same for everybody."""
    return render(request, "jobs/no_signal.html")


@require_GET
def not_sent(request: PersonRequest) -> HttpResponse:
    """What is kept in this browser: the page's script fills it."""
    permit(request.user, "outbox.send")
    return render(request, "jobs/not_sent.html")


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
def outbox(request: PersonRequest) -> HttpResponse:
    """Who is signed in, with a fresh token and the pages to keep; posted, what was kept is done."""
    permit(request.user, "outbox.send")
    if request.method == "POST":
        return _taken(request)
    pages = sent_later.pages_for(request.user)
    return JsonResponse({"person": request.user.pk, "token": get_token(request), "pages": pages})


def _taken(request: PersonRequest) -> HttpResponse:
    try:
        entries = sent_later.read(request.body, request.user)
    except Refusal as refusal:
        return JsonResponse({"code": refusal.code, "words": refusal.words}, status=NOT_TAKEN)
    return JsonResponse({"answers": [sent_later.take(request.user, entry) for entry in entries]})
