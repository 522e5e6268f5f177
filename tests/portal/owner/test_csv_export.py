"""A list leaves as a file that a spreadsheet reads rightly and cannot be harmed by."""

import csv
import io
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest

from portal.owner.csv_export import csv_lines, guard

LONDON = ZoneInfo("Europe/London")


@pytest.mark.parametrize("sign", ["=", "+", "-", "@", "\t", "\r"])
def test_a_cell_that_would_be_a_formula_is_quoted(sign):
    assert guard(f"{sign}HYPERLINK(1)") == f"'{sign}HYPERLINK(1)"


def test_a_formula_behind_blanks_is_quoted_too():
    assert guard("  =1+1").startswith("'")


def test_ordinary_words_are_left_alone():
    assert guard("A. Thornby, 2 Quay Cottages") == "A. Thornby, 2 Quay Cottages"


def test_the_file_begins_with_the_mark_of_utf8():
    text = "".join(csv_lines(("a",), [], zone=LONDON))
    assert text.encode("utf-8").startswith(b"\xef\xbb\xbf")


def test_dates_are_iso_and_moments_carry_the_shops_offset():
    moment = datetime(2026, 7, 1, 11, 30, tzinfo=UTC)
    text = "".join(csv_lines(("day", "at"), [(date(2026, 3, 31), moment)], zone=LONDON))
    (row,) = list(csv.reader(io.StringIO(text.lstrip("\ufeff"))))[1:]
    assert row == ["2026-03-31", "2026-07-01T12:30:00+01:00"]


def test_what_a_spreadsheet_reads_back_is_the_row():
    row = ('He said "no"', "two\nlines", "commas, too", "Ölpumpe", None, True, 7)
    text = "".join(csv_lines(tuple("abcdefg"), [row], zone=LONDON))
    (found,) = list(csv.reader(io.StringIO(text.lstrip("\ufeff"))))[1:]
    assert found == ['He said "no"', "two\nlines", "commas, too", "Ölpumpe", "", "yes", "7"]
