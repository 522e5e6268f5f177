"""Numbers against outside figures: unit factors, check digits, weighted distances, date codes."""

from datetime import date
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st
from stdnum import damm

from jobs.domain.job_number import check_digit, make
from packing.errors import OutOfRange
from packing.identify.confusion import PAIRS, PairSource
from packing.identify.date_codes import DateFit, DateScheme, date_of_day, judge_date, read_date_code
from packing.identify.distance import distance_tenths
from packing.identify.match import Decision, identify
from packing.quantities import (
    KG_PER_LB,
    KG_PER_OZ,
    KN_M_PER_LB_IN,
    KPA_PER_PSI,
    MM_PER_IN,
    N_PER_LBF,
)
from tests.packing.identify.examples import GEARBOX, unit_model, worked_models

# --- unit factors: NIST Special Publication 811 (2008), appendix B.8, seven digits, from memory ------


@pytest.mark.parametrize(
    ("factor", "published"),
    [
        (MM_PER_IN, 25.4),
        (KG_PER_LB, 0.4535924),
        (KG_PER_OZ, 0.02834952),
        (N_PER_LBF, 4.448222),
        (KPA_PER_PSI, 6.894757),
        (KN_M_PER_LB_IN, 0.1751268),
    ],
)
def test_factor_is_the_published_one(factor, published):
    assert float(f"{factor:.7g}") == published


# --- job number: Damm, "Total anti-symmetrische Quasigruppen", 2004; python-stdnum as the outside check


@pytest.mark.parametrize(("body", "check"), [("572", "4"), ("260417", "7"), ("260147", "1"), ("268417", "0")])
def test_damm_worked_examples(body, check):
    assert check_digit(body) == check


@given(body=st.text(alphabet="0123456789", min_size=1, max_size=12))
def test_damm_agrees_with_python_stdnum(body):
    assert check_digit(body) == damm.calc_check_digit(body)


@given(sequence=st.integers(min_value=1, max_value=999_999))
def test_job_number_is_valid_for_python_stdnum(sequence):
    assert damm.is_valid(make(sequence))


def test_damm_finds_all_single_errors_and_swaps_of_four_digit_bodies():
    # Published property of a totally anti-symmetric quasigroup: 100 % of both kinds.
    missed = 0
    for interim, one, other in product("0123456789", repeat=3):
        if one != other:
            missed += check_digit(interim + one) == check_digit(interim + other)
            missed += check_digit(interim + one + other) == check_digit(interim + other + one)
    assert missed == 0


# --- weighted distances: values worked by hand from the published pairs and our own costs -----------


@pytest.mark.parametrize(
    ("read", "tenths"),
    [
        ("KV4O8IB", {"KV4081B": 4, "KV4031B": 8}),
        ("KV4O818", {"KV4081B": 4, "KV4031B": 8, "KV4087B": 8}),
        ("KVA081B", {"KV4081B": 4, "KV4031B": 8, "KV4087B": 8}),
        ("KV4018B", {"KV4081B": 6, "KV4081E": 16, "KW4081B": 16}),
        ("KV408B", {"KV4081B": 10, "KV4087B": 10, "KV4031B": 14}),
    ],
)
def test_worked_distances(read, tenths):
    found = {number: distance_tenths(read, stamped=number, cutoff_tenths=30) for number in tenths}
    assert found == tenths


@pytest.mark.parametrize(
    ("read", "decision"),
    [
        ("KV4O8IB", Decision.PROPOSE),
        ("KV4O818", Decision.PROPOSE),
        ("KVA081B", Decision.PROPOSE),
        ("KV4018B", Decision.PROPOSE),
        ("KV408B", Decision.ASK),
    ],
)
def test_worked_decisions(read, decision):
    found = identify(read, models=worked_models())
    assert found.decision is decision
    assert found.candidates[0].number == "KV4081B"


def test_next_best_lies_where_the_worked_table_says():
    distances = {
        read: [candidate.distance for candidate in identify(read, models=worked_models()).candidates[:2]]
        for read in ("KV4O8IB", "KV4O818", "KVA081B", "KV4018B", "KV408B")
    }
    assert distances == {
        "KV4O8IB": [0.4, 0.8],
        "KV4O818": [0.4, 0.8],
        "KVA081B": [0.4, 0.8],
        "KV4018B": [0.6, 1.6],
        "KV408B": [1.0, 1.0],
    }


def test_missing_character_is_never_settled_by_itself():
    models = [unit_model("a", "KV4081B", gearbox="hand"), unit_model("b", "KV4087B", gearbox="automatic")]
    found = identify("KV408B", models=models, questions=[GEARBOX])
    assert (found.decision, found.proposed, found.question) == (Decision.ASK, None, GEARBOX)


