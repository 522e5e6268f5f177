"""Parcel numbers against published worked examples, and python-stdnum for the modulo 10 rule."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from stdnum import ean

from jobs.domain.tracking import (
    CheckResult,
    express_12_check_digit,
    one_z_check_digit,
    postal_check_digit,
    read_tracking,
    s10_check_digit,
)


@pytest.mark.parametrize(
    ("serial", "check"), [("47312482", "9"), ("12345678", "5"), ("00000000", "5"), ("47312432", "0")]
)
def test_s10_worked_examples(serial, check):
    # UPU S10: 47312482 is the standard's example (S = 200); 47312432 is the case where 10 becomes 0.
    assert s10_check_digit(serial) == check


def test_s10_blind_pair_is_warned_about():
    # Remainders 0 and 6 both give 5, so these two cannot be told apart.
    assert s10_check_digit("13008369") == s10_check_digit("33008369") == "5"
    assert "one wrong digit can pass" in read_tracking("RR130083695GB").look_alike_warning


def test_s10_lets_about_two_percent_of_single_errors_through():
    serials = [f"{at * 7_919_317 % 10**8:08d}" for at in range(1, 501)]
    missed = [
        s10_check_digit(f"{serial[:place]}{wrong}{serial[place + 1 :]}") == s10_check_digit(serial)
        for serial in serials
        for place in range(8)
        for wrong in "0123456789".replace(serial[place], "")
    ]
    assert 0.01 < sum(missed) / len(missed) < 0.03


@pytest.mark.parametrize(
    ("number", "check"),
    [
        ("1Z999AA10123456784", CheckResult.PASSES),  # the carrier's published sample number
        ("1Z999AA10128456784", CheckResult.PASSES),  # 3 read as 8: the known blind spot
        ("1Z999AA10123456734", CheckResult.FAILS),
    ],
)
def test_one_z_worked_examples(number, check):
    assert read_tracking(number).check is check


def test_one_z_blind_spot_is_warned_about():
    assert "A 3 read as 8" in read_tracking("1Z 999 AA1 01 2345 6784").look_alike_warning
    assert one_z_check_digit("999AA1012345678") == one_z_check_digit("999AA1012845678") == "4"


@pytest.mark.parametrize(
    ("number", "check"), [("012345678983", CheckResult.PASSES), ("012845678983", CheckResult.FAILS)]
)
def test_twelve_digit_worked_examples(number, check):
    # Published rule: weights 3 1 7, sum 179, remainder 3 modulo 11.
    assert read_tracking(number).check is check
    assert express_12_check_digit("01234567898") == "3"


@given(body=st.text(alphabet="0123456789", min_size=19, max_size=21))
def test_postal_check_digit_agrees_with_python_stdnum(body):
    assert postal_check_digit(body) == ean.calc_check_digit(body)
