"""The bench ticket read back from its PDF: sizes, order, one page or two."""

from datetime import timedelta

import pytest
from hypothesis import example, given, settings

from shop.tickets.faults import NotPrinted
from tests.tickets import sample
from tests.tickets.drawn import BENT, RUNS, demo_ticket, ticket
from tests.tickets.reading import digits, height_in, weight_of
from tests.tickets.test_label_sheet import NAMES, PLACES, RARELY, inside

# 0.2 in digits at 30 in: common practice in sign making, height = distance / 150
LEAST = 0.2
ORDER = [
    "QTY", "K-07", "CUT", "far", "mark,", "BOTTOM", "THIS", "CHECK", "TALLY,", "ON", "Hand", "Rev", "responsible.",
    "Swing:", "Ream",
]  # fmt: skip


@pytest.fixture(scope="module")
def k07():
    return demo_ticket("K-07")


def bottom_of_rows(pages):
    """Where the picture begins: its first view's name."""
    return min(pages.word(name)["top"] for name in ("SIDE", "FACE"))


def rows_top(pages):
    return pages.word("mark,")["bottom"]


@pytest.mark.parametrize(("stock", "size"), [("letter", (612, 792)), ("a4", (595.28, 841.89))])
def test_each_page_has_the_stock_s_size(stock, size):
    for page in demo_ticket("K-07", stock).pages:
        assert (float(page.width), float(page.height)) == pytest.approx(size, abs=0.01)


def test_the_size_is_set_in_48_points_and_the_cut_in_36(k07):
    chars = [char for char in k07.chars() if weight_of(char) == "800"]
    assert k07.word("EMT")["size"] == pytest.approx(48)
    assert k07.word("CUT")["size"] == pytest.approx(36)
    assert max(char["size"] for char in chars if char["text"] == "9") >= 36


@pytest.mark.parametrize("tag", BENT)
def test_every_digit_of_a_mark_can_be_read_at_arm_s_length(tag):
    pages = demo_ticket(tag)
    top, end = rows_top(pages), bottom_of_rows(pages)
    marks = digits(pages.chars(), right=36 + 132, top=top - 6, bottom=end - 8)
    angles = digits(pages.chars(), left=36 + 357, right=36 + 424, top=top - 6, bottom=end - 8)
    assert marks and angles and min(map(height_in, marks + angles)) >= LEAST


@pytest.mark.parametrize("tag", BENT)
def test_every_digit_under_the_stick_can_be_read_at_arm_s_length(tag):
    pages = demo_ticket(tag)
    found = digits(pages.chars(), top=pages.word("ZERO")["bottom"] + 24, bottom=pages.word("mark,")["top"] - 8)
    assert found and min(map(height_in, found)) >= LEAST


@pytest.mark.parametrize("tag", BENT)
def test_every_digit_of_a_check_dimension_can_be_read_at_arm_s_length(tag):
    pages = demo_ticket(tag)
    found = digits(pages.chars(), top=bottom_of_rows(pages) - 12, bottom=pages.word("CHECK")["top"] - 4)
    assert found and min(map(height_in, found)) >= LEAST


def test_the_line_in_the_shoe_is_a_large_word(k07):
    assert k07.word("BOTTOM")["size"] >= 20


def test_the_rows_say_the_marks_in_bending_order(k07):
    chars = digits(k07.chars(), left=36 + 24, right=36 + 132, top=rows_top(k07) - 6, bottom=bottom_of_rows(k07) - 8)
    said = "".join(char["text"] for char in chars)
    # run 3 of the trade's ten worked runs: another solver's marks
    assert said == "178" + "4116" + "311116" + "39316" + "481316" + "9358" + "9534"


def test_the_parts_stand_in_the_trade_s_order(k07):
    tops = [k07.word(word)["top"] for word in ORDER]
    assert tops == sorted(tops)


