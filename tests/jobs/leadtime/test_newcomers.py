from dataclasses import replace
from datetime import datetime, timedelta

import numpy as np
import pytest

from jobs.domain.stages import HoldKind
from jobs.leadtime import newcomers
from jobs.leadtime.clock import hours_per_day, working_hours_between
from jobs.leadtime.event_loop import run_event_loop
from jobs.leadtime.forecast import forecast_newcomer, forecast_shop
from jobs.leadtime.newcomers import NOON, NewcomerCurve, forecast_curves
from jobs.leadtime.ranges import LEVELS
from jobs.leadtime.routes import RouteWait
from jobs.leadtime.state import ArrivalRate
from packing.plain import from_plain, to_plain
from tests.jobs.leadtime.shops import NOW, busy_shop, one_bench_shop


def without_people(state):
    return replace(state, centres=tuple(replace(centre, people=()) for centre in state.centres), people=())


def test_todays_newcomer_is_the_one_real_extra_job():
    state = busy_shop(jobs=20)
    curve = forecast_curves(state, now=NOW, families=["sender"], days=0, replications=600)[0]
    alone = forecast_newcomer(
        state, family="sender", now=NOW, replications=600, horizon_weeks=6.0 / 7.0 + 4.0
    ).range
    assert len(curve.days) == 1
    assert curve.days[0].samples == 600
    assert (curve.days[0].likely, curve.days[0].high) == (alone.likely, alone.high)


def test_today_of_the_curve_is_the_range_that_the_forecast_gives():
    state = busy_shop(jobs=20, per_week=1.5)
    shown = {each.family: each.range for each in forecast_shop(state, now=NOW, replications=60).newcomers}
    curves = forecast_curves(state, now=NOW, replications=60, days=42)
    assert {curve.family for curve in curves} == set(shown)
    for curve in curves:
        today, told = curve.days[0], shown[curve.family]
        told_days = (told.low, told.likely, told.high, told.latest)
        assert (today.low, today.likely, today.high, today.latest) == told_days, curve.family


def test_a_curve_has_today_and_every_day_asked_for():
    curves = forecast_curves(busy_shop(jobs=5), now=NOW, days=12, replications=40)
    assert len(curves) == 6
    for curve in curves:
        assert [day.arrives_on for day in curve.days] == [NOW.date() + timedelta(days=at) for at in range(13)]
        for day in curve.days:
            assert day.arrives_on <= day.low <= day.likely <= day.high <= day.latest
            assert day.shelf_days >= 0.0
    assert from_plain(NewcomerCurve, to_plain(curves[0])) == curves[0]


def test_behind_a_queue_the_wait_on_the_shelf_shrinks_as_the_queue_does():
    jobs = busy_shop(jobs=0).jobs
    shop = one_bench_shop(jobs=jobs, median_hours=4.0)
    queue = [replace(job, job_number=f"{at}", family="sender") for at, job in enumerate(busy_shop(30).jobs)]
    queue = [replace(job, done=()) for job in queue]
    shop = replace(shop, jobs=tuple(queue), arrivals=(ArrivalRate("sender", 3.0),))
    days = forecast_curves(shop, now=NOW, days=40, replications=150)[0].days
    # Thirty units of four hours are fifteen working days of work, three weeks from now.
    assert days[0].shelf_days == pytest.approx(15.0, abs=0.8)
    assert days[7].shelf_days == pytest.approx(11.5, abs=1.5)
    assert days[40].shelf_days < 1.5


def test_a_family_that_never_came_gets_runs_of_its_own():
    state = replace(busy_shop(jobs=8), arrivals=(ArrivalRate("sender", 2.0),))
    curve = forecast_curves(state, now=NOW, families=["magneto"], days=20, replications=40)[0]
    assert {day.samples for day in curve.days} == {40}
    assert all(later.likely >= NOW.date() + timedelta(days=at) for at, later in enumerate(curve.days))


def test_families_that_never_came_share_their_runs_and_keep_their_own_dates():
    state = replace(busy_shop(jobs=12), arrivals=(ArrivalRate("sender", 2.0),))
    families = ["magneto", "carburettor", "lift_pump"]
    together = forecast_curves(state, now=NOW, families=families, days=21, replications=200)
    day_h = hours_per_day(state.working_hours)
    for curve in together:
        alone = forecast_curves(state, now=NOW, families=[curve.family], days=21, replications=200)[0]
        for ahead in (0, 21):
            off_h = curve.days[ahead].lead_hours[1] - alone.days[ahead].lead_hours[1]
            assert abs(off_h) <= day_h, (curve.family, ahead)


def test_long_waits_count_as_much_on_late_days_as_on_early_ones(monkeypatch):
    # Half of the units wait weeks for parts; a run that ends early would keep the lucky half only.
    shop = one_bench_shop(median_hours=1.0)
    step = replace(shop.routes[0].steps[0], waits=(RouteWait(HoldKind.PARTS, 40.0, 1.2, needed_share=0.5),))
    shop = replace(
        shop,
        routes=(replace(shop.routes[0], steps=(step,)),),
        arrivals=(ArrivalRate("sender", 4.0),),
    )
    monkeypatch.setattr(newcomers, "LEAST_SAMPLES", 80)
    days = forecast_curves(shop, now=NOW, replications=60, engine=run_event_loop)[0].days
    for ahead in (7, 30, 60):
        assert days[ahead].samples >= 80
        waited_days = (days[ahead].high - days[ahead].arrives_on).days
        assert waited_days == pytest.approx(43, abs=6), ahead


def test_days_beyond_the_curve_are_refused():
    with pytest.raises(ValueError, match="between 0 and 84"):
        forecast_curves(busy_shop(jobs=1), now=NOW, days=85, replications=40)


@pytest.mark.slow
@pytest.mark.parametrize("seed", [1, 2])
def test_the_curve_lies_within_two_working_days_of_exact_separate_runs(seed):
    # Days with one real extra job each, in 2,000 replications so that their own error is small, against the
    # curve as the pages have it. The weeks of waiting for parts are in; at 9 in 10 they alone leave 300
    # replications two to three days off, so the date that is promised, 8 in 10, is judged, and the middle.
    state = without_people(busy_shop(jobs=140, per_week=3.5))
    curve = forecast_curves(state, now=NOW, families=["carburettor"], replications=300, seed=seed)[0]
    day_h = hours_per_day(state.working_hours)
    off_days = []
    for ahead in (12, 33, 60):
        at = datetime.combine(NOW.date() + timedelta(days=ahead), NOON, NOW.tzinfo)
        exact = forecast_newcomer(
            state,
            family="carburettor",
            now=NOW,
            arrives_at=at,
            replications=2000,
            seed=99,
            horizon_weeks=66.0 / 7.0 + 4.0,
        )
        from_now_h = [exact.quantile_hours[LEVELS.index(level)] for level in (0.5, 0.8)]
        arrives_h = working_hours_between(state.working_hours, start=NOW, end=at)
        read = curve.days[ahead].lead_hours[1:3]
        off_days.append([(h - arrives_h - own) / day_h for h, own in zip(from_now_h, read, strict=True)])
    assert np.abs(np.array(off_days)).max() <= 2.0, off_days
    assert curve.days[5].shelf_days > curve.days[60].shelf_days
