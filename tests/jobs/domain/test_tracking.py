"""Promises of the tracking reader: everything is kept, nothing is refused, blind spots are told."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.domain.tracking import CheckResult, TrackingKind, one_z_check_digit, read_tracking, s10_check_digit


@given(text=st.text(max_size=80))
def test_no_input_is_refused_and_raw_text_is_kept(text):
    reading = read_tracking(text)
    assert reading.raw == text
    assert reading.sentence.endswith(".")


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("aa 47312482 9 gb", TrackingKind.S10),
        ("1z 999 aa1 01 2345 6784", TrackingKind.ONE_Z),
        ("0123-4567-8983", TrackingKind.EXPRESS_12),
        ("0" * 20, TrackingKind.POSTAL_20_22),
        ("0" * 22, TrackingKind.POSTAL_20_22),
        ("1234", TrackingKind.UNKNOWN),
        ("", TrackingKind.UNKNOWN),
        ("1Z999AA1012345678A", TrackingKind.UNKNOWN),
    ],
)
def test_kind_is_told_by_form(text, kind):
    assert read_tracking(text).kind is kind


def test_letter_o_is_not_turned_into_a_zero():
    assert read_tracking("O12345678983").compact == "O12345678983"
    assert read_tracking("O12345678983").kind is TrackingKind.UNKNOWN


def test_failed_check_is_kept_and_says_what_to_compare():
    reading = read_tracking("AA473124828GB")
    assert reading.check is CheckResult.FAILS
    assert "compare it with the receipt" in reading.sentence
    assert "kept as typed" in reading.sentence


def test_pass_is_called_plausible_not_certain():
    assert "plausible, not certain" in read_tracking("AA473124829GB").sentence


def test_unknown_form_is_not_called_wrong():
    reading = read_tracking("QF-8891-Z")
    assert (reading.check, reading.compact) == (CheckResult.UNKNOWN, "QF8891Z")
    assert "does not make it wrong" in reading.sentence


@given(serial=st.text(alphabet="0123456789", min_size=8, max_size=8))
def test_s10_with_its_own_check_digit_passes(serial):
    assert read_tracking(f"RR{serial}{s10_check_digit(serial)}NL").check is CheckResult.PASSES


@given(body=st.text(alphabet="0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ", min_size=15, max_size=15))
def test_one_z_with_its_own_check_digit_passes(body):
    assert read_tracking(f"1Z{body}{one_z_check_digit(body)}").check is CheckResult.PASSES


def test_one_z_warning_names_the_place_that_can_hide_a_misreading():
    assert "3 in place 12" in read_tracking("1Z999AA10123456784").look_alike_warning


def test_number_without_blind_spot_has_no_warning():
    assert read_tracking("AA473124829GB").look_alike_warning == ""
