"""Codes on labels: nothing that can be confused, and a check character that finds a slip."""

from hypothesis import given
from hypothesis import strategies as st

from shop.jobs.codes import ALPHABET, clean_code, is_code, is_short_code, new_code, printed


def test_the_alphabet_is_2_to_9_and_a_to_z_less_i_l_o():
    assert set(ALPHABET) == set("23456789") | set("ABCDEFGHIJKLMNOPQRSTUVWXYZ") - set("ILO")


def test_a_new_code_checks_and_is_ten_long():
    code = new_code()
    assert len(code) == 10 and is_code(code)


def test_a_code_is_printed_4_3_3():
    assert printed("QK7RMD3HX6") == "QK7R MD3 HX6"


@given(st.integers(0, 9), st.sampled_from(ALPHABET))
def test_any_one_wrong_character_is_found(place, sign):
    code = new_code()
    wrong = code[:place] + sign + code[place + 1 :]
    assert is_code(wrong) == (wrong == code)


@given(st.integers(0, 8))
def test_two_neighbours_swapped_are_found(place):
    code = new_code()
    swapped = code[:place] + code[place + 1] + code[place] + code[place + 2 :]
    assert is_code(swapped) == (swapped == code)


def test_a_typed_code_may_be_small_with_blanks_and_hyphens():
    code = new_code()
    assert clean_code(f" {printed(code).lower()}-") == code


def test_the_last_six_are_a_short_code():
    assert is_short_code(new_code()[-6:])
    assert not is_short_code("QK0RMD")
