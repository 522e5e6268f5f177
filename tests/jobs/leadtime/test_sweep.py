"""The sweep and the event loop are two programs for the same rules: they agree to the last bit."""

import numpy as np
import pytest

from jobs.leadtime.clock import start_clock
from jobs.leadtime.engines import choose_engine, run_fastest
from jobs.leadtime.event_loop import run_event_loop
from jobs.leadtime.floor import Draws, Floor, Station
from jobs.leadtime.routes import Batch
from jobs.leadtime.sweep import find_obstacle, order_stations, run_sweep, sweep_finishes
from tests.jobs.leadtime.floors import lay_draws, lay_floor, one_queue
from tests.jobs.leadtime.shops import EIGHT_HOURS, NOW

CLOCK = start_clock(EIGHT_HOURS, now=NOW)


def assert_same(floor, draws):
    assert find_obstacle(floor, draws) is None
    loop, sweep = run_event_loop(floor, draws), run_sweep(floor, draws)
    for name in ("ready_hours", "start_hours", "end_hours", "finish_hours"):
        np.testing.assert_array_equal(getattr(loop, name), getattr(sweep, name), err_msg=name)
    np.testing.assert_array_equal(sweep_finishes(floor, draws), sweep.finish_hours)
    return sweep


def draw_anything(seed, *, replications=15, whole_hours=False):
    """Any mixture of stations, tanks, loops, skips, classes, waits, begun work and jobs that stay away.

    Whole hours make many things happen at the same instant.
    """
    stream = np.random.default_rng(seed)
    stations = int(stream.integers(2, 6))
    jobs = int(stream.integers(20, 60))
    routes = [tuple(stream.integers(0, stations, stream.integers(1, 6)).tolist()) for _ in range(jobs)]
    visits = max(len(route) for route in routes)
    shape = (replications, jobs, visits)
    service = stream.lognormal(0.5, 0.7, shape)
    ready = np.cumsum(stream.exponential(2.0, (replications, jobs)), axis=1) - 20.0
    if whole_hours:
        service, ready = np.ceil(service), np.round(ready)
    service[stream.random(shape) < 0.2] = np.nan
    ready[:, stream.random(jobs) < 0.5] = np.round(stream.uniform(-9, 9))
    ready[stream.random((replications, jobs)) < 0.1] = np.inf
    begun = stream.random(jobs) < 0.1
    service[:, begun, 0] = 1.0 + stream.integers(0, 4, (replications, int(begun.sum())))
    for visit in range(visits):
        short = np.array([len(route) <= visit for route in routes])
        service[:, short, visit] = np.nan
    wait_days = np.where(stream.random(shape) < 0.2, stream.lognormal(0.0, 1.0, shape), 0.0)
    priority = stream.integers(0, 3, jobs).tolist()
    floor = Floor(
        tuple(
            Station(
                int(stream.integers(1, 4)),
                (1 << at | 1 << (at + 10)) if stream.random() < 0.3 else 0,
                Batch(int(stream.integers(1, 4)), int(stream.integers(10, 12)), float(stream.integers(0, 9)))
                if stream.random() < 0.4
                else None,
            )
            for at in range(stations)
        ),
        20,
        CLOCK if stream.random() < 0.5 else None,
    )
    return floor, Draws(
        tuple(routes), tuple(priority), tuple(begun.tolist()), ready, service, wait_days, watched=jobs
    )


@pytest.mark.parametrize("seed", range(40))
def test_any_floor_gives_the_same_passage(seed):
    assert_same(*draw_anything(seed))


@pytest.mark.parametrize("seed", range(100, 140))
def test_any_floor_gives_the_same_passage_when_much_happens_at_one_instant(seed):
    assert_same(*draw_anything(seed, whole_hours=True))


# --- the traps, one by one -------------------------------------------------------------------------


