"""A date means one day however it is typed; what may mean two is refused and stays as it was typed."""

from datetime import date

import pytest
from django.core.exceptions import ValidationError

from portal.shared.days import DayField, DayInput, NoDay, day_words, read_day
from tests.portal.reading import parse


@pytest.mark.parametrize(
    "text",
    [
        "2026-12-20", "2026/12/20", "20 December 2026", "20 dec 2026", " 20  Dec 2026 ", "20.12.2026",
        "Sunday 20 December 2026", "December 20, 2026", "Dec 20 2026",
    ],
)  # fmt: skip
def test_a_date_is_read_however_it_is_typed_as_long_as_it_means_one_day(text):
    assert read_day(text) == date(2026, 12, 20)


@pytest.mark.parametrize(
    "text", ["3/4/2026", "20/12/2026", "20.12.26", "32 May 2026", "20 December", "0026-12-20", "soon", ""]
)
def test_what_may_mean_two_days_or_none_is_refused(text):
    with pytest.raises(NoDay):
        read_day(text)


def test_what_is_no_date_is_said_as_it_was_typed():
    assert day_words("12/20") == "12/20"


@pytest.mark.parametrize(
    ("typed", "kind", "shown"),
    [("20 Dec 2026", "date", "2026-12-20"), ("soon", "text", "soon"), ("", "date", None)],
)
def test_the_date_input_shows_what_was_typed(typed, kind, shown):
    (drawn,) = parse(DayInput().render("on", typed)).xpath("//input")
    assert (drawn.get("type"), drawn.get("value")) == (kind, shown)


@pytest.mark.parametrize("given", ["20 December 2026", "20.12.2026", date(2026, 12, 20)])
def test_a_date_field_gives_the_day_that_was_typed(given):
    assert DayField().clean(given) == date(2026, 12, 20)


def test_a_date_field_refuses_what_may_mean_two_days():
    with pytest.raises(ValidationError):
        DayField().clean("10/12/2026")


def test_a_date_field_that_may_be_empty_gives_none():
    assert DayField(required=False).clean("") is None
