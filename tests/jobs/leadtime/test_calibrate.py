from datetime import datetime, timedelta
from statistics import NormalDist

import numpy as np
import pytest

from jobs.leadtime.calibrate import (
    PastQuote,
    measure_coverage,
    place_in_quote,
    recalibrate,
    select_ripe,
    told_chance,
)
from jobs.leadtime.clock import moment_after_hours
from jobs.leadtime.errors import ScoreRefused
from jobs.leadtime.ranges import LEVELS, QuotedLevels
from tests.jobs.leadtime.shops import EIGHT_HOURS, NOW

LONG_AFTER = NOW + timedelta(days=900)


def quote(number, actual_h, *, median_h=100.0, sd_h=20.0, computed_at=NOW):
    quantiles = tuple(NormalDist(median_h, sd_h).inv_cdf(level) for level in LEVELS)
    finished: datetime | None = None
    if actual_h is not None:
        finished = moment_after_hours(EIGHT_HOURS, start=computed_at, work_hours=actual_h)
    return PastQuote(f"{number}", computed_at, quantiles, finished)


def past(actual_mean_h, *, count=150, sd_h=20.0):
    stream = np.random.default_rng(3)
    actuals = np.maximum(stream.normal(actual_mean_h, sd_h, count), 1.0)
    return [
        quote(number, float(actual), computed_at=NOW + timedelta(days=number))
        for number, actual in enumerate(actuals)
    ]


@pytest.mark.parametrize("level", [0.05, 0.2, 0.5, 0.8, 0.95])
def test_a_job_done_at_a_quoted_quantile_has_that_place(level):
    actual_h = NormalDist(100.0, 20.0).inv_cdf(level)
    assert place_in_quote(quote(1, actual_h), hours=EIGHT_HOURS) == pytest.approx(level, abs=1e-6)


def test_an_open_job_has_the_last_place():
    assert place_in_quote(quote(1, None), hours=EIGHT_HOURS) == 1.0


def test_a_job_far_outside_its_quote_stays_between_none_and_all():
    assert place_in_quote(quote(1, 1.0), hours=EIGHT_HOURS) == 0.0
    assert place_in_quote(quote(1, 900.0), hours=EIGHT_HOURS) == 1.0


def test_a_true_simulation_is_left_nearly_as_it_is():
    levels = recalibrate(past(100.0), hours=EIGHT_HOURS, now=LONG_AFTER)
    assert levels.high == pytest.approx(0.8, abs=0.06)
    assert levels.likely == pytest.approx(0.5, abs=0.08)


def test_late_jobs_raise_the_level_until_eight_in_ten_are_met():
    quotes = past(110.0)
    before = measure_coverage(quotes, hours=EIGHT_HOURS, now=LONG_AFTER, level=0.8)
    raised = recalibrate(quotes, hours=EIGHT_HOURS, now=LONG_AFTER).high
    after = measure_coverage(
        quotes, hours=EIGHT_HOURS, now=LONG_AFTER, level=min(LEVELS, key=lambda level: abs(level - raised))
    )
    assert before.share < 0.7
    assert after.share == pytest.approx(0.8, abs=0.08)


def test_open_quotes_count_as_late():
    met = [quote(number, 90.0) for number in range(60)]
    still_open = [quote(100 + number, None) for number in range(40)]
    figure = measure_coverage([*met, *still_open], hours=EIGHT_HOURS, now=LONG_AFTER, level=0.8)
    assert figure.share == 0.6
    assert figure.quotes == 100
    # 1.96 sqrt(.6 x .4 / 100)
    assert figure.half_width_share == pytest.approx(0.096, abs=1e-3)
    assert recalibrate([*met, *still_open], hours=EIGHT_HOURS, now=LONG_AFTER).high > 0.9


def test_only_quotes_whose_last_date_has_passed_are_judged():
    early = quote(1, 20.0)  # done fast, but its 95 % date is far ahead
    assert select_ripe([early], hours=EIGHT_HOURS, now=NOW + timedelta(days=7)) == ()
    assert recalibrate([early], hours=EIGHT_HOURS, now=NOW + timedelta(days=7)) == QuotedLevels()


def test_the_latest_quotes_are_the_ones_that_count():
    ripe = select_ripe(past(100.0, count=200), hours=EIGHT_HOURS, now=LONG_AFTER)
    assert (len(ripe), ripe[0].job_number, ripe[-1].job_number) == (150, "50", "199")


def test_few_quotes_move_little():
    moved = recalibrate([quote(1, None)], hours=EIGHT_HOURS, now=LONG_AFTER)
    assert moved.high == pytest.approx((1.0 + 30 * 0.8) / 31)


def test_coverage_of_nothing_is_refused():
    with pytest.raises(ScoreRefused, match="wait until"):
        measure_coverage([], hours=EIGHT_HOURS, now=NOW, level=0.8)


def test_coverage_at_an_unquoted_level_is_refused():
    with pytest.raises(ScoreRefused, match="choose one"):
        measure_coverage(past(100.0), hours=EIGHT_HOURS, now=LONG_AFTER, level=0.83)


@pytest.mark.parametrize(("share", "told"), [(0.0, 0.0), (0.15, 0.1), (0.6, 0.5), (0.9, 0.8), (1.0, 1.0)])
def test_a_chance_is_told_by_the_levels_that_are_quoted(share, told):
    levels = QuotedLevels(low=0.15, likely=0.6, high=0.9, latest=0.95)
    assert told_chance(share, levels=levels) == pytest.approx(told, abs=1e-3)


def test_nothing_is_told_otherwise_while_no_level_was_moved():
    assert [told_chance(share, levels=QuotedLevels()) for share in (0.05, 0.33, 0.97)] == [0.05, 0.33, 0.97]


def test_levels_moved_to_one_point_still_tell_a_chance():
    levels = QuotedLevels(low=0.5, likely=0.9, high=0.99, latest=0.99)
    assert told_chance(0.7, levels=levels) == pytest.approx(0.3, abs=1e-3)
    assert told_chance(0.995, levels=levels) > 0.9