def test_the_sheet_leads_with_the_finished_angle_and_adds_the_reading_small():
    run = sample.demo_run("K-07")
    release = sample.release(run)
    for mark in release.layout["pieces"][0]["marks"]:
        mark["bend_to"] = mark["angle"] + 1.5
    pages = ticket(release)
    top, bottom = rows_top(pages), bottom_of_rows(pages) - 8
    rows = [char for char in pages.chars() if top < char["top"] < bottom]
    readings = [char for char in rows if 36 + 424 < char["x0"] < 36 + 456 and char["text"].isdigit()]
    assert pages.text().count("(go to") == 7
    assert readings and max(map(height_in, readings)) < LEAST * 0.7


def test_what_the_sheet_must_say_of_itself_is_there(k07):
    text = k07.text()
    for words in (
        "Not for field measuring", "Local code and the authority having jurisdiction decide",
        "a licensed person is responsible", "Tolerances: common practice", "THIS FACE OUT", "take-up 6, gain 3 1/4",
        "Rev A, release 1", "print 1", "ZERO = A end, box face, box C-3", "set-screw connector",
    ):  # fmt: skip
        assert words in text


def test_the_book_s_marks_stand_on_the_back_small_and_grey(k07):
    back = k07.chars(1)
    rows = [char for char in back if char["top"] > 120]
    assert "for comparison only" in k07.text(1) and "Never mix" in k07.text(1)
    assert max(char["size"] for char in rows) <= 10
    assert {char["non_stroking_color"] for char in rows} == {(0.4, 0.4, 0.4)}


def test_every_book_mark_has_its_mark_and_its_hook(k07):
    lines = [line.split() for line in k07.text(1).splitlines() if line[:1].isdigit()]
    assert len(lines) == 7
    assert all(
        {"arrow", "notch"} & set(line) and {"zero", "far"} & {word.strip(",") for word in line} for line in lines
    )


@pytest.mark.parametrize("stock", ["letter", "a4"])
@pytest.mark.parametrize("tag", RUNS)
def test_a_usual_run_goes_on_one_front_page(tag, stock):
    assert len(demo_ticket(tag, stock).pages) == 2


@pytest.mark.parametrize("stock", ["letter", "a4"])
def test_everything_stands_inside_the_live_area(stock):
    for page in demo_ticket("H-9", stock).pages:
        left, top = (page.width - 540) / 2, (page.height - 748.8) / 2
        for thing in (*page.chars, *page.lines, *page.rects, *page.curves):
            assert left - 0.1 <= thing["x0"] and thing["x1"] <= page.width - left + 0.1
            # a character's box is its type's, not its ink's
            assert top - 12 <= thing["top"] and thing["bottom"] <= page.height - top + 12


def test_the_ruler_is_five_inches_long(k07):
    level = [line for line in k07.pages[0].lines if line["top"] == line["bottom"] and line["x1"] - line["x0"] < 400]
    ruler = max(level, key=lambda line: line["top"])
    assert ruler["x1"] - ruler["x0"] == pytest.approx(5 * 72)


def many_bends(count):
    """A run with so many bends: three-bend saddles in a row, then offsets."""
    saddles, rest = divmod(count, 3)
    features = [
        {"kind": "saddle3", "centre": 30 + 40 * place, "rise": "2 7/8", "angle": 45} for place in range(saddles)
    ]
    offsets = [{"kind": "offset", "at": 40 * saddles + 30, "rise": 4, "angle": 30}] if rest else []
    document = {
        "format": "run/1", "tag": "M-1", "raceway": "EMT", "size": "3/4", "path": [
            {"leg": 40 * (saddles + 2), "features": [*features, *offsets]},
        ],
    }  # fmt: skip
    return sample.release(sample.run_of(document))


def test_nine_bends_go_on_one_front_page():
    assert len(ticket(many_bends(9)).pages) == 2


