"""Any order of right and wrong calls leaves a job whose row says what its log says."""

from contextlib import suppress
from datetime import timedelta
from uuid import uuid4

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from jobs.domain.errors import JobsError
from jobs.domain.facts import Arrived, BenchWork, Finding, PartUsed
from jobs.domain.stages import ENDED, ON_BENCH, HoldKind, Turn
from jobs.models import Job, JobEvent, OutboxMessage, Photo
from jobs.selectors.past_jobs import past_job
from jobs.selectors.shop_state import states_of
from jobs.services import (
    answers,
    arrivals,
    bench,
    corrections,
    dispatch,
    extra_work,
    parcels,
    photo_withdrawal,
    turns,
)
from jobs.services._steps import CACHED, set_cache
from packing.errors import PackingError
from tests.factories import (
    MODEL,
    NO_SETTINGS,
    SECOND,
    STAGES_IN_ORDER,
    WORKSHOP,
    advance,
    make_job,
    open_shop,
    sound_inspection,
)

STEPS = ["strip", "clean", "machine", "assemble", "test", "sign_off"]
ARRIVED = Arrived(carton_state="sound", packing_found="suspended")
NO_NUMBER = {"carrier": "", "tracking_number": ""}
OTHER = arrivals.Inspection("complete", "KV4087B", "tolvane-kv4087", ("unit",), (), ())
BIG = (extra_work.ExtraLine(text="A new body", price_pence=90_000),)
LINES = (extra_work.ExtraLine(text="Re-bush", price_pence=3000),)


def counted(call, **given):
    return lambda job, at: call(job.number, **given, actor=WORKSHOP, now=at, expected_count=job.event_count)


def plainly(call, **given):
    return lambda job, at: call(job.number, **given, actor=WORKSHOP, now=at)


def parcel(call, **given):
    return counted(
        lambda number, *, now, **rest: call(number, on=now.date(), now=now, **rest), **given, **NO_NUMBER
    )


def withdraw_one(job, at):
    """Withdraw a photo of the shop's own; nobody waits for the worker to prepare it."""
    photo = Photo.objects.create(
        reference=uuid4(), job=job, role="item", by_role="workshop", by_name="Tobin Ashgrove", uploaded_at=at
    )
    counted(photo_withdrawal.withdraw_shown, photo=photo.reference, reason="another unit")(job, at)


CALLS = {
    "withdraw": withdraw_one,
    "clear": counted(answers.clear_job, unit_model=MODEL, note=""),
    "decline": counted(answers.decline_job, reason="too worn"),
    "cancel": counted(answers.cancel_job, reason="sold"),
    "ask": counted(answers.ask_question, text="Which jet?"),
    "answer": plainly(answers.answer_question, text="135"),
    "drain": lambda job, at: parcels.record_drained(job.number, drained_at=at, actor=WORKSHOP, now=at),
    "smell": plainly(parcels.record_smell, smells=False),
    "post": lambda job, at: parcels.record_posted(
        job.number, on=at.date(), carrier="", tracking_number="X1", actor=WORKSHOP, now=at
    ),
    "arrive": counted(arrivals.record_arrival, arrived=ARRIVED),
    "inspect": lambda job, at: arrivals.record_inspection(
        job.number, inspection=sound_inspection(job), actor=WORKSHOP, now=at, expected_count=None
    ),
    "inspect another": counted(arrivals.record_inspection, inspection=OTHER),
    **{f"start {step}": counted(bench.start_work, work=BenchWork(step=step)) for step in STEPS},
    **{f"finish {step}": counted(bench.finish_work, work=BenchWork(step=step)) for step in STEPS},
    "pause": counted(bench.pause_work, note=""),
    "fail": counted(bench.fail_test, note="leaks"),
    "find": counted(bench.record_finding, finding=Finding(text="crack", severity=3)),
    "part": counted(bench.use_part, part=PartUsed(part="jet")),
    "hold": counted(bench.hold_job, hold=HoldKind.PARTS, reason="a float", expected_on=None),
    "bill": counted(bench.hold_job, hold=HoldKind.PAYMENT, reason="open", expected_on=None),
    "first": counted(turns.change_turn, turn=Turn.FIRST, reason="a wedding"),
    "in turn": counted(turns.change_turn, turn=Turn.IN_TURN, reason="it is off"),
    "release": counted(bench.release_job, note=""),
    "sign": lambda job, at: bench.sign_off(
        job.number,
        note="",
        without_settings=NO_SETTINGS,
        actor=SECOND,
        now=at,
        expected_count=job.event_count,
    ),
    "extra": counted(extra_work.ask_extra_work, lines=LINES, added_work_days=1, latest_on_if_approved=None),
    "yes": plainly(extra_work.decide_extra_work, extra_work=1, decision="approved", note=""),
    "no": plainly(extra_work.decide_extra_work, extra_work=2, decision="declined", note=""),
    "fluid": counted(dispatch.check_bench_fluid, smells=False),
    "pack": counted(dispatch.pack_job, note=""),
    "send": parcel(dispatch.send_back),
    "unrepaired": parcel(dispatch.return_unrepaired, reason="cracked"),
    "close": plainly(dispatch.close_job, note=""),
    "back": counted(corrections.take_back_last_step, reason="wrong job"),
    "stale": lambda job, at: bench.use_part(
        job.number, part=PartUsed(part="jet"), actor=WORKSHOP, now=at, expected_count=job.event_count + 1
    ),
}
STARTS = ["booked", "cleared", "arrived", "stripped", "tested", "packed"]
NAMES = st.one_of(
    st.sampled_from(["onward", "onward", "ask in vain"]),
    st.sampled_from(sorted(CALLS)),
    st.sampled_from(sorted(CALLS)),
)
WALKS = st.lists(st.tuples(NAMES, st.sampled_from([1, 30])), min_size=8, max_size=25)


