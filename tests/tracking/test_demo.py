"""The demo: loaded through the services, safe to run twice, and it leaves somebody's own database alone."""

import json
from io import StringIO

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError
from django.test import TestCase

from shop.jobs.models import History, Job, Person
from shop.jobs.services import person_add
from shop.requests.models import Paper, Revision
from shop.tracking.areas import five, jobs_with_areas
from shop.tracking.demo import FILE
from shop.work.models import Piece
from shop.work.queries import counts_at


def loaded(**words):
    told = StringIO()
    call_command("demo", stdout=told, **words)
    return told.getvalue()


class TheDemo(TestCase):
    """Loaded once for all of these."""

    @classmethod
    def setUpTestData(cls):
        cls.told = loaded()

    def test_it_has_something_at_every_step(self):
        steps = set(Piece.objects.values_list("step", flat=True))
        want = {"released", "cut", "bent", "labelled", "loaded", "dropped", "received", "in the room", "in"}
        self.assertLessEqual(want, steps)

    def test_it_has_paper_in_every_state(self):
        states = set(Revision.objects.values_list("state", flat=True))
        want = {Paper.DRAFT, Paper.SENT, Paper.QUESTION, Paper.OK, Paper.RELEASED, Paper.CHANGED}
        self.assertLessEqual(want, states)

    def test_it_has_an_old_revision_on_a_truck_and_a_remake(self):
        self.assertTrue(Piece.objects.filter(word="OLD REV", step="loaded").exists())
        self.assertTrue(Piece.objects.filter(remake=1).exists())

    def test_it_tells_its_progress_and_the_sign_ins(self):
        self.assertIn("17 of 17", self.told)
        self.assertIn("foreman-tern", self.told)

    def test_every_job_adds_up(self):
        for job in Job.objects.all():
            counts = counts_at(job.places.get(kind="job"))
            self.assertEqual(sum(five(counts).values()), counts.total)
            self.assertGreater(counts.total, 0)

    def test_every_job_has_areas(self):
        self.assertTrue(all(row.areas for row in jobs_with_areas(Person.objects.get(username="lead"))))

    def test_loading_it_again_changes_nothing(self):
        before = History.objects.count()
        self.assertIn("loaded already", loaded())
        self.assertEqual(History.objects.count(), before)

    def test_deriving_again_finds_nothing_to_mend(self):
        told = StringIO()
        call_command("derive_again", stdout=told)
        self.assertIn("no difference", told.getvalue())


@pytest.mark.django_db
def test_somebody_elses_database_is_left_alone():
    person_add(username="own", title="Office", role="office", password=None, actor=None)
    with pytest.raises(CommandError):
        loaded()
    assert Person.objects.count() == 1


def test_the_scenario_names_people_by_role_only():
    words = ("foreman", "installer", "lead", "hand", "driver", "office")
    assert all(any(word in one["username"] for word in words) for one in json.loads(FILE.read_text())["people"])
