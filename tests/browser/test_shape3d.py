"""The shape that can be turned, on the pages that show it: by key, by arrow, by drag, and told in words."""

from datetime import UTC, datetime
from typing import Any

import pytest
from django.test import Client
from playwright.sync_api import Locator, Page

from shop.requests.models import Bender, Profile
from tests.browser.conftest import DESK, PHONE, complains
from tests.requests import world as worlds

pytestmark = pytest.mark.browser

# Where ink lies on a canvas: its bounding box in px of the drawing, or nothing on a blank one.
INK = """(canvas) => {
  const { width, height } = canvas, data = canvas.getContext("2d").getImageData(0, 0, width, height).data;
  const box = [width, height, 0, 0];
  for (let y = 0; y < height; y++) for (let x = 0; x < width; x++) if (data[(y * width + x) * 4 + 3]) {
    [box[0], box[1]] = [Math.min(box[0], x), Math.min(box[1], y)];
    [box[2], box[3]] = [Math.max(box[2], x), Math.max(box[3], y)];
  }
  return box[2] ? box : null; }"""
# Which share of what is drawn is black, or nearly.
BLACK = """(canvas) => { const { width, height } = canvas;
  const data = canvas.getContext("2d").getImageData(0, 0, width, height).data;
  let black = 0, all = 0;
  for (let i = 0; i < data.length; i += 4) if (data[i + 3] > 250) { all++; black += data[i] < 40; }
  return black / all; }"""
PICTURE = "(canvas) => canvas.toDataURL()"
KEYS = ("Turn left", "Turn right", "Tip up", "Tip down")


@pytest.fixture
def wrong(page):
    heard: list[str] = []
    page.on("console", lambda message: heard.append(message.text) if complains(message) else None)
    page.on("pageerror", lambda error: heard.append(str(error)))
    page.on("response", lambda answer: heard.append(answer.url) if answer.status >= 400 else None)
    return heard


@pytest.fixture
def shop(site):
    """A job, its people and a bender; take-up and gain are a usual hand shoe's (common practice, no source)."""
    made = worlds.make()
    bender = Bender.objects.create(name="Hand bender", kind="hand")
    since = datetime(2020, 1, 1, tzinfo=UTC)
    Profile.objects.create(bender=bender, raceway="EMT", size="3/4", data=worlds.USUAL["3/4"], since=since)
    return made


def shown(page: Page, site: str, shop: Any, *, path: str = "run", tag: str = "S-04", **document: Any) -> Locator:
    """The figure on the page of a run in three dimensions, looked at by who may."""
    revision = shop.ask(tag, document=worlds.three_d() | document, three_d_yes=True)
    client = Client()
    client.force_login(shop.foreman if path == "run" else shop.lead)
    page.context.add_cookies([{"name": "sessionid", "value": client.cookies["sessionid"].value, "url": site}])
    page.goto(f"{site}/runs/{revision.run_id}/" if path == "run" else f"{site}/inbox/{revision.pk}/")
    page.wait_for_load_state("networkidle")
    return page.locator("[data-shape3d]")


@pytest.fixture
def figure(page, site, shop):
    page.set_viewport_size(PHONE)
    found = shown(page, site, shop)
    found.scroll_into_view_if_needed()
    return found


def status(figure: Locator) -> str:
    return figure.get_by_role("status").inner_text()


def test_both_pages_show_it_without_a_complaint(page, site, shop, wrong):
    for path, size in (("run", PHONE), ("review", DESK)):
        page.set_viewport_size(size)
        assert shown(page, site, shop, path=path, tag=path).locator("canvas").evaluate(INK)
    assert wrong == []


def test_it_stays_inside_its_canvas_whichever_way_it_is_turned(figure):
    canvas = figure.locator("canvas")
    for key in ("Turn right", "Tip up", "Turn right", "Tip down", "Turn right"):
        for _ in range(3):
            figure.get_by_role("button", name=key).click()
        left, top, right, bottom = canvas.evaluate(INK)
        assert left > 0 and top > 0
        assert right < canvas.evaluate("(one) => one.width - 1") and bottom < canvas.evaluate("(one) => one.height - 1")


def test_every_key_turns_it_and_says_so(figure):
    canvas, seen = figure.locator("canvas"), set()
    figure.get_by_role("button", name="Square on").click()
    for key in KEYS:
        figure.get_by_role("button", name=key).click()
        seen.add((status(figure), canvas.evaluate(PICTURE)))
    # Left and right again is where it began; up and down as well.
    assert len(seen) == 3


def test_left_is_left(figure):
    figure.get_by_role("button", name="Square on").click()
    figure.get_by_role("button", name="Turn left").click()
    assert status(figure) == "Turned 15° left, tipped 0° up."


def test_a_quick_second_tap_turns_it_again(figure):
    figure.get_by_role("button", name="Square on").click()
    figure.get_by_role("button", name="Tip up").dblclick()
    assert status(figure) == "Turned 0° right, tipped 30° up."


def test_arrow_keys_turn_it_and_do_not_scroll_the_page(page, figure):
    canvas = figure.locator("canvas")
    figure.get_by_role("button", name="Square on").click()
    canvas.focus()
    before = page.evaluate("scrollY")
    for key in ("ArrowDown", "ArrowDown", "ArrowRight"):
        page.keyboard.press(key)
    assert status(figure) == "Turned 15° right, tipped 30° down."
    assert page.evaluate("scrollY") == before


def test_a_drag_turns_it(page, figure):
    figure.get_by_role("button", name="Square on").click()
    box = figure.locator("canvas").bounding_box()
    page.mouse.move(box["x"] + 100, box["y"] + 100)
    page.mouse.down()
    page.mouse.move(box["x"] + 160, box["y"] + 100, steps=6)
    page.mouse.up()
    page.mouse.move(box["x"] + 20, box["y"] + 20)
    assert status(figure) == "Turned 30° right, tipped 0° up."


def test_its_keys_are_large_enough_for_gloves_on_a_phone_and_at_the_desk(page, figure):
    for size in (PHONE, DESK):
        page.set_viewport_size(size)
        heights = [key.bounding_box()["height"] for key in figure.get_by_role("button").all()]
        assert len(heights) == 5 and min(heights) >= 48


def test_who_cannot_see_it_is_told_the_shape(figure):
    told = figure.get_by_role("img").get_attribute("aria-label")
    assert "2 bends" in told and "along the run, then out, then left" in told


def test_in_the_dark_its_lines_are_light(page, figure):
    assert figure.locator("canvas").evaluate(BLACK) > 0.15
    page.evaluate("document.documentElement.dataset.theme = 'dark'")
    page.wait_for_function(f"() => ({BLACK})(document.querySelector('[data-shape3d] canvas')) < 0.08", timeout=3000)


def test_a_surface_is_drawn_where_the_run_says_on_what_it_hangs(page, site, shop):
    page.set_viewport_size(PHONE)
    free = shown(page, site, shop).locator("canvas").evaluate(INK)
    figure = shown(page, site, shop, tag="S-05", mount="ceiling")
    assert figure.get_by_role("button", name="As it hangs").is_visible()
    assert figure.locator("canvas").evaluate(INK) != free


def test_without_a_script_nothing_dead_is_shown(browser, site, shop):
    page = browser.new_page(java_script_enabled=False)
    figure = shown(page, site, shop)
    assert figure.count() == 1 and figure.is_hidden()
    page.context.close()
