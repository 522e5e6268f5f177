"""At the bench: one large next action, the steps of the route, readings against limits, two people, undo."""

from datetime import timedelta

import pytest

from jobs.models import ExtraWork, Photo
from jobs.services import arrivals, bench
from tests import factories as make
from tests.factories import NOW, SECOND, WORKSHOP
from tests.portal.workshop.conftest import a_photo, main_of

pytestmark = pytest.mark.django_db
GOOD = {
    "needle_leak": "0.5",
    "float_level": "15",
    "spindle_play": "0.05",
    "pump_delivery": "7",
    "flange_flatness": "0.02",
}


def readings(**changes):
    return {f"at_{slug}": value for slug, value in {**GOOD, **changes}.items()}


def large_action(page):
    """Return the words of the one large action of a job's page."""
    assert page.count("action large") == 1, page.count("action large")
    return page.split("action large", 1)[1].split(">", 1)[1].split("<", 1)[0]


@pytest.fixture
def at_test(send):
    """Return a job whose test is under way."""
    job = make.make_job(stage="assembled")
    send(job, "start", step="test")
    return job


@pytest.mark.parametrize(
    ("stage", "words"),
    [
        ("booked", "Answer this booking"),
        ("cleared", "Receive this box"),
        ("posted", "Receive this box"),
        ("arrived", "Inspect the unit"),
        ("inspected", "Start: Strip"),
        ("assembled", "Start: Test"),
        ("tested", "Sign off"),
        ("signed_off", "Check for bench fluid"),
        ("packed", "Send it back"),
        ("sent_back", "Close the job"),
    ],
)
def test_each_stage_has_one_large_next_action(page_of, stage, words):
    assert large_action(page_of(make.make_job(stage=stage))) == words


@pytest.mark.parametrize("stage", ["closed", "declined"])
def test_an_ended_job_offers_nothing_to_do(page_of, stage):
    page = page_of(make.make_job(stage=stage))
    assert "action large" not in page
    assert "Nothing to do" in page


def test_a_step_is_started_and_finished_by_one_press_each(send, page_of):
    job = make.make_job(stage="inspected")
    send(job, "start", step="strip", note="")
    assert large_action(page_of(job)) == "Finish: Strip"
    send(job, "finish", step="strip", note="")
    job.refresh_from_db()
    assert (job.stage, job.working_step) == ("stripped", "")
    work = job.events.get(kind="stripped").facts
    assert (work["work_centre"], work["person"]) == ("strip_bench", "Tobin Ashgrove")


def test_a_step_the_route_does_not_have_next_is_refused_in_words(send):
    job = make.make_job(stage="inspected")
    response = send(job, "start", step="assemble")
    assert response.status_code == 422
    assert "This step is not next any more" in response.content.decode()


def test_putting_it_down_ends_the_work_but_not_the_step(send, page_of):
    job = make.make_job(stage="inspected")
    send(job, "start", step="strip")
    send(job, "pause", note="lunch")
    assert large_action(page_of(job)) == "Start: Strip"


def test_good_readings_lead_to_a_passed_test(send, page_of, at_test):
    assert large_action(page_of(at_test)) == "Enter test readings"
    send(at_test, "readings", **readings())
    page = page_of(at_test)
    assert large_action(page) == "Finish: the test is passed"
    assert "Every reading lies within its limits" in page


def test_a_reading_outside_is_named_and_leads_to_the_failed_test(send, page_of, at_test):
    send(at_test, "readings", **readings(float_level="19.5"))
    page = main_of(page_of(at_test))
    assert "Outside the limits: Float level below the cover face." in page
    assert "19.5 mm 14.5 to 15.5 mm outside" in page
    assert large_action(page_of(at_test)) == "The test failed"
    send(at_test, "test-failed", note="float bent")
    at_test.refresh_from_db()
    assert at_test.stage == "stripped"


def test_a_reading_on_the_limit_passes(send, page_of, at_test):
    send(at_test, "readings", **readings(float_level="15.5", needle_leak="1.0"))
    assert large_action(page_of(at_test)) == "Finish: the test is passed"


