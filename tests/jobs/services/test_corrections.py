"""Every step that may be taken back is, and the log keeps both the step and its correction."""

from datetime import timedelta

import pytest

from jobs.domain.errors import IllegalTransition, MissingFact
from jobs.domain.facts import BenchWork, Finding, PartUsed
from jobs.domain.lifecycle import UNDOABLE
from jobs.domain.stages import EventKind, HoldKind, Turn
from jobs.models import Job, JobEvent
from jobs.selectors.shop_state import states_of
from jobs.services import bench, corrections, turns
from jobs.services._steps import CACHED, set_cache
from tests.factories import NOW, WORKSHOP, make_job, read_well, walk_to

pytestmark = pytest.mark.django_db
LATER = NOW + timedelta(days=20)
WHO = {"actor": WORKSHOP, "now": LATER, "expected_count": None}
E = EventKind
STRIP = BenchWork(step="strip")
WAIT = {"hold": HoldKind.PARTS, "reason": "A float", "expected_on": None}


def started(job):
    bench.start_work(job.number, work=STRIP, **WHO)


def held(job):
    bench.hold_job(job.number, **WAIT, **WHO)


def finish(step):
    return lambda job: bench.finish_work(job.number, work=BenchWork(step=step), **WHO)


def one_step_further(stage):
    def walk(job):
        walk_to(job, stage=stage, now=LATER)

    return walk


STEPS = {
    E.POSTED: ("cleared", None, one_step_further("posted")),
    E.ARRIVED: ("posted", None, one_step_further("arrived")),
    E.INSPECTED: ("arrived", None, one_step_further("inspected")),
    E.WORK_STARTED: ("inspected", None, started),
    E.WORK_PAUSED: ("inspected", started, lambda job: bench.pause_work(job.number, note="", **WHO)),
    E.STRIPPED: ("inspected", None, finish("strip")),
    E.CLEANED: ("stripped", None, finish("clean")),
    E.MACHINED: ("cleaned", None, finish("machine")),
    E.ASSEMBLED: ("cleaned", finish("machine"), finish("assemble")),
    E.TESTED: ("assembled", lambda job: read_well(job, now=LATER), finish("test")),
    E.TEST_FAILED: ("tested", None, lambda job: bench.fail_test(job.number, note="leaks", **WHO)),
    E.SIGNED_OFF: ("tested", None, one_step_further("signed_off")),
    E.PACKED: ("signed_off", None, one_step_further("packed")),
    E.SENT_BACK: ("packed", None, one_step_further("sent_back")),
    E.HELD: ("inspected", None, held),
    E.RELEASED: ("inspected", held, lambda job: bench.release_job(job.number, note="", **WHO)),
    E.TURN_CHANGED: (
        "inspected",
        None,
        lambda job: turns.change_turn(job.number, turn=Turn.FIRST, reason="A wedding", **WHO),
    ),
    E.PART_USED: (
        "inspected",
        None,
        lambda job: bench.use_part(job.number, part=PartUsed(part="jet"), **WHO),
    ),
    E.FINDING_RECORDED: (
        "inspected",
        None,
        lambda job: bench.record_finding(job.number, finding=Finding("crack", severity=4), **WHO),
    ),
}


def standing(job):
    job.refresh_from_db()
    return {name: getattr(job, name) for name in CACHED if name != "event_count"}


def take_back(job):
    return corrections.take_back_last_step(job.number, reason="entered on the wrong job", **WHO)


def test_every_step_that_may_be_taken_back_is_tried():
    assert set(STEPS) == UNDOABLE


@pytest.mark.slow
@pytest.mark.parametrize("kind", STEPS)
def test_a_step_taken_back_leaves_the_job_as_it_was(kind):
    stage, prepare, do = STEPS[kind]
    job = make_job(stage=stage)
    if prepare is not None:
        prepare(job)
    before = standing(job)
    do(job)
    assert JobEvent.objects.filter(job=job).order_by("number").last().kind == kind.value
    after = standing(job)
    if kind is not E.PART_USED:
        assert after != before
    take_back(job)
    assert standing(job) == before
    kinds = list(JobEvent.objects.filter(job=job).order_by("number").values_list("kind", flat=True))
    assert kinds[-2:] == [kind.value, "corrected"]


def test_steps_are_taken_back_one_after_the_other():
    job = make_job(stage="stripped")
    take_back(job)
    take_back(job)
    take_back(job)
    job.refresh_from_db()
    assert (job.stage, job.working_step) == ("arrived", "")


def test_what_the_customer_was_told_is_not_taken_back():
    job = make_job(stage="cleared")
    with pytest.raises(IllegalTransition):
        take_back(job)


def test_a_reason_is_asked_for():
    job = make_job(stage="stripped")
    with pytest.raises(MissingFact):
        corrections.take_back_last_step(job.number, reason=" ", **WHO)


def test_the_cache_equals_the_log_after_corrections():
    job = make_job(stage="stripped")
    take_back(job)
    job = Job.objects.get(pk=job.pk)
    kept = {name: getattr(job, name) for name in CACHED}
    set_cache(job, state=states_of([job])[job.pk])
    assert {name: getattr(job, name) for name in CACHED} == kept
