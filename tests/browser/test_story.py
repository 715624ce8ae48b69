"""The whole job in a real browser: from the foreman's tape to the piece in its room, at phone and at desk size."""

import re
from datetime import UTC, datetime

import pypdfium2
import pytest
import zxingcpp
from django.test import Client
from playwright.sync_api import Page, expect

from shop.requests.models import Profile, Revision
from shop.tracking.areas import five
from shop.work.models import Piece
from shop.work.queries import counts_at
from tests.browser.conftest import DESK, PHONE, complains
from tests.browser.test_ask import Builder
from tests.requests import world as worlds

pytestmark = pytest.mark.browser


@pytest.fixture
def shop(site):
    """The browser's clock is the real one, so the benders were tested long before it."""
    made = worlds.make()
    Profile.objects.update(since=datetime(2020, 1, 1, tzinfo=UTC))
    return made


class Story:
    """Everybody has a browser of his own; `people["lead"]` is the shop lead's page."""

    def __init__(self, browser, site, shop, size) -> None:
        self.browser, self.site, self.shop, self.size = browser, site, shop, size
        self.complaints: list[str] = []
        self.pages: dict[str, Page] = {}

    def __getitem__(self, who: str) -> Page:
        if who not in self.pages:
            self.pages[who] = self._signed_in(who)
        return self.pages[who]

    def _signed_in(self, who: str) -> Page:
        client = Client()
        client.force_login(getattr(self.shop, who))
        context = self.browser.new_context(viewport=self.size, has_touch=self.size == PHONE, service_workers="block")
        context.add_cookies([{"name": "sessionid", "value": client.cookies["sessionid"].value, "url": self.site}])
        page = context.new_page()
        page.set_default_timeout(8000)
        page.on("pageerror", lambda error: self.complaints.append(str(error)))
        page.on("console", lambda said: self.complaints.append(said.text) if complains(said) else None)
        return page

    def go(self, who: str, path: str) -> Page:
        self[who].goto(self.site + path)
        return self[who]

    def record(self, who: str, code: str, key: str, **needs: str) -> Page:
        """Opens the label's address as a phone's camera does, fills what is asked for, taps the one key."""
        page = self.go(who, f"/Q/{code}")
        for label, value in needs.items():
            field = page.locator("#main-act").get_by_label(label.replace("_", " "))
            field.select_option(label=value) if field.evaluate("one => one.tagName") == "SELECT" else field.fill(value)
        page.get_by_role("button", name=key, exact=True).click()
        expect(page.locator(".notice.success")).to_be_visible()
        return page


@pytest.fixture(params=[PHONE, DESK], ids=["phone", "desk"])
def story(request, browser, site, shop):
    told = Story(browser, site, shop, request.param)
    yield told
    for page in told.pages.values():
        page.context.close()
    assert told.complaints == []


def asked(story: Story) -> Revision:
    builder = Builder(story["foreman"], story.site, "Stub 90", "3/4 EMT").ends("finished floor", "box face")
    story["foreman"].get_by_label("Qty", exact=True).fill("2")
    builder.number("Leg 1", "Length", "19 1/2").number("Leg 2", "Length", "5' 6\"")
    return builder.send()


def questioned_and_answered(story: Story) -> None:
    lead = story.go("lead", "/inbox/")
    lead.get_by_role("link", name="T-1").first.click()
    lead.get_by_role("link", name="Ask about Leg 1").click()
    lead.get_by_label("Your question").fill("Is 19 1/2 from the finished floor or the slab?")
    lead.get_by_label("Answers to tap").fill("finished floor\nrough slab")
    lead.get_by_role("button", name="Send the question").click()
    expect(lead.get_by_role("heading", name="Waits for an answer")).to_be_visible()
    foreman = story.go("foreman", "/")
    foreman.get_by_role("heading", name="needs your answer").click()
    foreman.get_by_text("rough slab", exact=True).click()
    foreman.get_by_role("button", name="Send the answer").click()
    expect(foreman.get_by_text("Asked and answered")).to_be_visible()


def released(story: Story) -> list[Piece]:
    lead = story.go("lead", "/inbox/")
    expect(lead.get_by_role("heading", name="Answered")).to_be_visible()
    lead.get_by_role("link", name="T-1").first.click()
    lead.get_by_role("button", name="OK it").click()
    lead.get_by_role("button", name="Release 2 pieces").click()
    expect(lead.locator(".notice.success")).to_be_visible()
    return list(Piece.objects.order_by("copy"))