def test_the_five_worst_pairs_of_the_reader_manual_cost_least():
    worst = {frozenset(pair.first + pair.second) for pair in PAIRS if pair.source is PairSource.OCR}
    assert worst == {frozenset(pair) for pair in ("0O", "1I", "2Z", "5S", "8B")}
    assert {pair.cost_tenths for pair in PAIRS if pair.source is PairSource.OCR} == {2}


def test_both_letter_and_digit_stay_visible():
    found = identify("KV4O81B", models=worked_models())
    assert (found.read.raw, found.read.compact, found.candidates[0].number) == (
        "KV4O81B",
        "KV4O81B",
        "KV4081B",
    )


# --- date codes: restorers' published guides; calendar facts by the Gregorian and ISO 8601 calendars --


def readings(code, scheme, **changes):
    found = read_date_code(code, built_on=changes.pop("built_on", None), **changes)
    return [reading for reading in found if reading.scheme is scheme]


def test_month_letter_day_digit_offers_each_decade():
    # Published example: D 16 5 is 16 April 1965.
    days = {reading.first_on for reading in readings("D 16 5", DateScheme.MONTH_LETTER_DAY_YEAR)}
    assert {date(1955, 4, 16), date(1965, 4, 16), date(1975, 4, 16)} <= days


def test_letter_and_digit():
    # Published example: E9 is May 1969.
    assert (date(1969, 5, 1), date(1969, 5, 31)) in {
        (reading.first_on, reading.last_on) for reading in readings("E9", DateScheme.MONTH_LETTER_YEAR)
    }


def test_week_code_is_shown_as_a_fortnight_round_the_iso_week():
    # Published example: 301 is week 30 of 1971; ISO week 30 of 1971 is 26 July to 1 August.
    [week] = [each for each in readings("301", DateScheme.WEEK_YEAR) if each.first_on.year == 1971]
    assert week.first_on <= date(1971, 7, 26)
    assert date(1971, 8, 1) <= week.last_on
    assert (week.last_on - week.first_on).days + 1 == 14


def test_every_reading_of_301_is_listed():
    found = read_date_code("301", built_on=None)
    assert {DateScheme.WEEK_YEAR, DateScheme.DAY_ONLY, DateScheme.DAY_MONTH} <= {
        each.scheme for each in found
    }
    assert "30 January of a year not given" in {each.meaning for each in found}
    assert "day 301 of a year not given" in {each.meaning for each in found}


@pytest.mark.parametrize(
    ("code", "scheme", "on"),
    [
        ("12 6 71", DateScheme.MONTH_DAY_YEAR, date(1971, 12, 6)),
        ("18 240 1", DateScheme.YEAR_DAY, date(2018, 8, 28)),
        ("1237", DateScheme.DAY_YEAR, date(1967, 5, 3)),
        ("7 . . .", DateScheme.YEAR_DOTS, date(1967, 3, 1)),
    ],
)
def test_published_examples_are_among_the_readings(code, scheme, on):
    assert on in {reading.first_on for reading in readings(code, scheme)}


def test_day_sixty_is_the_leap_day_only_in_leap_years():
    assert date_of_day(60, year=1968) == date(1968, 2, 29)
    assert date_of_day(60, year=1967) == date(1967, 3, 1)


def test_day_366_exists_in_leap_years_only():
    assert date_of_day(366, year=1968) == date(1968, 12, 31)
    with pytest.raises(OutOfRange):
        date_of_day(366, year=1967)
    assert readings("3667", DateScheme.DAY_YEAR) == []
    assert date(1968, 12, 31) in {each.first_on for each in readings("3668", DateScheme.DAY_YEAR)}


@pytest.mark.parametrize("code", ["0008", "3678"])
def test_days_zero_and_367_are_no_days(code):
    assert readings(code, DateScheme.DAY_YEAR) == []


@pytest.mark.parametrize(
    ("part_on", "fit"),
    [
        (date(1966, 6, 2), DateFit.LATER),
        (date(1966, 1, 1), DateFit.FITS),
        (date(1965, 11, 1), DateFit.EARLY),
        (date(1966, 6, 1), DateFit.FITS),
    ],
)
def test_part_date_against_a_vehicle_built_on_1_june_1966(part_on, fit):
    # Restorers' published window: never later, up to about six months earlier (5 months fits, 7 does not).
    assert judge_date(part_on, built_on=date(1966, 6, 1)) is fit
