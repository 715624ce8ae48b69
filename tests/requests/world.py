"""A small shop with one job, its people and its benders, for the tests of requests and of work."""

from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from shop.jobs import services as jobs
from shop.jobs.models import Job, Licence, Person, Place, PlaceKind, Role
from shop.jobs.refusals import Refusal
from shop.requests import services
from shop.requests.models import Bender, Profile, Revision
from shop.requests.services import RunDraft

NOON = datetime(2027, 3, 4, 18, 0, tzinfo=UTC)
# take-up and gain of a usual hand shoe (common practice, no source)
USUAL: dict[str, dict[str, Any]] = {
    "1/2": {"take_up": 5, "gain": "2 5/8"},
    "3/4": {"take_up": 6, "gain": "3 1/4"},
}


def stub(up: object = "19 1/2", turn: str = "out", **more: Any) -> dict[str, Any]:
    """A stub: up, a 90, and five and a half feet."""
    path = [{"leg": up}, {"corner": 90, "turn": turn}, {"leg": "5' 6\""}]
    return {"format": "run/1", "tag": "S-04", "raceway": "EMT", "size": "3/4", "measure": "back", "path": path, **more}


def straight() -> dict[str, Any]:
    return stub() | {"path": [{"leg": "75"}]}


def three_d() -> dict[str, Any]:
    """Out, then left: it leaves one plane."""
    path = [{"leg": "30"}, {"corner": 90, "turn": "out"}, {"leg": "30"}, {"corner": 90, "turn": "left"}, {"leg": "30"}]
    return stub() | {"path": path}


def too_many_degrees() -> dict[str, Any]:
    """Five 90s in one pull: over the 360 degrees that the code allows between pull points."""
    legs: list[dict[str, Any]] = [{"leg": "30"}]
    for _ in range(5):
        legs += [{"corner": 90, "turn": "left"}, {"leg": "30"}]
    return stub() | {"path": legs, "stick": None}


@dataclass
class World:
    """Rows that every test needs; `draft` asks for a stub unless it is told otherwise."""

    job: Job
    foreman: Person
    lead: Person
    hand: Person
    driver: Person
    installer: Person
    office: Person
    room: Place
    other_room: Place
    hoist: Place
    rack: Place
    bin: Place
    profile: Profile
    sent: int = 0

    def draft(self, tag: str = "S-04", **more: Any) -> RunDraft:
        return replace(RunDraft(place=self.room, tag=tag, document=stub()), **more)

    def nonce(self) -> str:
        self.sent += 1
        return f"sent-{self.sent}"

    def ask(self, tag: str = "S-04", **more: Any) -> Revision:
        """A run that is sent."""
        drafts = [self.draft(tag, **more)]
        return (
            services.request_send(job=self.job, nonce=self.nonce(), runs=drafts, actor=self.foreman).runs.get().present
        )

    def ok(self, tag: str = "S-04", **more: Any) -> Revision:
        return services.revision_ok(revision=self.ask(tag, **more), actor=self.lead)


def make() -> World:
    people = {role: _person(role) for role in Role if role != Role.VIEWER}
    job = jobs.job_add(name="North", actor=None)
    for role in (Role.FOREMAN, Role.INSTALLER):
        jobs.member_add(job=job, person=people[role], actor=None)
    level = _place("L2", PlaceKind.LEVEL, job.places.get())
    shop = jobs.place_add(name="Shop", kind=PlaceKind.SHOP, parent=None, actor=None)
    return World(
        job=job,
        room=_place("Room 214", PlaceKind.ROOM, level),
        other_room=_place("Room 216", PlaceKind.ROOM, level),
        hoist=_place("Hoist", PlaceKind.DROP, level),
        rack=_place("Rack", PlaceKind.RACK, shop),
        bin=_place("Scrap bin", PlaceKind.BIN, shop),
        profile=[profile(size=size) for size in USUAL][1],
        **{role.value: person for role, person in people.items()},
    )


def profile(size: str = "3/4", name: str = "", **more: Any) -> Profile:
    bender, _ = Bender.objects.get_or_create(name=name or f"Hand shoe {size}", defaults={"kind": "hand"})
    since = more.pop("since", NOON - timedelta(days=30))
    version = more.pop("version", bender.profiles.count() + 1)
    data = USUAL[size] | more.pop("data", {})
    return Profile.objects.create(
        bender=bender, raceway="EMT", size=size, version=version, data=data, since=since, **more
    )


def licence(person: Person, **days: Any) -> Licence:
    return Licence.objects.create(person=person, number="invented", **({"since": NOON.date()} | days))


def _person(role: Role) -> Person:
    return jobs.person_add(username=role.value, title=role.label, role=role, password=None, actor=None)


def _place(name: str, kind: PlaceKind, parent: Place) -> Place:
    return jobs.place_add(name=name, kind=kind, parent=parent, actor=None)


class refused:
    """The block must refuse with this code; what it changed must be nothing, which the caller looks at."""

    def __init__(self, code: str) -> None:
        self.code = code
        self.raises = pytest.raises(Refusal)

    def __enter__(self) -> Any:
        self.caught = self.raises.__enter__()
        return self.caught

    def __exit__(self, *raised: Any) -> bool:
        swallowed = bool(self.raises.__exit__(*raised))
        assert self.caught.value.code == self.code
        return swallowed
