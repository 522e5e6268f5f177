import pytest

from jobs.domain.stages import HoldKind
from jobs.leadtime.contributions import weigh_contributions
from jobs.leadtime.ranges import ReasonKind
from jobs.leadtime.routes import Batch, BenchStep, Route, RouteStep, RouteWait, WorkCentre
from jobs.leadtime.state import LiveJob, ShopState
from tests.jobs.leadtime.shops import EIGHT_HOURS, NOW, busy_shop, one_bench_shop


def by_number(found):
    return {job.job_number: job.contributions for job in found}


def test_the_last_of_a_queue_would_gain_all_that_stands_before_it():
    jobs = [LiveJob(f"{at}", "sender", arrived_at=NOW) for at in range(8)]
    found = by_number(weigh_contributions(one_bench_shop(jobs=jobs), now=NOW, replications=60))
    # Seven units of four hours before it, eight hours a day.
    (queue,) = found["7"]
    assert (queue.kind, queue.work_centre) == (ReasonKind.QUEUE, "bench")
    assert queue.working_days == pytest.approx(3.5, rel=0.05)
    assert queue.sentence == "Without the queue at the bench it would be done about 4 working days earlier."
    assert found["0"] == ()


def test_a_hold_and_a_wait_ahead_are_weighed_apart_from_queues():
    wait = RouteWait(HoldKind.PARTS, median_days=14.0, spread_factor=1.05)
    step = RouteStep(BenchStep.STRIP, "bench", 1.0, 1.05, waits=(wait,))
    shop = ShopState(
        EIGHT_HOURS,
        (WorkCentre("bench", "Bench", 1),),
        (),
        (Route("r", "R", ("sender",), (step,)),),
        jobs=(
            LiveJob("1", "sender", arrived_at=NOW),
            LiveJob("2", "sender", hold=HoldKind.ANSWER, held_since=NOW, done=(BenchStep.STRIP,)),
        ),
    )
    found = by_number(weigh_contributions(shop, now=NOW, replications=60))
    assert [c.kind for c in found["1"]] == [ReasonKind.PARTS]
    assert found["1"][0].working_days == pytest.approx(10.0, rel=0.1)  # fourteen days are ten working days
    assert [c.kind for c in found["2"]] == [ReasonKind.ANSWER]


def test_filling_a_run_is_weighed():
    step = RouteStep(BenchStep.CLEAN, "tank", 1.0, 1.05)
    shop = ShopState(
        EIGHT_HOURS,
        (WorkCentre("tank", "Tank", 1, batch=Batch(3, 6, 24.0)),),
        (),
        (Route("r", "R", ("sender",), (step,)),),
        jobs=(LiveJob("1", "sender", arrived_at=NOW),),
    )
    (batch,) = by_number(weigh_contributions(shop, now=NOW, replications=40))["1"]
    assert batch.kind is ReasonKind.BATCH
    assert batch.working_days == pytest.approx(3.0, rel=0.05)


def test_newcomers_are_weighed_and_the_largest_come_first():
    found = weigh_contributions(busy_shop(jobs=25), now=NOW, newcomers=["magneto"], replications=40)
    newcomer = found[-1]
    assert (newcomer.job_number, newcomer.family) == ("", "magneto")
    sizes = [contribution.working_days for contribution in newcomer.contributions]
    assert len(sizes) == 3
    assert sizes == sorted(sizes, reverse=True)


def test_an_empty_shop_weighs_nothing():
    assert weigh_contributions(busy_shop(jobs=0), now=NOW, replications=40) == ()
