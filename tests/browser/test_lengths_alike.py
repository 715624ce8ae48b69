"""The browser reads a typed length as the library does: the same inches or the same refusal, over many texts."""

import re

import pytest
from django.contrib.staticfiles.storage import staticfiles_storage
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bending.lengths import LengthError, parse_length

pytestmark = pytest.mark.browser

READ = """async ([path, texts]) => { const { parseLength } = await import(path);
  return texts.map((text) => { try { return ["in", parseLength(text)]; }
    catch (error) { if (!error.code) throw error; return ["no", error.code]; } }); }"""
BY_HAND = (
    """
62 1/2|62-1/2|62½|5' 2 1/2"|5'-2 1/2"|5’ 2½”|62.5|1588 mm|1.588m|158.8 cm|-3|- 3|−1/2|5-2 1/2|5 - 2|51/2
25/16|5 2|5'|5' 0"|5.5'|5.5' 2"|5' 13"|1,250|1,5|3/0|1 5/4|1/2/3|''|"|'|.|.5|5.|5. ft|5 ft 2 in
5 feet 2 inches|5ft.2in.|6 foot|625|100000|100001|99999999999999999999|1e3|inf|nan|٣|²|1²|1 ⅞|⅒|↉|½½|½/2
1⁄2|1∕2|5″|5ʹ|5′ 2″|5'' |5'2''|IN|5 İN|ſ|5 m|5 MM|5cm|0|00|007|0-1/2|01-1/2|1-01/2|1 - 1/2|1- 1/2|1 -1/2
1-1/2-1/2|5-2-1/2|12/2|112/16|1116/16|10/2|20/10|3/4"|3/4'|1 2 3/4|1 2/3 4|+5|5+|5!
""".strip()
    .replace("\n", "|")
    .split("|")
)
PARTS = [
    "'",
    '"',
    "''",
    "′",
    "″",
    "’",
    "”",
    "-",
    "–",
    "−",
    "/",
    "⁄",
    ".",
    ",",
    " ",
    "  ",
    "\t",
    "\xa0",
    "\x85",
    "\u2009",
]
PARTS += [
    "½",
    "¼",
    "¾",
    "⅛",
    "⅝",
    "⅞",
    "⅓",
    "mm",
    "cm",
    "m",
    "ft",
    "feet",
    "foot",
    "in",
    "inch",
    "inches",
    "MM",
    "Ft",
    "in.",
]
NUMBERS = st.one_of(
    st.integers(0, 130).map(str), st.sampled_from(["0", "00", "1", "2", "12", "16", "32", "99999", "100001"])
)
LIKELY = st.lists(st.one_of(NUMBERS, NUMBERS, st.sampled_from(PARTS)), min_size=1, max_size=9).map("".join)
TEXTS = st.one_of(LIKELY, LIKELY, LIKELY, st.text(max_size=70), st.text("0123456789 '\"-/.½m", max_size=14))


def by_the_library(text):
    try:
        return ["in", parse_length(text)]
    except LengthError as error:
        return ["no", error.code]


@pytest.fixture
def reader(page, site):
    """Reads texts in the browser; the script comes from the site as it comes to a phone."""
    page.goto(f"{site}/sign-in/")
    path = staticfiles_storage.url("offline/lengths.js")
    return lambda texts: page.evaluate(READ, [path, texts])


def assert_alike(reader, texts):
    for text, here, there in zip(texts, map(by_the_library, texts), reader(texts), strict=True):
        assert there[0] == here[0], (text, here, there)
        assert there[1] == (pytest.approx(here[1], rel=1e-12, abs=0) if here[0] == "in" else here[1]), (
            text,
            here,
            there,
        )


def test_texts_that_were_thought_of_by_hand(reader):
    assert_alike(reader, [*BY_HAND, "", "  "])


def test_the_texts_by_hand_meet_every_refusal():
    codes = {found for word, found in map(by_the_library, [*BY_HAND, ""]) if word == "no"}
    assert codes == {"empty", "not_a_length", "two_readings", "too_long"}


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(TEXTS, min_size=60, max_size=60))
def test_any_texts(reader, texts):
    assert_alike(reader, [text for text in texts if not re.search("[\ud800-\udfff]", text)])
