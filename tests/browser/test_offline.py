"""Without a signal, on a phone, in a real browser: pages from their copies, what is kept, and each thing sent once."""

import json
import time
from contextlib import contextmanager
from datetime import UTC, datetime

import pytest
from django.conf import settings
from django.test import Client
from playwright.sync_api import expect

from shop.jobs import offline
from shop.jobs import services as jobs
from shop.requests import services
from shop.requests.models import Paper, Profile, Question, Request, Revision, Run
from tests.browser.conftest import CHROMIUM, PHONE
from tests.requests import world as worlds
from tests.requests.world import stub

pytestmark = pytest.mark.browser

TOUCH = {"viewport": PHONE, "has_touch": True, "is_mobile": True}
PATIENT = 15000


def sign_in(context, site, person):
    client = Client()
    client.force_login(person, backend="django.contrib.auth.backends.ModelBackend")
    cookie = client.cookies["sessionid"]
    until = time.time() + settings.SESSION_COOKIE_AGE
    context.add_cookies([{"name": "sessionid", "value": cookie.value, "url": site, "expires": until}])


class Phone:
    """A person with the site in one browser; `warm` waits until the worker has his pages."""

    def __init__(self, context, site, page=None):
        self.context, self.site = context, site
        self.page = page or context.new_page()

    def warm(self):
        self.go("/ask/")
        self.page.locator("html[data-warm]").wait_for(state="attached", timeout=30000)
        return self

    def go(self, path):
        self.page.goto(f"{self.site}{path}")
        return self

    def cut(self):
        self.context.set_offline(True)
        return self

    def back(self):
        self.context.set_offline(False)
        return self

    def pick(self, picture):
        self.go("/ask/").page.get_by_role("link", name=picture, exact=True).click()
        self.page.locator("html[data-asks]").wait_for(state="attached")
        return self

    def fill(self, label, typed, nth=0):
        self.page.get_by_label(label, exact=True).nth(nth).fill(typed)
        return self

    def straight(self, tag, length="48", picture="Straight cut"):
        """A whole run but for the tap that sends it."""
        self.pick(picture).fill("Tag", tag).fill("Length", length)
        self.page.get_by_label("Conduit", exact=True).select_option(label="3/4 EMT")
        self.page.get_by_label("Place", exact=True).select_option(label="L2, Room 214")
        self.page.get_by_label("Measured from", exact=True).first.select_option("box face")
        self.page.get_by_label("Measured to", exact=True).select_option("box face")
        return self

    def send(self):
        self.page.wait_for_timeout(350)
        self.page.locator("#send-key").tap()
        return self

    def unsent(self, words):
        expect(self.page.locator("#unsent")).to_contain_text(words, timeout=PATIENT)
        return self

    def all_sent(self):
        expect(self.page.locator("#unsent")).to_be_hidden(timeout=PATIENT)
        return self

    def see(self, words):
        expect(self.page.get_by_text(words).first).to_be_visible(timeout=PATIENT)
        return self

    def copy(self):
        """The page is a copy, and says so."""
        expect(self.page.locator("#copy-age")).to_contain_text("Copy of", timeout=PATIENT)
        return self

    def entries(self):
        script = """() => new Promise((told) => { const open = indexedDB.open("racewright");
          open.onsuccess = () => { const all = open.result.transaction("entries").objectStore("entries").getAll();
            all.onsuccess = () => told(all.result); }; })"""
        return self.page.evaluate(script)


@pytest.fixture
def shop(site):
    """A job, its people, and benders that were there before today."""
    made = worlds.make()
    Profile.objects.update(since=datetime(2020, 1, 1, tzinfo=UTC))
    return made


@pytest.fixture
def phone(browser, site, shop):
    context = browser.new_context(**TOUCH)
    sign_in(context, site, shop.foreman)
    yield Phone(context, site)
    context.close()


def tags():
    return sorted(Run.objects.values_list("tag", flat=True))


# Pages from their copies


