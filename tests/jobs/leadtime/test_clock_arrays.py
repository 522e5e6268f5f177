from datetime import UTC, date, datetime, time

import numpy as np
import pytest

from jobs.leadtime.clock import Closure, DaySpan, WorkingHours, start_clock
from jobs.leadtime.clock_arrays import table_clock

MARCH, OCTOBER = datetime(2026, 3, 27, 9, 15, tzinfo=UTC), datetime(2026, 10, 24, 23, tzinfo=UTC)
SPLIT = (DaySpan(time(8), time(12, 30)), DaySpan(time(13), time(17)))
SHOPS = {
    "split days in London": WorkingHours(
        "Europe/London",
        **dict.fromkeys(("monday", "tuesday", "wednesday", "thursday"), SPLIT),
        friday=(DaySpan(time(8), time(13)),),
        closures=(Closure(date(2026, 12, 24), date(2027, 1, 3)),),
    ),
    "nights over the change of clocks": WorkingHours(
        "Europe/Berlin",
        saturday=(DaySpan(time(20), time(0)),),
        sunday=(DaySpan(time(0), time(6)),),
    ),
    "days of 8 h 20 min": WorkingHours(
        "Europe/London", **dict.fromkeys(("monday", "tuesday", "friday"), (DaySpan(time(8), time(16, 20)),))
    ),
}


@pytest.mark.parametrize("hours", SHOPS.values(), ids=SHOPS)
@pytest.mark.parametrize("now", [MARCH, OCTOBER])
def test_every_element_equals_the_clocks_own_answer_to_the_last_bit(hours, now):
    clock = start_clock(hours, now=now)
    stream = np.random.default_rng(2)
    counted = np.concatenate([stream.uniform(-5.0, 400.0, 600), np.arange(0.0, 100.0, 4.25), [0.0, 1e-9]])
    counted = np.concatenate([counted, np.arange(1, 60) * (25 / 3) - clock.hours_at(now.replace(hour=0))])
    days = stream.lognormal(1.0, 1.2, len(counted))
    together = table_clock(clock).hours_after_days(counted, days=days)
    one_by_one = [clock.hours_after_days(float(h), days=float(d)) for h, d in zip(counted, days, strict=True)]
    assert together.tolist() == one_by_one


def test_a_job_that_does_not_come_stays_away():
    clock = table_clock(start_clock(SHOPS["split days in London"], now=MARCH))
    after = clock.hours_after_days(np.array([np.inf, 0.0]), days=np.array([3.0, 0.0]))
    assert after.tolist() == [np.inf, 0.0]