def onward(job, at):
    """Do the next right thing, several calls that may stop half way."""
    if job.stage not in STAGES_IN_ORDER[:-1]:
        return
    with suppress(JobsError):
        advance(job, towards=STAGES_IN_ORDER[STAGES_IN_ORDER.index(job.stage) + 1], at=at)


def ask_in_vain(job, at):
    """Ask for more than was agreed, under a hold or not, and try to get past the answer."""
    with suppress(JobsError):
        if at.hour % 2:
            CALLS["hold"](job, at)
            job.refresh_from_db()
        extra_work.ask_extra_work(
            job.number,
            lines=BIG,
            added_work_days=1,
            latest_on_if_approved=None,
            actor=WORKSHOP,
            now=at,
            expected_count=None,
        )
        job.refresh_from_db()
        CALLS["release" if at.day % 2 else "back"](job, at)


CALLS["onward"], CALLS["ask in vain"] = onward, ask_in_vain


@pytest.mark.slow
class RandomWalk(TestCase):
    """A class, because each example has to begin with an empty database."""

    @classmethod
    def setUpTestData(cls):
        open_shop()

    @settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.too_slow], derandomize=True)
    @given(start=st.sampled_from(STARTS), walk=WALKS)
    @example(start="arrived", walk=[("bill", 1), ("inspect another", 1), ("answer", 1), ("release", 1)])
    def test_the_row_says_what_the_log_says_after_every_call(self, start, walk):
        job = make_job(stage=start)
        at = job.stage_since + timedelta(hours=1)
        for name, hours in walk:
            at += timedelta(hours=hours)
            job.refresh_from_db()
            before = self.everything(job)
            try:
                CALLS[name](job, at)
            except (JobsError, PackingError):
                assert self.everything(Job.objects.get(pk=job.pk)) == before, f"a refused {name} left a trace"
            self.check(Job.objects.get(pk=job.pk))

    def everything(self, job):
        row = {field.name: getattr(job, field.attname) for field in Job._meta.local_fields}
        return row, JobEvent.objects.filter(job=job).count(), OutboxMessage.objects.filter(job=job).count()

    def check(self, job):
        kept = {name: getattr(job, name) for name in CACHED}
        set_cache(job, state=states_of([job])[job.pk])
        assert {name: getattr(job, name) for name in CACHED} == kept
        if job.stage not in ENDED and job.extra_work.filter(decision="").exists():
            assert job.stage in ON_BENCH, "an answer to extra work could not be recorded any more"
            assert job.hold not in {"", HoldKind.PAYMENT.value}, "nothing waits for the yes or no"
        if (past := past_job(job)) is not None:
            waits = [hold.kind.value for hold in past.holds if hold.ended_at is None]
            assert waits == ([job.hold] if job.hold else []), "the forecast sees another wait than the page"
        numbers = JobEvent.objects.filter(job=job).order_by("number").values_list("number", flat=True)
        assert list(numbers) == list(range(1, job.event_count + 1))
