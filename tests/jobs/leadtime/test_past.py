from datetime import timedelta

import pytest

from jobs.domain.stages import HoldKind
from jobs.domain.worked import WorkedSpan
from jobs.leadtime.past import PastHold, PastJob, PastTurn, count_rates, state_at, with_history
from jobs.leadtime.past_visits import PastVisit
from jobs.leadtime.routes import BenchStep
from jobs.leadtime.state import FailedTests, Priority, StepNeed, WaitNeed
from tests.jobs.leadtime.hindsight import with_another_future
from tests.jobs.leadtime.shops import EIGHT_HOURS, NOW, demo_shop
from tests.jobs.leadtime.truth.life import live_through
from tests.jobs.leadtime.truth.shops import SHOPS, known_shop, smaller

HOUR = timedelta(hours=1)
SHOP = demo_shop(working_hours=EIGHT_HOURS)


def at(hours):
    return NOW + hours * HOUR


def visit(step, start, end, **more):
    return PastVisit(step, at(start), None if end is None else at(end), **more)


JOB = PastJob(
    "1",
    "magneto",
    at(0),
    (
        visit(BenchStep.STRIP, 1, 3),
        visit(BenchStep.ASSEMBLE, 50, 52),
        visit(BenchStep.TEST, 53, 54, passed=False),
        visit(BenchStep.ASSEMBLE, 73, 74, again=True),
        visit(BenchStep.TEST, 74, 75, again=True),
    ),
    (PastHold(HoldKind.PARTS, at(3), at(48)),),
    at(76),
    Priority.URGENT,
)


def seen(hours, **more):
    jobs = state_at(SHOP, past=[JOB], at=at(hours), **more).jobs
    return jobs[0] if jobs else None


def test_a_job_is_in_the_shop_from_arrival_to_packing():
    assert seen(-0.1) is None
    assert seen(0.5).done == ()
    assert seen(75.9) is not None
    assert seen(76) is None
    assert seen(1, leaving_out="1") is None


def test_work_at_hand_and_what_is_behind_are_known():
    begun = seen(2)
    assert (begun.at_step, begun.started_at) == (BenchStep.STRIP, at(1))
    later = seen(49)
    assert (later.done, later.at_step, later.hold) == ((BenchStep.STRIP,), None, None)
    assert later.waiting_since == at(48)
    assert later.priority is Priority.URGENT


def test_a_hold_is_known_while_it_lasts():
    held = seen(10)
    assert (held.hold, held.held_since) == (HoldKind.PARTS, at(3))


def test_a_failed_test_puts_both_steps_ahead_again():
    assert seen(53.5).done == (BenchStep.STRIP, BenchStep.ASSEMBLE)
    assert seen(60).done == (BenchStep.STRIP,)
    assert seen(74.5).done == (BenchStep.STRIP, BenchStep.ASSEMBLE)


def history(hours, *jobs):
    return with_history(SHOP, past=jobs or [JOB], at=at(hours), hours=EIGHT_HOURS)


def test_history_holds_first_rounds_and_open_work():
    state = history(51)
    assert [(v.step, v.hours, v.open) for v in state.visits] == [
        (BenchStep.STRIP, 2.0, False),
        (BenchStep.ASSEMBLE, 1.0, True),
    ]
    # The second rounds, at 73 to 75, are not counted.
    assert [v.step for v in history(90).visits] == [BenchStep.STRIP, BenchStep.ASSEMBLE, BenchStep.TEST]


def test_waits_last_in_calendar_days_and_may_be_open():
    assert [(w.days, w.open) for w in history(27).waits] == [(1.0, True)]
    assert [(w.days, w.open) for w in history(60).waits] == [(pytest.approx(45 / 24), False)]


def test_what_was_needed_is_counted_over_tested_jobs():
    other = PastJob("2", "magneto", at(0), (visit(BenchStep.TEST, 4, 5),), (), at(6))
    state = history(90, JOB, other)
    assert StepNeed("magneto", BenchStep.STRIP, 1, 2) in state.needs
    assert WaitNeed("magneto", HoldKind.PARTS, 1, 2) in state.wait_needs
    assert WaitNeed("magneto", HoldKind.OUTSIDE, 0, 2) in state.wait_needs
    assert state.failed_tests == (FailedTests("magneto", 1, 2),)
    assert history(1, JOB, other).needs == ()


def test_a_step_whose_start_nobody_noted_is_done_but_has_no_length():
    job = PastJob("3", "sender", at(0), (PastVisit(BenchStep.STRIP, None, at(2)),))
    assert history(5, job).visits == ()
    assert state_at(SHOP, past=[job], at=at(5)).jobs[0].done == (BenchStep.STRIP,)


