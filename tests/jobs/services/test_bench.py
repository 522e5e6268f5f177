"""At the bench: order of the route, one step at a time, holds, findings, readings, second signatures."""

from datetime import timedelta

import pytest

from jobs.domain.errors import IllegalTransition, MissingFact
from jobs.domain.facts import BenchWork, Finding, PartUsed, SettingsRecorded
from jobs.domain.stages import HoldKind
from jobs.models import JobEvent
from jobs.selectors.shop_state import states_of
from jobs.services import bench, corrections, dispatch
from tests.factories import NO_SETTINGS, NOW, SECOND, WORKSHOP, make_job, read_well, walk_to

pytestmark = pytest.mark.django_db
LATER = NOW + timedelta(days=20)
WHO = {"actor": WORKSHOP, "now": LATER, "expected_count": None}
TEST = BenchWork(step="test")
STRIP = BenchWork(step="strip", work_centre="strip_bench", person="wren")
MAGNETO = {"family": "magneto", "unit_model": "brennick-bm4-c25", "number_as_read": "BM4"}


def hold(job, *, kind=HoldKind.PARTS, reason="A needle valve is on order"):
    return bench.hold_job(job.number, hold=kind, reason=reason, expected_on=None, **WHO)


def test_one_step_is_worked_at_a_time():
    job = make_job(stage="inspected")
    assert bench.start_work(job.number, work=STRIP, **WHO).working_step == "strip"
    with pytest.raises(IllegalTransition, match="under way"):
        bench.start_work(job.number, work=STRIP, **WHO)
    assert bench.pause_work(job.number, note="lunch", **WHO).working_step == ""
    with pytest.raises(IllegalTransition, match="nothing to pause"):
        bench.pause_work(job.number, note="", **WHO)


def test_finishing_a_step_puts_the_unit_down():
    job = make_job(stage="inspected")
    bench.start_work(job.number, work=STRIP, **WHO)
    job = bench.finish_work(job.number, work=STRIP, **WHO)
    assert (job.stage, job.working_step) == ("stripped", "")


@pytest.mark.parametrize("step", ["sign_off", "pack", "polish"])
def test_what_is_not_bench_work_cannot_be_finished_as_such(step):
    job = make_job(stage="tested")
    with pytest.raises(IllegalTransition):
        bench.finish_work(job.number, work=BenchWork(step=step), **WHO)


@pytest.mark.parametrize("kind", [HoldKind.PARTS, HoldKind.OUTSIDE, HoldKind.ANSWER])
def test_a_held_job_is_not_worked_on(kind):
    job = make_job(stage="inspected")
    hold(job, kind=kind)
    with pytest.raises(IllegalTransition, match="on hold"):
        bench.start_work(job.number, work=STRIP, **WHO)
    with pytest.raises(IllegalTransition, match="on hold"):
        bench.finish_work(job.number, work=STRIP, **WHO)
    bench.release_job(job.number, note="it came", **WHO)
    assert bench.finish_work(job.number, work=STRIP, **WHO).stage == "stripped"


def test_waiting_for_payment_stops_only_the_sending_back():
    job = make_job(stage="packed")
    hold(job, kind=HoldKind.PAYMENT, reason="The bill is open")
    parcel = {"on": LATER.date(), "carrier": "", "tracking_number": ""}
    with pytest.raises(IllegalTransition, match="waiting for payment"):
        dispatch.send_back(job.number, **parcel, **WHO)
    other = make_job(stage="inspected", name="Bram Dunnage")
    hold(other, kind=HoldKind.PAYMENT, reason="A deposit is open")
    assert bench.finish_work(other.number, work=STRIP, **WHO).stage == "stripped"


def test_a_job_has_one_hold_and_a_reason():
    job = make_job(stage="inspected")
    with pytest.raises(MissingFact):
        hold(job, reason="  ")
    hold(job)
    with pytest.raises(IllegalTransition, match="already"):
        hold(job)
    bench.release_job(job.number, note="", **WHO)
    with pytest.raises(IllegalTransition, match="not on hold"):
        bench.release_job(job.number, note="", **WHO)


def test_a_failed_test_sends_the_unit_back_to_be_assembled():
    job = make_job(stage="tested")
    job = bench.fail_test(job.number, note="leaks at the needle", **WHO)
    assert job.stage == "stripped"
    state = states_of([job])[job.pk]
    assert {"strip", "clean"} <= set(state.done_steps)
    assert not {"assemble", "test"} & set(state.done_steps)
    assert state.bench_fluid_smells is None
    assert walk_to(job, stage="tested", now=LATER).stage == "tested"


def test_bad_damage_needs_a_second_person():
    job = make_job(stage="inspected")
    bench.record_finding(job.number, finding=Finding(text="Crack in the ear", severity=3), **WHO)
    walk_to(job, stage="tested", now=LATER)
    with pytest.raises(bench.SecondPersonNeeded, match=WORKSHOP.name):
        bench.sign_off(job.number, note="", without_settings=NO_SETTINGS, **WHO)
    signed = bench.sign_off(
        job.number, note="", without_settings=NO_SETTINGS, actor=SECOND, now=LATER, expected_count=None
    )
    assert signed.stage == "signed_off"
    facts = JobEvent.objects.get(job=job, kind="signed_off").facts
    assert (facts["tested_by"], facts["signed_by"]) == (WORKSHOP.name, SECOND.name)


def test_a_model_may_ask_for_a_second_person_whatever_was_found():
    job = make_job(stage="tested", **MAGNETO)
    with pytest.raises(bench.SecondPersonNeeded):
        bench.sign_off(job.number, note="", without_settings=NO_SETTINGS, **WHO)


