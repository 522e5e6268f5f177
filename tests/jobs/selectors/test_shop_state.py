"""What the forecast learns from the log: hours at the bench without pauses, waits, and nothing taken back."""

from datetime import UTC, datetime, timedelta

import pytest

from jobs.domain.facts import BenchWork
from jobs.domain.stages import HoldKind, Stage, Turn
from jobs.leadtime.past import count_rates, state_at
from jobs.selectors.past_jobs import past_jobs
from jobs.selectors.shop_state import empty_shop, expected_at, shop_state
from jobs.services import bench, corrections, extra_work, turns
from tests.factories import WORKSHOP, make_job, read_well

pytestmark = pytest.mark.django_db
STRIP = BenchWork(step="strip")
HOUR = timedelta(hours=1)
MONDAY = datetime(2026, 3, 23, 9, 0, tzinfo=UTC)
LATER = MONDAY + timedelta(days=30)


@pytest.fixture
def job():
    return make_job(stage="inspected")


def at(hours, *, days=0):
    return {"actor": WORKSHOP, "now": MONDAY + timedelta(days=days, hours=hours), "expected_count": None}


def start(job, hours, **when):
    bench.start_work(job.number, work=STRIP, **at(hours, **when))


def finish(job, hours, **when):
    bench.finish_work(job.number, work=STRIP, **at(hours, **when))


def strip_hours():
    return [visit.hours for visit in shop_state(now=LATER).visits if visit.step == "strip"]


def test_a_step_took_the_working_hours_between_start_and_finish(job):
    start(job, 0)
    finish(job, 2)
    assert strip_hours() == [pytest.approx(2.0)]


def test_a_night_between_is_no_work(job):
    start(job, 7)
    finish(job, 0, days=1)
    assert strip_hours() == [pytest.approx(2.0)]


def test_a_pause_is_not_counted_and_both_parts_are(job):
    start(job, 0)
    bench.pause_work(job.number, note="", **at(1))
    start(job, 5)
    finish(job, 7)
    assert strip_hours() == [pytest.approx(3.0)]


def test_a_hold_that_began_at_the_bench_is_no_work(job):
    start(job, 0)
    hold(job, 1)
    bench.release_job(job.number, note="", **at(5))
    finish(job, 7)
    assert strip_hours() == [pytest.approx(3.0)]


def test_what_was_put_down_is_known_of_the_unit_that_waits(job):
    start(job, 0)
    bench.pause_work(job.number, note="", **at(1))
    (live,) = shop_state(now=at(2)["now"]).jobs
    assert (live.started_at, live.at_step) == (None, None)
    assert [(span.step, span.ended_at - span.began_at) for span in live.put_down] == [("strip", HOUR)]


def test_work_that_a_hold_put_down_goes_on_at_its_end(job):
    start(job, 0)
    hold(job, 1)
    (held,) = shop_state(now=at(2)["now"]).jobs
    assert [span.ended_at for span in held.put_down] == [at(1)["now"]]
    bench.release_job(job.number, note="", **at(5))
    (live,) = shop_state(now=at(6)["now"]).jobs
    assert live.started_at == at(5)["now"]
    assert len(live.put_down) == 1


def test_what_is_finished_is_put_down_no_longer(job):
    start(job, 0)
    bench.pause_work(job.number, note="", **at(1))
    finish(job, 2)
    (live,) = shop_state(now=at(3)["now"]).jobs
    assert live.put_down == ()


def test_a_step_without_a_start_teaches_nothing(job):
    finish(job, 2)
    assert strip_hours() == []


def test_a_step_that_was_taken_back_is_counted_once(job):
    start(job, 0)
    finish(job, 1)
    corrections.take_back_last_step(job.number, reason="not finished", **at(1))
    finish(job, 3)
    assert strip_hours() == [pytest.approx(3.0)]


def test_a_second_round_after_a_failed_test_teaches_nothing():
    job = make_job(stage="tested")
    before = [visit for visit in shop_state(now=LATER).visits if visit.step == "assemble"]
    bench.fail_test(job.number, note="leaks", **at(0))
    work = BenchWork(step="assemble")
    bench.start_work(job.number, work=work, **at(1))
    bench.finish_work(job.number, work=work, **at(3))
    assert [visit for visit in shop_state(now=LATER).visits if visit.step == "assemble"] == before


