import doctest
from datetime import date

import pytest

from jobs.leadtime import clock, routes, scores, words
from jobs.leadtime.ranges import BasedOn, DateRange, Reason, ReasonKind
from jobs.leadtime.words import (
    basis_in_words,
    range_in_words,
    reasons_in_words,
    span_in_words,
    working_days_in_words,
)
from tests.jobs.leadtime.shops import NOW

TODAY = date(2026, 5, 4)


@pytest.mark.parametrize(
    ("first", "last", "said"),
    [
        (date(2026, 5, 12), date(2026, 5, 29), "between Tuesday 12 May and Friday 29 May"),
        (date(2026, 5, 29), date(2026, 6, 2), "between Friday 29 May and Tuesday 2 June"),
        (
            date(2026, 12, 22),
            date(2027, 1, 15),
            "between Tuesday 22 December 2026 and Friday 15 January 2027",
        ),
        (date(2027, 1, 4), date(2027, 1, 15), "between Monday 4 January 2027 and Friday 15 January 2027"),
        (date(2026, 5, 12), date(2026, 5, 12), "on Tuesday 12 May"),
    ],
)
def test_spans_are_said_as_people_say_them(first, last, said):
    assert span_in_words(first, last, today=TODAY) == said


def test_a_range_says_what_its_later_date_means():
    span = DateRange(
        date(2026, 5, 12), date(2026, 5, 20), date(2026, 5, 29), date(2026, 6, 5), NOW, (), BasedOn.SEED
    )
    assert range_in_words(span, today=TODAY) == (
        "between Tuesday 12 May and Friday 29 May; 8 in 10 are back by then"
    )
    assert "no history of its own" in basis_in_words(span)


@pytest.mark.parametrize(
    ("days", "said"),
    [
        (0.1, "an hour or two"),
        (0.5, "about half a working day"),
        (1.2, "about 1 working day"),
        (7.6, "about 8 working days"),
    ],
)
def test_lengths_are_rounded_as_people_say_them(days, said):
    assert working_days_in_words(days) == said


def test_only_the_three_longest_reasons_are_told():
    reasons = [Reason(ReasonKind.QUEUE, float(days), f"{days}") for days in (1, 4, 2, 3)]
    assert reasons_in_words(reasons) == ("4", "3", "2")


@pytest.mark.parametrize("module", [clock, routes, scores, words])
def test_examples_in_docstrings_hold(module):
    result = doctest.testmod(module)
    assert result.attempted > 0
    assert result.failed == 0
