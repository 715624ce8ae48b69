"""Asking in a real browser: five runs entered by clicking, live pictures, keys that mend, and no script at all."""

import re
import time
from datetime import UTC, datetime
from typing import Any

import pytest
from django.test import Client
from playwright.sync_api import Locator, Page, expect

from shop.requests import services
from shop.requests.models import Bender, Paper, Profile, Request, Revision
from tests.bending.printed import of
from tests.browser.conftest import DESK, PHONE, complains
from tests.requests import world as worlds

pytestmark = pytest.mark.browser

ROWS = {row["id"]: row for row in of("ten_runs")}
# What a shop measured on its own hand benders (common practice, no source): take-up and gain of a 90.
SHOES = {"3/4": (6, "3 1/4"), "1": (8, 4), "1-1/4": (11, "5 5/8")}
TOO_SMALL = """() => [...document.querySelectorAll("main *, .dock *")]
  .filter((one) => one.matches("a, button, input, select, summary") && one.type !== "hidden" && one.checkVisibility())
  .map((one) => one.closest("label.chip, label.tick") ?? one)
  .filter((one) => !one.matches(".sr, .row-link") && one.getBoundingClientRect().height < 48)
  .map((one) => one.outerHTML.slice(0, 120))"""
TOO_WIDE = "() => document.documentElement.scrollWidth - document.documentElement.clientWidth"


@pytest.fixture
def shop(site):
    """A job, its people, and a bender for each size that is asked for."""
    made = worlds.make()
    Profile.objects.all().delete()
    bender = Bender.objects.create(name="Hand benders", kind="hand")
    since = datetime(2020, 1, 1, tzinfo=UTC)
    for size, (take_up, gain) in SHOES.items():
        data = {"take_up": take_up, "gain": gain}
        Profile.objects.create(bender=bender, raceway="EMT", size=size, data=data, since=since)
    return made


@pytest.fixture
def wrong(page):
    """What the browser complains of."""
    heard: list[str] = []
    page.on("console", lambda message: heard.append(message.text) if complains(message) else None)
    page.on("pageerror", lambda error: heard.append(str(error)))
    return heard


def signed_in(page: Page, site: str, person: Any) -> Page:
    client = Client()
    client.force_login(person)
    page.context.add_cookies([{"name": "sessionid", "value": client.cookies["sessionid"].value, "url": site}])
    return page


@pytest.fixture(params=[PHONE, DESK], ids=["phone", "desk"])
def foreman(request, page, site, shop):
    page.set_viewport_size(request.param)
    return signed_in(page, site, shop.foreman)


class Builder:
    """A foreman at the builder: he sees words, and fills what stands under them."""

    def __init__(self, page: Page, site: str, picture: str, conduit: str) -> None:
        self.page = page
        page.goto(f"{site}/ask/")
        page.get_by_role("link", name=picture, exact=True).click()
        page.get_by_label("Tag", exact=True).fill("T-1")
        page.get_by_label("Conduit", exact=True).select_option(label=conduit)
        page.get_by_label("Place", exact=True).select_option(label="L2, Room 214")

    def row(self, words: str, nth: int = 0) -> Locator:
        return (
            self.page.locator(".ask-row").filter(has=self.page.get_by_role("heading", name=words, exact=True)).nth(nth)
        )

    def number(self, row: str, entry: str, typed: str, nth: int = 0) -> "Builder":
        self.row(row, nth).get_by_label(entry, exact=True).fill(typed)
        return self

    def chip(self, row: str, entry: str, word: str) -> "Builder":
        group = self.row(row).get_by_role("group", name=entry, exact=True)
        group.get_by_text(word, exact=True).click()
        return self

    def ends(self, start: str, end: str, short: str = "0") -> "Builder":
        self.row("Start").get_by_label("Measured from", exact=True).select_option(start)
        self.row("Far end").get_by_label("Measured to", exact=True).select_option(end)
        return self.number("Far end", "Stops short by", short)

    def add(self, bend: str) -> "Builder":
        self.page.get_by_text("A bend here").first.click()
        self.page.get_by_role("button", name=bend, exact=True).first.click()
        expect(self.row(bend)).to_be_visible()
        return self

    def yes(self) -> "Builder":
        self.page.get_by_text("Yes, it hangs like that").click()
        return self

    def send(self) -> Revision:
        key = self.page.locator("#send-key")
        expect(key).to_have_text("Send")
        key.click()
        expect(self.page.get_by_text("is sent to the shop")).to_be_visible()
        return Revision.objects.get(state=Paper.SENT)


