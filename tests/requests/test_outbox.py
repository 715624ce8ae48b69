"""The endpoint that takes what browsers kept, the worker's list, and whose a page is."""

import json
import re
from urllib.parse import urlencode

import pytest
from django.contrib.staticfiles.storage import staticfiles_storage
from django.test import Client

from shop.jobs import offline
from shop.jobs.outbox import KINDS, MOST_AT_ONCE, pages_for
from shop.jobs.refusals import Refusal
from shop.requests import services
from shop.requests.models import Paper, Question, Request, Revision, Run
from shop.requests.seen import seen_token
from tests.requests.test_ask_views import kicked, put, typed
from tests.requests.world import stub


@pytest.fixture
def phone(client, world):
    client.force_login(world.foreman, backend="django.contrib.auth.backends.ModelBackend")
    return client


def entry(kind="run.send", key="n-1", **fields):
    return {"nonce": key, "kind": kind, "seq": 1, "made_at": "2027-03-04T18:00:00Z", "data": urlencode(fields)}


def batch(person, *entries):
    return {"person": person.pk, "device": "d-1", "sent_at": "2027-03-04T18:01:00Z", "entries": list(entries)}


def post(client, said):
    return client.post("/outbox/", json.dumps(said), content_type="application/json")


def answers(client, person, *entries):
    found = post(client, batch(person, *entries))
    assert found.status_code == 200, found.content
    return found.json()["answers"]


def a_run(world, **more):
    return put(typed(world), **more)


# Who is there


def test_it_says_who_is_signed_in_with_a_token_and_his_pages(phone, world):
    said = phone.get("/outbox/")
    assert said.json()["person"] == world.foreman.pk and said.json()["token"]
    assert f"/ask/?job={world.job.pk}&shape=stub" in said.json()["pages"]
    assert "no-store" in said["Cache-Control"]


def test_every_page_that_is_kept_is_a_page_of_his(phone, world):
    world.ask()
    services.question_ask(revision=Revision.objects.get(), text="Which?", actor=world.lead)
    for page in pages_for(world.foreman):
        found = phone.get(page)
        assert (found.status_code, found["X-Person"]) == (200, str(world.foreman.pk)), page


def test_without_a_token_nothing_is_taken(world):
    strict = Client(enforce_csrf_checks=True)
    strict.force_login(world.foreman, backend="django.contrib.auth.backends.ModelBackend")
    said = json.dumps(batch(world.foreman, entry(**a_run(world))))
    assert strict.post("/outbox/", said, content_type="application/json").status_code == 403
    token = strict.get("/outbox/").json()["token"]
    taken = strict.post("/outbox/", said, content_type="application/json", headers={"X-CSRFToken": token})
    assert taken.json()["answers"][0]["state"] == "done"


def test_a_page_is_nobodys_before_signing_in(client, db):
    assert client.get("/sign-in/")["X-Person"] == "0"


# What is taken


def test_a_run_is_sent_once_however_often_it_comes(phone, world):
    first, second = (answers(phone, world.foreman, entry(**a_run(world)))[0] for _ in range(2))
    assert first == second
    assert (first["state"], first["page"]) == ("done", f"/runs/{Run.objects.get().pk}/")


def test_two_in_one_batch_with_one_nonce_are_one_run(phone, world):
    found = answers(phone, world.foreman, *[entry(**a_run(world))] * 2)
    assert [one["state"] for one in found] == ["done", "done"]
    assert Request.objects.count() == 1


def test_the_entrys_nonce_counts_not_the_pages(phone, world):
    for nonce, tag in (("n-1", "S-04"), ("n-2", "S-05")):
        answers(phone, world.foreman, entry(key=nonce, **a_run(world, tag=tag, nonce="the copy's")))
    assert {one.nonce for one in Request.objects.all()} == {"n-1", "n-2"}


def test_a_lost_answer_comes_back_after_the_job_was_closed(phone, world):
    first = answers(phone, world.foreman, entry(**a_run(world)))
    world.job.closed_at = world.job.opened_at
    world.job.save()
    assert answers(phone, world.foreman, entry(**a_run(world))) == first


def close(world):
    world.job.closed_at = world.job.opened_at
    world.job.save()


def retire(world):
    world.room.retired_at = world.job.opened_at
    world.room.save()


def leave(world):
    world.foreman.jobs.clear()


def nothing(world):
    pass


@pytest.mark.parametrize(
    ("before", "change", "code"),
    [
        (close, {}, "job_closed"),
        (retire, {}, "place_retired"),
        (nothing, {"r1-leg": "51/2"}, "numbers_wrong"),
        (nothing, {"r1-leg": ""}, "gaps"),
        (nothing, {"tag": ""}, "gaps"),
        (nothing, {"quantity": "none"}, "invalid"),
        (nothing, {"r1-leg": "625"}, "unsure"),
        (leave, {}, "invalid_choice"),
    ],
)
def test_what_cant_go_is_refused_with_a_code_and_nothing_is_kept_of_it(phone, world, before, change, code):
    data = a_run(world, **change)
    before(world)
    found = answers(phone, world.foreman, entry(**data))[0]
    assert (found["state"], found["code"]) == ("refused", code)
    assert Request.objects.count() == 0
    assert found["words"]


def test_a_tag_that_was_taken_meanwhile_is_refused(phone, world):
    world.ask("S-04")
    assert answers(phone, world.foreman, entry(**a_run(world)))[0]["code"] == "tag_taken"


