"""What lies beyond the four years for which opening hours are laid out is refused, not dated."""

from dataclasses import replace

import pytest

from jobs.leadtime.errors import QueueTooLong
from jobs.leadtime.forecast import forecast_newcomer, forecast_shop
from jobs.leadtime.newcomers import forecast_curves
from jobs.leadtime.routes import Batch
from jobs.leadtime.state import AddedWork
from tests.jobs.leadtime.queues import by_number, queue_of
from tests.jobs.leadtime.shops import NOW, one_bench_shop

RUNS = 60


def forecast(state):
    return forecast_shop(state, now=NOW, replications=RUNS)


def long_queue():
    """Thirty units of 400 hours each at one bench: about 24 are worked in the four years and eight months."""
    return one_bench_shop(median_hours=400.0, jobs=queue_of(30))


def test_what_lies_beyond_four_years_is_refused_and_the_rest_is_dated():
    result = forecast(long_queue())
    dated, refused = set(by_number(result)), {refusal.job_number for refusal in result.refusals}
    assert {"000", "010"} <= dated
    assert {"029", ""} <= refused
    assert not dated & refused
    assert result.newcomers == ()
    assert all("the queue is longer than four years" in refusal.sentence for refusal in result.refusals)


def test_a_newcomer_to_a_queue_of_more_than_four_years_is_refused():
    with pytest.raises(QueueTooLong, match="family “sender”"):
        forecast_newcomer(long_queue(), family="sender", now=NOW, replications=RUNS)
    assert forecast_curves(long_queue(), now=NOW, days=7, replications=RUNS) == ()


def test_a_run_that_never_fills_gives_a_refusal_and_no_date():
    state = one_bench_shop(jobs=queue_of(3))
    tank = replace(state.centres[0], batch=Batch(50, 50, 1e5))
    result = forecast(replace(state, centres=(tank,)))
    assert result.jobs == result.newcomers == ()
    assert len(result.refusals) == 4


def test_extra_work_beyond_four_years_is_refused():
    added = AddedWork(2000.0, NOW)
    result = forecast(one_bench_shop(jobs=queue_of(1, added_work=(added,))))
    assert [refusal.job_number for refusal in result.refusals] == ["000"]