def hold(job, hours, **when):
    wait = {"hold": HoldKind.PARTS, "reason": "a float", "expected_on": None}
    bench.hold_job(job.number, **wait, **at(hours, **when))


def waits():
    return [(wait.days, wait.open) for wait in shop_state(now=LATER).waits]


def test_a_wait_lasts_from_hold_to_release(job):
    hold(job, 0)
    bench.release_job(job.number, note="", **at(12, days=3))
    assert waits() == [(3.5, False)]


def test_an_open_wait_counts_so_far(job):
    hold(job, 0)
    assert waits() == [(30.0, True)]


def test_a_hold_taken_back_was_no_wait(job):
    hold(job, 0)
    corrections.take_back_last_step(job.number, reason="wrong job", **at(1))
    assert waits() == []


def test_a_step_taken_back_was_not_needed():
    job = make_job(stage="machined")
    corrections.take_back_last_step(job.number, reason="was not machined", **at(0))
    bench.pause_work(job.number, note="", **at(1))
    bench.finish_work(job.number, work=BenchWork(step="assemble"), **at(1))
    read_well(job, now=at(1)["now"])
    bench.finish_work(job.number, work=BenchWork(step="test"), **at(1))
    counted = {need.step.value: (need.needed, need.seen) for need in shop_state(now=LATER).needs}
    assert counted["assemble"] == (1, 1)
    assert counted["machine"] == (0, 1)


@pytest.mark.parametrize("stage", ["cleared", "posted"])
def test_an_announced_parcel_stands_in_no_queue_until_it_is_expected(stage):
    make_job(stage=stage)
    (job,) = shop_state(now=MONDAY).jobs
    assert job.waiting_since is None
    assert job.expected_at is not None
    assert job.expected_at > MONDAY


def bring_to_test(*, failing=False, held=False):
    job = make_job(stage="assembled")
    if held:
        hold(job, 0)
        bench.release_job(job.number, note="", **at(1))
    read_well(job, now=at(1)["now"])
    if failing:
        bench.fail_test(job.number, note="leaks", **at(2))
        for step in ("assemble", "test"):
            read_well(job, now=at(3)["now"])
            bench.finish_work(job.number, work=BenchWork(step=step), **at(3))
    else:
        bench.finish_work(job.number, work=BenchWork(step="test"), **at(3))
    return job


def test_of_the_tested_units_those_are_counted_that_failed_first():
    bring_to_test(failing=True)
    bring_to_test()
    (failed,) = shop_state(now=LATER).failed_tests
    assert (failed.failed, failed.seen) == (1, 2)


def test_of_the_tested_units_those_are_counted_that_waited_for_parts():
    bring_to_test(held=True)
    bring_to_test()
    needs = {need.kind: (need.needed, need.seen) for need in shop_state(now=LATER).wait_needs}
    assert needs[HoldKind.PARTS] == (1, 2)
    assert needs[HoldKind.OUTSIDE] == (0, 2)


def test_a_wait_of_a_unit_not_yet_tested_counts_as_neither_needed_nor_spared():
    hold(make_job(stage="stripped"), 0)
    bring_to_test()
    needs = {need.kind: (need.needed, need.seen) for need in shop_state(now=LATER).wait_needs}
    assert needs[HoldKind.PARTS] == (0, 1)


@pytest.mark.parametrize(("days", "per_week"), [(2, 3.0), (14, 1.5), (84, 0.25), (100, 0.0)])
def test_arrivals_are_counted_over_twelve_weeks_or_since_the_first_as_in_a_replay(days, per_week):
    units = [make_job(stage="arrived") for _ in range(3)]
    later = units[0].arrived_at + timedelta(days=days)
    rates = shop_state(now=later).arrivals
    assert sum(rate.per_week for rate in rates) == pytest.approx(per_week)
    replayed = count_rates(past_jobs(), at=later)
    assert [(rate.family, rate.per_week) for rate in rates] == [
        (rate.family, pytest.approx(rate.per_week)) for rate in replayed
    ]


def test_a_unit_waits_in_its_queue_only_since_its_hold_ended(job):
    hold(job, 1)
    bench.release_job(job.number, note="", **at(5, days=3))
    now = at(6, days=3)["now"]
    (live,) = shop_state(now=now).jobs
    assert live.waiting_since == at(5, days=3)["now"]
    (replayed,) = state_at(empty_shop(), past=past_jobs(), at=now).jobs
    assert replayed.waiting_since == live.waiting_since