def test_the_draws_are_left_as_they_were():
    # A transposed array of one replication is contiguous already: making it so copies nothing.
    floor, draws = one_queue([0, 1, 2], [3, 3, 3])
    before = [draws.ready_hours.copy(), draws.service_hours.copy(), draws.wait_days.copy()]
    run_sweep(floor, draws)
    for kept, now in zip(before, (draws.ready_hours, draws.service_hours, draws.wait_days), strict=True):
        np.testing.assert_array_equal(kept, now)


def test_jobs_that_stay_away_hold_nobody_up():
    ready = [[np.inf, 0.0, 1.0, np.inf], [0.0, np.inf, np.inf, np.inf], [np.inf] * 4]
    draws = lay_draws(ready, np.full((3, 4, 1), 2.0), stations=(0,), priority=[0, 1, 0, 1])
    finish = assert_same(lay_floor(1), draws).finish_hours
    assert np.nan_to_num(finish, nan=-1.0).tolist() == [[-1, 2, 4, -1], [2, -1, -1, -1], [-1, -1, -1, -1]]


def test_members_of_a_run_go_on_by_class_and_number():
    # Four leave the tank at one instant; behind it is one bench.
    service = np.array([[[2.0, 1.0]] * 4])
    draws = lay_draws([[0.0, 0.0, 0.0, 0.0]], service, stations=(0, 1), priority=[1, 0, 1, 0])
    passage = assert_same(lay_floor(1, 1, batches=[Batch(4, 4, 9.0), None]), draws)
    assert passage.start_hours[0, :, 1].tolist() == [4, 2, 5, 3]


def test_members_of_a_run_under_way_share_one_remaining_time():
    draws = lay_draws(
        [[-2.0, -2.0, -1.0]],
        [[[3.0], [1.0], [2.0]]],
        stations=(0,),
        begun=[True, True, False],
    )
    passage = assert_same(lay_floor(1, batches=[Batch(2, 6, 5.0)]), draws)
    assert passage.end_hours[0, :, 0].tolist() == [3, 3, 6]


def test_what_stands_there_already_starts_at_once():
    draws = lay_draws([[-9.0, -6.0]], [[[1.0], [1.0]]], stations=(0,))
    assert assert_same(lay_floor(1, batches=[Batch(3, 6, 8.0)]), draws).start_hours[0, :, 0].tolist() == [
        0,
        0,
    ]
    assert assert_same(lay_floor(2), draws).start_hours[0, :, 0].tolist() == [0, 0]


def test_a_run_leaves_what_it_has_no_room_for_and_takes_the_urgent_first():
    draws = lay_draws([[0.0, 1.0, 2.0, 3.0]], np.full((1, 4, 1), 4.0), stations=(0,), priority=[1, 1, 1, 0])
    passage = assert_same(lay_floor(1, batches=[Batch(2, 2, 50.0)]), draws)
    assert passage.start_hours[0, :, 0].tolist() == [1, 1, 5, 5]


def test_a_wait_in_calendar_days_is_looked_up_in_the_opening_hours():
    draws = lay_draws([[0.0]], [[[2.0, 1.0]]], stations=(0, 1), wait_days=[[[5.0, 0.0]]])
    assert assert_same(lay_floor(1, 1, clock=CLOCK), draws).finish_hours[0, 0] == 41.0


def test_a_wait_in_working_hours_is_a_station_with_room_for_all():
    draws = lay_draws([[0.0, 0.0, 1.0]], np.full((1, 3, 1), 5.0), stations=(0,))
    assert assert_same(lay_floor(1000), draws).finish_hours[0].tolist() == [5, 5, 6]


def test_a_wait_that_ends_while_the_shop_is_shut_joins_at_once():
    # Done on Friday at closing time, one day in the dip: there on Monday morning, which is the same hour.
    draws = lay_draws(
        [[0.0, 39.0]], [[[40.0, 1.0], [2.0, 1.0]]], stations=(0, 1), wait_days=[[[1.0, 0], [0, 0]]]
    )
    assert assert_same(lay_floor(2, 1, clock=CLOCK), draws).start_hours[0, :, 1].tolist() == [40, 41]


