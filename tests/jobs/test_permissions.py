"""One table says what each role may do, and one call gets and permits."""

import pytest
from django.core.exceptions import PermissionDenied
from django.http import Http404

from shop.jobs import services
from shop.jobs.models import Job, Place, Role
from shop.jobs.permissions import MAY, get_for, may, visible

pytestmark = pytest.mark.django_db


@pytest.fixture
def person():
    return lambda role, name="x": services.person_add(
        username=f"{role}-{name}", title=role, role=role, password=None, actor=None
    )


@pytest.fixture
def two_jobs():
    return services.job_add(name="North", actor=None), services.job_add(name="South", actor=None)


def test_a_viewer_may_do_nothing(person):
    viewer = person(Role.VIEWER)
    assert not any(may(viewer, action) for action in MAY)


def test_an_installer_cannot_ask(person):
    installer = person(Role.INSTALLER)
    assert not may(installer, "request.write") and may(installer, "piece.record")


def test_only_the_lead_releases(person):
    allowed = {role for role in Role if may(person(role), "revision.release")}
    assert allowed == {Role.LEAD}


def test_a_person_who_left_may_nothing(person):
    lead = person(Role.LEAD)
    lead.is_active = False
    assert not may(lead, "revision.release")


def test_an_action_that_is_not_in_the_table_is_an_error(person):
    with pytest.raises(KeyError):
        may(person(Role.LEAD), "moon.land")


def test_a_foreman_sees_his_jobs_and_the_shop_sees_all(person, two_jobs):
    foreman, lead = person(Role.FOREMAN), person(Role.LEAD)
    services.member_add(job=two_jobs[0], person=foreman, actor=None)
    assert list(visible(foreman, Job)) == [two_jobs[0]]
    assert set(visible(lead, Job)) == set(two_jobs)


def test_what_is_not_his_to_see_is_not_found(person, two_jobs):
    foreman = person(Role.FOREMAN)
    place = Place.objects.get(job=two_jobs[1])
    with pytest.raises(Http404):
        get_for(foreman, "place.view", Place, pk=place.pk)


def test_what_is_not_his_to_do_is_forbidden(person, two_jobs):
    installer = person(Role.INSTALLER)
    services.member_add(job=two_jobs[0], person=installer, actor=None)
    with pytest.raises(PermissionDenied):
        get_for(installer, "place.add", Place, job=two_jobs[0])