@pytest.mark.parametrize("count", [12, 15, 21])
def test_more_bends_go_on_to_another_front_page_with_nothing_lost(count):
    pages = ticket(many_bends(count))
    fronts = range(len(pages.pages) - 1)
    steps = [
        char
        for number in fronts
        for char in digits(pages.chars(number), right=36 + 24)
        if char["size"] == pytest.approx(21)
    ]
    assert len(fronts) >= 2 and all(f"Page {number + 1} of {len(fronts)}" in pages.text(number) for number in fronts)
    assert len(steps) == sum(len(str(step)) for step in range(1, count + 1))
    assert "CHECK" in pages.text(len(fronts) - 1)


def test_a_straight_cut_has_no_rows():
    document = {"format": "run/1", "tag": "C-1", "raceway": "EMT", "size": "3/4", "path": [{"leg": "75"}]}
    text = ticket(sample.release(sample.run_of(document))).text()
    assert "IN THE SHOE" not in text and "75″" in text and "Hands clear of the blade" in text


def test_more_marks_than_a_stick_can_show_fail_by_name():
    with pytest.raises(NotPrinted) as caught:
        ticket(many_bends(36))
    assert caught.value.code == "too_long" and caught.value.limits["what"] == "The stick"


def test_what_is_out_of_the_ordinary_stands_in_the_band():
    release = sample.release(sample.demo_run("K-07"), number=2, rush=True)
    release.number = 2
    text = ticket(release).text()
    band = text.splitlines()[:3]
    assert all(any(words in line for line in band) for words in ("RUSH Tue 6:20", "RE-TICKET", "REV B"))


def test_a_remade_piece_s_ticket_says_so_and_is_for_one():
    release = sample.release(sample.demo_run("S-04"))
    text = ticket(release, piece=sample.piece(release, remake=1)).text()
    assert "REMAKE R1" in text and "S-04 R1" in text and "QTY 1" in text


def test_like_copies_have_a_box_each_in_the_tally():
    text = demo_ticket("S-04").text()
    assert "QTY 8" in text and "1 2 3 4 5 6 7 8" in text


def test_many_copies_are_counted_by_hand():
    assert "of 60" in demo_ticket("S-04", quantity=60).text()


@pytest.mark.parametrize(("field", "value"), [("title", "long " * 60), ("title", "東"), ("title", "x" * 400)])
def test_a_ticket_that_can_t_say_what_it_must_is_not_printed(field, value):
    with pytest.raises(NotPrinted) as caught:
        demo_ticket("K-07", **{field: value})
    assert caught.value.code in ("too_long", "missing_glyph")


def test_the_ticket_s_code_is_read_back():
    pages = demo_ticket("K-07")
    assert pages.codes(dpi=300) == [f"HTTP://LOCALHOST:8000/Q/{sample.CODE}"]


def test_the_ticket_is_the_same_bytes_each_time():
    assert demo_ticket("K-07").pdf == demo_ticket("K-07").pdf


def test_another_day_gives_another_sheet():
    assert demo_ticket("K-07").pdf != demo_ticket("K-07", needed_at=sample.AT + timedelta(days=1)).pdf


def test_a_metric_shop_s_ticket_is_in_millimetres_at_the_same_size():
    run = sample.demo_run("H-9")
    run["document"]["tape"] = "1 mm"
    pages = ticket(sample.release(run), "a4")
    # 214.100 in and 155.975 in, the trade's run 7, times 25.4
    assert pages.word("5438")["size"] >= 36 and pages.word("3962")["size"] >= 26
    assert "″" not in pages.text()


@settings(RARELY, max_examples=15)
@example(tag="0" * 14, place="0")
@given(tag=NAMES, place=PLACES)
def test_any_tag_and_place_stands_on_the_ticket_or_fails_by_name(tag, place):
    release = sample.release(sample.demo_run("S-04"))
    release.revision.run.tag, release.revision.run.place.full_name = tag, place
    try:
        pages = ticket(release)
    except NotPrinted as refusal:
        assert refusal.code in ("missing_glyph", "too_long")
    else:
        assert inside(pages) and len(pages.pages) == 2
