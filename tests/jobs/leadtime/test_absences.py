"""Somebody is away: what they have in hand waits for them, and nobody else is held up by it."""

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from jobs.leadtime.clock import Closure, Weekday, start_clock
from jobs.leadtime.event_loop import run_event_loop
from jobs.leadtime.floor import Away
from jobs.leadtime.forecast import forecast_newcomer, forecast_shop
from jobs.leadtime.groundwork import lay_groundwork
from jobs.leadtime.routes import Absence, Batch, Person
from jobs.leadtime.scene import build_floor
from jobs.leadtime.state import ArrivalRate, LiveJob
from jobs.leadtime.sweep import find_obstacle
from tests.jobs.leadtime.floors import lay_draws, lay_floor
from tests.jobs.leadtime.shops import EIGHT_HOURS, NOW, busy_shop, one_bench_shop

MONDAY = NOW.date()
CLOCK = start_clock(EIGHT_HOURS, now=NOW)


def work(ready, hours, *away, people=1, **more):
    floor = replace(lay_floor(people, people_masks=[(1 << people) - 1], people=people), away=away)
    draws = lay_draws([ready], np.array(hours, dtype=float)[None, :, None], stations=(0,), **more)
    passage = run_event_loop(floor, draws)
    return list(zip(passage.start_hours[0, :, 0].tolist(), passage.finish_hours[0].tolist(), strict=True))


def test_work_in_hand_waits_and_nothing_is_taken_up():
    assert work([0, 2.5, 4], [2, 2, 1], Away(0, 3, 10)) == [(0, 2), (2.5, 11.5), (11.5, 12.5)]


def test_who_leaves_at_an_instant_takes_up_nothing_at_it():
    assert work([3], [1], Away(0, 3, 10)) == [(10, 11)]


def test_somebody_away_now_begins_once_back():
    assert work([-5], [1], Away(0, -8, 6)) == [(6, 7)]


def test_work_over_before_the_absence_is_not_touched_by_it():
    assert work([0], [3], Away(0, 3, 10)) == [(0, 3)]


def test_two_absences_in_one_piece_of_work_are_both_waited_for():
    assert work([0], [4], Away(0, 1, 3), Away(0, 5, 6)) == [(0, 7)]


def test_somebody_else_takes_what_waits():
    assert work([0, 4, 4], [4, 2, 2], Away(0, 3, 20), people=2) == [(0, 21), (4, 6), (6, 8)]


def test_begun_work_goes_to_somebody_who_is_there():
    assert work([-1], [2], Away(0, -4, 9), people=2, begun=[True]) == [(0, 2)]


def test_begun_work_with_nobody_there_goes_on_in_front_of_an_urgent_job():
    found = work([-1, -3], [2, 1], Away(0, -4, 9), begun=[True, False], priority=[1, 0])
    assert found == [(9, 11), (11, 12)]


def test_a_run_waits_for_whoever_works_it():
    floor = lay_floor(1, people_masks=[1], people=1, batches=[Batch(2, 4, 50.0)])
    draws = lay_draws([[0, 1]], [[[2.0], [3.0]]], stations=(0,))
    passage = run_event_loop(replace(floor, away=(Away(0, 2, 7),)), draws)
    assert passage.finish_hours[0].tolist() == [9, 9]


def test_the_fast_engine_leaves_absences_to_the_event_loop():
    floor = lay_floor(1, people_masks=[1], people=1)
    draws = lay_draws([[0.0]], [[[1.0]]], stations=(0,))
    assert find_obstacle(floor, draws) is None
    assert find_obstacle(replace(floor, away=(Away(0, 3, 10),)), draws) is not None


def with_absences(state, absences):
    people = tuple(replace(person, absences=absences.get(person.slug, ())) for person in state.people)
    return replace(state, people=people)


def absent(first_day, last_day):
    return Absence(MONDAY + timedelta(days=first_day), MONDAY + timedelta(days=last_day))


def spans(*absences):
    state = with_absences(one_bench_shop(), {"ada": absences})
    return [(away.from_hours, away.to_hours) for away in build_floor(state, clock=CLOCK).away]


def test_an_absence_covers_its_last_day():
    assert spans(absent(1, 2)) == [(8.0, 24.0)]


