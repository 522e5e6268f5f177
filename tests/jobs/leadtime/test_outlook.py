from dataclasses import replace
from datetime import date, timedelta

import pytest

from jobs.domain.stages import HoldKind
from jobs.leadtime.clock import Closure, start_clock
from jobs.leadtime.forecast import forecast_shop
from jobs.leadtime.outlook import ShopOutlook, chances_of, look_out
from jobs.leadtime.ranges import DEFAULT_LEVELS, NO_FAMILY_LEVELS, QuotedLevels
from jobs.leadtime.state import ArrivalRate, LiveJob
from packing.plain import from_plain, to_plain
from tests.jobs.leadtime.shops import NOW, busy_shop, demo_shop, one_bench_shop

FRIDAY = date(2026, 5, 8)


def queue(count=20, **more):
    jobs = [
        LiveJob(f"{at:02d}", "sender", arrived_at=NOW - timedelta(minutes=60 - at)) for at in range(count)
    ]
    return replace(one_bench_shop(jobs=jobs, median_hours=4.0), **more)


def chances(state, promises, *, levels=DEFAULT_LEVELS, family_levels=NO_FAMILY_LEVELS, **more):
    """Return the chances as the run that gives the dates has them."""
    quoted = {"levels": levels, "family_levels": family_levels}
    jobs = forecast_shop(state, now=NOW, **quoted, **more).jobs
    return chances_of(jobs, promises=promises, clock=start_clock(state.working_hours, now=NOW), **quoted)


def test_a_queue_goes_back_ten_a_week_and_empties_the_shop():
    # Twenty units of four hours at one bench of forty hours a week.
    found = look_out(queue(), now=NOW, replications=60)
    assert found.in_process_now == 20
    assert [week.output.likely for week in found.weeks[:4]] == pytest.approx([10, 10, 0, 0], abs=1)
    assert [week.in_process.likely for week in found.weeks[:3]] == pytest.approx([10, 0, 0], abs=1)
    assert found.weeks[0].monday == NOW.date()
    assert len(found.weeks) == 12


def test_the_fan_opens_with_the_weeks():
    found = look_out(busy_shop(jobs=30), now=NOW, replications=100)
    widths = [week.in_process.high - week.in_process.low for week in found.weeks]
    assert widths[8] > widths[0]
    assert all(
        fan.low <= fan.likely <= fan.high for week in found.weeks for fan in (week.in_process, week.output)
    )
    assert from_plain(ShopOutlook, to_plain(found)) == found


def test_a_closed_month_has_no_output_and_no_open_hour():
    state = queue()
    hours = replace(state.working_hours, closures=(Closure(NOW.date(), NOW.date() + timedelta(days=27)),))
    found = look_out(replace(state, working_hours=hours), now=NOW, replications=40)
    assert [week.open_hours for week in found.weeks[:4]] == [0.0] * 4
    assert [week.output.high for week in found.weeks[:4]] == [0.0] * 4
    assert found.weeks[4].output.likely > 0
    (chance,) = chances(replace(state, working_hours=hours), {"00": FRIDAY}, replications=40)
    assert chance.kept_share == 0.0


def test_the_first_week_after_a_closed_month_sends_back_no_fewer_units_than_others():
    # All at the benches can do everything: what piled up must not be begun before what is half done.
    state = busy_shop(jobs=30, per_week=2.5)
    usual = look_out(state, now=NOW, replications=40).weeks[8].output.likely
    closed = (Closure(NOW.date() + timedelta(days=7), NOW.date() + timedelta(days=34)),)
    hours = replace(state.working_hours, closures=closed)
    found = look_out(replace(state, working_hours=hours), now=NOW, replications=40)
    assert found.weeks[4].open_hours == 0.0
    assert found.weeks[5].output.likely >= usual


def test_an_early_promise_is_safe_and_a_late_one_lost():
    # Two units a day: the tenth is done on Friday, the twentieth a week later.
    found = chances(queue(), {"01": FRIDAY, "19": FRIDAY}, replications=60)
    shares = {chance.job_number: chance.kept_share for chance in found}
    assert shares["01"] == 1.0
    assert shares["19"] == 0.0