def test_rates_are_of_the_last_twelve_weeks_or_of_the_time_there_is():
    jobs = [PastJob(f"{d}", "sender", NOW + timedelta(days=d), ()) for d in range(0, 200, 2)]
    (late,) = count_rates(jobs, at=NOW + timedelta(days=199))
    assert late.per_week == pytest.approx(3.5, rel=0.03)
    (early,) = count_rates(jobs, at=NOW + timedelta(days=3))
    assert early.per_week == pytest.approx(2.0)
    assert count_rates(jobs, at=NOW - timedelta(days=1)) == ()


def test_the_urgent_share_is_counted():
    jobs = [
        PastJob(f"{d}", "sender", at(d), (), priority=Priority.URGENT if d % 4 == 0 else Priority.ORDINARY)
        for d in range(40)
    ]
    assert count_rates(jobs, at=at(50))[0].urgent_share == 0.25


def test_the_place_in_the_queue_is_the_one_of_the_day():
    turns = (PastTurn(at(10), Priority.URGENT), PastTurn(at(20), Priority.ORDINARY))
    job = PastJob("2", "sender", at(0), (), turns=turns)
    seen_as = [state_at(SHOP, past=[job], at=at(hours)).jobs[0].priority for hours in (9, 10, 20)]
    assert seen_as == [Priority.ORDINARY, Priority.URGENT, Priority.ORDINARY]
    assert [count_rates([job], at=at(hours))[0].urgent_share for hours in (9, 15)] == [0.0, 1.0]


PUT_DOWN = PastJob(
    "4",
    "sender",
    at(0),
    (visit(BenchStep.STRIP, 6, 7, put_down=(WorkedSpan("strip", at(1), at(3)),)),),
)


@pytest.mark.parametrize(
    ("hours", "started_hours", "spans"), [(0.5, None, 0), (2, 1, 0), (4, None, 1), (6.5, 6, 1), (7, None, 0)]
)
def test_work_put_down_is_at_hand_only_while_somebody_is_at_it(hours, started_hours, spans):
    job = state_at(SHOP, past=[PUT_DOWN], at=at(hours)).jobs[0]
    assert job.started_at == (None if started_hours is None else at(started_hours))
    assert len(job.put_down) == spans


def test_both_parts_of_a_step_that_was_put_down_count():
    assert [(each.hours, each.open) for each in history(8, PUT_DOWN).visits] == [(pytest.approx(3.0), False)]
    assert [(each.hours, each.open) for each in history(5, PUT_DOWN).visits] == [(pytest.approx(2.0), True)]


def test_a_unit_that_went_back_unrepaired_is_not_in_the_shop_any_more():
    gone = PastJob("2", "sender", at(0), (), left_at=at(5))
    assert [len(state_at(SHOP, past=[gone], at=at(hours)).jobs) for hours in (4, 5)] == [1, 0]


def test_a_step_begun_and_finished_at_one_go_was_timed_by_nobody():
    untimed = PastJob("2", "sender", at(0), (visit(BenchStep.STRIP, 2, 2), visit(BenchStep.CLEAN, 3, 4)))
    state = with_history(SHOP, past=[untimed], at=at(9), hours=EIGHT_HOURS)
    assert [(each.step, each.hours) for each in state.visits] == [(BenchStep.CLEAN, pytest.approx(1.0))]


def test_a_step_after_the_test_is_counted_once_it_is_known_whether_it_was_needed():
    job = PastJob(
        "5",
        "sender",
        at(0),
        (visit(BenchStep.TEST, 1, 2), visit(BenchStep.SIGN_OFF, 200, 201), visit(BenchStep.PACK, 202, 203)),
        packed_at=at(203),
    )
    known = {hours: {need.step: need for need in history(hours, job).needs} for hours in (3, 200, 210)}
    assert known[3][BenchStep.SIGN_OFF] == StepNeed("sender", BenchStep.SIGN_OFF, 0, 0)
    assert known[3][BenchStep.MACHINE] == StepNeed("sender", BenchStep.MACHINE, 0, 1)
    assert known[200][BenchStep.SIGN_OFF] == StepNeed("sender", BenchStep.SIGN_OFF, 1, 1)
    assert known[200][BenchStep.PACK] == StepNeed("sender", BenchStep.PACK, 0, 0)
    assert known[210][BenchStep.PACK] == StepNeed("sender", BenchStep.PACK, 1, 1)


@pytest.mark.parametrize("place", [60, 110, 150])
def test_whatever_comes_after_a_moment_is_not_known_at_it(place):
    small = smaller(SHOPS[0], jobs=180)
    past = live_through(small)
    shop, moment = known_shop(small), past[place].arrived_at
    other = with_another_future(past, at=moment)
    assert sum(job != another for job, another in zip(past, other, strict=True)) > 180 - place
    states = [
        with_history(state_at(shop, past=each, at=moment), past=each, at=moment, hours=shop.working_hours)
        for each in (past, other)
    ]
    assert states[0] == states[1]