def pay_later(job, hours):
    owed = {"hold": HoldKind.PAYMENT, "reason": "the invoice", "expected_on": None}
    bench.hold_job(job.number, **owed, **at(hours))


def test_a_payment_that_is_due_does_not_stop_the_work(job):
    start(job, 0)
    pay_later(job, 1)
    (live,) = shop_state(now=at(2)["now"]).jobs
    assert (live.hold, live.started_at, live.put_down) == (None, at(0)["now"], ())
    finish(job, 3)
    assert strip_hours() == [pytest.approx(3.0)]
    (replayed,) = state_at(empty_shop(), past=past_jobs(), at=at(2)["now"]).jobs
    assert (replayed.hold, replayed.started_at) == (None, at(0)["now"])


def test_work_paused_while_a_payment_is_due_is_put_down(job):
    pay_later(job, 0)
    start(job, 1)
    bench.pause_work(job.number, note="", **at(2))
    (live,) = shop_state(now=at(3)["now"]).jobs
    assert [span.ended_at - span.began_at for span in live.put_down] == [HOUR]


def test_a_failed_test_is_known_of_the_unit_that_is_put_together_again():
    bring_to_test()
    job = make_job(stage="tested")
    bench.fail_test(job.number, note="leaks", **at(0))
    failed = {live.job_number: live.failed_tests for live in shop_state(now=at(1)["now"]).jobs}
    assert failed[job.number] == 1
    assert sum(failed.values()) == 1
    replayed = {live.job_number: live.failed_tests for live in replay_at(1).jobs}
    assert replayed == failed


def replay_at(hours):
    return state_at(empty_shop(), past=past_jobs(), at=at(hours)["now"])


def test_the_share_of_the_arrivals_that_went_in_front_is_counted():
    first, *_ = [make_job(stage="arrived") for _ in range(4)]
    turns.change_turn(first.number, turn=Turn.FIRST, reason="promised", **at(0.5))
    (rate,) = shop_state(now=MONDAY + timedelta(hours=1)).arrivals
    assert rate.urgent_share == 0.25


def test_the_day_on_which_the_shop_expects_a_hold_to_end_is_reckoned_with():
    job = make_job(stage="stripped")
    expected_on = (MONDAY + timedelta(days=20)).date()
    bench.hold_job(job.number, hold=HoldKind.PARTS, reason="a float", expected_on=expected_on, **at(0))
    (live,) = shop_state(now=MONDAY + timedelta(days=1)).jobs
    assert live.hold_expected_at is not None
    assert live.hold_expected_at.date() == expected_on
    bench.release_job(job.number, note="", **at(2))
    (live,) = shop_state(now=MONDAY + timedelta(days=1)).jobs
    assert live.hold_expected_at is None


@pytest.mark.parametrize(
    ("stage", "ago_days", "ahead_days"),
    [
        ("posted", 0, 3),
        ("posted", 2.5, 1),
        ("posted", 17, 14),
        ("cleared", 0, 10),
        ("cleared", 9, 3),
        ("cleared", 60, 50),
    ],
)
def test_a_parcel_is_expected_the_later_the_longer_it_is_overdue(stage, ago_days, ahead_days):
    since = MONDAY - timedelta(days=ago_days)
    assert expected_at(Stage(stage), since=since, now=MONDAY) == MONDAY + timedelta(days=ahead_days)


def test_a_question_within_a_wait_puts_the_work_down_once_and_takes_it_up_after_both(job):
    start(job, 0)
    hold(job, 1)
    lines = (extra_work.ExtraLine(text="Re-bush", price_pence=99_000),)
    extra_work.ask_extra_work(job.number, lines=lines, added_work_days=0, latest_on_if_approved=None, **at(2))
    answer = {"decision": "declined", "note": "", "actor": WORKSHOP, "now": at(3)["now"]}
    extra_work.decide_extra_work(job.number, extra_work=1, **answer)
    (held,) = shop_state(now=at(4)["now"]).jobs
    assert (held.hold, len(held.put_down)) == (HoldKind.PARTS, 1)
    bench.release_job(job.number, note="", **at(5))
    (live,) = shop_state(now=at(6)["now"]).jobs
    assert (live.hold, live.started_at, live.waiting_since) == (None, at(5)["now"], at(5)["now"])
    finish(job, 6)
    assert strip_hours() == [pytest.approx(2.0)]