def test_a_sound_unit_is_signed_off_by_whoever_tested_it():
    job = make_job(stage="tested")
    assert bench.sign_off(job.number, note="", without_settings=NO_SETTINGS, **WHO).stage == "signed_off"


def test_every_reading_outside_the_models_limits_is_named():
    job = make_job(stage="assembled")
    read = bench.record_readings(
        job.number,
        readings={"float_level": 15.5, "spindle_play": 0.09, "needle_leak": 1.0, "flange_flatness": 0.06},
        **WHO,
    )
    assert not read.passed
    assert read.outside == ("Throttle spindle play", "Flange out of flat")


def test_readings_on_the_limits_pass():
    job = make_job(stage="assembled")
    read = bench.record_readings(job.number, readings={"float_level": 14.5, "spindle_play": 0.08}, **WHO)
    assert (read.passed, read.outside) == (True, ())


@pytest.mark.parametrize(
    ("record", "entry"),
    [
        (bench.record_finding, {"finding": Finding(text="  ")}),
        (bench.use_part, {"part": PartUsed(part="")}),
        (bench.use_part, {"part": PartUsed(part="jet", count=0)}),
    ],
    ids=["empty finding", "part without a name", "no part at all"],
)
def test_an_entry_that_says_nothing_is_refused(record, entry):
    job = make_job(stage="inspected")
    with pytest.raises(MissingFact):
        record(job.number, **entry, **WHO)


def finish_test(job):
    return bench.finish_work(job.number, work=TEST, **WHO)


def test_a_unit_is_not_tested_before_every_line_was_read():
    job = make_job(stage="assembled")
    with pytest.raises(bench.NotTested, match=r"Enter the test readings first.*Float level below"):
        finish_test(job)
    bench.record_readings(job.number, readings={"float_level": 15.0}, **WHO)
    with pytest.raises(bench.NotTested, match="Throttle spindle play") as refusal:
        finish_test(job)
    assert "Float level" not in str(refusal.value)
    read_well(job, now=LATER)
    assert finish_test(job).stage == "tested"


def test_a_unit_outside_its_limits_is_not_tested():
    job = make_job(stage="assembled")
    read_well(job, now=LATER, spindle_play=0.2)
    with pytest.raises(bench.NotTested, match="Outside the limits: “Throttle spindle play”"):
        finish_test(job)


def test_readings_from_before_it_was_assembled_again_do_not_count():
    job = make_job(stage="tested")
    job = bench.fail_test(job.number, note="leaks", **WHO)
    walk_to(job, stage="assembled", now=LATER)
    with pytest.raises(bench.NotTested):
        finish_test(job)


def test_readings_after_the_test_that_lie_outside_keep_it_from_being_signed_off():
    job = make_job(stage="tested")
    read_well(job, now=LATER, float_level=19.0)
    with pytest.raises(bench.NotTested, match="Float level"):
        bench.sign_off(job.number, note="", without_settings=NO_SETTINGS, **WHO)


def test_a_unit_without_a_model_needs_no_readings():
    job = make_job(stage="assembled", unit_model="", cannot_read=True)
    assert finish_test(job).stage == "tested"


def test_only_the_step_under_way_is_finished():
    job = make_job(stage="stripped")
    clean, assemble = BenchWork(step="clean"), BenchWork(step="assemble")
    bench.start_work(job.number, work=clean, **WHO)
    for call in (
        lambda: bench.finish_work(job.number, work=BenchWork(step="machine"), **WHO),
        lambda: bench.finish_work(job.number, work=assemble, **WHO),
        lambda: bench.fail_test(job.number, note="", **WHO),
    ):
        with pytest.raises(IllegalTransition, match="“clean” is under way"):
            call()
    corrections.take_back_last_step(job.number, reason="not this one", **WHO)
    assert bench.finish_work(job.number, work=clean, **WHO).stage == "cleaned"


def test_a_record_of_no_setting_is_refused():
    job = make_job(stage="assembled")
    for empty in ({}, {"main jet": " "}):
        with pytest.raises(MissingFact, match="at least one setting"):
            bench.record_settings(job.number, settings=SettingsRecorded(as_found=empty, as_left={}), **WHO)
    assert not JobEvent.objects.filter(job=job, kind="settings_recorded").exists()


def test_settings_are_kept_as_found_and_as_left():
    job = make_job(stage="inspected")
    found = SettingsRecorded(as_found={"Main jet": "135"}, as_left={"Main jet": "130"})
    bench.record_settings(job.number, settings=found, **WHO)
    assert JobEvent.objects.get(job=job, kind="settings_recorded").facts == {
        "as_found": {"Main jet": "135"},
        "as_left": {"Main jet": "130"},
    }


def test_a_unit_is_not_signed_off_without_its_settings_or_a_reason():
    job = make_job(stage="tested")
    for reason in ("", "  "):
        with pytest.raises(MissingFact, match="why it goes back without its settings"):
            bench.sign_off(job.number, note="", without_settings=reason, **WHO)
    job.refresh_from_db()
    assert job.stage == "tested"
    bench.sign_off(job.number, note="runs sweetly", without_settings="none to be read.", **WHO)
    signed = job.events.get(kind="signed_off").facts["note"]
    assert signed == "Without its settings: none to be read. runs sweetly"


def test_a_unit_whose_settings_were_written_down_needs_no_reason():
    job = make_job(stage="tested")
    with pytest.raises(MissingFact):
        bench.sign_off(job.number, note="", without_settings="", **WHO)
    found = SettingsRecorded(as_found={}, as_left={"Main jet": "130"})
    bench.record_settings(job.number, settings=found, **WHO)
    bench.sign_off(job.number, note="", without_settings="", **WHO)
    assert job.events.get(kind="signed_off").facts["note"] == ""