def test_on_a_sunday_the_weeks_begin_with_the_next_one():
    sunday = NOW + timedelta(days=6)
    found = look_out(queue(), now=sunday, replications=40)
    assert found.weeks[0].monday == NOW.date() + timedelta(days=7)
    assert found.weeks[0].open_hours == 40.0


def test_a_held_unit_is_in_the_shop_although_nobody_works_on_it():
    held = LiveJob("77", "sender", arrived_at=NOW, hold=HoldKind.ANSWER, held_since=NOW)
    found = look_out(queue(0, jobs=(held,)), now=NOW, replications=40)
    assert found.in_process_now == 1
    assert found.weeks[0].in_process.high == 1.0


def test_an_empty_shop_has_empty_weeks():
    found = look_out(demo_shop(), now=NOW, replications=40)
    assert found.in_process_now == 0
    assert {week.in_process.high for week in found.weeks} == {0.0}


def test_a_shop_that_only_waits_for_arrivals_fills():
    state = replace(one_bench_shop(median_hours=30.0), arrivals=(ArrivalRate("sender", 5.0),))
    weeks = look_out(state, now=NOW, replications=60).weeks
    assert weeks[8].in_process.likely > weeks[1].in_process.likely > 0


LATE_SHOP = QuotedLevels(low=0.2, likely=0.65, high=0.93, latest=0.97)


@pytest.mark.slow
@pytest.mark.parametrize("levels", [QuotedLevels(), LATE_SHOP], ids=["as simulated", "often late"])
def test_a_promise_on_the_date_of_8_in_10_is_kept_8_times_in_10(levels):
    # A date is a whole day: at its end it is a little more than 8 in 10, at the end of the day before less.
    state = busy_shop(jobs=60)
    quoted = forecast_shop(state, now=NOW, replications=400, levels=levels).jobs
    dates = {job.job_number: job.range.high for job in quoted}
    eves = {number: high - timedelta(days=1) for number, high in dates.items()}
    on_the_day, before = (
        chances(state, promises, replications=400, levels=levels) for promises in (dates, eves)
    )
    assert sum(each.kept_share for each in on_the_day) / 60 > 0.8
    assert sum(each.kept_share for each in before) / 60 < 0.8


def test_a_family_with_levels_of_its_own_is_told_by_them():
    state = busy_shop(jobs=12)
    promises = {job.job_number: date(2026, 5, 15) for job in state.jobs}
    plain, told = (
        chances(state, promises, replications=100, family_levels=levels)
        for levels in ({}, {"magneto": LATE_SHOP})
    )
    moved = {each.job_number for each, other in zip(plain, told, strict=True) if each != other}
    assert moved
    assert moved <= {job.job_number for job in state.jobs if job.family == "magneto"}


@pytest.mark.slow
@pytest.mark.parametrize(
    "levels", [QuotedLevels(), QuotedLevels(0.06, 0.51, 0.83, 0.9), QuotedLevels(0.2, 0.6, 0.9, 0.95)]
)
def test_the_chance_of_a_promise_never_contradicts_the_dates_of_its_job(levels):
    state = busy_shop(jobs=30)
    found = forecast_shop(state, now=NOW, replications=300, levels=levels)
    clock = start_clock(state.working_hours, now=NOW)
    slack = 0.02  # the chance is read between nineteen kept points, the dates off the runs themselves
    assert len(found.jobs) == 30
    for job in found.jobs:
        for days in range(-20, 30):
            promised = job.range.high + timedelta(days=days)
            (told,) = chances_of(
                [job], promises={job.job_number: promised}, clock=clock, levels=levels, family_levels={}
            )
            assert told.promised_on == promised
            assert (promised >= job.range.likely) or told.kept_share <= 0.5 + slack
            assert (promised >= job.range.high) or told.kept_share <= 0.8 + slack
            assert (promised < job.range.likely) or told.kept_share >= 0.5 - slack
            assert (promised < job.range.high) or told.kept_share >= 0.8 - slack
