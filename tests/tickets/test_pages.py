"""Addresses of paper: who may, what comes back, and what says that nothing was printed."""

import pytest
from django.urls import reverse

from shop.jobs import services as jobs
from shop.jobs.models import Job, Role
from shop.tickets.models import Print
from tests.tickets.reading import Pages

MAY_TICKET = {Role.LEAD, Role.HAND}
MAY_LABEL = {Role.LEAD, Role.HAND, Role.DRIVER, Role.FOREMAN}
EVERYBODY = set(Role) - {Role.VIEWER}


@pytest.fixture
def papers(floor, world):
    release = floor.release()
    return {
        "ticket-pdf": (release.pk, MAY_TICKET),
        "labels-pdf": (release.pk, MAY_LABEL),
        "label-pdf": (floor.piece().pk, MAY_LABEL),
        "sign-pdf": (world.hoist.pk, EVERYBODY),
    }


@pytest.mark.parametrize("role", sorted(EVERYBODY))
@pytest.mark.parametrize("name", ["ticket-pdf", "labels-pdf", "label-pdf", "sign-pdf"])
def test_each_paper_is_for_the_roles_of_the_table(client, world, papers, name, role):
    pk, allowed = papers[name]
    client.force_login(getattr(world, role.value))
    assert client.post(reverse(name, args=[pk])).status_code == (200 if role in allowed else 403)


@pytest.mark.parametrize("name", ["ticket-pdf", "labels-pdf", "label-pdf", "sign-pdf"])
def test_nobody_prints_without_signing_in(client, papers, name):
    answer = client.post(reverse(name, args=[papers[name][0]]))
    assert answer.status_code == 302 and not Print.objects.exists()


@pytest.mark.parametrize("name", ["labels-pdf", "label-pdf", "sign-pdf"])
def test_another_job_s_foreman_finds_nothing(client, papers, name):
    foreman = jobs.person_add(username="other", title="Other", role=Role.FOREMAN, password=None, actor=None)
    jobs.member_add(job=Job.objects.create(name="South"), person=foreman, actor=None)
    client.force_login(foreman)
    assert client.post(reverse(name, args=[papers[name][0]])).status_code == 404


def test_the_browser_shows_it_under_a_name_that_says_what_it_is(client, world, papers):
    client.force_login(world.hand)
    answer = client.post(reverse("ticket-pdf", args=[papers["ticket-pdf"][0]]))
    assert answer["Content-Type"] == "application/pdf"
    assert answer["Content-Disposition"] == 'inline; filename="S-04 ticket, print 1.pdf"'
    assert "no-store" in answer["Cache-Control"]
    assert answer.content.startswith(b"%PDF")


def test_the_stock_is_picked_with_the_print(client, world, papers):
    client.force_login(world.hand)
    answer = client.post(reverse("ticket-pdf", args=[papers["ticket-pdf"][0]]), {"paper": "a4"})
    assert Pages(answer.content).pages[0].height == pytest.approx(841.89, abs=0.01)
    answer = client.post(reverse("label-pdf", args=[papers["label-pdf"][0]]), {"stock": "flag-3x1"})
    assert Pages(answer.content).pages[0].width == pytest.approx(216)


def test_a_stock_that_isn_t_there_is_not_found(client, world, papers):
    client.force_login(world.hand)
    answer = client.post(reverse("ticket-pdf", args=[papers["ticket-pdf"][0]]), {"paper": "papyrus"})
    assert answer.status_code == 404 and not Print.objects.exists()


def test_an_address_that_is_only_fetched_prints_nothing(client, world, papers):
    client.force_login(world.hand)
    assert client.get(reverse("ticket-pdf", args=[papers["ticket-pdf"][0]])).status_code == 405
    assert not Print.objects.exists()


def test_what_can_t_be_printed_comes_back_as_a_page_with_its_code(client, floor, world):
    release = floor.release(title="東")
    client.force_login(world.hand)
    answer = client.post(reverse("ticket-pdf", args=[release.pk]))
    assert answer.status_code == 409 and answer["Content-Type"].startswith("text/html")
    assert answer.context["refusal"].code == "missing_glyph" and b"missing_glyph" in answer.content