def printed(story: Story, key: str) -> pypdfium2.PdfDocument:
    """The sheet behind a key: the lead taps it, and what his browser asks for is taken as it comes."""
    lead = story["lead"]
    form = lead.locator("form.print").filter(has=lead.get_by_role("button", name=key, exact=True))
    token = form.locator("[name=csrfmiddlewaretoken]").input_value()
    address = f"{story.site}{form.get_attribute('action')}"
    answer = lead.request.post(address, form={"csrfmiddlewaretoken": token}, headers={"Referer": lead.url})
    assert answer.status == 200 and answer.headers["content-type"] == "application/pdf"
    return pypdfium2.PdfDocument(answer.body())


def codes_on(page: pypdfium2.PdfPage) -> set[str]:
    """What a decoder that isn't ours reads off the sheet at a thermal printer's 203 dpi."""
    picture = page.render(scale=203 / 72).to_pil().convert("L")
    return {found.text for found in zxingcpp.read_barcodes(picture, formats=zxingcpp.BarcodeFormat.QRCode)}


def code_of(address: str) -> str:
    found = re.fullmatch(r"HTTP://LOCALHOST:8000/Q/([2-9A-Z]{10})", address)
    assert found, address
    return found[1]


def test_from_the_foremans_tape_to_the_piece_in_its_room(story):
    asked(story)
    questioned_and_answered(story)
    pieces = released(story)
    ticket = printed(story, "Ticket")
    words = ticket[0].get_textpage().get_text_range()
    assert all(word in words for word in ("3/4 EMT", "QTY 2", "T-1", "CUT", "ZERO", "TOP"))
    assert {code_of(address) for address in codes_on(ticket[0])} == {pieces[0].release.code}
    labels = printed(story, "Labels")
    found = [{code_of(address) for address in codes_on(sheet)} for sheet in labels]
    assert found == [{piece.code} for piece in pieces]
    code = pieces[0].code

    for key in ("It is cut", "It is bent", "It passes the check", "The label is on"):
        story.record("hand", code, key)
    story.record("driver", code, "It is in a bundle", Bundle="4C")
    story.record("driver", code, "It is on the truck", Load_number="118")
    story.record("driver", code, "I left it there", Where="North, L2, Hoist")
    story.record("foreman", code, "It is here, counted", Where="North, L2, Hoist")
    page = story.record("installer", code, "It is in")
    expect(page.locator(".band .word")).to_have_text("IN")

    page = story.go("foreman", f"/areas/{story.shop.room.pk}/")
    shown = [int(text) for text in page.locator(".five b").all_text_contents()]
    assert shown == [1, 0, 0, 1, 0]
    assert sum(shown) == 2 == counts_at(story.shop.room).total
    assert list(five(counts_at(story.shop.room)).values()) == shown


def test_a_tag_and_a_copy_typed_by_hand_open_the_piece(story):
    asked(story)
    questioned_and_answered(story)
    pieces = released(story)
    page = story.go("hand", "/q/")
    page.locator("main").get_by_label("Code, or tag and copy, or room").fill("t-1 2")
    page.locator("main").get_by_role("button", name="Find it").click()
    expect(page).to_have_url(f"{story.site}/pieces/{pieces[1].pk}/")
    expect(page.locator(".band .word")).to_have_text("CUT")


def test_a_changed_run_stops_the_old_ticket_and_the_old_metal(story):
    asked(story)
    questioned_and_answered(story)
    pieces = released(story)
    story.record("hand", pieces[0].code, "It is cut")
    foreman = story.go("foreman", f"/runs/{pieces[0].run_id}/")
    foreman.get_by_role("link", name="Change it").click()
    foreman.locator(".ask-row").filter(has_text="Leg 1").first.get_by_label("Length").fill("20")
    key = foreman.locator("#send-key")
    expect(key).to_be_enabled()
    key.click()
    expect(foreman.get_by_text("is sent to the shop")).to_be_visible()
    page = story.go("hand", f"/Q/{pieces[0].code}")
    expect(page.locator(".band .word")).to_have_text("OLD REV")