@pytest.mark.parametrize("path", ["/", "/ask/", "/runs/", "/not-sent/"])
def test_a_kept_page_opens_without_a_signal_and_says_how_old_it_is(phone, path):
    phone.warm().cut().go(path).copy()
    phone.page.reload()
    phone.copy()


@pytest.mark.parametrize("picture", ["Stub 90", "Box to box", "Rolled offset", "Over a duct", "Leg by leg"])
def test_every_picture_opens_its_builder_without_a_signal(phone, picture):
    phone.warm().cut().pick(picture).copy()
    expect(phone.page.get_by_label("Conduit", exact=True)).to_be_visible()


def test_a_page_that_was_never_opened_says_so(phone):
    phone.warm().cut().go("/areas/").see("There is no copy of this page here")


def test_a_copy_is_replaced_as_soon_as_there_is_signal(phone, shop):
    phone.warm().cut().go("/runs/").see("Nothing asked yet")
    shop.ask("S-09")
    phone.back().go("/runs/").see("S-09")
    expect(phone.page.locator("#copy-age")).to_be_hidden()


def test_signing_out_leaves_no_page_of_his_behind(phone):
    phone.warm().go("/").page.get_by_role("button", name="Sign out").click()
    phone.see("Your sign-in").cut().go("/ask/").see("There is no copy of this page here")


def test_another_person_on_this_phone_never_sees_the_first_ones_copies(phone, shop):
    shop.ask("S-09")
    phone.go("/runs/").see("S-09").warm()
    phone.context.clear_cookies()
    other = jobs.person_add(username="other", title="Other foreman", role="foreman", password=None, actor=None)
    sign_in(phone.context, phone.site, other)
    phone.go("/ask/").see("You are on no open job").cut().go("/runs/")
    expect(phone.page.get_by_text("S-09")).to_have_count(0)


def test_no_page_complains_without_a_signal(phone):
    phone.warm()
    heard = []
    phone.page.on("pageerror", lambda error: heard.append(str(error)))
    phone.cut().straight("S-01")
    phone.go("/not-sent/").go("/runs/")
    assert heard == []


# Each is sent once


def test_a_run_asked_without_a_signal_goes_once_when_there_is_one(phone):
    phone.warm().cut().straight("S-01").send().see("Goes by itself when there is signal").unsent("1 not sent")
    assert tags() == []
    phone.back().all_sent()
    assert tags() == ["S-01"]
    assert Revision.objects.get().document["path"] == [{"leg": "48"}]


def test_the_count_stands_on_every_page(phone):
    phone.warm().cut().straight("S-01").send().see("Goes by itself when there is signal")
    for path in ("/", "/ask/", "/runs/"):
        phone.go(path).unsent("1 not sent")
    expect(phone.go("/").page.locator("#unsent-row")).to_contain_text("not sent")


def test_two_runs_from_one_copy_of_a_page_are_two_runs(phone):
    phone.warm().cut()
    for tag in ("S-01", "S-02"):
        phone.straight(tag).send().see("Goes by itself when there is signal")
    phone.back().all_sent()
    assert tags() == ["S-01", "S-02"]


def test_with_a_signal_it_goes_at_once_and_the_run_is_shown(phone):
    phone.straight("S-01").send().see("S-01 is sent to the shop").all_sent()
    assert tags() == ["S-01"]


def test_what_he_typed_survives_a_reload(phone):
    phone.warm().cut().straight("S-01", "5' 2 1/2\"")
    phone.page.wait_for_timeout(400)
    phone.page.reload()
    phone.see("As you left it")
    assert phone.page.get_by_label("Length", exact=True).input_value() == "5' 2 1/2\""
    phone.send().see("Goes by itself when there is signal").back().all_sent()
    assert Revision.objects.get().document["path"] == [{"leg": "5' 2 1/2\""}]


@contextmanager
def lasting(playwright, folder):
    """A browser that keeps what it has when it is closed, as a phone's does."""
    quiet = "--no-sandbox --disable-gpu --disable-quic --no-first-run --disable-background-networking --disable-sync"
    args = [*quiet.split(), "--disable-component-update", "--disable-dev-shm-usage"]
    context = playwright.chromium.launch_persistent_context(folder, executable_path=CHROMIUM, args=args, **TOUCH)
    yield context
    context.close()


