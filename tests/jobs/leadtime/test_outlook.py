from dataclasses import replace
from datetime import date, timedelta

import pytest

from jobs.domain.stages import HoldKind
from jobs.leadtime.clock import Closure
from jobs.leadtime.outlook import ShopOutlook, look_out
from jobs.leadtime.state import ArrivalRate, LiveJob
from packing.plain import from_plain, to_plain
from tests.jobs.leadtime.shops import NOW, busy_shop, demo_shop, one_bench_shop

FRIDAY = date(2026, 5, 8)


def queue(count=20, **more):
    jobs = [
        LiveJob(f"{at:02d}", "sender", arrived_at=NOW - timedelta(minutes=60 - at)) for at in range(count)
    ]
    return replace(one_bench_shop(jobs=jobs, median_hours=4.0), **more)


def test_a_queue_goes_back_ten_a_week_and_empties_the_shop():
    # Twenty units of four hours at one bench of forty hours a week.
    found = look_out(queue(), now=NOW, promises={}, replications=60)
    assert found.in_process_now == 20
    assert [week.output.likely for week in found.weeks[:4]] == pytest.approx([10, 10, 0, 0], abs=1)
    assert [week.in_process.likely for week in found.weeks[:3]] == pytest.approx([10, 0, 0], abs=1)
    assert found.weeks[0].monday == NOW.date()
    assert len(found.weeks) == 12


def test_the_fan_opens_with_the_weeks():
    found = look_out(busy_shop(jobs=30), now=NOW, promises={}, replications=100)
    widths = [week.in_process.high - week.in_process.low for week in found.weeks]
    assert widths[8] > widths[0]
    assert all(
        fan.low <= fan.likely <= fan.high for week in found.weeks for fan in (week.in_process, week.output)
    )
    assert from_plain(ShopOutlook, to_plain(found)) == found


def test_a_closed_month_has_no_output_and_no_open_hour():
    state = queue()
    hours = replace(state.working_hours, closures=(Closure(NOW.date(), NOW.date() + timedelta(days=27)),))
    found = look_out(replace(state, working_hours=hours), now=NOW, promises={"00": FRIDAY}, replications=40)
    assert [week.open_hours for week in found.weeks[:4]] == [0.0] * 4
    assert [week.output.high for week in found.weeks[:4]] == [0.0] * 4
    assert found.weeks[4].output.likely > 0
    assert found.promises[0].kept_share == 0.0


def test_an_early_promise_is_safe_and_a_late_one_lost():
    # Two units a day: the tenth is done on Friday, the twentieth a week later.
    found = look_out(queue(), now=NOW, promises={"01": FRIDAY, "19": FRIDAY}, replications=60)
    shares = {chance.job_number: chance.kept_share for chance in found.promises}
    assert shares["01"] == 1.0
    assert shares["19"] == 0.0


def test_a_held_unit_is_in_the_shop_although_nobody_works_on_it():
    held = LiveJob("77", "sender", arrived_at=NOW, hold=HoldKind.ANSWER, held_since=NOW)
    found = look_out(queue(0, jobs=(held,)), now=NOW, promises={}, replications=40)
    assert found.in_process_now == 1
    assert found.weeks[0].in_process.high == 1.0


def test_an_empty_shop_has_empty_weeks():
    found = look_out(demo_shop(), now=NOW, promises={}, replications=40)
    assert found.in_process_now == 0
    assert {week.in_process.high for week in found.weeks} == {0.0}


def test_a_shop_that_only_waits_for_arrivals_fills():
    state = replace(one_bench_shop(median_hours=30.0), arrivals=(ArrivalRate("sender", 5.0),))
    weeks = look_out(state, now=NOW, promises={}, replications=60).weeks
    assert weeks[8].in_process.likely > weeks[1].in_process.likely > 0
