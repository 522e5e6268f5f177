"""Every forecast day is one on which the shop works, since a parcel leaves on no other."""

from datetime import UTC, date, datetime

from jobs.leadtime.clock import open_day_from
from jobs.leadtime.forecast import forecast_shop
from jobs.leadtime.routes import BenchStep
from jobs.leadtime.state import LiveJob
from tests.jobs.leadtime.shops import NOW, one_bench_shop


def test_no_unit_is_said_to_leave_on_a_day_the_shop_is_shut():
    sunday = datetime(2026, 5, 10, 12, 0, tzinfo=UTC)
    done = LiveJob("1", "sender", done=(BenchStep.STRIP,), arrived_at=NOW)
    waiting = [LiveJob(f"{number}", "sender", arrived_at=NOW) for number in range(2, 8)]
    shop = one_bench_shop(jobs=[done, *waiting])
    result = forecast_shop(shop, now=sunday, replications=60)
    spans = [each.range for each in (*result.jobs, *result.newcomers)]
    days = {day for span in spans for day in (span.low, span.likely, span.high, span.latest)}
    assert date(2026, 5, 11) in days
    assert {day for day in days if open_day_from(shop.working_hours, day=day) != day} == set()