def test_a_test_with_a_line_left_out_is_not_recorded(send, at_test):
    response = send(at_test, "readings", **readings(pump_delivery=""))
    assert response.status_code == 422
    assert not at_test.events.filter(kind="readings_recorded").exists()


def test_readings_from_before_this_test_do_not_count_for_it(send, page_of, at_test):
    send(at_test, "readings", **readings())
    send(at_test, "test-failed", note="leaked later")
    send(at_test, "start", step="assemble")
    send(at_test, "finish", step="assemble")
    send(at_test, "start", step="test")
    assert large_action(page_of(at_test)) == "Enter test readings"


def test_settings_are_kept_and_stand_in_the_form_the_next_time(send, page_of):
    job = make.make_job(stage="inspected")
    send(job, "settings", found_0="1 1/2", left_0="2 1/4")
    page = page_of(job, "settings/")
    assert 'value="1 1/2"' in page
    assert "1 1/2 2 1/4" in main_of(page_of(job))


def test_the_tester_may_not_sign_off_damage_of_grade_three_alone(send, wren, page_of):
    job = make.make_job(stage="arrived")
    damaged = make.sound_inspection(job)
    mark = arrivals.MarkEntry(zone="body", damage_kind="cracked", severity=3)
    damaged = arrivals.Inspection(
        **{name: getattr(damaged, name) for name in damaged.__slots__ if name != "marks"}, marks=(mark,)
    )
    arrivals.record_inspection(
        job.number, inspection=damaged, actor=WORKSHOP, now=NOW + timedelta(days=10), expected_count=None
    )
    job.refresh_from_db()
    make.walk_to(job, stage="tested", now=NOW + timedelta(days=11))
    assert "You tested this unit. A second person has to sign it off" in page_of(job)
    response = send(job, "sign-off")
    assert response.status_code == 422
    assert "Tobin Ashgrove tested this unit, so somebody else has to sign it off" in response.content.decode()
    assert send(job, "sign-off", browser=wren).status_code == 302
    job.refresh_from_db()
    assert job.stage == "signed_off"


def test_a_sound_unit_of_an_ordinary_model_is_signed_off_by_its_tester(send):
    job = make.make_job(stage="tested")
    assert send(job, "sign-off").status_code == 302


def test_a_hold_stops_the_work_until_it_ends(send, page_of):
    job = make.make_job(stage="inspected")
    send(job, "hold", hold="parts", reason="Needle valve, ordered", expected_on="2027-01-04")
    page = page_of(job)
    assert large_action(page) == "End the hold"
    assert "Needle valve, ordered" in page
    assert "End the hold first" in send(job, "start", step="strip").content.decode()
    send(job, "release", note="came by post")
    assert large_action(page_of(job)) == "Start: Strip"


def test_a_finding_is_kept_with_its_photo(send, page_of):
    job = make.make_job(stage="stripped")
    send(job, "finding", text="Crack 12 mm long at the base ear", zone="body", severity="3", photo=a_photo())
    assert Photo.objects.get().role == "finding"
    assert "Crack 12 mm long at the base ear" in main_of(page_of(job))


def test_a_finding_with_a_file_that_is_no_photo_keeps_the_words_and_records_nothing(send):
    from django.core.files.uploadedfile import SimpleUploadedFile

    job = make.make_job(stage="stripped")
    response = send(job, "finding", text="Crack", severity="0", photo=SimpleUploadedFile("x.jpg", b"nothing"))
    assert response.status_code == 422
    assert "Crack" in response.content.decode()
    assert not job.events.filter(kind="finding_recorded").exists()


def test_extra_work_shows_the_limit_and_is_sent_only_once_it_was_seen(send):
    job = make.make_job(stage="stripped", spend_limit_pence=5000)
    lines = {"text_0": "New spindle", "price_0": "38.50", "days": "2", "lines": "3"}
    checked = send(job, "extra-work", check="1", **lines).content.decode()
    assert "£38.50: within the agreed limit" in main_of(checked)
    assert ExtraWork.objects.count() == 0
    send(job, "extra-work", send="1", **lines)
    assert (ExtraWork.objects.get().price_pence, ExtraWork.objects.get().decision) == (3850, "approved")


