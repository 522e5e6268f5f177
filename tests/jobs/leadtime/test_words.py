import doctest
from datetime import date

import pytest

from jobs.leadtime import clock, routes, scores, words
from jobs.leadtime.words import span_in_words, working_days_in_words

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


@pytest.mark.parametrize("module", [clock, routes, scores, words])
def test_examples_in_docstrings_hold(module):
    result = doctest.testmod(module)
    assert result.attempted > 0
    assert result.failed == 0