def test_hours_that_differ_in_their_last_bit_alone_are_served_in_their_order():
    floor, draws = one_queue([np.nextafter(5.0, 6.0), 5.0, np.nextafter(-2.0, 0.0), -2.0], [1, 2, 3, 4])
    assert assert_same(floor, draws).start_hours[0, :, 0].tolist() == [9, 7, 4, 0]


def test_minus_zero_is_the_hour_zero():
    floor, draws = one_queue([0.0, -0.0], [1, 2])
    assert assert_same(floor, draws).start_hours[0, :, 0].tolist() == [0, 1]


def test_more_begun_work_than_benches_waits_in_front():
    floor, draws = one_queue(
        [-3, -2, -1, -9], [2, 3, 1, 1], begun=[True] * 3 + [False], priority=[1, 1, 1, 0]
    )
    assert assert_same(floor, draws).start_hours[0, :, 0].tolist() == [0, 2, 5, 6]


# --- which engine ----------------------------------------------------------------------------------


def many(floor_and_draws):
    floor, draws = floor_and_draws
    return floor, Draws(
        draws.stations_of,
        draws.priority,
        draws.in_progress,
        np.repeat(draws.ready_hours, 20, axis=0),
        np.repeat(draws.service_hours, 20, axis=0),
        np.repeat(draws.wait_days, 20, axis=0),
        draws.watched,
    )


def test_benches_alone_are_swept_and_shared_people_are_not():
    floor, draws = many(one_queue([0, 1], [2, 2]))
    assert choose_engine(floor, draws) is run_sweep
    shared = Floor((Station(1, 0b11), Station(1, 0b10)), 2)
    assert choose_engine(shared, draws) is run_event_loop
    assert "more than one centre" in find_obstacle(shared, draws)
    own = Floor((Station(3, 0b01), Station(1, 0b10)), 2)
    assert choose_engine(own, draws) is run_sweep
    np.testing.assert_array_equal(
        run_event_loop(own, draws).finish_hours, run_fastest(own, draws).finish_hours
    )


def test_few_replications_are_worked_one_by_one():
    assert choose_engine(*one_queue([0, 1], [2, 2])) is run_event_loop


def test_work_without_length_is_left_to_the_event_loop():
    floor, draws = many(one_queue([0, 1], [0, 2]))
    assert "no time" in find_obstacle(floor, draws)
    assert run_fastest(floor, draws).finish_hours[0].tolist() == [0, 3]


def test_begun_work_at_different_steps_is_left_to_the_event_loop():
    draws = lay_draws([[-1.0]] * 2, [[[1.0, 2.0]], [[np.nan, 2.0]]], stations=(0, 1), begun=[True])
    assert "another step" in find_obstacle(lay_floor(1, 1), draws)


def test_an_overfull_run_is_left_to_the_event_loop_and_ends():
    floor = lay_floor(1, batches=[Batch(2, 2, 5.0)])
    draws = lay_draws([[-1.0] * 3], np.full((1, 3, 1), 2.0), stations=(0,), begun=[True] * 3)
    assert "more has begun" in find_obstacle(floor, draws).lower()
    assert run_fastest(floor, draws).finish_hours[0].tolist() == [2, 2, 6]


def test_stations_are_worked_in_the_order_of_the_routes():
    draws = lay_draws([[0.0]], np.ones((1, 1, 5)), stations=(3, 1, 2, 1, 0))
    assert order_stations(draws, stations=4) == [[3], [1, 2], [0]]


def test_an_empty_floor_is_swept():
    draws = lay_draws(np.zeros((20, 0)), np.zeros((20, 0, 0)), stations=())
    assert run_fastest(lay_floor(1), draws).finish_hours.shape == (20, 0)