def marks(revision: Revision) -> list[tuple[float, float, str]]:
    return [(mark["station"], mark["angle"], mark["text"]) for mark in revision.layout["pieces"][0]["marks"]]


def assert_solves_as(revision: Revision, row: dict[str, Any]) -> None:
    """Its marks are the row's, to the row's precision, and its cut is the row's."""
    wanted = [(mark["station"], mark["angle"], mark["text"]) for mark in row["answer"]["marks"]]
    found = marks(revision)
    assert [mark[1:] for mark in found] == [mark[1:] for mark in wanted]
    assert [mark[0] for mark in found] == pytest.approx([mark[0] for mark in wanted], abs=row["precision"])
    assert revision.layout["pieces"][0]["cut"] == row["answer"]["cut"]


# Five runs, entered as a foreman would


def test_run_1_a_stub(foreman, site):
    builder = Builder(foreman, site, "Stub 90", "3/4 EMT").ends("finished floor", "pipe end")
    builder.number("Leg 1", "Length", "19 1/2").number("Leg 2", "Length", "5' 6\"")
    assert_solves_as(builder.send(), ROWS["T01"])


def test_run_3_box_to_box_over_a_pipe(foreman, site):
    builder = Builder(foreman, site, "Box to box", "3/4 EMT").number("Leg", "Length", "8' 2\"")
    for nth in range(2):
        row = builder.number("Box offset", "Out to the KO", "3/8", nth).row("Box offset", nth)
        row.get_by_text("More about this box offset").click()
        row.get_by_label("Straight at the end").fill("2")
    builder.add("Three-bend, over a pipe")
    builder.number("Three-bend, over a pipe", "Pipe's centre at", "41")
    builder.number("Three-bend, over a pipe", "Clears by", "2 7/8")
    assert_solves_as(builder.send(), ROWS["T03"])


def test_run_5_a_kick_beside_a_90(foreman, site):
    builder = Builder(foreman, site, "Kick + 90", "1 EMT").ends("coupling stop", "panel top", "1/8")
    builder.number("Leg 1", "Length", "58").number("Kick", "Kick", "3").chip("Kick", "Toward", "right")
    builder.number("Leg 2", "Length", "26 3/4")
    assert_solves_as(builder.yes().send(), ROWS["T05"])


def test_run_6_a_rolled_offset(foreman, site):
    builder = Builder(foreman, site, "Rolled offset", "1 EMT").ends("wall face", "pipe end")
    builder.number("Leg", "Length", "6' 8\"").number("Rolled offset", "At", "46").number("Rolled offset", "Rise", "5")
    builder.number("Rolled offset", "Sideways", "7").chip("Rolled offset", "To the", "right")
    assert_solves_as(builder.yes().send(), ROWS["T06"])


def test_run_8_a_90_and_an_offset(foreman, site):
    builder = Builder(foreman, site, "90 + offset", "1-1/4 EMT").ends("coupling stop", "panel top", "3/16")
    builder.number("Leg 1", "Length", "4' 9\"").number("Leg 2", "Length", "4' 2\"")
    builder.number("Offset", "At", "18 1/4").number("Offset", "Rise", "4").number("Offset", "Bend", "22½")
    builder.chip("Offset", "Toward", "in").row("Offset").get_by_text("More about this offset").click()
    builder.chip("Offset", "Which bend stands there", "first bend")
    assert_solves_as(builder.send(), ROWS["T08"])