def test_extra_work_above_what_is_left_waits_for_the_customer(send, page_of):
    job = make.make_job(stage="stripped", spend_limit_pence=5000)
    send(job, "extra-work", send="1", text_0="Spindle", price_0="38.50", days="0", lines="3")
    second = {"text_0": "Bush", "price_0": "20", "days": "1", "lines": "3"}
    checked = main_of(send(job, "extra-work", check="1", **second).content.decode())
    assert "Left of it £11.50" in checked
    assert "above the agreed limit" in checked
    send(job, "extra-work", send="1", **second)
    job.refresh_from_db()
    assert job.hold == "answer"
    assert "Waiting for the customer's yes or no" in main_of(page_of(job))


def test_a_yes_by_phone_is_recorded_once_with_who_said_it(send, tobin):
    job = make.make_job(stage="stripped", spend_limit_pence=0)
    send(job, "extra-work", send="1", text_0="Bush", price_0="20", days="1", lines="3")
    assert send(job, "extra-work/1", decision="approved").status_code == 422
    send(job, "extra-work/1", decision="approved", note="Mrs Thornby, by phone")
    assert (ExtraWork.objects.get().decision, ExtraWork.objects.get().note) == (
        "approved",
        "Mrs Thornby, by phone",
    )
    assert tobin.get(f"/workshop/jobs/{job.number}/extra-work/1/").status_code == 404


def test_a_price_without_words_and_words_without_a_price_are_asked_for(send):
    job = make.make_job(stage="stripped")
    page = send(
        job, "extra-work", check="1", text_0="Bush", price_1="4", days="0", lines="3"
    ).content.decode()
    assert "Enter the price of “Bush”" in page
    assert "Enter what is done for this price" in page


def test_the_last_step_is_taken_back_and_the_log_keeps_both(send, page_of):
    job = make.make_job(stage="stripped")
    send(job, "take-back", text="It was the wrong unit")
    job.refresh_from_db()
    assert job.stage == "inspected"
    page = main_of(page_of(job))
    assert "Stripped (taken back)" in page
    assert "It was the wrong unit" in page


def test_taking_back_needs_a_reason(send):
    job = make.make_job(stage="stripped")
    assert send(job, "take-back", text=" ").status_code == 422
    job.refresh_from_db()
    assert job.stage == "stripped"


def test_a_part_and_a_note_stand_in_the_log(send, page_of):
    job = make.make_job(stage="stripped")
    send(job, "part", part="Needle valve 1.5", count="2")
    send(job, "note", text="Customer rang, in no hurry")
    page = main_of(page_of(job))
    assert "2 × Needle valve 1.5" in page
    assert "Customer rang, in no hurry" in page


def test_somebody_else_recording_first_gives_409_with_both_values(send, page_of):
    job = make.make_job(stage="stripped")
    seen = job.event_count
    bench.hold_job(
        job.number,
        hold=make_hold(),
        reason="Waiting for the gasket set",
        expected_on=None,
        actor=SECOND,
        now=NOW + timedelta(days=20),
        expected_count=None,
    )
    response = send(job, "finding", seen=seen, text="Bowl seam weeps", severity="2")
    page = response.content.decode()
    assert response.status_code == 409
    assert "Waiting for the gasket set" in page
    assert "Wren Castlemoor" in page
    assert "Bowl seam weeps" in page
    job.refresh_from_db()
    assert f'name="seen" value="{job.event_count}"' in page
    assert not job.events.filter(kind="finding_recorded").exists()


def test_sending_a_stale_entry_again_records_it(send):
    job = make.make_job(stage="stripped")
    assert send(job, "finding", seen=job.event_count - 1, text="Weeps", severity="2").status_code == 409
    assert send(job, "finding", text="Weeps", severity="2").status_code == 302


def make_hold():
    from jobs.domain.stages import HoldKind

    return HoldKind.PARTS
