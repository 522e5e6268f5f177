"""What counts as a phone number, as people type theirs."""

import pytest
from django.core.exceptions import ValidationError

from portal.shared.phone_number import is_plausible_number, refuse_no_number


@pytest.mark.parametrize(
    "typed",
    [
        "01632 960 144",
        "(01632) 960144",
        "+44 (0)1632 960-144",
        "(+44) 1632 960144",
        "0044 1632 960144",
        "01632.960.144",
        "01632/960144",
        "01632 960144 ext. 12",
        "01632 960144 x12",
        "01632 960144, extension 1204",
        "01632 960144 #12",
        "01632960144x12",
        "555 0142 33",
        "01632\u2013960\u2013144",
        "\uff0b44 1632 960144",
        "  01632 960144 ",
        "960144",
    ],
)
def test_a_number_that_can_be_rung_is_taken_however_it_is_written(typed):
    assert is_plausible_number(typed)


@pytest.mark.parametrize(
    "typed",
    [
        "abc",
        "-",
        "none",
        "12345",
        "ext. 123456",
        "01632 960144 Ada",
        "ada@example.com",
        "01632 + 960144",
        "()",
    ],
)
def test_what_nobody_can_ring_is_no_number(typed):
    assert not is_plausible_number(typed)


def test_an_international_number_has_fifteen_digits_at_the_most():
    """ITU-T E.164 (2010), 6.1: 15 digits with the country code; what is dialled before it is not counted."""
    assert is_plausible_number("+" + "9" * 15)
    assert is_plausible_number("00" + "9" * 15)
    assert not is_plausible_number("+" + "9" * 16)


def test_the_refusal_says_how_a_number_is_written():
    with pytest.raises(ValidationError) as refusal:
        refuse_no_number("abc")
    assert "in digits with its area code" in refusal.value.messages[0]