# Beside the form


def kick_that_does_not_fit(page: Page, site: str) -> Builder:
    builder = Builder(page, site, "Kick + 90", "1 EMT").ends("coupling stop", "panel top", "1/8")
    builder.number("Leg 1", "Length", "58").number("Kick", "Kick", "3").number("Kick", "Bend", "22½")
    return builder.chip("Kick", "Toward", "right").number("Leg 2", "Length", "26 3/4")


def test_a_kick_that_runs_into_its_90_is_red_and_is_mended_by_one_key(foreman, site, wrong):
    builder = kick_that_does_not_fit(foreman, site)
    expect(foreman.locator("#answer .d-pipe-bad-body").first).to_be_attached()
    expect(foreman.locator("#send-key")).to_have_text("Fix 1, then send")
    builder.row("Kick").get_by_role("button", name="Kick at 15°").click()
    expect(foreman.locator("#send-key")).to_have_text("Say yes, then send")
    assert builder.row("Leg 2").get_by_label("Length").input_value() == "26 3/4"
    assert wrong == []


def test_a_changed_number_takes_the_yes_back(foreman, site):
    builder = kick_that_does_not_fit(foreman, site).number("Kick", "Bend", "15").yes()
    expect(foreman.locator("#send-key")).to_have_text("Send")
    builder.number("Leg 1", "Length", "60")
    expect(foreman.locator("#send-key")).to_have_text("Say yes, then send")


def test_a_button_tapped_right_after_typing_is_not_lost_to_the_drawing(foreman, site):
    builder = Builder(foreman, site, "Straight cut", "3/4 EMT").ends("box face", "box face")
    foreman.route("**/ask/edit/", lambda route: (time.sleep(1), route.continue_()))
    builder.number("Leg", "Length", "40")
    foreman.get_by_role("button", name="Corner and leg").click()
    expect(foreman.locator(".ask-leg")).to_have_count(2)
    assert builder.row("Leg 1").get_by_label("Length").input_value() == "40"


def test_a_button_that_has_the_focus_while_it_draws_does_nothing(foreman, site):
    builder = Builder(foreman, site, "Offset", "3/4 EMT").ends("box face", "box face")
    builder.number("Leg", "Length", "40").row("Leg").get_by_label("Length").press("Tab")
    expect(builder.row("Offset").get_by_role("button", name="Take out")).to_be_focused()
    expect(builder.row("Leg")).to_contain_text("3′-4″")
    foreman.wait_for_timeout(400)
    assert (foreman.locator("#ask").count(), builder.row("Offset").count()) == (1, 1)


def test_typing_goes_on_while_the_picture_is_redrawn(foreman, site):
    builder = Builder(foreman, site, "Straight cut", "3/4 EMT").ends("box face", "box face")
    length = builder.row("Leg").get_by_label("Length")
    length.press_sequentially("48 1/2", delay=150)
    expect(foreman.locator("#answer .drawing").first).to_be_visible()
    assert (length.input_value(), length.evaluate("one => one === document.activeElement")) == ("48 1/2", True)


def test_a_new_row_takes_the_cursor(foreman, site):
    builder = Builder(foreman, site, "Straight cut", "3/4 EMT").add("Offset")
    expect(builder.row("Offset").get_by_label("At", exact=True)).to_be_focused()


def test_enter_draws_and_does_not_send(foreman, site):
    builder = Builder(foreman, site, "Straight cut", "3/4 EMT").ends("box face", "box face")
    builder.number("Leg", "Length", "48").row("Leg").get_by_label("Length").press("Enter")
    expect(foreman.locator("#send-key")).to_have_text("Send")
    assert Request.objects.count() == 0


