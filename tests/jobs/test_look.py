"""The look: contrast of the tokens, signs that are there, templates that the content policy lets through, fonts."""

import re
from datetime import UTC, datetime, timedelta
from pathlib import Path
from xml.etree import ElementTree

import pytest
from django.conf import settings
from django.template import Context, Template
from django.utils.html import strip_tags
from fontTools.ttLib import TTFont

from shop.jobs import clock, fonts
from shop.jobs.refusals import Refusal
from shop.jobs.templatetags import states, times

LOOK = settings.BROWSER_DIR / "static" / "look"
TEMPLATES = sorted((settings.BASE_DIR / "templates").rglob("*.html"))
SIGNS = {sign.get("id") for sign in ElementTree.parse(LOOK / "signs.svg").iter() if sign.tag.endswith("symbol")}
NOON = datetime(2026, 11, 25, 18, 0, tzinfo=UTC)  # a Wednesday, noon in the shop's zone


def render(text, **context):
    return Template(text).render(Context(context))


def sets():
    """The tokens as a browser in light and in dark has them; dark stands on light."""
    text = re.sub(r"/\*.*?\*/", "", (LOOK / "tokens.css").read_text(), flags=re.S)
    light, dark, device = (dict(re.findall(r"--([\w-]+): (#[0-9A-F]{6})", part)) for part in blocks(text))
    return {"light": light, "dark": {**light, **dark}, "device": {**light, **device}}


def blocks(text):
    heads = (r":root \{", r':root\[data-theme="dark"\] \{', r":root:not\(\[data-theme\]\) \{")
    return [re.search(head + r"(.*?)\}", text, flags=re.S).group(1) for head in heads]


