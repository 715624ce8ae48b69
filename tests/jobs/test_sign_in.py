"""Signing in: what was typed stays, tries are counted, and only the demo names its people."""

import re

import pytest
from django.urls import reverse

from shop.jobs import services
from shop.jobs.views import demo_people

pytestmark = pytest.mark.django_db


@pytest.fixture
def foreman():
    return services.person_add(
        username="foreman", title="Foreman", role="foreman", password="a ruler of steel", actor=None
    )


def test_a_wrong_password_keeps_the_name(client, foreman):
    answer = client.post(reverse("sign-in"), {"username": "foreman", "password": "wood"})
    assert answer.status_code == 200 and 'value="foreman"' in answer.content.decode()


def test_the_page_speaks_of_a_sign_in_and_of_no_username(client, foreman):
    answer = client.post(reverse("sign-in"), {"username": "foreman", "password": "wood"})
    shown = re.sub(r"<[^>]*>", " ", answer.content.decode()).lower()
    assert answer.context["form"]["username"].label == "Your sign-in"
    assert "sign-in" in shown and "username" not in shown


def test_too_many_wrong_passwords_shut_the_door_with_a_page_of_our_own(client, foreman, settings):
    settings.AXES_FAILURE_LIMIT = 2
    tries = [client.post(reverse("sign-in"), {"username": "foreman", "password": "wood"}) for _ in range(2)]
    assert tries[-1].status_code == 429
    assert "jobs/person_locked_out.html" in [template.name for template in tries[-1].templates]


def test_a_shop_names_nobody_on_its_sign_in_page(client, settings):
    settings.DEMO = False
    assert client.get(reverse("sign-in")).context["demo_people"] == ()


def test_the_demo_offers_its_people(client, settings):
    settings.DEMO = True
    page = client.get(reverse("sign-in")).content.decode()
    assert demo_people() and all(person.username in page for person in demo_people())


def test_one_tap_signs_a_person_of_the_demo_in(client, settings):
    settings.DEMO = True
    person = demo_people()[0]
    services.person_add(username=person.username, title="x", role="foreman", password=person.password, actor=None)
    answer = client.post(reverse("sign-in"), {"username": person.username, "password": person.password})
    assert answer.status_code == 302 and answer.url == reverse("today")


def test_whoever_is_signed_in_is_led_on(client, foreman):
    client.force_login(foreman)
    assert client.get(reverse("sign-in")).status_code == 302
