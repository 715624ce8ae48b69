"""The sign-in page; in the demo it offers the demo's people, one tap each."""

import json
from dataclasses import dataclass
from functools import cache
from typing import Any

from django.conf import settings
from django.contrib.auth.views import LoginView

from shop.jobs.forms import SignInForm
from shop.jobs.models import Role

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
