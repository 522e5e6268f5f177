import itertools
from collections import Counter
from dataclasses import replace
from datetime import datetime, time, timedelta

import numpy as np
import pytest

from jobs.leadtime.clock import Closure
from jobs.leadtime.forecast import forecast_shop
from jobs.leadtime.groundwork import Groundwork, lay_groundwork
from jobs.leadtime.state import ArrivalRate, LiveJob, ShopState
from tests.jobs.leadtime.shops import NOW, busy_shop

FAMILY = "carburettor"


def _announced(count: int, *, in_days: float) -> tuple[LiveJob, ...]:
    expected = NOW + timedelta(days=in_days)
    return tuple(LiveJob(f"A{at}", FAMILY, expected_at=expected) for at in range(count))


def _coming(state: ShopState, *, weeks: float) -> np.ndarray:
    """Return how many units come in the weeks ahead, announced or not, in each replication."""
    ground: Groundwork = lay_groundwork(state, now=NOW, replications=200, seed=3, horizon_weeks=weeks)
    known = sum(job.expected_at is not None for job in ground.jobs)
    return known + sum(np.isfinite(group.ready_hours).sum(axis=1) for group in ground.background())


def _shop(*, announced: int, in_days: float) -> ShopState:
    shop = busy_shop(jobs=0)
    return replace(
        shop,
        jobs=_announced(announced, in_days=in_days),
        arrivals=(ArrivalRate(FAMILY, per_week=8.0),),
    )


def test_units_that_were_announced_do_not_come_a_second_time():
    usual = _coming(_shop(announced=0, in_days=1), weeks=6).mean()
    assert usual == pytest.approx(48.0, abs=1.5)
    assert _coming(_shop(announced=8, in_days=10), weeks=6).mean() == pytest.approx(usual, abs=1.0)


def test_a_rush_of_announced_units_comes_on_top_of_what_is_usual_later():
    # In the ten days until they are here 8 a week would have brought 11.4; the other 38.6 are extra.
    more = _coming(_shop(announced=50, in_days=10), weeks=6) - 48.0
    assert more.mean() == pytest.approx(50.0 - 8.0 * 10.0 / 7.0, abs=1.5)


def test_announced_units_of_one_family_leave_the_arrivals_of_another_alone():
    state = replace(
        _shop(announced=8, in_days=10), arrivals=(ArrivalRate(FAMILY, 8.0), ArrivalRate("magneto", 5.0))
    )
    ground = lay_groundwork(state, now=NOW, replications=200, seed=3, horizon_weeks=4.0)
    counts: Counter[str] = Counter()
    for group in ground.background():
        counts[group.family] += int(np.isfinite(group.ready_hours).sum())
    assert counts["magneto"] / 200 == pytest.approx(20.0, abs=1.0)
    assert counts[FAMILY] / 200 == pytest.approx(24.0, abs=1.0)


def test_the_backlog_of_a_bench_counts_what_is_in_the_shop_and_not_what_is_announced():
    empty = forecast_shop(_shop(announced=0, in_days=1), now=NOW, replications=40)
    announced = forecast_shop(_shop(announced=8, in_days=2), now=NOW, replications=40)
    assert sum(centre.weekly_demand_hours for centre in announced.centres) > 0
    for before, after in zip(empty.centres, announced.centres, strict=True):
        assert before.backlog_hours == after.backlog_hours == 0.0


def test_the_weeks_ahead_are_told_also_while_only_announced_units_come():
    weeks = forecast_shop(_shop(announced=12, in_days=5), now=NOW, replications=200).weeks
    assert len(weeks) >= 3


def test_a_longer_horizon_adds_units_and_changes_none_of_the_earlier():
    ground = lay_groundwork(busy_shop(jobs=2, per_week=3.0), now=NOW, replications=30, seed=1)
    near_weeks, far_weeks = 5.0, 13.5
    near, far = (ground.looking_ahead(weeks).background() for weeks in (near_weeks, far_weeks))
    assert len(near) == len(far) > 1
    until_h = ground.clock.hours_after_days(0.0, days=7.0 * near_weeks)
    for ours, theirs in zip(near, far, strict=True):
        jobs = min(ours.ready_hours.shape[1], theirs.ready_hours.shape[1])
        comes = ours.ready_hours[:, :jobs] <= until_h
        assert comes.sum() > 100
        assert (ours.ready_hours[:, :jobs] == theirs.ready_hours[:, :jobs])[comes].all()
        same = np.nan_to_num(ours.hours[:, :jobs]) == np.nan_to_num(theirs.hours[:, :jobs])
        assert same[comes].all()
        assert (ours.wait_days[:, :jobs] == theirs.wait_days[:, :jobs])[comes].all()


def _come_by_week(state: ShopState, *, now: datetime, weeks: int) -> list[np.ndarray]:
    """Return how many that nobody announced come in each calendar week, in each replication."""
    ground = lay_groundwork(state, now=now, replications=100, seed=3, horizon_weeks=float(weeks))
    ready = np.concatenate([group.ready_hours for group in ground.background()], axis=1)
    monday = datetime.combine(NOW.date(), time(0), ground.clock.zone)
    bounds = [ground.clock.hours_at(monday + timedelta(weeks=week)) for week in range(weeks + 1)]
    return [((ready >= first) & (ready < last)).sum(axis=1) for first, last in itertools.pairwise(bounds)]


def test_the_number_of_a_week_counts_those_who_came_since_monday():
    thursday = NOW + timedelta(days=3)
    here = tuple(LiveJob(f"{at}", FAMILY, arrived_at=NOW + timedelta(days=1)) for at in range(3))
    last_week = LiveJob("9", FAMILY, arrived_at=NOW - timedelta(days=4))
    state = replace(_shop(announced=0, in_days=1), jobs=(*here, last_week), intake_most_per_week=5)
    this_week, next_week = _come_by_week(state, now=thursday, weeks=2)
    assert (this_week.max(), next_week.max()) == (2, 5)
    full = replace(state, intake_most_per_week=3)
    assert [int(come.max()) for come in _come_by_week(full, now=thursday, weeks=2)] == [0, 3]


def test_the_number_of_a_week_counts_those_who_are_announced_for_it():
    state = replace(_shop(announced=4, in_days=9), intake_most_per_week=5)
    this_week, next_week, after = _come_by_week(state, now=NOW, weeks=3)
    assert (this_week.max(), next_week.max(), after.max()) == (5, 1, 5)


def test_who_was_announced_still_comes_in_a_pause_and_nobody_else():
    pause = Closure(NOW.date(), NOW.date() + timedelta(days=60))
    state = replace(_shop(announced=6, in_days=10), intake_pauses=(pause,))
    assert set(_coming(state, weeks=6)) == {6}


def test_a_closed_month_puts_off_how_far_arrivals_are_drawn():
    state = busy_shop(jobs=2)
    first = NOW.date() + timedelta(days=1)
    shut = Closure(first, first + timedelta(days=27))
    closed = replace(state, working_hours=replace(state.working_hours, closures=(shut,)))
    weeks, later = (
        lay_groundwork(each, now=NOW, replications=20, seed=1).horizon_weeks for each in (state, closed)
    )
    assert later - weeks == pytest.approx(4.0, abs=0.5)