def test_absences_that_meet_are_one_also_over_a_weekend():
    assert spans(absent(7, 8), absent(1, 4), absent(3, 3)) == [(8.0, 56.0)]


def test_an_absence_that_is_over_or_on_closed_days_alone_is_none():
    assert spans(absent(-5, -1), absent(5, 6)) == []


def test_somebody_who_works_nowhere_delays_nobody_by_being_away():
    state = one_bench_shop()
    idle = Person("bo", "Bo", absences=(absent(0, 9),))
    assert build_floor(replace(state, people=(*state.people, idle)), clock=CLOCK).away == ()


def part_time(state, **days_off):
    people = tuple(replace(person, days_off=days_off.get(person.slug, ())) for person in state.people)
    return replace(state, people=people)


def test_weekdays_off_come_again_each_week_and_join_the_days_away():
    state = part_time(one_bench_shop(), ada=(Weekday.THURSDAY, Weekday.FRIDAY))
    found = build_floor(state, clock=CLOCK).away
    assert [(away.from_hours, away.to_hours) for away in found[:3]] == [(24, 40), (64, 80), (104, 120)]
    state = with_absences(state, {"ada": (absent(7, 7),)})
    # Thursday and Friday, the weekend that counts nothing, and the Monday after it.
    found = build_floor(state, clock=CLOCK).away
    assert [(away.from_hours, away.to_hours) for away in found[:2]] == [(24, 48), (64, 80)]


def test_a_part_timer_has_the_hours_of_the_other_days():
    jobs = tuple(LiveJob(f"{at}", "sender", arrived_at=NOW) for at in range(8))
    state = replace(one_bench_shop(jobs=jobs), arrivals=(ArrivalRate("sender", 4.0),))
    (load,) = forecast_shop(part_time(state, ada=(Weekday.MONDAY,)), now=NOW, replications=40).centres
    assert load.weekly_capacity_hours == 32.0


def test_who_works_on_no_day_is_refused():
    with pytest.raises(ValueError, match="off the benches"):
        Person("ada", "Ada", days_off=tuple(Weekday))


def finishes(state, *, replications=40):
    ground = lay_groundwork(state, now=NOW, replications=replications, seed=3)
    hours = ground.simulate(ground.live, engine=run_event_loop).passage.finish_hours
    return [[ground.clock.moment_at(each).timestamp() for each in row] for row in hours.tolist()]


def test_everybody_away_is_the_shop_closed():
    jobs = (*(LiveJob(f"{at}", "sender", arrived_at=NOW - timedelta(hours=at)) for at in range(1, 7)),)
    state = one_bench_shop(median_hours=3.0, jobs=jobs)
    away = with_absences(state, {"ada": (absent(1, 2),)})
    closure = Closure(MONDAY + timedelta(days=1), MONDAY + timedelta(days=2))
    closed = replace(state, working_hours=replace(EIGHT_HOURS, closures=(closure,)))
    np.testing.assert_allclose(finishes(away), finishes(closed), atol=1e-3)
    assert finishes(away) != finishes(state)


def test_away_for_as_long_as_it_lasts_is_not_there_at_all():
    state = busy_shop(jobs=12)
    away = with_absences(state, {"tobin": (absent(-1, 300),)})
    left = tuple(person for person in state.people if person.slug != "tobin")
    centres = tuple(
        replace(centre, people=tuple(slug for slug in centre.people if slug != "tobin"))
        for centre in state.centres
    )
    gone = replace(state, people=left, centres=centres)
    assert finishes(away, replications=20) == finishes(gone, replications=20)


def test_an_absence_of_the_only_person_delays_a_newcomer_by_it():
    state = one_bench_shop(median_hours=1.0)
    plain = forecast_newcomer(state, family="sender", now=NOW).range
    away = forecast_newcomer(with_absences(state, {"ada": (absent(0, 3),)}), family="sender", now=NOW).range
    assert plain.likely == MONDAY
    assert away.likely == MONDAY + timedelta(days=4)


@pytest.mark.parametrize(
    ("first", "last", "says"),
    [
        (date(2026, 5, 8), date(2026, 5, 4), "swap the two days"),
        (date(2026, 5, 8), date(2028, 5, 8), "over a year"),
    ],
)
def test_days_that_cannot_be_meant_are_refused(first, last, says):
    with pytest.raises(ValueError, match=says):
        Absence(first, last)