def test_what_is_typed_before_the_scripts_are_there_is_drawn_and_counted(foreman, site):
    held, let_go = [], []

    def hold(route):
        (route.continue_ if let_go else lambda: held.append(route))()

    foreman.route(re.compile(r"/(offline|django_htmx)/"), hold)
    foreman.goto(f"{site}/ask/?shape=straight", wait_until="commit")
    foreman.get_by_label("Tag", exact=True).fill("T-1")
    before = foreman.locator("#send-key").text_content()
    let_go.append(True)
    for route in held:
        route.continue_()
    expect(foreman.locator("#send-key")).not_to_have_text(before)


def test_a_leg_of_625_is_asked_about_and_goes_with_one_tap(foreman, site, wrong):
    builder = Builder(foreman, site, "Straight cut", "3/4 EMT").ends("box face", "box face")
    builder.number("Leg", "Length", "625")
    expect(foreman.locator("#send-key")).to_have_text("Say yes, then send")
    yes = builder.row("Leg").get_by_text("Yes, it is", exact=True)
    assert yes.bounding_box()["height"] >= (48 if foreman.viewport_size == PHONE else 36)
    yes.click()
    assert builder.send().document["path"] == [{"leg": "625"}]
    assert wrong == []


def test_a_rush_is_a_word_in_the_list_on_the_phone_too(foreman, site, shop):
    shop.ask("S-09", rush=True, rush_reason="Inspector", needed_at=datetime(2030, 1, 1, 12, tzinfo=UTC))
    foreman.goto(f"{site}/runs/")
    expect(foreman.locator("main").get_by_text("RUSH", exact=True)).to_be_visible()


@pytest.mark.parametrize("path", ["ask/", "ask/?shape=rolled", "runs/"])
def test_on_a_phone_every_target_is_48_px_and_nothing_scrolls_sideways(page, site, shop, path):
    page.set_viewport_size({"width": 320, "height": 640})
    signed_in(page, site, shop.foreman).goto(f"{site}/{path}")
    assert page.evaluate(TOO_SMALL) == []
    assert page.evaluate(TOO_WIDE) <= 0


# A question, and a change


def test_a_question_is_answered_with_a_tap_and_the_run_is_changed(foreman, site, shop):
    Builder(foreman, site, "Straight cut", "3/4 EMT").ends("box face", "box face").number("Leg", "Length", "48").send()
    revision = Revision.objects.get()
    services.question_ask(revision=revision, at="path[0].leg", text="Which 48?", choices=["this"], actor=shop.lead)
    foreman.goto(f"{site}/runs/")
    expect(foreman.get_by_text("Which 48?")).to_be_visible()
    foreman.locator(".row-link").click()
    foreman.get_by_text("this", exact=True).click()
    foreman.get_by_role("button", name="Send the answer").click()
    foreman.get_by_role("link", name="Change it").click()
    foreman.get_by_label("Length", exact=True).fill("49")
    expect(foreman.locator("#send-key")).to_contain_text("next revision")
    foreman.locator("#send-key").click()
    expect(foreman.locator("ins")).to_contain_text("49")
    assert [one.letter for one in Revision.objects.filter(state=Paper.SENT)] == ["B"]


# Without a script


def test_without_a_script_rows_come_and_go_and_the_run_is_sent(browser, site, shop):
    context = browser.new_context(java_script_enabled=False, viewport=PHONE)
    page = signed_in(context.new_page(), site, shop.foreman)
    builder = Builder(page, site, "Straight cut", "3/4 EMT").ends("box face", "box face").number("Leg", "Length", "48")
    page.get_by_role("button", name="Corner and leg").click()
    builder.number("Leg 2", "Length", "30").chip("Corner", "Turns", "left")
    page.get_by_role("button", name="then send").click()
    expect(page.get_by_text("is sent to the shop")).to_be_visible()
    assert [step.get("leg") for step in Revision.objects.get().document["path"]] == ["48", None, "30"]
    context.close()