def test_a_queue_survives_a_closed_browser(playwright, site, shop, tmp_path):
    with lasting(playwright, tmp_path) as context:
        sign_in(context, site, shop.foreman)
        Phone(context, site).warm().cut().straight("S-01").send().see("Goes by itself when there is signal")
    assert tags() == []
    with lasting(playwright, tmp_path) as context:
        phone = Phone(context, site).cut().go("/ask/").unsent("1 not sent").copy()
        phone.back().all_sent()
    assert tags() == ["S-01"]


def test_what_was_typed_survives_a_killed_browser(playwright, site, shop, tmp_path):
    with lasting(playwright, tmp_path) as context:
        sign_in(context, site, shop.foreman)
        Phone(context, site).warm().cut().straight("S-01", "77").page.wait_for_timeout(400)
    with lasting(playwright, tmp_path) as context:
        phone = Phone(context, site).cut().pick("Straight cut").see("As you left it")
        assert phone.page.get_by_label("Length", exact=True).input_value() == "77"


def test_two_tabs_send_each_run_once(phone):
    phone.warm()
    other = Phone(phone.context, phone.site)
    phone.cut()
    for tab, tag in ((phone, "S-01"), (other, "S-02"), (phone, "S-03"), (other, "S-04")):
        tab.straight(tag).send().see("Goes by itself when there is signal")
    posts = []
    phone.context.on("request", lambda one: posts.append(one) if one.method == "POST" else None)
    phone.back().all_sent()
    other.all_sent()
    nonces = [entry["nonce"] for post in posts for entry in json.loads(post.post_data)["entries"]]
    assert (tags(), len(nonces), len(set(nonces))) == (["S-01", "S-02", "S-03", "S-04"], 4, 4)


def test_a_lost_answer_makes_one_run(phone):
    phone.warm()
    lost = []

    def lose(route):
        if route.request.method == "POST" and not lost:
            lost.append(route.fetch().json())
            return route.abort()
        return route.continue_()

    phone.context.route("**/outbox/", lose)
    phone.straight("S-01").send().page.wait_for_url(lambda url: "/ask/" not in url)
    phone.all_sent()
    assert (lost[0]["answers"][0]["state"], tags()) == ("done", ["S-01"])


def test_a_server_that_is_down_is_no_signal(phone):
    phone.warm()
    down = [True]
    phone.context.route(
        "**/*", lambda route: route.fulfill(status=502, body="bad gateway") if down else route.continue_()
    )
    phone.straight("S-01").send().see("Goes by itself when there is signal").unsent("1 not sent")
    down.clear()
    phone.page.get_by_role("button", name="Try to send now").tap()
    phone.all_sent()
    assert tags() == ["S-01"]


def test_a_server_that_is_stopped_is_no_signal_either(phone, server):
    phone.warm()
    server.stop()
    phone.straight("S-01").copy().send().see("Goes by itself when there is signal")
    server.start()
    phone.all_sent()
    assert tags() == ["S-01"]


def test_a_new_version_of_the_site_takes_over_with_the_pages_that_were_kept(phone, monkeypatch):
    phone.warm().go("/runs/")
    source = offline.worker()
    monkeypatch.setattr(offline, "worker", lambda: source.replace('"version": "', '"version": "next-'))
    phone.page.evaluate("""async () => { const site = await navigator.serviceWorker.getRegistration();
      const turn = new Promise((told) => (navigator.serviceWorker.oncontrollerchange = told));
      await site.update(); await turn;
      while (site.active.state !== "activated") await new Promise((told) => setTimeout(told, 50)); }""")
    names = phone.page.evaluate("() => caches.keys()")
    assert len(names) == 2 and all("-next-" in name for name in names)
    phone.cut().go("/runs/").copy().pick("Stub 90").copy()