def luminance(colour):
    """Relative luminance, WCAG 2.2, definitions."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one, other):
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def test_contrast_is_measured_as_the_standard_does():
    # WCAG 2.2: black on white is 21:1
    assert contrast("#000000", "#FFFFFF") == pytest.approx(21)


# WCAG 2.2: 7:1 is success criterion 1.4.6 (AAA), 4.5:1 is 1.4.3 (AA, and AAA for large text), 3:1 is 1.4.11 for edges.
TEXT = [
    ("ink", "sheet"),
    ("ink", "ground"),
    ("ink", "dip"),
    ("ink-2", "sheet"),
    ("ink-2", "ground"),
    ("ink", "act-wash"),
]
TEXT += [("ink", "stop-wash"), ("ink", "wait-wash"), ("ink", "go-wash"), ("act", "sheet"), ("act", "ground")]
TEXT += [("wait-ink", "wait"), ("wait-text", "sheet"), ("stop-text", "sheet"), ("go-text", "sheet")]
LARGE = [
    ("stop-ink", "stop"),
    ("go-ink", "go"),
    ("act-ink", "act-fill"),
    ("stop-text", "stop-wash"),
    ("stop-text", "ground"),
]
LARGE += [("wait-text", "ground"), ("go-text", "ground"), ("ink-2", "dip")]
EDGES = [("edge", "sheet"), ("edge", "ground"), ("act", "act-wash"), ("bar-here", "sheet"), ("bar-in", "bar-here")]
FLOORS = [(7, TEXT), (4.5, LARGE), (3, EDGES)]


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_every_pair_of_colours_keeps_its_floor(theme):
    colours = sets()[theme]
    found = {(a, b): contrast(colours[a], colours[b]) for _, pairs in FLOORS for a, b in pairs}
    assert {pair: ratio for floor, pairs in FLOORS for pair in pairs if (ratio := found[pair]) < floor} == {}


def test_dark_by_the_key_and_dark_by_the_device_are_the_same():
    found = sets()
    assert found["dark"] == found["device"] != found["light"]


def test_no_template_holds_what_the_content_policy_forbids():
    forbidden = re.compile(r"<style|\sstyle=|\son[a-z]+=|javascript:|hx-on|<script(?![^>]*\ssrc=)", re.I)
    assert [path.name for path in TEMPLATES if forbidden.search(path.read_text())] == []
    assert len(TEMPLATES) > 10


def test_every_sign_that_a_template_names_exists():
    named = {name for path in TEMPLATES for name in re.findall(r'{% icon "([\w-]+)"', path.read_text())}
    named |= {shape for shape, _ in states.LOOKS.values()}
    assert named and named <= SIGNS


def test_an_unknown_word_says_what_to_do_and_is_good_news():
    assert states.look_of("LOAD") == ("disc", "go")


def test_a_flag_is_known_in_small_letters_too():
    assert states.tone("wrong_place") == "wait" and states.tone("old rev") == "stop"


def test_a_state_shows_shape_and_word():
    shown = render('{% state "HOLD" %}')
    assert "#square" in shown and strip_tags(shown).strip() == "HOLD"


def test_a_tag_names_remake_and_revision():
    shown = render('{% tag "K-07" rev="B" remake=1 %}')
    assert strip_tags(shown).split() == ["K-07", "R1", "REV", "B"]


COUNTS = {"in": 23, "here": 38, "on_truck": 12, "in_shop": 8, "asked": 3}


def test_the_area_bar_says_its_numbers_and_fills_its_width():
    shown = render("{% area_bar counts %}", counts=COUNTS)
    assert 'aria-label="23 in, 38 here, 12 on truck, 8 in shop, 3 asked"' in shown
    assert sum(map(float, re.findall(r' width="([\d.]+)%"', shown))) == pytest.approx(100, abs=0.05)


def test_a_step_that_exists_is_never_too_narrow_to_be_seen():
    shown = render("{% area_bar counts %}", counts={**dict.fromkeys(COUNTS, 0), "in": 1, "in_shop": 900})
    # 4 px of the 350 px that a phone of 390 has: 1.1 %
    assert min(map(float, re.findall(r' width="([\d.]+)%"', shown))) > 1.1


def test_an_empty_area_has_an_empty_bar():
    shown = render("{% area_bar counts %}", counts=dict.fromkeys(COUNTS, 0))
    assert "nothing asked" in shown and "<rect" not in shown


@pytest.mark.parametrize(
    ("hours", "words"),
    [(1, "today 13:00"), (19, "Thu 7:00"), (96, "Sun 12:00"), (120, "Mon 30 Nov 12:00"), (-48, "Mon 12:00")],
)
def test_a_time_near_by_is_a_weekday_and_an_hour(hours, words):
    # 25 November 2026 is a Wednesday (ISO 8601 calendar); America/Chicago is at UTC-6 then (IANA time zones)
    with clock.at(NOON):
        assert times.said(NOON + timedelta(hours=hours)) == words


def test_a_weekday_never_has_two_readings():
    with clock.at(NOON):
        said = [times.said(NOON + timedelta(days=days)) for days in range(-30, 31)]
    assert len(set(said)) == len(said)


def test_a_time_of_another_year_says_the_year():
    with clock.at(NOON):
        assert times.said(NOON - timedelta(days=365)) == "25 Nov 2025 12:00"


@pytest.mark.parametrize(("minutes", "words"), [(0, "now"), (2, "2 min"), (14 * 60, "14 h"), (72 * 60, "3 days")])
def test_an_age_is_rough(minutes, words):
    with clock.at(NOON):
        assert times.age(NOON - timedelta(minutes=minutes)) == words


# What the shop's words and numbers need; the languages are those of the family's four scripts.
LETTERS = "AaZz09 ½¼¾°″′×·–—−⁄éñüß ğışŁ Ωλ Жя"


@pytest.mark.parametrize("weight", fonts.WEIGHTS)
def test_the_paper_font_has_every_letter_it_promises(weight):
    letters = TTFont(settings.FONTS_DIR / fonts.paper_name(weight)).getBestCmap()
    assert [letter for letter in LETTERS if ord(letter) not in letters] == []


@pytest.mark.parametrize("weight", fonts.WEIGHTS)
def test_figures_have_one_width(weight):
    font = TTFont(settings.FONTS_DIR / fonts.paper_name(weight))
    names = font.getBestCmap()
    assert len({font["hmtx"][names[ord(figure)]][0] for figure in "0123456789"}) == 1


@pytest.mark.parametrize("weight", fonts.WEIGHTS)
def test_a_page_in_english_loads_less_than_20_kb_a_weight(weight):
    assert (settings.FONTS_DIR / fonts.page_name(weight, "latin")).stat().st_size < 20_000


def test_fonts_that_are_there_are_not_cut_again():
    assert fonts.build(fonts.Cutting(settings.BROWSER_DIR, settings.FONTS_DIR)) is False


def test_without_the_package_the_fonts_are_refused(tmp_path):
    with pytest.raises(Refusal) as refusal:
        fonts.build(fonts.Cutting(tmp_path, tmp_path / "fonts"))
    assert refusal.value.code == "fonts_not_installed"


def test_the_packages_of_the_browser_are_locked_without_an_address_to_load_them_from():
    lock = Path(settings.BROWSER_DIR / "package-lock.json").read_text()
    assert '"resolved"' not in lock and '"integrity"' in lock
