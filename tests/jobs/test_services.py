"""Jobs, people and places: each change writes history, and a no is typed."""

import pytest

from shop.jobs import services
from shop.jobs.models import History, Place, PlaceKind, Role
from shop.jobs.refusals import Refusal

pytestmark = pytest.mark.django_db


@pytest.fixture
def job():
    return services.job_add(name="North", actor=None)


def test_a_job_begins_with_the_root_of_its_tree(job):
    root = Place.objects.get(job=job)
    assert (root.kind, root.name, root.path) == (PlaceKind.JOB, "North", f"/{root.pk}/")


def test_a_place_knows_its_path_and_its_name_from_the_root(job):
    root = job.places.get()
    level = services.place_add(name="  L2 ", kind=PlaceKind.LEVEL, parent=root, actor=None)
    room = services.place_add(name="Room 214", kind=PlaceKind.ROOM, parent=level, actor=None)
    assert room.full_name == "North, L2, Room 214"
    assert room.path == f"/{root.pk}/{level.pk}/{room.pk}/" and room.job == job


@pytest.mark.parametrize(("name", "code"), [("L2", "place_taken"), ("  ", "place_without_name")])
def test_a_place_is_refused_by_code(job, name, code):
    root = job.places.get()
    services.place_add(name="L2", kind=PlaceKind.LEVEL, parent=root, actor=None)
    with pytest.raises(Refusal) as refusal:
        services.place_add(name=name, kind=PlaceKind.LEVEL, parent=root, actor=None)
    assert refusal.value.code == code


def test_two_people_cannot_have_one_sign_in():
    services.person_add(username="a", title="Office", role=Role.OFFICE, password=None, actor=None)
    with pytest.raises(Refusal) as refusal:
        services.person_add(username="a", title="Driver", role=Role.DRIVER, password=None, actor=None)
    assert refusal.value.code == "username_taken"


def test_two_jobs_cannot_have_one_name(job):
    with pytest.raises(Refusal) as refusal:
        services.job_add(name="North", actor=None)
    assert refusal.value.code == "job_taken"


def test_putting_somebody_on_a_job_twice_is_once(job):
    person = services.person_add(username="a", title="Foreman", role=Role.FOREMAN, password=None, actor=None)
    services.member_add(job=job, person=person, actor=None)
    services.member_add(job=job, person=person, actor=None)
    assert History.objects.filter(action="member.add").count() == 1


def test_history_is_never_changed_and_never_deleted(job):
    row = History.objects.filter(action="job.add").get()
    with pytest.raises(TypeError):
        row.save()
    with pytest.raises(TypeError):
        row.delete()