# A no of the shop's


def test_a_refusal_is_shown_and_the_run_is_mended_and_sent(phone, shop):
    phone.warm().cut().straight("S-01").send().see("Goes by itself when there is signal")
    shop.ask("S-01")
    phone.back().see("There is a run S-01").unsent("1 needs you")
    phone.page.get_by_role("link", name="Open it").tap()
    phone.page.locator("html[data-asks]").wait_for(state="attached")
    phone.fill("Tag", "S-02").send().see("S-02 is sent to the shop").all_sent()
    assert tags() == ["S-01", "S-02"]


def test_a_closed_job_is_told_to_its_author_and_nothing_is_dropped(phone, shop):
    phone.warm().cut().straight("S-01").send().see("Goes by itself when there is signal")
    shop.job.closed_at = shop.job.opened_at
    shop.job.save()
    phone.back().see("North is closed").see("Note the numbers")
    phone.page.reload()
    phone.see("North is closed")
    assert [one["state"] for one in phone.entries()] == ["refused"]
    phone.page.get_by_role("button", name="Throw it away").tap()
    phone.page.wait_for_timeout(450)
    phone.page.get_by_role("button", name="Yes, throw it away").tap()
    phone.see("Everything is sent")


def test_a_change_that_another_made_meanwhile_is_shown_and_his_goes_on_top_when_he_says_so(phone, shop):
    ends = {"start": {"to": "finished floor"}, "end": {"to": "box face"}}
    run = shop.ask("S-04", document=stub("20", **ends)).run
    phone.warm().go(f"/runs/{run.pk}/change/").cut().go(f"/runs/{run.pk}/change/").copy()
    phone.page.locator("html[data-asks]").wait_for(state="attached")
    phone.fill("Length", "30").send().see("Goes by itself when there is signal")
    services.run_revise(run=run, draft=shop.draft(document=stub("25", **ends)), actor=shop.lead)
    phone.back().see("S-04 was changed meanwhile: B was sent by Shop lead")
    phone.page.get_by_role("button", name="Send mine on top").tap()
    phone.all_sent()
    assert [one.document["path"][0]["leg"] for one in run.revisions.order_by("number")] == ["20", "25", "30"]


def test_numbers_that_only_the_shop_can_judge_come_back_with_its_answer(phone):
    phone.warm().cut().straight("S-01", "625").send().see("Goes by itself when there is signal")
    phone.back().see("hardly meant").unsent("1 needs you")
    phone.page.get_by_role("link", name="Open it").tap()
    phone.see("Yes, it is").page.get_by_text("Yes, it is", exact=True).tap()
    expect(phone.page.locator("#send-key")).to_have_text("Send")
    phone.send().see("S-01 is sent to the shop")
    assert tags() == ["S-01"]


# Who


def test_signed_out_meanwhile_it_keeps_the_queue_and_says_sign_in(phone, shop):
    phone.warm().cut().straight("S-01").send().see("Goes by itself when there is signal")
    phone.context.clear_cookies()
    phone.back().unsent("sign in to send")
    assert tags() == []
    sign_in(phone.context, phone.site, shop.foreman)
    phone.go("/ask/").all_sent()
    assert tags() == ["S-01"]


def test_anothers_queue_isnt_sent_under_this_ones_name_and_its_count_is_shown(phone, shop):
    phone.warm().cut().straight("S-01").send().see("Goes by itself when there is signal")
    phone.context.clear_cookies()
    sign_in(phone.context, phone.site, shop.lead)
    phone.back().go("/not-sent/").see("1 of Foreman: goes when that person signs in here").unsent("1 not sent")
    phone.page.wait_for_timeout(500)
    assert tags() == []
    sign_in(phone.context, phone.site, shop.foreman)
    phone.go("/ask/").all_sent()
    assert [one.made_by for one in Request.objects.all()] == [shop.foreman]


# What the device can tell by itself


