"""Promises of the date-code reader: every reading, ranked, never one chosen."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from packing.errors import OutOfRange
from packing.identify.date_codes import DateFit, DateScheme, date_of_day, read_date_code


def test_readings_that_fit_the_build_date_come_first():
    readings = read_date_code("D 16 5", built_on=date(1965, 9, 1))
    assert readings[0].first_on == date(1965, 4, 16)
    assert readings[0].fit is DateFit.FITS
    assert all(reading.fit is not DateFit.FITS for reading in readings[1:])


def test_late_and_early_readings_say_replacement():
    notes = {reading.fit: reading.note for reading in read_date_code("D165", built_on=date(1965, 9, 1))}
    assert "likely a replacement" in notes[DateFit.LATER]
    assert "likely a replacement" in notes[DateFit.EARLY]


def test_month_letters_after_i_are_read_both_ways():
    readings = read_date_code("K9", built_on=None, year_least=1960, year_most=1969)
    assert [reading.meaning for reading in readings] == ["October 1969", "November 1969"]


def test_two_digit_year_is_not_held_to_old_decades():
    readings = read_date_code("182401", built_on=None)
    assert date(2018, 8, 28) in {reading.first_on for reading in readings}


@pytest.mark.parametrize("day", [0, -1, 367])
def test_day_outside_the_year_is_refused(day):
    with pytest.raises(OutOfRange):
        date_of_day(day, year=1968)


@pytest.mark.parametrize("code", ["", "   ", "ZZZ", "🙂", "9" * 200, "7....." * 9])
def test_code_of_no_known_scheme_has_no_readings(code):
    assert read_date_code(code, built_on=None) == ()


@given(code=st.text(max_size=12))
def test_any_text_is_read_or_left(code):
    readings = read_date_code(code, built_on=date(1970, 1, 1))
    assert len(set(readings)) == len(readings)
    assert all((reading.first_on is None) == (reading.last_on is None) for reading in readings)


@given(on=st.dates(min_value=date(1920, 1, 1), max_value=date(2009, 12, 31)))
def test_every_date_is_among_the_readings_of_its_codes(on):
    coded = {
        DateScheme.MONTH_DAY_YEAR: f"{on.month} {on.day} {on.year % 100:02d}",
        DateScheme.YEAR_DAY: f"{on:%y%j}",
        DateScheme.DAY_YEAR: f"{on:%j}{on.year % 10}",
        DateScheme.MONTH_LETTER_DAY_YEAR: f"{'ABCDEFGHIJKL'[on.month - 1]}{on.day}{on.year % 10}",
        DateScheme.WEEK_YEAR: f"{on.isocalendar().week:02d}{on.isocalendar().year % 10}",
    }
    for scheme, code in coded.items():
        spans = [
            (reading.first_on, reading.last_on)
            for reading in read_date_code(code, built_on=None, year_most=2010, year_least=1919)
            if reading.scheme is scheme
        ]
        assert any(first_on <= on <= last_on for first_on, last_on in spans), (scheme, code)
