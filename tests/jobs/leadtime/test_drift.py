import math
from datetime import date, timedelta

import numpy as np
import pytest

from jobs.leadtime.clock import start_clock
from jobs.leadtime.drift import Direction, find_alarm, find_drifts, shorten_half_lives
from jobs.leadtime.history import Seed, StageVisit, fit_stages
from jobs.leadtime.routes import BenchStep
from jobs.leadtime.scene import fit_state
from tests.jobs.leadtime.shops import NOW, demo_shop

TODAY = date(2026, 5, 4)
STRIP = BenchStep.STRIP
SEEDS = {("magneto", STRIP): Seed(2.0, 1.5), ("sender", STRIP): Seed(0.5, 1.5)}


def visits(factors, *, sd=0.4, seed=3):
    """One visit a day to today, each factor times the usual hours."""
    stream = np.random.default_rng(seed)
    rows = []
    for at, factor in enumerate(factors):
        family, hours = (("magneto", 2.0), ("sender", 0.5))[at % 2]
        spread = math.exp(sd * stream.standard_normal())
        on = TODAY - timedelta(days=len(factors) - at)
        rows.append(StageVisit(family, STRIP, hours * factor * spread, on))
    return rows


def test_a_step_that_slows_down_is_found_with_its_day_and_its_size():
    (drift,) = find_drifts(visits([1.0] * 150 + [2.0] * 50), seeds=SEEDS, today=TODAY)
    assert (drift.step, drift.direction) == (STRIP, Direction.SLOWER)
    assert abs((drift.since - (TODAY - timedelta(days=50))).days) <= 12
    assert drift.change_factor == pytest.approx(2.0, rel=0.25)
    assert "longer since about" in drift.sentence


def test_a_step_that_quickens_is_found_too():
    (drift,) = find_drifts(visits([1.0] * 150 + [0.6] * 50), seeds=SEEDS, today=TODAY)
    assert drift.direction is Direction.QUICKER
    assert "% less since" in drift.sentence


def test_an_alarm_of_a_few_long_visits_is_not_told_as_a_change_of_no_size():
    rows = visits([1.0] * 150 + [3.0] * 3 + [1.0] * 45, sd=0.0)
    (drift,) = find_drifts(rows, seeds=SEEDS, today=TODAY)
    assert round(drift.change_factor, 2) == 1.0
    assert "do not bear that out" in drift.sentence


def test_a_step_that_stays_as_it_was_raises_no_alarm():
    assert find_drifts(visits([1.0] * 200), seeds=SEEDS, today=TODAY) == ()


def test_one_mislaid_unit_raises_no_alarm():
    assert find_drifts(visits([1.0] * 150 + [60.0] + [1.0] * 49), seeds=SEEDS, today=TODAY) == ()


def test_an_old_alarm_is_forgotten():
    rows = visits([1.0] * 100 + [1.8] * 260)
    assert find_drifts(rows, seeds=SEEDS, today=TODAY) == ()


def test_a_drifted_step_forgets_faster_and_fits_the_present_better():
    rows = visits([1.0] * 170 + [1.6] * 40)
    drifts = find_drifts(rows, seeds=SEEDS, today=TODAY)
    slow = fit_stages(rows, seeds=SEEDS, today=TODAY)["magneto", STRIP].median
    quick = fit_stages(rows, seeds=SEEDS, today=TODAY, half_lives_days=shorten_half_lives(drifts))
    assert slow < quick["magneto", STRIP].median < 3.2 * 1.1


def test_the_forecast_hears_of_a_drift():
    rows = tuple(
        StageVisit("magneto", STRIP, visit.hours, visit.on)
        for visit in visits([1.0] * 120 + [2.0] * 40)
        if visit.family == "magneto"
    )
    shop = demo_shop(visits=rows)
    fits = fit_state(shop, routes=shop.routes, clock=start_clock(shop.working_hours, now=NOW))
    assert [drift.step for drift in fits.drifts] == [STRIP]


def test_nothing_happens_without_residuals():
    assert find_alarm([]) is None
    assert find_alarm([0.2] * 1000) is None


def test_an_alarm_that_later_visits_do_not_bear_out_says_so():
    # Three units begun and finished almost at one go, then forty as ever, a little slower.
    (drift,) = find_drifts(visits([1.0] * 150 + [0.002] * 3 + [1.1] * 40), seeds=SEEDS, today=TODAY)
    assert drift.direction is Direction.QUICKER
    assert drift.change_factor > 1.0
    assert "do not bear that out" in drift.sentence
    assert "%" not in drift.sentence
