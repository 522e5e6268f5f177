from dataclasses import replace
from datetime import date, timedelta

from jobs.leadtime.added_work import add_work, days_left
from jobs.leadtime.clock import hours_per_day, start_clock
from jobs.leadtime.forecast import forecast_shop
from jobs.leadtime.ranges import ReasonKind
from jobs.leadtime.state import AddedWork
from tests.jobs.leadtime.shops import NOW, busy_shop

STATE = busy_shop(jobs=6)
CLOCK = start_clock(STATE.working_hours, now=NOW)
DAY_H = hours_per_day(STATE.working_hours)


def test_agreed_days_run_from_the_yes():
    agreed = (AddedWork(3.0, NOW - timedelta(days=7)), AddedWork(2.0, NOW))
    assert days_left(agreed, clock=CLOCK, day_hours=DAY_H) == 2.0
    assert days_left(agreed[1:], clock=CLOCK, day_hours=DAY_H) == 2.0
    assert days_left((), clock=CLOCK, day_hours=DAY_H) == 0.0


def test_extra_work_moves_every_date_by_working_days_and_says_so():
    found = forecast_shop(STATE, now=NOW, replications=40).jobs[0]
    friday = date(2026, 5, 15)
    found = replace(found, range=replace(found.range, low=friday, likely=friday, high=friday, latest=friday))
    later = add_work(found, work_days=1.0, clock=CLOCK, day_hours=DAY_H)
    assert {later.range.low, later.range.high, later.range.latest} == {date(2026, 5, 18)}
    assert [round(b - a, 3) for a, b in zip(found.quantile_hours, later.quantile_hours, strict=True)] == [
        round(DAY_H, 3)
    ] * 19
    (said,) = [reason for reason in later.range.reasons if reason.kind is ReasonKind.EXTRA]
    assert said.sentence == "Extra work that was agreed: about 1 working day."


def test_a_job_without_extra_work_stays_as_it_was():
    found = forecast_shop(STATE, now=NOW, replications=40).jobs[0]
    assert add_work(found, work_days=0.0, clock=CLOCK, day_hours=DAY_H) is found
