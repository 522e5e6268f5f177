"""Promises of the job number: forgiving about form, strict about digits, never corrected in silence."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.domain.job_number import JobNumberError, check_digit, likely_corrections, make, parse, show

SEQUENCES = st.integers(min_value=1, max_value=999_999)


@given(sequence=SEQUENCES)
def test_number_made_is_shown_and_parsed_back(sequence):
    number = make(sequence)
    assert parse(show(number)) == number
    assert int(number[:6]) == sequence


@pytest.mark.parametrize(
    "text", ["4821095", "482 109-5", "482-109-5", "482.109.5", "482109/5", " ٤٨٢١٠٩٥ ", "482 109–5"]
)
def test_separators_and_scripts_do_not_matter(text):
    assert parse(text) == "4821095"


@given(sequence=SEQUENCES, at=st.integers(min_value=0, max_value=6), wrong=st.sampled_from("0123456789"))
def test_every_single_wrong_digit_is_refused(sequence, at, wrong):
    number = make(sequence)
    typed = number[:at] + wrong + number[at + 1 :]
    if typed == number:
        assert parse(typed) == number
    else:
        with pytest.raises(JobNumberError):
            parse(typed)


@given(sequence=SEQUENCES, at=st.integers(min_value=0, max_value=5))
def test_swap_of_neighbours_is_refused_and_offered_back(sequence, at):
    number = make(sequence)
    typed = number[:at] + number[at + 1] + number[at] + number[at + 2 :]
    if typed == number:
        assert parse(typed) == number
    else:
        with pytest.raises(JobNumberError) as refusal:
            parse(typed)
        assert number in refusal.value.corrections


@given(sequence=SEQUENCES, at=st.integers(min_value=0, max_value=6), wrong=st.sampled_from("0123456789"))
def test_any_single_wrong_digit_offers_the_right_number_back(sequence, at, wrong):
    number = make(sequence)
    typed = number[:at] + wrong + number[at + 1 :]
    if typed != number:
        with pytest.raises(JobNumberError) as refusal:
            parse(typed)
        assert number in refusal.value.corrections
        assert all(check_digit(each) == "0" for each in refusal.value.corrections)


@given(digits=st.text(alphabet="0123456789", min_size=7, max_size=7))
def test_every_correction_offered_is_itself_a_job_number(digits):
    for number in likely_corrections(digits):
        assert parse(number) == number


def test_failed_check_names_what_may_be_meant():
    with pytest.raises(JobNumberError, match="482 109-5") as refusal:
        parse("482 109-3")
    assert str(refusal.value).startswith("482 109-3 is not a job number")


def test_letters_are_refused_with_the_digits_they_look_like():
    with pytest.raises(JobNumberError, match="Read as digits this is 482 109-5") as refusal:
        parse("48Z 1O9-S")
    assert refusal.value.corrections == ("4821095",)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "seven digits"),
        ("  -- ", "seven digits"),
        ("482109", "after the dash"),
        ("48210954821095" * 20, "280 digits"),
        ("hello", "only digits"),
        ("🙂", "seven digits"),
        ("0000000", "not a job number"),
    ],
)
def test_refusal_says_what_to_type(text, told):
    with pytest.raises(JobNumberError, match=told) as refusal:
        parse(text)
    assert len(str(refusal.value)) < 160


@pytest.mark.parametrize("sequence", [0, -1, 1_000_000])
def test_sequence_outside_six_digits_is_refused(sequence):
    with pytest.raises(JobNumberError):
        make(sequence)


@pytest.mark.parametrize("number", ["", "482109", "48210955", "48X1095", "٤٨٢١٠٩٥"])
def test_only_seven_digits_are_shown(number):
    with pytest.raises(JobNumberError):
        show(number)


def test_check_digit_of_a_whole_number_is_zero():
    assert check_digit(make(482_109)) == "0"
