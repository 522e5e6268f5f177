from dataclasses import replace
from datetime import date, timedelta

from jobs.leadtime.starts import MOST_PER_CENTRE, weigh_starts
from jobs.leadtime.state import AddedWork, LiveJob
from tests.jobs.leadtime.shops import NOW, demo_shop, one_bench_shop

FRIDAY = date(2026, 5, 8)


def queue(count, spread=1.05, **changes):
    jobs = [
        LiveJob(f"{at:02d}", "sender", arrived_at=NOW - timedelta(minutes=60 - at)) for at in range(count)
    ]
    shop = one_bench_shop(jobs=jobs, median_hours=4.0)
    step = replace(shop.routes[0].steps[0], spread_factor=spread)
    return replace(shop, routes=(replace(shop.routes[0], steps=(step,)),), **changes)


def test_starting_a_late_unit_next_saves_its_promise():
    # Two a day: the tenth or eleventh is the last one of Friday; started next it is done today.
    gains = weigh_starts(queue(12, spread=1.4), now=NOW, promises={"09": FRIDAY})
    assert [gain.job_number for gain in gains] == ["09"]
    assert gains[0].own.before_share < 0.9
    assert gains[0].own.after_share == 1.0
    assert gains[0].saves
    assert 3.5 < gains[0].earlier_days < 5.5


def test_whose_promise_it_costs_is_said_too():
    promises = {"09": FRIDAY, "08": FRIDAY}
    gains = {
        gain.job_number: gain for gain in weigh_starts(queue(12, spread=1.4), now=NOW, promises=promises)
    }
    cost = gains["09"].others
    assert [move.job_number for move in cost] == ["08"]
    assert cost[0].after_share < cost[0].before_share


def test_safe_lost_and_unpromised_units_are_not_tried():
    promises = {"00": FRIDAY, "30": FRIDAY}
    assert weigh_starts(queue(31), now=NOW, promises=promises) == ()
    assert weigh_starts(queue(12), now=NOW, promises={}) == ()
    assert weigh_starts(demo_shop(), now=NOW, promises={}) == ()


def test_only_the_most_endangered_of_a_bench_are_tried():
    promises = {f"{at:02d}": FRIDAY for at in range(7, 14)}
    gains = weigh_starts(queue(16, spread=2.5), now=NOW, promises=promises)
    assert len(gains) == MOST_PER_CENTRE
    shares = [gain.own.before_share for gain in gains]
    assert shares == sorted(shares)


def test_extra_work_that_was_agreed_makes_a_promise_less_likely():
    state = queue(12, spread=1.4)
    late = replace(state.jobs[9], added_work=(AddedWork(1.0, NOW),))
    jobs = tuple(late if job.job_number == late.job_number else job for job in state.jobs)
    (plain,), (more,) = (
        weigh_starts(each, now=NOW, promises={"09": FRIDAY + timedelta(days=3)})
        for each in (state, replace(state, jobs=jobs))
    )
    assert more.own.before_share < plain.own.before_share
