from dataclasses import replace
from datetime import date, timedelta

import pytest

from jobs.leadtime.changes import (
    Benches,
    ClosedWeek,
    IntakeCapped,
    IntakePaused,
    JobFirst,
    OnePersonFewer,
    OnePersonMore,
    RunsPerWeek,
    apply_changes,
    describe_change,
)
from jobs.leadtime.errors import ChangeRefused
from jobs.leadtime.forecast import forecast_shop
from jobs.leadtime.groundwork import lay_groundwork
from jobs.leadtime.routes import Batch
from jobs.leadtime.state import AddedWork, ArrivalRate, LiveJob, Priority
from jobs.leadtime.whatif import Effect, compare_change
from tests.jobs.leadtime.shops import NOW, busy_shop, demo_shop, one_bench_shop

MONDAY = date(2026, 5, 11)


def queue(count=12):
    jobs = [
        LiveJob(f"{at:02d}", "sender", arrived_at=NOW - timedelta(minutes=60 - at)) for at in range(count)
    ]
    return replace(one_bench_shop(jobs=jobs), arrivals=(ArrivalRate("sender", 2.0),))


def compare(state, *changes, **more):
    return compare_change(state, changes=changes, now=NOW, replications=40, **more)


def moved(result):
    return {job.job_number: job.moved_days for job in result.jobs}


def test_no_change_moves_nobody():
    result = compare(busy_shop(jobs=15))
    assert set(moved(result).values()) == {0.0}
    assert {row.effect for row in result.newcomers} == {Effect.SAME}
    assert result.sentence == "Nobody's dates move by more than half a day."


def test_the_shop_as_it_is_has_the_dates_of_its_forecast():
    state = busy_shop(jobs=15)
    forecast = forecast_shop(state, now=NOW, replications=40)
    result = compare(state)
    assert len(result.jobs) == 15
    found = {job.job_number: (job.likely_before, job.high_before) for job in result.jobs}
    assert found == {job.job_number: (job.range.likely, job.range.high) for job in forecast.jobs}
    newcomers = {row.family: (row.likely_before, row.high_before) for row in result.newcomers}
    assert newcomers == {each.family: (each.range.likely, each.range.high) for each in forecast.newcomers}


def test_one_bench_and_one_person_more_halve_the_queue():
    result = compare(queue(13), Benches("bench", 1), OnePersonMore("ada"))
    # Thirteen jobs of four hours: the last on the seventh day, with two at work on the fourth.
    last = result.jobs[-1]
    assert (last.likely_before, last.likely_after) == (date(2026, 5, 12), date(2026, 5, 7))
    assert result.gaining[0] == "12"
    assert result.losing == ()
    assert result.changes == ("1 bench more at Bench", "one more person who does what Ada does")


def test_a_bench_without_a_person_helps_nobody():
    assert compare(queue(), Benches("bench", 1)).gaining == ()


def test_a_closed_week_moves_what_comes_after_it_and_nothing_before():
    result = compare(queue(16), ClosedWeek(MONDAY))
    by_number = moved(result)
    assert by_number["03"] == 0.0
    assert by_number["14"] == pytest.approx(7.0, abs=0.5)
    assert result.jobs[14].likely_after >= MONDAY + timedelta(days=7)


def test_the_job_put_first_gains_and_those_before_it_lose():
    result = compare(queue(), JobFirst("11"))
    assert result.gaining == ("11",)
    assert set(result.losing) <= {f"{at:02d}" for at in range(11)}
    assert len(result.losing) >= 3
    assert result.sentence.startswith("1 job earlier; ")


def background(state):
    ground = lay_groundwork(state, now=NOW, replications=60, seed=1)
    return ground, ground.background()


def arriving_in(ground, groups, first, last):
    from datetime import datetime, time

    zone = ground.clock.zone
    bounds = [ground.clock.hours_at(datetime.combine(day, time(0), zone)) for day in (first, last)]
    return [
        int(((group.ready_hours >= bounds[0]) & (group.ready_hours < bounds[1])).sum(axis=1).max())
        for group in groups
    ]


def test_nobody_comes_in_a_pause_and_the_others_come_as_before():
    pause = IntakePaused(MONDAY, MONDAY + timedelta(days=6))
    ground, groups = background(apply_changes(busy_shop(jobs=2), changes=[pause]))
    _, before = background(busy_shop(jobs=2))
    week_on = MONDAY + timedelta(days=7)
    assert set(arriving_in(ground, groups, MONDAY, week_on)) == {0}
    assert min(arriving_in(ground, before, MONDAY, week_on)) > 0
    later = (week_on, week_on + timedelta(days=7))
    assert arriving_in(ground, groups, *later) == arriving_in(ground, before, *later)


def test_no_more_come_in_a_week_than_are_let_in():
    ground, groups = background(apply_changes(busy_shop(jobs=2), changes=[IntakeCapped(2)]))
    ready = sum((group.ready_hours < 1e300).sum(axis=1) for group in groups)
    weeks = ground.horizon_weeks
    assert 0 < ready.max() <= 2 * (weeks + 1)