def test_a_refused_one_goes_when_it_is_mended_with_the_same_nonce(phone, world):
    assert answers(phone, world.foreman, entry(**a_run(world, tag="")))[0]["state"] == "refused"
    assert answers(phone, world.foreman, entry(**a_run(world)))[0]["state"] == "done"


def test_one_that_is_refused_doesnt_hold_up_the_next(phone, world):
    bad, good = entry(**a_run(world, tag="")), entry(key="n-2", **a_run(world))
    assert [one["state"] for one in answers(phone, world.foreman, bad, good)] == ["refused", "done"]


def test_a_change_of_a_run_that_another_changed_is_refused_with_what_is_there_now(phone, world):
    run = world.ask().run
    data = a_run(world, run=str(run.pk), seen=seen_token(run))
    services.run_revise(run=run, draft=world.draft(document=stub("21")), actor=world.lead)
    found = answers(phone, world.foreman, entry(**data))[0]
    assert (found["code"], found["limits"]["run"]) == ("changed_meanwhile", run.pk)
    again = entry(**data | {"seen": found["limits"]["seen"]})
    assert answers(phone, world.foreman, again)[0]["state"] == "done"


def test_a_draft_is_kept_once(phone, world):
    for _ in range(2):
        found = answers(phone, world.foreman, entry("run.keep", **a_run(world, **{"r1-leg": ""})))[0]
        assert found["state"] == "done"
    assert Revision.objects.get().state == Paper.DRAFT


def test_an_answer_is_given_once(phone, world):
    services.question_ask(revision=world.ask(), text="Which?", choices=["this", "that"], actor=world.lead)
    data = {"question": Question.objects.get().pk, "choice": "this"}
    said = [answers(phone, world.foreman, entry("question.answer", **data))[0]["state"] for _ in range(2)]
    assert (said, Question.objects.get().answer) == (["done", "done"], "this")
    other = answers(phone, world.foreman, entry("question.answer", key="n-2", **data | {"choice": "that"}))[0]
    assert other["code"] == "answered_already"


@pytest.mark.parametrize(
    ("kind", "fields", "code"),
    [("nothing.known", {}, "unknown_kind"), ("question.answer", {"question": "x"}, "not_found")],
)
def test_what_isnt_known_is_refused(phone, world, kind, fields, code):
    assert answers(phone, world.foreman, entry(kind, **fields))[0]["code"] == code


def test_a_hand_may_not_ask(client, world):
    client.force_login(world.hand, backend="django.contrib.auth.backends.ModelBackend")
    assert answers(client, world.hand, entry(**a_run(world)))[0]["code"] == "not_allowed"


def test_another_persons_queue_isnt_taken_under_this_ones_name(phone, world):
    found = post(phone, batch(world.lead, entry(**a_run(world))))
    assert (found.status_code, found.json()["code"]) == (422, "other_person")
    assert Request.objects.count() == 0


@pytest.mark.parametrize("said", [[], {}, {"entries": 3}, {"entries": [3]}, {"entries": [{}]}, "[" * 9000])
def test_what_isnt_a_batch_is_refused(phone, said):
    body = said if isinstance(said, str) else json.dumps(said)
    found = phone.post("/outbox/", body, content_type="application/json")
    assert (found.status_code, found.json()["code"]) == (422, "unreadable")


def test_a_batch_has_an_end(phone, world):
    found = post(phone, batch(world.foreman, *[entry()] * (MOST_AT_ONCE + 1)))
    assert found.json()["code"] == "too_many"


def test_a_stage_may_enter_what_it_takes(phone, world, monkeypatch):
    def no(person, one):
        raise Refusal("too_late", f"{one.device} {one.seq}", by=3)

    monkeypatch.setitem(KINDS, "piece.record", no)
    found = answers(phone, world.foreman, entry("piece.record"))[0]
    assert found == {"nonce": "n-1", "state": "refused", "code": "too_late", "words": "d-1 1", "limits": {"by": 3}}


def test_a_run_out_of_its_plane_waits_for_his_yes(phone, world):
    found = answers(phone, world.foreman, entry(**put(kicked(world, angle="15"))))[0]
    assert (found["code"], bool(found["limits"].get("reads"))) == ("needs_yes", True), found


# What the worker keeps


STATIC = re.compile(r'(?:href|src)="(/static/[^"#]+)')


def test_the_worker_keeps_every_file_that_a_kept_page_needs(phone, world):
    world.ask()
    kept = set(json.loads(offline.worker().partition("\n")[0].removeprefix("const SITE = ").rstrip(";"))["shell"])
    pages = [*pages_for(world.foreman), f"/runs/{Run.objects.get().pk}/", "/no-signal/"]
    needed = {file for page in pages for file in STATIC.findall(phone.get(page).content.decode())}
    assert needed and needed <= kept


def test_scripts_import_each_other_under_their_hashes():
    with staticfiles_storage.open(staticfiles_storage.stored_name("offline/page.js")) as file:
        source = file.read().decode()
    found = re.findall(r'from "([^"]+)"', source)
    assert found and all(re.search(r"\.[0-9a-f]{12}\.js$", name) for name in found)


def test_the_workers_version_changes_with_a_page_that_it_keeps(monkeypatch):
    before = offline.worker()
    monkeypatch.setattr(offline, "TEMPLATES", ("base.html",))
    assert offline.worker() != before


def test_worker_and_manifest_need_no_signing_in(client, db):
    worker, manifest = client.get("/worker.js"), client.get("/manifest.webmanifest")
    assert worker["Content-Type"].startswith("text/javascript") and "no-cache" in worker["Cache-Control"]
    assert manifest.json()["display"] == "standalone"
