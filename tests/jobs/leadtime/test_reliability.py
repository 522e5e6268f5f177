from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from jobs.leadtime.calibrate import (
    PastQuote,
    hours_at_level,
    move_levels,
    place_in_quote,
    recalibrate,
    recalibrate_families,
)
from jobs.leadtime.ranges import LEVELS, QuotedLevels
from jobs.leadtime.reliability import bound_share, plot_reliability, record_families
from tests.jobs.leadtime.shops import EIGHT_HOURS, NOW
from tests.jobs.leadtime.test_calibrate import LONG_AFTER, past, quote


def of_family(quotes, family):
    return [replace(some, family=family, job_number=f"{family}{some.job_number}") for some in quotes]


def test_honest_quotes_lie_on_the_diagonal():
    points = plot_reliability(past(100.0, count=400), hours=EIGHT_HOURS, now=LONG_AFTER + timedelta(days=99))
    assert [point.level for point in points] == list(LEVELS)
    assert max(abs(point.share - point.level) for point in points) < 0.07
    inside = [point.low <= point.level <= point.high for point in points]
    assert sum(inside) >= 17


def test_late_quotes_lie_below_it_and_the_open_ones_count_as_late():
    late = past(115.0)
    still_open = [replace(some, finished_at=None) for some in late[:30]]
    points = {point.level: point for point in plot_reliability(late, hours=EIGHT_HOURS, now=LONG_AFTER)}
    opened = plot_reliability([*still_open, *late[30:]], hours=EIGHT_HOURS, now=LONG_AFTER)
    assert points[0.8].high < 0.8
    assert {point.level: point.share for point in opened}[0.8] < points[0.8].share


def test_nothing_is_shown_before_a_quote_is_ripe():
    assert plot_reliability([quote(1, 50.0)], hours=EIGHT_HOURS, now=NOW) == ()
    assert record_families([quote(1, 50.0)], hours=EIGHT_HOURS, now=NOW) == ()


def test_wilsons_interval_of_a_published_example():
    # 81 of 263: .2553 to .3662 (Newcombe 1998, method 3; from memory).
    low, high = bound_share(81 / 263, count=263)
    assert (low, high) == (pytest.approx(0.2553, abs=5e-5), pytest.approx(0.3662, abs=5e-5))


def test_wilsons_interval_stays_within_none_and_all():
    assert bound_share(0.0, count=12)[0] == 0.0
    assert bound_share(1.0, count=12)[1] == 1.0


def test_the_shop_and_each_family_have_a_record():
    quotes = of_family(past(100.0), "magneto") + of_family(past(120.0), "sender")
    whole, magneto, sender = record_families(quotes, hours=EIGHT_HOURS, now=LONG_AFTER)
    assert (whole.family, magneto.family, sender.family) == ("", "magneto", "sender")
    assert whole.quotes == magneto.quotes + sender.quotes == 300
    assert whole.covered_80_share == pytest.approx((magneto.covered_80_share + sender.covered_80_share) / 2)
    assert sender.covered_80_share < magneto.covered_80_share
    assert sender.pinball_days > magneto.pinball_days
    assert sender.crps_days > magneto.crps_days


def test_a_record_scores_in_working_days():
    # Quoted 8 in 10 by 116.8 hours, back after 132.8: (132.8 - 116.8) x .8 hours is 1.6 working days.
    high_h = quote(1, 100.0).quantile_hours[LEVELS.index(0.8)]
    (whole,) = record_families([quote(1, high_h + 16.0)], hours=EIGHT_HOURS, now=LONG_AFTER)
    assert whole.pinball_days == pytest.approx(1.6, abs=1e-3)
    assert (whole.covered_50_share, whole.covered_80_share, whole.still_open) == (0.0, 0.0, 0)


def test_a_family_with_a_record_of_its_own_is_quoted_by_it():
    quotes = of_family(past(100.0), "magneto") + of_family(past(125.0), "sender")
    levels = recalibrate_families(
        quotes, families=["magneto", "sender", "lift_pump"], hours=EIGHT_HOURS, now=LONG_AFTER
    )
    assert levels["lift_pump"] == recalibrate(quotes, hours=EIGHT_HOURS, now=LONG_AFTER)
    assert levels["magneto"].high < levels["lift_pump"].high <= levels["sender"].high


def test_without_quotes_every_family_is_quoted_as_simulated():
    assert recalibrate_families([], families=["sender"], hours=EIGHT_HOURS, now=NOW) == {
        "sender": QuotedLevels()
    }


@pytest.mark.parametrize("level", [0.02, 0.05, 0.33, 0.8, 0.95, 0.99])
def test_hours_at_a_level_lead_back_to_the_level(level):
    some = quote(1, 100.0)
    hours = hours_at_level(some.quantile_hours, level=level)
    there = quote(1, hours)
    again = PastQuote("1", NOW, some.quantile_hours, there.finished_at)
    assert place_in_quote(again, hours=EIGHT_HOURS) == pytest.approx(level, abs=1e-6)


def test_moved_levels_rise_as_the_wanted_ones_do():
    places = np.random.default_rng(3).uniform(0.3, 1.0, 200).tolist()
    moved = move_levels(places, wanted_levels=LEVELS)
    assert list(moved) == sorted(moved)
    assert moved[LEVELS.index(0.5)] > 0.55
    assert move_levels([], wanted_levels=LEVELS) == LEVELS
