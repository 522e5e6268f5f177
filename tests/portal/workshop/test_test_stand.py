"""At the test stand: readings against limits, a failed test, signing off alone or as the second person."""

from datetime import timedelta

import pytest

from jobs.services import arrivals
from tests import factories as make
from tests.factories import NOW, WORKSHOP
from tests.portal.workshop.conftest import large_action, main_of

pytestmark = pytest.mark.django_db
GOOD = {
    "needle_leak": "0.5",
    "float_level": "15",
    "spindle_play": "0.05",
    "pump_delivery": "7",
    "flange_flatness": "0.02",
}
MAGNETO = {"family": "magneto", "unit_model": "brennick-bm4-c25", "number_as_read": "BM4"}


def readings(**changes):
    return {f"at_{slug}": value for slug, value in {**GOOD, **changes}.items()}


WITHOUT = {"without_settings": "none to be read"}


@pytest.fixture
def at_test(send):
    """Return a job whose test is under way."""
    job = make.make_job(stage="assembled")
    send(job, "start", step="test")
    return job


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


def test_a_reading_stands_there_as_it_was_typed(send, page_of, at_test):
    send(at_test, "readings", **readings(float_level="15", needle_leak="0.5"))
    words = main_of(page_of(at_test))
    assert " 15 mm " in words
    assert "15.0" not in words
    assert " 0.5 " in words


def test_a_test_with_a_line_left_out_is_not_recorded(send, at_test):
    response = send(at_test, "readings", **readings(pump_delivery=""))
    assert response.status_code == 422
    assert "Fill in “Accelerator pump" in response.content.decode()
    assert not at_test.events.filter(kind="readings_recorded").exists()


def test_readings_from_before_this_test_do_not_count_for_it(send, page_of, at_test):
    send(at_test, "readings", **readings())
    send(at_test, "test-failed", note="leaked later")
    send(at_test, "start", step="assemble")
    send(at_test, "finish", step="assemble")
    send(at_test, "start", step="test")
    assert large_action(page_of(at_test)) == "Enter test readings"


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
    assert "You tested this unit, so a second person has to sign it off" in page_of(job)
    own = page_of(job, "sign-off/")
    assert "A second person signs this one" in main_of(own)
    assert "Sign it off as" not in own
    response = send(job, "sign-off", **WITHOUT)
    assert response.status_code == 422
    assert "Tobin Ashgrove tested this unit, so somebody else has to sign it off" in response.content.decode()
    assert send(job, "sign-off", browser=wren, **WITHOUT).status_code == 302
    job.refresh_from_db()
    assert job.stage == "signed_off"


def test_handing_over_signs_out_and_opens_the_page_again(send, tobin, django_user_model):
    job = make.make_job(stage="tested", **MAGNETO)
    here = f"/workshop/jobs/{job.number}/sign-off/"
    assert f'name="next" value="{here}"' in tobin.get(here).content.decode()
    out = tobin.post("/account/sign-out/", {"next": here}, follow=True)
    assert f'name="next" value="{here}"' in out.content.decode()
    assert tobin.get(here).status_code == 302


def test_the_sign_off_page_lists_the_readings(page_of):
    page = main_of(page_of(make.make_job(stage="tested"), "sign-off/"))
    assert "Throttle spindle play 0.05 mm 0.02 to 0.08 mm passes" in page


def test_the_sign_off_page_says_plainly_that_nothing_was_read(page_of):
    page = page_of(make.make_job(stage="tested", unit_model="", cannot_read=True), "sign-off/")
    assert "No readings recorded" in main_of(page)
    assert "Sign it off as Tobin Ashgrove" in page


def test_a_test_finished_without_readings_is_refused_and_the_note_kept(send, at_test):
    response = send(at_test, "finish", step="test", note="runs sweetly")
    assert response.status_code == 422
    page = response.content.decode()
    assert "Enter the test readings first" in page
    assert "runs sweetly" in page
    at_test.refresh_from_db()
    assert at_test.stage == "assembled"


def test_figures_of_the_former_round_do_not_stand_in_the_form(send, page_of, at_test):
    send(at_test, "readings", **readings(float_level="15.25"))
    assert 'value="15.25"' in page_of(at_test, "readings/")
    send(at_test, "test-failed", note="leaked later")
    make.walk_to(at_test, stage="assembled", now=NOW + timedelta(days=30))
    assert 'value="15.25"' not in page_of(at_test, "readings/")


def test_a_sound_unit_of_an_ordinary_model_is_signed_off_by_its_tester(send):
    job = make.make_job(stage="tested")
    assert send(job, "sign-off", **WITHOUT).status_code == 302


def test_a_unit_without_a_single_setting_is_signed_off_only_with_a_reason(send, page_of):
    job = make.make_job(stage="tested")
    page = main_of(page_of(job, "sign-off/"))
    assert "Check this before you sign" in page
    assert "No part is entered as used." in page
    refused = send(job, "sign-off", note="runs sweetly")
    assert refused.status_code == 422
    assert "Enter why it goes back without its settings" in refused.content.decode()
    assert send(job, "sign-off", note="runs sweetly", **WITHOUT).status_code == 302
    signed = job.events.get(kind="signed_off").facts["note"]
    assert signed == "Without its settings: none to be read. runs sweetly"


def test_settings_are_still_written_down_after_the_signature(send, page_of):
    job = make.make_job(stage="signed_off")
    assert send(job, "settings", found_0="1.5 turns", left_0="2 turns").status_code == 302
    assert "2 turns" in page_of(job)


def test_with_settings_written_down_no_reason_is_asked_for(send, page_of):
    job = make.make_job(stage="tested")
    send(job, "settings", found_0="1.5 turns", left_0="2 turns")
    assert "Why it goes back without" not in page_of(job, "sign-off/")
    assert send(job, "sign-off").status_code == 302


def test_approved_extra_work_is_named_before_the_signature(send, page_of):
    job = make.make_job(stage="stripped", spend_limit_pence=9000)
    send(job, "extra-work", send="1", text_0="Bush the spindle", price_0="20", days="0", lines="3")
    make.walk_to(job, stage="tested", now=NOW + timedelta(days=30))
    assert "Bush the spindle. Look that it is done." in main_of(page_of(job, "sign-off/"))