def test_a_pause_shortens_the_queue_of_those_who_are_there():
    state = replace(queue(10), arrivals=(ArrivalRate("sender", 9.0, urgent_share=0.6),))
    result = compare(state, IntakePaused(NOW.date(), NOW.date() + timedelta(days=60)))
    assert len(result.gaining) >= 3
    assert result.losing == ()


def test_a_tank_that_runs_more_often_waits_less():
    slow = replace(
        demo_shop(jobs=(LiveJob("1", "carburettor", arrived_at=NOW),)),
        centres=tuple(
            replace(c, batch=replace(c.batch, longest_wait_hours=200.0)) if c.batch else c
            for c in demo_shop().centres
        ),
    )
    result = compare(slow, RunsPerWeek("cleaning_tank", 2))
    assert result.gaining == ("1",)


def test_progress_is_told_and_may_cancel():
    told = []
    compare(queue(3), Benches("bench", 1), on_progress=told.append)
    assert told == sorted(told)
    assert told[-1] == pytest.approx(1.0)

    def stop(_):
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        compare(queue(3), Benches("bench", 1), on_progress=stop)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (Benches("bench", -1), "keep at least one"),
        (Benches("nowhere", 1), "choose one of the shop's"),
        (OnePersonFewer("ada"), "Nobody would be left"),
        (OnePersonFewer("bob"), "nobody called"),
        (JobFirst("999"), "not in the shop"),
        (RunsPerWeek("bench", 2), "does not work in runs"),
    ],
)
def test_a_change_that_cannot_be_made_says_what_to_do(change, words):
    with pytest.raises(ChangeRefused, match=words):
        compare(queue(2), change)


def test_every_change_is_described_in_words():
    state = busy_shop(jobs=1)
    changes = [
        OnePersonFewer("tobin"),
        ClosedWeek(MONDAY),
        IntakePaused(MONDAY, MONDAY),
        IntakeCapped(3),
        JobFirst("0000000"),
        RunsPerWeek("cleaning_tank", 2),
    ]
    assert [describe_change(change, state=state) for change in changes] == [
        "without Tobin Ashgrove",
        "closed in the week of 11 May",
        "no intake from 11 May to 11 May but of announced units",
        "at most 3 units taken in a week",
        "job 000 000-0 first",
        "Cleaning tank at least 2 times a week",
    ]


def test_a_person_more_is_free_for_all_the_same_centres():
    state = apply_changes(demo_shop(), changes=[OnePersonMore("wren"), OnePersonMore("wren")])
    assert [person.slug for person in state.people[-2:]] == ["wren_2", "wren_3"]
    strip = next(centre for centre in state.centres if centre.slug == "strip_bench")
    assert strip.people == ("wren", "tobin", "wren_2", "wren_3")


def test_a_job_put_first_is_urgent():
    state = apply_changes(queue(2), changes=[JobFirst("01")])
    assert [job.priority for job in state.jobs] == [Priority.ORDINARY, Priority.URGENT]


def test_the_reason_names_where_the_time_is_gained():
    result = compare(queue(13), Benches("bench", 1), OnePersonMore("ada"))
    last = result.jobs[-1]
    assert last.reason == "about 3 working days less in the queue at the bench"
    assert result.jobs[0].reason == ""


def test_a_closed_week_moves_the_days_and_not_the_work():
    result = compare(queue(13), ClosedWeek(MONDAY))
    assert result.jobs[-1].reason == "other open days"


def test_a_promise_that_is_saved_or_broken_is_said():
    promised = {"12": date(2026, 5, 8), "00": date(2026, 5, 4)}
    better = compare(queue(13), Benches("bench", 1), OnePersonMore("ada"), promises=promised)
    moves = {job.job_number: job.promise for job in better.jobs}
    assert (moves["12"].before_share, moves["12"].after_share) == (0.0, 1.0)
    assert (moves["00"].before_share, moves["00"].after_share) == (1.0, 1.0)
    assert moves["05"] is None
    worse = compare(queue(13), ClosedWeek(date(2026, 5, 4)), promises=promised)
    assert next(job.promise.after_share for job in worse.jobs if job.job_number == "00") == 0.0


def test_extra_work_that_was_agreed_counts_before_and_after():
    state = queue(6)
    first, *others = state.jobs
    agreed = replace(first, added_work=(AddedWork(3.0, NOW),))
    plain, more = (
        compare(replace(state, jobs=(job, *others)), Benches("bench", 1)).jobs[0] for job in (first, agreed)
    )
    assert plain.job_number == more.job_number == first.job_number
    assert more.likely_before - plain.likely_before >= timedelta(days=3)
    assert more.likely_after - plain.likely_after >= timedelta(days=3)


def test_what_lies_beyond_four_years_is_refused_and_not_compared():
    state = one_bench_shop(median_hours=400.0, jobs=queue(30).jobs)
    result = compare(state, JobFirst("20"))
    compared, refused = moved(result), {refusal.job_number for refusal in result.refusals}
    assert "10" in compared
    assert {"29", ""} <= refused
    assert not set(compared) & refused
    never = replace(state, centres=(replace(state.centres[0], batch=Batch(50, 50, 1e5)),))
    assert compare(never, JobFirst("20")).sentence == "No dates can be compared."
