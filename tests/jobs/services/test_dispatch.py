"""The way back: nothing leaves that still smells, repaired or not."""

from datetime import timedelta

import pytest

from jobs.domain.errors import IllegalTransition, MissingFact
from jobs.domain.facts import load_facts
from jobs.domain.stages import EventKind, HoldKind
from jobs.models import JobEvent
from jobs.selectors.log_words import log_lines
from jobs.selectors.logs import log_of
from jobs.selectors.scan import find_by_scan
from jobs.services import bench, dispatch
from tests.factories import NO_SETTINGS, NOW, WORKSHOP, make_job

pytestmark = pytest.mark.django_db
LATER = NOW + timedelta(days=20)
WHO = {"actor": WORKSHOP, "now": LATER, "expected_count": None}
PARCEL = {"on": LATER.date(), "carrier": "Post", "tracking_number": "RR473124829GB"}
UNREPAIRED = {**PARCEL, "reason": "The body is cracked through the flange."}
DISTRIBUTOR = {"family": "distributor", "unit_model": "brennick-db4080", "number_as_read": "DB4080"}


def check(job, *, smells):
    dispatch.check_bench_fluid(job.number, smells=smells, **WHO)


def test_a_wet_tested_unit_is_packed_only_after_the_bench_fluid_is_out():
    job = make_job(stage="signed_off")
    with pytest.raises(MissingFact, match="Drain the bench fluid"):
        dispatch.pack_job(job.number, note="", **WHO)
    check(job, smells=False)
    assert dispatch.pack_job(job.number, note="", **WHO).stage == "packed"


def test_a_unit_that_smelled_is_tested_again_on_another_day_and_then_packed():
    job = make_job(stage="signed_off")
    check(job, smells=True)
    with pytest.raises(MissingFact, match="can be neither packed nor sent"):
        dispatch.pack_job(job.number, note="", **WHO)
    with pytest.raises(MissingFact, match="at the earliest"):
        check(job, smells=False)
    tomorrow = WHO | {"now": LATER + timedelta(days=1)}
    dispatch.check_bench_fluid(job.number, smells=False, **tomorrow)
    assert dispatch.pack_job(job.number, note="", **tomorrow).stage == "packed"


def test_a_unit_that_saw_no_fluid_is_packed_at_once():
    job = make_job(stage="tested", **DISTRIBUTOR)
    from tests.factories import SECOND

    bench.sign_off(
        job.number, note="", without_settings=NO_SETTINGS, actor=SECOND, now=LATER, expected_count=None
    )
    assert dispatch.pack_job(job.number, note="", **WHO).stage == "packed"


def test_a_parcel_back_keeps_its_tracking_number():
    job = dispatch.send_back(make_job(stage="packed").number, **PARCEL, **WHO)
    assert (job.stage, job.tracking_out) == ("sent_back", "RR473124829GB")


@pytest.mark.parametrize("stage", ["arrived", "inspected", "assembled"])
def test_a_unit_can_go_back_unrepaired_from_the_bench(stage):
    job = make_job(stage=stage)
    with pytest.raises(MissingFact):
        dispatch.return_unrepaired(job.number, **UNREPAIRED, **WHO)
    check(job, smells=False)
    job = dispatch.return_unrepaired(job.number, **UNREPAIRED, **WHO)
    assert (job.stage, job.ended_at) == ("returned_unrepaired", LATER)


def returned_unrepaired():
    job = make_job(stage="inspected")
    check(job, smells=False)
    return dispatch.return_unrepaired(job.number, **UNREPAIRED, **WHO)


def test_the_parcel_of_a_unit_returned_unrepaired_is_found_by_its_number():
    job = returned_unrepaired()
    assert job.tracking_out == "RR473124829GB"
    assert [hit.number for hit in find_by_scan("RR473124829GB").hits] == [job.number]


def test_the_reason_of_a_return_stands_in_the_log_the_shop_reads():
    last = log_lines(log_of(returned_unrepaired()))[-1]
    assert "Post RR473124829GB" in last.words
    assert last.words.endswith("The body is cracked through the flange.")


def test_a_unit_does_not_go_back_unrepaired_without_a_reason():
    job = make_job(stage="inspected")
    check(job, smells=False)
    with pytest.raises(MissingFact, match="Say why"):
        dispatch.return_unrepaired(job.number, **{**UNREPAIRED, "reason": "  "}, **WHO)


def test_a_return_of_the_time_before_reasons_were_kept_is_read_without_one():
    older = {"on": "2026-03-30", "carrier": "Post", "tracking_number": "X1", "tracking_note": ""}
    facts = load_facts(EventKind.RETURNED_UNREPAIRED, stored=older)
    assert (facts.carrier, facts.tracking_number, facts.reason) == ("Post", "X1", "")


def test_a_finished_unit_is_not_returned_unrepaired():
    job = make_job(stage="packed")
    with pytest.raises(IllegalTransition):
        dispatch.return_unrepaired(job.number, **UNREPAIRED, **WHO)


@pytest.mark.parametrize("kind", [HoldKind.PARTS, HoldKind.ANSWER, HoldKind.PAYMENT])
def test_returning_unrepaired_ends_what_was_waited_for(kind):
    job = make_job(stage="inspected")
    check(job, smells=False)
    bench.hold_job(job.number, hold=kind, reason="It waits", expected_on=None, **WHO)
    job = dispatch.return_unrepaired(job.number, **UNREPAIRED, **WHO)
    assert (job.stage, job.hold) == ("returned_unrepaired", "")


def test_after_a_failed_test_the_fluid_has_to_be_checked_again():
    job = make_job(stage="tested")
    check(job, smells=False)
    bench.fail_test(job.number, note="leaks", **WHO)
    with pytest.raises(MissingFact, match="Drain"):
        dispatch.return_unrepaired(job.number, **UNREPAIRED, **WHO)


def test_closing_twice_is_refused():
    job = make_job(stage="sent_back")
    dispatch.close_job(job.number, note="", actor=WORKSHOP, now=LATER)
    with pytest.raises(IllegalTransition):
        dispatch.close_job(job.number, note="", actor=WORKSHOP, now=LATER)
    assert JobEvent.objects.filter(job=job, kind="closed").count() == 1
