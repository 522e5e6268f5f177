"""At the bench: one large next action, the steps of the route, readings against limits, two people, undo."""

from dataclasses import replace
from datetime import timedelta

import pytest

from jobs.domain.shop import ShopKind
from jobs.models import ExtraWork, Photo
from jobs.selectors import shop
from jobs.services import bench
from tests import factories as make
from tests.factories import NOW, SECOND
from tests.portal.workshop.conftest import a_photo, large_action, main_of

pytestmark = pytest.mark.django_db


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


def test_what_else_may_be_entered_stands_under_the_heads_it_is_looked_for_by(page_of):
    job = make.make_job(stage="stripped")
    entries = page_of(job).split('id="entries"', 1)[1].split("</section>", 1)[0]
    work, customer, rare = entries.split("<h3>")[1:]
    assert [group.split("</h3>")[0] for group in (work, customer, rare)] == [
        "Work",
        "Customer",
        "Exceptional",
    ]
    assert "/finding/" in work
    assert "/question/" in customer
    assert "/take-back/" in rare


def test_the_log_calls_a_bench_by_its_name(send, page_of):
    job = make.make_job(stage="cleaned")
    (centre,) = [each for each in shop.work_centres() if each.slug == "machine_corner"]
    send(job, "start", step="machine")
    log = page_of(job).split('id="log"', 1)[1]
    assert f"({centre.name})" in log
    assert "machine corner" not in log


@pytest.mark.parametrize("typed", [{}, {"found_0": "  ", "left_0": ""}], ids=["nothing", "spaces"])
def test_settings_without_a_single_one_are_refused_and_not_logged(send, typed):
    job = make.make_job(stage="assembled")
    response = send(job, "settings", **typed)
    assert response.status_code == 422
    assert "Write at least one setting" in response.content.decode()
    assert not job.events.filter(kind="settings_recorded").exists()


def test_settings_are_kept_and_stand_in_the_form_the_next_time(send, page_of):
    job = make.make_job(stage="inspected")
    send(job, "settings", found_0="1 1/2", left_0="2 1/4")
    page = page_of(job, "settings/")
    assert 'value="1 1/2"' in page
    assert "1 1/2 2 1/4" in main_of(page_of(job))


def test_another_step_than_the_one_under_way_is_refused_by_name(send, page_of):
    job = make.make_job(stage="stripped")
    send(job, "start", step="clean")
    assert 'value="machine"' not in page_of(job, "finish/")
    response = send(job, "finish", step="machine")
    assert response.status_code == 422
    assert "“Clean” is under way: finish it or put it down first" in response.content.decode()


def test_a_job_held_for_an_answer_leads_to_recording_it(send, page_of):
    job = make.make_job(stage="stripped", spend_limit_pence=0)
    send(job, "extra-work", send="1", text_0="Bush", price_0="20", days="1", lines="3")
    page = page_of(job)
    assert large_action(page) == "Record the customer&#x27;s yes or no (by phone)"
    assert f'action large" href="/workshop/jobs/{job.number}/extra-work/1/"' in page
    assert ">End the hold<" not in page
    send(job, "extra-work/1", decision="approved", note="By phone")
    assert large_action(page_of(job)).startswith("Start: ")


def test_a_hold_stops_the_work_until_it_ends(send, page_of):
    job = make.make_job(stage="inspected")
    send(job, "hold", hold="parts", reason="Needle valve, ordered", expected_on="")
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


def test_extra_work_shows_the_limit_and_is_sent_only_once_it_was_seen(send, page_of):
    job = make.make_job(stage="stripped", spend_limit_pence=5000)
    lines = {"text_0": "New spindle", "price_0": "38.50", "days": "2", "lines": "3"}
    checked = send(job, "extra-work", check="1", **lines).content.decode()
    assert "£38.50: within the agreed limit" in main_of(checked)
    assert ExtraWork.objects.count() == 0
    assert "Record it as approved" in checked
    send(job, "extra-work", send="1", **lines)
    assert "Within the limit of £50.00: it is approved" in main_of(page_of(job))
    assert (ExtraWork.objects.get().price_pence, ExtraWork.objects.get().decision) == (3850, "approved")


def test_only_the_lines_that_may_stay_empty_are_called_optional(page_of):
    job = make.make_job(stage="stripped")
    page = main_of(page_of(job, "extra-work/"))
    assert "Work 1 Price 1, in pounds £ Work 2 (optional)" in page


def test_what_prices_include_stands_where_they_are_asked_and_answered(send, page_of):
    words = "Prices include VAT."
    job = make.make_job(stage="stripped", spend_limit_pence=0)
    assert words not in page_of(job, "extra-work/")
    make.publish(ShopKind.SHOP, replace(shop.identity(), prices_include=words))
    assert words in page_of(job, "extra-work/")
    send(job, "extra-work", send="1", text_0="Bush", price_0="20", days="2", lines="3")
    page = main_of(page_of(job, "extra-work/1/"))
    assert "Bush £20.00 Together £20.00 Prices include VAT. 2 working days more." in page


def test_the_job_card_tells_who_and_when_only_once_something_is_done(page_of):
    fresh = main_of(page_of(make.make_job(stage="inspected"), "card/"))
    assert "Step Where Done" in fresh
    assert "Who" not in fresh
    worked = main_of(page_of(make.make_job(stage="stripped", name="Bram Dunnage"), "card/"))
    assert "done Tobin Ashgrove Sat 14 March 2026" in worked
    assert "Hours" not in worked


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
    again = tobin.get(f"/workshop/jobs/{job.number}/extra-work/1/", follow=True)
    assert "recorded already" in main_of(again.content.decode())


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


def test_the_step_that_would_be_taken_back_is_shown_with_who_recorded_it(send, page_of):
    job = make.make_job(stage="stripped")
    send(job, "part", part="Needle valve", count="2")
    words = main_of(page_of(job, "take-back/"))
    assert "Needle valve" in words
    assert "Tobin Ashgrove" in words


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
