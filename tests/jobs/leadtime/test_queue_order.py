"""Who is served first of those that came while the shop was shut."""

from datetime import UTC, datetime, timedelta

import pytest

from jobs.leadtime.errors import MomentWithoutZone
from jobs.leadtime.forecast import forecast_shop
from jobs.leadtime.state import LiveJob
from tests.jobs.leadtime.queues import by_number
from tests.jobs.leadtime.shops import NOW, one_bench_shop

RUNS = 60


def forecast(state):
    return forecast_shop(state, now=NOW, replications=RUNS)


@pytest.mark.parametrize(
    ("first_at", "second_at"),
    [
        (datetime(2026, 5, 2, 9, tzinfo=UTC), datetime(2026, 5, 3, 18, tzinfo=UTC)),
        (datetime(2026, 5, 3, 18, tzinfo=UTC), datetime(2026, 5, 3, 19, tzinfo=UTC)),
        (datetime(2024, 11, 4, 9, tzinfo=UTC), datetime(2024, 12, 2, 9, tzinfo=UTC)),
    ],
    ids=["Saturday before Sunday", "within an evening", "before the first of January of last year"],
)
def test_units_that_came_outside_opening_hours_are_served_as_they_came(first_at, second_at):
    # The one booked first came last.
    jobs = [LiveJob("1", "sender", arrived_at=second_at), LiveJob("2", "sender", arrived_at=first_at)]
    found = by_number(forecast(one_bench_shop(jobs=jobs)))
    assert found["2"].quantile_hours[9] == pytest.approx(4.0, rel=0.05)
    assert found["1"].quantile_hours[9] == pytest.approx(8.0, rel=0.05)


def test_a_parcel_that_is_overdue_stands_behind_what_is_here():
    overdue = LiveJob("1", "sender", expected_at=NOW - timedelta(days=3))
    here = LiveJob("2", "sender", arrived_at=NOW - timedelta(hours=1))
    found = by_number(forecast(one_bench_shop(jobs=[overdue, here])))
    assert found["2"].quantile_hours[9] < found["1"].quantile_hours[9]


def test_a_moment_without_zone_among_others_is_refused():
    here = LiveJob("here", "sender", arrived_at=NOW)
    odd = LiveJob("odd", "sender", arrived_at=NOW.replace(tzinfo=None))
    with pytest.raises(MomentWithoutZone):
        forecast(one_bench_shop(jobs=[here, odd]))
