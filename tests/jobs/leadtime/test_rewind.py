"""Quotes worked out afterwards: from what was known on the day, the same whether in one go or in two."""

from dataclasses import replace
from datetime import timedelta

import pytest

from jobs.leadtime.calibrate import PastQuote
from jobs.leadtime.past import PastTurn
from jobs.leadtime.ranges import QuotedLevels
from jobs.leadtime.rewind import NotMadeUp, make_up_quotes
from jobs.leadtime.state import Priority
from tests.jobs.leadtime.hindsight import with_another_future
from tests.jobs.leadtime.truth.life import live_through
from tests.jobs.leadtime.truth.shops import SHOPS, known_shop, smaller

SMALL = smaller(SHOPS[0], jobs=200)
SHOP = known_shop(SMALL)


@pytest.fixture(scope="module")
def past():
    return live_through(SMALL)


def make(past, wanted, earlier=()):
    return list(make_up_quotes(SHOP, past=past, wanted=wanted, earlier=earlier, replications=40))


def as_past(made):
    return [
        PastQuote(
            each.job.job_number, each.job.arrived_at, each.forecast.quantile_hours, each.job.packed_at,
            each.job.family, levels=each.levels,
        )
        for each in made
    ]  # fmt: skip


@pytest.fixture(scope="module")
def made(past):
    return make(past, past[120:180:10])


def test_each_wanted_unit_is_quoted_once_from_its_arrival(past, made):
    assert [each.job for each in made] == list(past[120:180:10])
    for each in made:
        assert each.forecast.range.computed_at == each.job.arrived_at
        assert each.forecast.quantile_hours[0] > 0.0


def test_what_happens_later_changes_nothing(past, made):
    other = with_another_future(past, at=made[2].job.arrived_at)
    wanted = {each.job.job_number for each in made[:3]}
    again = make(other, [job for job in other if job.job_number in wanted])
    assert [each.forecast for each in again] == [each.forecast for each in made[:3]]


def test_in_two_goes_the_quotes_are_the_same_as_in_one(past, made):
    wanted = [each.job for each in made]
    first = make(past, wanted[:2])
    second = make(past, wanted[2:], earlier=as_past(first))
    assert [each.forecast for each in (*first, *second)] == [each.forecast for each in made]


def test_a_quote_whose_unit_is_still_here_counts_as_open_whenever_it_leaves(past):
    job = past[150]
    # Made 40 working hours ago: 9 in 10 by 36 hours, 95 in 100 by 38, and nobody later than 42.
    quoted = tuple(2.0 * (at + 1) for at in range(19))
    levels = []
    for left_at in (None, job.arrived_at + timedelta(minutes=1), job.arrived_at + timedelta(days=90)):
        open_ones = [
            PastQuote(f"{at}", job.arrived_at - timedelta(days=7), quoted, left_at, job.family)
            for at in range(40)
        ]
        (each,) = make(past, [job], earlier=open_ones)
        levels.append(each.levels)
    assert levels[0].high > QuotedLevels().high
    assert levels == levels[:1] * 3


def test_a_unit_put_first_later_is_quoted_in_its_turn(past, made):
    first = made[0].job
    later = PastTurn(first.arrived_at + timedelta(days=1), Priority.URGENT)
    at_once = PastTurn(first.arrived_at, Priority.URGENT)
    others = [job for job in past if job is not first]
    quoted = []
    for turn in (later, at_once):
        job = replace(first, turns=(turn,))
        quoted += make([*others, job], [job])
    assert quoted[0].forecast == made[0].forecast
    assert quoted[1].forecast.quantile_hours < made[0].forecast.quantile_hours


def test_quotes_of_later_days_are_not_looked_at(past, made):
    first = made[0].job
    hindsight = as_past(made[1:])
    (alone,) = make(past, [first], earlier=hindsight)
    assert alone.levels == QuotedLevels()


def test_earlier_quotes_that_came_late_move_the_level(past, made):
    last = made[-1].job
    short = [
        PastQuote(
            f"{at}", job.arrived_at, tuple(0.1 * (at + 1) for at in range(19)), job.packed_at, job.family
        )
        for at, job in enumerate(past[:60])
    ]
    (moved,) = make(past, [last], earlier=short)
    assert moved.levels.high > 0.85
    assert moved.forecast.range.high >= made[-1].forecast.range.high


def test_one_that_cannot_be_quoted_is_named_and_does_not_stop_the_others(past, made):
    odd = replace(past[125], job_number="odd", family="unheard of")
    first, refused, *rest = make(past, [made[0].job, odd, *(each.job for each in made[1:])])
    assert isinstance(refused, NotMadeUp)
    assert (refused.job.job_number, "unheard of" in refused.sentence) == ("odd", True)
    assert [each.forecast for each in (first, *rest)] == [each.forecast for each in made]