@pytest.mark.parametrize(
    ("typed", "words"), [("51/2", "two readings"), ("5-2", "two readings"), ("about 9", "isn't a length")]
)
def test_a_length_that_cant_be_read_is_told_without_a_signal(phone, typed, words):
    phone.warm().cut().straight("S-01", typed).see(words)
    phone.send()
    expect(phone.page.locator("#send-key")).to_have_text("Fix 1, then send")
    assert [one["state"] for one in phone.entries()] == ["begun"]


def test_an_end_that_isnt_measured_to_anything_keeps_it_here(phone):
    phone.warm().cut().pick("Straight cut").fill("Tag", "S-01").fill("Length", "48").send()
    expect(phone.page.locator("#send-key")).to_contain_text("then send", timeout=PATIENT)
    phone.see("Not filled in yet")
    assert [one["state"] for one in phone.entries()] == ["begun"]


def test_legs_and_bends_come_and_go_without_a_signal(phone):
    phone.warm().cut().straight("S-01", picture="Leg by leg")
    phone.page.get_by_text("A bend here").last.tap()
    phone.page.get_by_role("button", name="Offset", exact=True).last.tap()
    expect(phone.page.locator(".ask-row.ask-offset")).to_have_count(1)
    phone.page.get_by_role("button", name="Corner and leg").last.tap()
    expect(phone.page.get_by_role("heading", name="Leg 3")).to_be_visible()
    phone.page.locator(".ask-corner").last.get_by_role("button", name="Take out").tap()
    expect(phone.page.locator(".ask-leg")).to_have_count(2)
    phone.page.locator(".ask-corner").get_by_text("left", exact=True).first.tap()
    phone.fill("Length", "30", 1).fill("At", "15").fill("Rise", "4")
    phone.page.locator(".ask-offset").get_by_text("left", exact=True).first.tap()
    phone.page.wait_for_timeout(400)
    phone.page.reload()
    phone.see("As you left it").send().see("Goes by itself when there is signal").back().all_sent()
    path = Revision.objects.get().document["path"]
    assert [step.keys() & {"leg", "corner"} for step in path] == [{"leg"}, {"corner"}, {"leg"}]
    assert [one["kind"] for one in path[2]["features"]] == ["offset"]


def test_a_question_is_answered_without_a_signal(phone, shop):
    revision = shop.ask("S-04")
    services.question_ask(revision=revision, text="Which 48?", choices=["this", "that"], actor=shop.lead)
    phone.warm().cut().go(f"/runs/{revision.run_id}/").see("Which 48?")
    phone.page.get_by_text("that", exact=True).tap()
    phone.page.get_by_role("button", name="Send the answer").tap()
    phone.see("S-04, your answer").back().all_sent()
    assert Question.objects.get().answer == "that"


def test_a_draft_is_kept_at_the_shop_once_there_is_signal(phone):
    phone.warm().cut().straight("S-01", "")
    phone.page.get_by_role("button", name="Keep").tap()
    phone.unsent("1 not sent").back().all_sent()
    assert [(one.run.tag, one.state) for one in Revision.objects.all()] == [("S-01", Paper.DRAFT)]


# Without any of it


def test_at_an_address_that_isnt_secure_everything_goes_the_plain_way(browser, site, shop):
    context = browser.new_context(**TOUCH)
    context.add_init_script("Object.defineProperty(window, 'isSecureContext', { value: false })")
    sign_in(context, site, shop.foreman)
    plain = Phone(context, site)
    plain.go("/ask/").page.get_by_role("link", name="Straight cut", exact=True).click()
    plain.fill("Tag", "S-01").fill("Length", "48")
    plain.page.get_by_label("Conduit", exact=True).select_option(label="3/4 EMT")
    plain.page.get_by_label("Place", exact=True).select_option(label="L2, Room 214")
    plain.page.get_by_label("Measured from", exact=True).first.select_option("box face")
    plain.page.get_by_label("Measured to", exact=True).select_option("box face")
    plain.send().see("S-01 is sent to the shop")
    assert (tags(), plain.page.evaluate("() => navigator.serviceWorker.controller")) == (["S-01"], None)
    context.close()
