"""Length text, in and out; what was printed elsewhere has its source beside it."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bending.lengths import TAPES, LengthError, format_length, parse_length, round_to_tape, split_length


@pytest.mark.parametrize(
    "text",
    ["62 1/2", "62-1/2", "62½", "62 ½", "62.5", "62.5\"", "62 8/16", "5' 2 1/2\"", "5'-2 1/2\"", "5' - 2½\"",
     "5'-2-1/2\"", "5’ 2½”", "5′-2 1⁄2″", "5'2.5\"", "5' 2 1/2", "62–1/2", "5 ft 2 1/2 in", "5ft2½in.", "5' 2 1/2''",
     "1587.5 mm", "1587.5mm", "158.75 cm", " 62  1/2 ", "62 1 / 2", 62.5],
)  # fmt: skip
def test_every_way_to_write_it_is_sixty_two_and_a_half(text: str | float) -> None:
    assert parse_length(text) == pytest.approx(62.5, abs=1e-12)


@pytest.mark.parametrize(
    ("text", "inches"),
    [("0' 6\"", 6), ("3' 4", 40), ("5.5'", 66), ("½", 0.5), ("1/2", 0.5), ("5/4", 1.25), (".5", 0.5), ("7'", 84),
     ("7'-0\"", 84), ("3'-0 9/16\"", 36.5625), ("-1/2", -0.5), ("−½", -0.5), ("-5'-2\"", -62), ("- 62 1/2", -62.5),
     ("0", 0), (0, 0), (-0.5, -0.5), ("11/16", 0.6875), ("1588 mm", 1588 / 25.4)],
)  # fmt: skip
def test_a_length_with_one_reading_is_read(text: str | float, inches: float) -> None:
    assert parse_length(text) == pytest.approx(inches, abs=1e-12)


@pytest.mark.parametrize(
    ("text", "readings"),
    [("5-2 1/2", ("5'-2 1/2\"", "5 minus 2 1/2")), ("5-2", ("5'-2\"", "5 minus 2")), ("5-2½\"", ("5'-2", "minus")),
     ("62 - 1/2", ("62 1/2", "62 minus 1/2")), ("62 -1/2", ("62 1/2", "62 minus 1/2")), ("5 2", ("5'-2\"", '52"')),
     ("6 2½", ("6'-2 1/2\"", '62 1/2"')), ("62,5", ("62.5", "625")), ("1,588 mm", ("1.588", "1588")),
     ("51/2", ("5 1/2", "25.5")), ("621/2", ("62 1/2", "310.5")), ("5' 14\"", ("74 in", "fewer than 12"))],
)  # fmt: skip
def test_a_length_with_two_readings_is_refused_with_both(text: str, readings: tuple[str, str]) -> None:
    with pytest.raises(LengthError) as refused:
        parse_length(text)
    assert refused.value.code == "two_readings"
    assert all(reading in refused.value.text for reading in readings)


@pytest.mark.parametrize(
    ("value", "code"),
    [("", "empty"), ("  ", "empty"), ("-", "not_a_length"), ("abc", "not_a_length"), ("1e3", "not_a_length"),
     ("62 1/0", "not_a_length"), ("1/0", "not_a_length"), ("62 9/8", "not_a_length"), ("1/2/3", "not_a_length"),
     ("5\"2'", "not_a_length"), ("62.5 1/2", "not_a_length"), ("5.5' 2\"", "not_a_length"), ("--5", "not_a_length"),
     ("5 mm mm", "not_a_length"), ("½½", "not_a_length"), ("²", "not_a_length"), ("٣", "not_a_length"),
     ("9" * 80, "not_a_length"), ("9" * 50, "too_long"), (1e300, "too_long"), (10**400, "too_long"),
     (math.nan, "not_finite"), (math.inf, "not_finite"), ("nan", "not_a_length"), (True, "not_a_length"),
     (None, "not_a_length"), ([62], "not_a_length")],
)  # fmt: skip
def test_what_is_no_length_is_refused_by_name(value: object, code: str) -> None:
    with pytest.raises(LengthError) as refused:
        parse_length(value)  # type: ignore[arg-type]
    assert refused.value.code == code


@pytest.mark.parametrize(
    ("inches", "text", "source"),
    [(37.68, '37 11/16"', "NJATC Conduit Fabrication L2 lesson 4"),
     (79.305, '79 5/16"', "NJATC Conduit Fabrication L2 lesson 4"),
     (22.8125, '22 13/16"', "NJATC Conduit Fabrication L2 lesson 4")],
)  # fmt: skip
def test_rounding_agrees_with_printed_worked_examples(inches: float, text: str, source: str) -> None:
    assert format_length(inches) == text, source


@pytest.mark.parametrize(
    ("inches", "text", "source"),
    [(51.5, "4'-3 1/2\"", "LibreTexts, Fundamentals: Drawings and Specifications"),
     (84, "7'-0\"", "LibreTexts, Fundamentals: Drawings and Specifications"),
     (120, "10'-0\"", "northernarchitecture.us: zero inches are kept"),
     (11.5, '11 1/2"', "northernarchitecture.us: below one foot in inches only"),
     (36.5625, "3'-0 9/16\"", "follows from the two rules above")],
)  # fmt: skip
def test_feet_are_written_as_drawings_write_them(inches: float, text: str, source: str) -> None:
    assert format_length(inches, feet=True) == text, source


def test_a_half_step_goes_up() -> None:
    assert round_to_tape(10 + 1 / 32) == 10.0625
    assert format_length(10 + 1 / 64, "1/32") == '10 1/32"'


def test_a_length_short_of_a_foot_that_rounds_to_it_is_written_as_a_foot() -> None:
    assert format_length(11.99, feet=True) == "1'-0\""


def test_a_metric_tape_shows_whole_millimetres() -> None:
    assert format_length(62.5, "1 mm") == "1588 mm"
    assert round_to_tape(62.5, "1 mm") == pytest.approx(1588 / 25.4)


def test_nothing_is_never_minus_nothing() -> None:
    assert format_length(-0.001) == '0"'
    assert split_length(-0.001) == (1, 0, 0, 1)


def test_a_negative_length_keeps_its_minus() -> None:
    assert format_length(-0.5) == '-1/2"'
    assert split_length(-98.8125) == (-1, 98, 13, 16)


def test_an_unknown_tape_is_refused() -> None:
    with pytest.raises(LengthError) as refused:
        format_length(1, "1/7")
    assert refused.value.code == "unknown_tape"


@given(st.floats(-9999, 9999), st.sampled_from(TAPES), st.booleans())
def test_what_is_written_is_read_back_as_rounded(inches: float, tape: str, feet: bool) -> None:
    assert parse_length(format_length(inches, tape, feet)) == pytest.approx(round_to_tape(inches, tape), abs=1e-9)


@given(st.text(max_size=30) | st.text(alphabet="0123456789 /-'\".½,m", max_size=12))
def test_any_text_is_read_or_refused_by_name(text: str) -> None:
    try:
        assert math.isfinite(parse_length(text))
    except LengthError as refused:
        assert refused.code in {"empty", "not_a_length", "two_readings", "too_long"}
