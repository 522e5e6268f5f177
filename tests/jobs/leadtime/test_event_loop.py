from dataclasses import replace

import numpy as np
import pytest

from jobs.leadtime.clock import start_clock
from jobs.leadtime.event_loop import run_event_loop
from jobs.leadtime.routes import Batch
from tests.jobs.leadtime.floors import lay_draws, lay_floor, one_queue
from tests.jobs.leadtime.shops import EIGHT_HOURS, NOW


def test_an_urgent_job_goes_first_but_interrupts_nobody():
    floor, draws = one_queue([0, 1, 2], [5, 5, 1], priority=[1, 1, 0])
    assert run_event_loop(floor, draws).start_hours[0, :, 0].tolist() == [0, 6, 5]


def test_who_waited_longer_goes_first_whatever_its_number():
    floor, draws = one_queue([-1, -5, -3], [2, 2, 2])
    assert run_event_loop(floor, draws).start_hours[0, :, 0].tolist() == [4, 0, 2]


def test_work_that_has_begun_keeps_its_bench():
    floor, draws = one_queue([-9, -1], [2, 3], begun=[False, True])
    assert run_event_loop(floor, draws).start_hours[0, :, 0].tolist() == [3, 0]


def test_more_begun_work_than_benches_waits_in_front_of_an_urgent_job():
    floor, draws = one_queue([-3, -2, -1], [2, 3, 1], begun=[True, True, False], priority=[1, 1, 0])
    assert run_event_loop(floor, draws).start_hours[0, :, 0].tolist() == [0, 2, 5]


def test_a_skipped_visit_takes_no_time_and_leaves_no_trace():
    draws = lay_draws([[0.0]], [[[1.0, np.nan, 2.0]]], stations=(0, 1, 2))
    passage = run_event_loop(lay_floor(1, 1, 1), draws)
    assert passage.finish_hours[0, 0] == 3.0
    assert np.isnan(passage.ready_hours[0, 0, 1])


def test_a_job_that_does_not_come_takes_no_bench():
    floor, draws = one_queue([np.inf, 1], [9, 2])
    passage = run_event_loop(floor, draws)
    assert np.isnan(passage.finish_hours[0, 0])
    assert passage.finish_hours[0, 1] == 3.0


def test_a_job_with_nothing_left_is_done_at_once():
    draws = lay_draws([[-4.0, 6.0]], np.zeros((1, 2, 0)), stations=())
    assert run_event_loop(lay_floor(1), draws).finish_hours[0].tolist() == [0.0, 6.0]


def run_tank(ready, hours, batch, **more):
    draws = lay_draws([ready], np.array(hours, dtype=float)[None, :, None], stations=(0,), **more)
    return run_event_loop(lay_floor(1, batches=[batch]), draws)


def test_a_run_starts_when_enough_wait_and_ends_for_all_together():
    passage = run_tank([0, 1, 2, 3], [1, 4, 2, 1], Batch(3, 6, 50.0), watched=3)
    assert passage.start_hours[0, :3, 0].tolist() == [2, 2, 2]
    assert passage.finish_hours[0, :3].tolist() == [6, 6, 6]


def test_a_run_starts_when_the_oldest_has_waited_long_enough():
    assert run_tank([0, 5], [1, 1], Batch(3, 6, 8.0)).start_hours[0, :, 0].tolist() == [8, 8]


def test_a_wait_begun_in_the_past_counts_for_the_run():
    assert run_tank([-6], [1], Batch(3, 6, 8.0)).start_hours[0, 0, 0] == 2.0
    assert run_tank([-9], [1], Batch(3, 6, 8.0)).start_hours[0, 0, 0] == 0.0


def test_a_run_takes_no_more_than_its_most():
    assert run_tank([0, 0, 0], [2, 2, 2], Batch(1, 2, 0.0)).start_hours[0, :, 0].tolist() == [0, 0, 2]


def test_a_run_that_is_under_way_keeps_its_members_together():
    passage = run_tank([-2, -2, -1], [3, 1, 2], Batch(2, 6, 5.0), begun=[True, True, False])
    assert passage.finish_hours[0].tolist() == [3, 3, 6]


def test_one_person_at_two_centres_works_at_one_at_a_time():
    service = np.array([[[4.0, np.nan], [np.nan, 3.0]]])
    draws = lay_draws([[-2.0, -1.0]], service, stations=(0, 1))
    floor = lay_floor(1, 1, people_masks=[0b1, 0b1], people=1)
    assert run_event_loop(floor, draws).finish_hours[0].tolist() == [4.0, 7.0]


