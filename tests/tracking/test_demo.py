"""The demo: loaded through the services, safe to run twice, and it leaves somebody's own database alone."""

import json
from io import StringIO

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError
from django.urls import reverse

from shop.jobs.models import History, Job, Person
from shop.jobs.services import person_add
from shop.requests.models import Paper, Revision
from shop.tracking.areas import five, jobs_with_areas
from shop.tracking.demo import FILE
from shop.work.models import Piece
from shop.work.queries import counts_at

pytestmark = pytest.mark.django_db


@pytest.fixture
def demo(settings):
    told = StringIO()
    call_command("demo", stdout=told)
    return told.getvalue()


def test_the_demo_has_something_at_every_step_and_in_every_state(demo):
    steps = set(Piece.objects.values_list("step", flat=True))
    assert steps >= {"released", "cut", "bent", "labelled", "loaded", "dropped", "received", "in the room", "in"}
    states = set(Revision.objects.values_list("state", flat=True))
    assert states >= {Paper.DRAFT, Paper.SENT, Paper.QUESTION, Paper.OK, Paper.RELEASED, Paper.CHANGED}
    assert Piece.objects.filter(word="OLD REV", step="loaded").exists()
    assert Piece.objects.filter(remake=1).exists()
    # the sign-ins are told, and the progress
    assert "foreman-tern" in demo and "17 of 17" in demo


def test_every_area_of_the_demo_adds_up(demo):
    for job in Job.objects.all():
        counts = counts_at(job.places.get(kind="job"))
        assert sum(five(counts).values()) == counts.total > 0
    assert all(row.areas for row in jobs_with_areas(Person.objects.get(username="lead")))


def test_loading_it_again_changes_nothing(demo):
    before = History.objects.count()
    told = StringIO()
    call_command("demo", stdout=told)
    assert History.objects.count() == before and "loaded already" in told.getvalue()


def test_somebody_elses_database_is_left_alone():
    person_add(username="own", title="Office", role="office", password=None, actor=None)
    with pytest.raises(CommandError):
        call_command("demo", stdout=StringIO())
    assert Person.objects.count() == 1


def test_deriving_again_finds_nothing_to_mend(demo):
    told = StringIO()
    call_command("derive_again", stdout=told)


def test_the_demos_people_stand_under_the_sign_in_only_in_the_demo(demo, client, settings):
    assert "foreman-tern" not in client.get(reverse("sign-in")).content.decode()
    settings.DEMO = True
    assert "foreman-tern" in client.get(reverse("sign-in")).content.decode()


def test_the_scenario_names_people_by_role_only():
    words = ("foreman", "installer", "lead", "hand", "driver", "office")
    assert all(any(word in one["username"] for word in words) for one in json.loads(FILE.read_text())["people"])
