"""The frame in a real browser: signing in, both widths, light and dark, the keyboard."""

import pytest

from shop.jobs import services
from tests.browser.conftest import DESK, PHONE, complains

pytestmark = pytest.mark.browser

SMALL_PHONE = {"width": 320, "height": 640}
TOO_SMALL = """() => [...document.querySelectorAll("a, button, input, select")]
  .filter((one) => one.type !== "hidden" && one.checkVisibility() && !one.matches(".skip, .row-link"))
  .map((one) => [one.textContent.trim() || one.name, one.getBoundingClientRect().height])
  .filter(([, height]) => height < 48)"""
SIGN_WIDTHS = """() => [...document.querySelectorAll("svg.i")].filter((sign) => sign.checkVisibility())
  .map((sign) => sign.querySelector("use").getBoundingClientRect().width)"""
SEEN_FOCUS = """() => { const style = getComputedStyle(document.activeElement);
  return [document.activeElement.tagName, style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2]; }"""


@pytest.fixture
def foreman(site):
    return services.person_add(
        username="foreman", title="Foreman", role="foreman", password="a ruler of steel", actor=None
    )


@pytest.fixture
def wrong(page):
    """What the browser complains of: scripts, styles or fonts that were refused or missing."""
    heard = []
    page.on("console", lambda message: heard.append(message.text) if complains(message) else None)
    page.on("pageerror", lambda error: heard.append(str(error)))
    page.on("response", lambda answer: heard.append(answer.url) if answer.status >= 400 else None)
    return heard


@pytest.fixture
def today(page, site, foreman):
    page.goto(f"{site}/sign-in/")
    page.get_by_label("Your sign-in").fill("foreman")
    page.get_by_label("Password").fill("a ruler of steel")
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url(f"{site}/")
    return page


def test_signing_in_leads_to_today_without_a_complaint(page, wrong, today):
    today.wait_for_load_state("networkidle")
    assert today.get_by_role("navigation", name="Pages").get_by_text("Today").is_visible()
    assert wrong == []


def test_a_wrong_password_says_so_and_keeps_the_name(page, site, foreman):
    page.goto(f"{site}/sign-in/")
    page.get_by_label("Your sign-in").fill("foreman")
    page.get_by_label("Password").fill("a ruler of wood")
    page.get_by_role("button", name="Sign in").click()
    assert page.get_by_role("alert").is_visible()
    assert page.get_by_label("Your sign-in").input_value() == "foreman"


@pytest.mark.parametrize("screen", [SMALL_PHONE, PHONE, DESK], ids=lambda screen: str(screen["width"]))
def test_no_page_scrolls_sideways(today, site, screen):
    today.set_viewport_size(screen)
    for path in ("/", "/no-such-page/"):
        today.goto(f"{site}{path}")
        assert today.evaluate("document.documentElement.scrollWidth") == screen["width"]


def test_every_target_on_a_phone_is_48_px_high(today):
    today.set_viewport_size(PHONE)
    assert today.evaluate(TOO_SMALL) == []


def test_the_family_of_the_paper_is_on_the_page(today):
    loaded = today.evaluate(
        "document.fonts.ready.then((all) => [...all].filter((one) => one.status == 'loaded').length)"
    )
    assert loaded >= 2


def test_whoever_comes_by_keyboard_sees_where_he_is(today):
    seen = []
    for _ in range(8):
        today.keyboard.press("Tab")
        seen.append(today.evaluate(SEEN_FOCUS))
    assert {name for name, _ in seen} > {"A"} and all(outlined for _, outlined in seen)


def test_the_first_tab_leads_past_the_frame(today):
    today.keyboard.press("Tab")
    today.keyboard.press("Enter")
    assert today.evaluate("document.activeElement.id") == "content"


def test_the_key_fixes_the_colours_and_the_browser_keeps_them(today):
    today.get_by_role("button", name="Colours: as the device").click()
    today.reload()
    today.get_by_role("button", name="Colours: light").click()
    assert today.evaluate("document.documentElement.dataset.theme") == "dark"


def test_a_second_tap_by_accident_does_nothing(today):
    today.get_by_role("button", name="Colours: as the device").dblclick()
    assert today.evaluate("document.documentElement.dataset.theme") == "light"


def test_signs_are_drawn(today):
    widths = today.evaluate(SIGN_WIDTHS)
    assert widths and 0 not in widths
