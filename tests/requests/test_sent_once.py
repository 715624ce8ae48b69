"""Sent once, whatever comes twice: the same nonce again, at the same moment, for another job, or with other words."""

from concurrent.futures import ThreadPoolExecutor
from contextvars import copy_context
from dataclasses import replace
from threading import Barrier

import pytest
from django.db import connections

from shop.jobs import clock
from shop.jobs import services as jobs
from shop.jobs.models import PlaceKind
from shop.jobs.refusals import Refusal
from shop.requests import asking, services
from shop.requests.forms import AskForm
from shop.requests.models import Paper, Request, Revision, Run
from shop.requests.seen import seen_token
from tests.requests import world as worlds
from tests.requests.test_ask_views import put, typed
from tests.requests.world import refused, stub


def other_job(world):
    job = jobs.job_add(name="South", actor=None)
    place = jobs.place_add(name="L1", kind=PlaceKind.LEVEL, parent=job.places.get(), actor=None)
    return job, replace(world.draft(), place=place)


def at_once(*calls):
    """What each call answered or refused, all of them begun together."""
    gate = Barrier(len(calls))

    def one(call):
        gate.wait()
        try:
            return call()
        except Refusal as refusal:
            return refusal.code
        finally:
            connections.close_all()

    with ThreadPoolExecutor(len(calls)) as pool:
        begun = [pool.submit(copy_context().run, one, call) for call in calls]
        return [each.result() for each in begun]


@pytest.fixture
def shop(transactional_db):
    with clock.at(worlds.NOON):
        yield worlds.make()


def send_to(world, job, draft, nonce="n-1"):
    return lambda: services.request_send(job=job, nonce=nonce, runs=[draft], actor=world.foreman)


def test_a_nonce_sent_to_two_jobs_at_once_is_one_request_and_one_refusal(shop):
    job, draft = other_job(shop)
    found = at_once(send_to(shop, shop.job, shop.draft()), send_to(shop, job, draft))
    assert [one for one in found if isinstance(one, str)] == ["nonce_taken"]
    assert Request.objects.count() == 1


def test_a_nonce_sent_to_one_job_twice_at_once_is_answered_twice_alike(shop):
    found = at_once(*[send_to(shop, shop.job, shop.draft())] * 2)
    assert found == [Request.objects.get()] * 2


def test_a_draft_sent_twice_at_once_is_one_revision(shop):
    services.draft_save(run_draft=shop.draft(), job=shop.job, actor=shop.foreman)
    data = put(typed(shop), run=str(Run.objects.get().pk))

    def send():
        form = AskForm(data, person=shop.foreman, run=Run.objects.get())
        assert form.can_go(), form.errors
        return asking.send(form, shop.foreman)

    assert at_once(send, send) == [Run.objects.get()] * 2
    assert Revision.objects.get().state == Paper.SENT


def test_two_runs_revised_at_once_with_one_nonce_are_one_revision_and_one_refusal(shop):
    runs = [shop.ask(tag).run for tag in ("S-04", "S-05")]

    def revise(run):
        draft = shop.draft(run.tag, document=stub("20"))
        return lambda: services.run_revise(run=run, draft=draft, actor=shop.foreman, nonce="n-1")

    found = at_once(*map(revise, runs))
    assert [one for one in found if isinstance(one, str)] == ["nonce_taken"]
    assert Revision.objects.filter(nonce="n-1").count() == 1


def test_a_nonce_with_other_numbers_is_refused_and_changes_nothing(world):
    send_to(world, world.job, world.draft())()
    with refused("sent_otherwise"):
        send_to(world, world.job, world.draft(document=stub("21")))()
    assert Revision.objects.get().document == stub()


def test_a_revision_sent_again_with_other_numbers_is_refused(world):
    run = world.ask().run
    services.run_revise(run=run, draft=world.draft(document=stub("20")), actor=world.foreman, nonce="n-9")
    with refused("sent_otherwise"):
        services.run_revise(run=run, draft=world.draft(document=stub("21")), actor=world.foreman, nonce="n-9")
    assert Revision.objects.count() == 2


def test_a_draft_kept_twice_with_one_nonce_is_one_draft(world):
    for up in ("20", "21"):
        services.draft_save(run_draft=world.draft(document=stub(up)), job=world.job, actor=world.foreman, nonce="n-1")
    assert Revision.objects.get().document == stub("21")


def test_a_draft_that_was_sent_since_isnt_opened_again_by_keeping_it_once_more(world):
    said = {"run_draft": world.draft(), "job": world.job, "actor": world.foreman, "nonce": "n-1"}
    services.revision_send(revision=services.draft_save(**said), actor=world.foreman, nonce="n-2")
    assert services.draft_save(**said).state == Paper.SENT
    assert Revision.objects.count() == 1


# Two people at one run


def test_who_changes_a_run_that_was_changed_meanwhile_is_told(world):
    run = world.ask().run
    seen = seen_token(run)
    services.run_revise(run=run, draft=world.draft(document=stub("20")), actor=world.lead, nonce="n-8")
    with refused("changed_meanwhile") as caught:
        services.run_revise(run=run, draft=world.draft(), actor=world.foreman, nonce="n-9", seen=seen)
    assert Revision.objects.count() == 2
    now = caught.value.limits["seen"]
    services.run_revise(run=run, draft=world.draft(), actor=world.foreman, nonce="n-9", seen=now)
    assert [one.letter for one in Revision.objects.filter(state=Paper.SENT)] == ["C"]


def test_who_keeps_a_draft_over_another_mans_is_told(world):
    run = services.draft_save(run_draft=world.draft(), job=world.job, actor=world.lead).run
    seen, first = seen_token(run), run.revisions.get()
    services.draft_save(run_draft=world.draft(note="mine"), job=world.job, actor=world.lead, revision=first)
    with refused("changed_meanwhile"):
        services.draft_save(
            run_draft=world.draft(note="his"), job=world.job, actor=world.foreman, revision=first, seen=seen
        )
    assert Revision.objects.get().note == "mine"


def test_a_lost_answer_to_a_change_isnt_taken_for_somebody_elses(world):
    run = world.ask().run
    said = {"run": run, "draft": world.draft(note="b"), "actor": world.foreman, "nonce": "n-9", "seen": seen_token(run)}
    assert services.run_revise(**said) == services.run_revise(**said)


def test_the_builder_tells_it_too_and_sends_over_it_when_told_again(client, world):
    run = world.ask().run
    data = put(typed(world), run=str(run.pk), seen=seen_token(run), nonce="n-9")
    services.run_revise(run=run, draft=world.draft(document=stub("20")), actor=world.lead, nonce="n-8")
    client.force_login(world.foreman, backend="django.contrib.auth.backends.ModelBackend")
    told = client.post("/ask/", data)
    assert (told.status_code, Revision.objects.count()) == (422, 2)
    client.post("/ask/", data | {"seen": told.context["form"]["seen"].value()})
    assert Revision.objects.count() == 3