def test_the_shared_person_goes_to_whoever_came_to_the_shop_first():
    service = np.array([[[4.0, np.nan], [np.nan, 3.0], [2.0, np.nan]]])
    draws = lay_draws([[-1.0, 2.0, 1.0]], service, stations=(0, 1))
    floor = lay_floor(1, 1, people_masks=[0b1, 0b1], people=1)
    assert run_event_loop(floor, draws).finish_hours[0].tolist() == [4.0, 9.0, 6.0]


def test_the_shared_person_finishes_a_unit_before_beginning_those_that_came_after_it():
    # Three came while the shop was closed, and all wait for the first of two centres of one person.
    service = np.full((1, 3, 2), 2.0)
    draws = lay_draws([[0.0, 0.0, 0.0]], service, stations=(0, 1))
    floor = lay_floor(1, 1, people_masks=[0b1, 0b1], people=1)
    assert run_event_loop(floor, draws).finish_hours[0].tolist() == [4.0, 8.0, 12.0]


def test_a_unit_that_came_earlier_goes_before_one_that_has_waited_longer_at_its_centre():
    service = np.array([[[4.0, np.nan], [np.nan, 3.0]]])
    draws = lay_draws([[-10.0, -1.0]], service, stations=(0, 1))
    floor = lay_floor(1, 1, people_masks=[0b1, 0b1], people=1)
    came = replace(draws, came_hours=np.array([[-10.0, -30.0]]))
    assert run_event_loop(floor, draws).finish_hours[0].tolist() == [4.0, 7.0]
    assert run_event_loop(floor, came).finish_hours[0].tolist() == [7.0, 3.0]


def test_the_person_with_the_lowest_bit_is_sent_so_the_versatile_stay_free():
    service = np.array([[[4.0, np.nan], [np.nan, 3.0]]])
    draws = lay_draws([[-2.0, -1.0]], service, stations=(0, 1))
    floor = lay_floor(1, 1, people_masks=[0b11, 0b10], people=2)
    assert run_event_loop(floor, draws).finish_hours[0].tolist() == [4.0, 3.0]


def test_people_who_share_nothing_change_nothing():
    stream = np.random.default_rng(2)
    service = stream.lognormal(0.0, 0.7, (3, 80, 2))
    ready = np.cumsum(stream.exponential(0.8, (3, 80)), axis=1)
    draws = lay_draws(ready, service, stations=(0, 1))
    alone = run_event_loop(lay_floor(2, 1), draws)
    staffed = run_event_loop(lay_floor(2, 1, people_masks=[0b011, 0b100], people=3), draws)
    assert np.array_equal(alone.finish_hours, staffed.finish_hours)


def test_a_calendar_wait_passes_while_the_shop_is_closed():
    clock = start_clock(EIGHT_HOURS, now=NOW)
    draws = lay_draws([[0.0]], [[[2.0, 1.0]]], stations=(0, 0), wait_days=[[[5.0, 0.0]]])
    # Monday 10:00 and five days is Saturday: the 40 hours of the week are over, one more on Monday.
    assert run_event_loop(lay_floor(1, clock=clock), draws).finish_hours[0, 0] == 41.0


def test_a_replication_stops_when_the_watched_are_done():
    floor, draws = one_queue([0, 1, 2], [5, 5, 5], watched=1)
    passage = run_event_loop(floor, draws)
    assert passage.until_hours[0] == 5.0
    assert np.isnan(passage.finish_hours[0, 2])


@pytest.mark.parametrize("people", [2, 4])
def test_no_bench_and_no_person_is_ever_used_twice_at_once(people):
    stream = np.random.default_rng(people)
    jobs = 120
    service = stream.lognormal(0.0, 0.8, (2, jobs, 4))
    service[:, :, 2] = np.where(stream.random((2, jobs)) < 0.5, np.nan, service[:, :, 2])
    ready = np.cumsum(stream.exponential(2.4 / people, (2, jobs)), axis=1)
    everybody = (1 << people) - 1
    floor = lay_floor(1, 2, 1, 2, people_masks=[0b01, everybody, 0b10, everybody], people=people)
    passage = run_event_loop(floor, lay_draws(ready, service, stations=(0, 1, 2, 3)))
    assert np.isfinite(passage.finish_hours).all()
    for replication in range(2):
        starts = passage.start_hours[replication]
        ends = passage.end_hours[replication]
        for moment in np.sort(starts[np.isfinite(starts)]):
            busy = (starts <= moment) & (ends > moment)
            assert busy.sum() <= people
            assert (busy.sum(axis=0) <= [1, 2, 1, 2]).all()
