"""The job page: what the customer is told, and what they may do about it."""

from dataclasses import replace
from datetime import date

import pytest
from django.db import transaction
from django.utils import timezone

from jobs.domain.facts import Finding, Promise, SettingsRecorded
from jobs.domain.stages import EventKind, HoldKind
from jobs.models import ExtraWork, JobForecast
from jobs.services import answers, arrivals, bench
from jobs.services._steps import lock_job
from jobs.services.extra_work import ExtraLine, ask_extra_work
from jobs.services.photos import add_photo, convert_next
from tests.factories import (
    OWNER,
    STAGES_IN_ORDER,
    WORKSHOP,
    make_job,
    sound_inspection,
)
from tests.portal.reading import parse

pytestmark = pytest.mark.django_db


def now():
    return timezone.now()


def ask_for(job, *, price_pence=9000):
    return ask_extra_work(
        job.number,
        lines=(ExtraLine(text="Re-bush the throttle spindle", price_pence=price_pence),),
        added_work_days=3,
        latest_on_if_approved=date(2027, 1, 14),
        actor=WORKSHOP,
        now=now(),
        expected_count=None,
    )


@pytest.mark.parametrize("stage", STAGES_IN_ORDER)
def test_every_stage_has_its_page(shop, let_in, stage):
    job = make_job(stage=stage)
    page = let_in(job).get(f"/job/{job.number}/")
    text = page.content.decode()
    assert page.status_code == 200
    assert text.count("<h1") == 1
    assert text.count('class="action"') <= 1
    assert text.count('aria-current="step"') == (0 if stage == "closed" else 1)


def test_the_question_is_answered_on_the_page_and_the_unit_goes_on(shop, let_in):
    job = make_job(stage="inspected")
    answers.ask_question(
        job.number, text="Which way does it turn?", actor=WORKSHOP, now=now(), expected_count=None
    )
    browser = let_in(job)
    assert "Which way does it turn?" in browser.get(f"/job/{job.number}/").content.decode()
    assert browser.post(f"/job/{job.number}/answer/", {"text": "Clockwise."}).status_code == 302
    page = browser.get(f"/job/{job.number}/").content.decode()
    assert "Clockwise." in page
    assert "The shop asks" not in page


def test_an_empty_answer_is_asked_again_with_the_question(shop, let_in):
    job = make_job(stage="inspected")
    answers.ask_question(job.number, text="Which way?", actor=WORKSHOP, now=now(), expected_count=None)
    page = let_in(job).post(f"/job/{job.number}/answer/", {"text": "  "}, follow=True).content.decode()
    assert "Enter your answer" in page
    assert "Which way?" in page


def test_extra_work_shows_lines_price_and_new_day_with_two_answers(shop, let_in):
    job = make_job(stage="stripped", spend_limit_pence=0)
    ask_for(job)
    browser = let_in(job)
    page = browser.get(f"/job/{job.number}/extra-work/1/").content.decode()
    for said in (
        "Re-bush the throttle spindle",
        "£90.00",
        "Thursday 14 January 2027",
        "Yes, do this work",
        "No, leave it",
    ):
        assert said in page
    assert ExtraWork.objects.get().decision == ""


def test_the_day_with_extra_work_is_that_of_today_until_it_is_decided(shop, let_in):
    job = make_job(stage="stripped", spend_limit_pence=0)
    ask_for(job)
    # Tuesday 2 February and three mean working days more, of which a Friday is but a part.
    days = {"earliest_on": date(2027, 1, 25), "likely_on": date(2027, 1, 28), "latest_on": date(2027, 2, 2)}
    JobForecast.objects.create(job=job, computed_at=now(), based_on="seed", **days)
    browser = let_in(job)
    address = f"/job/{job.number}/extra-work/1/"
    for page in (browser.get(address), browser.get(f"{address}approved/")):
        assert "Monday 8 February 2027" in page.content.decode()
    assert "When we asked it was Thursday 14 January 2027" in browser.get(address).content.decode()
    browser.post(f"{address}approved/", {})
    assert "if yes" not in browser.get(address).content.decode()


def test_extra_work_without_a_day_does_not_say_that_the_day_stays(shop, let_in):
    job = make_job(stage="stripped", spend_limit_pence=0)
    ask_extra_work(
        job.number,
        lines=(ExtraLine(text="Re-bush", price_pence=9000),),
        added_work_days=3,
        latest_on_if_approved=None,
        actor=WORKSHOP,
        now=now(),
        expected_count=None,
    )
    page = let_in(job).get(f"/job/{job.number}/extra-work/1/").content.decode()
    assert "no day is worked out yet" in page
    assert "the day does not move" not in page


@pytest.mark.parametrize("decision", ["approved", "declined"])
def test_the_answer_is_confirmed_on_a_page_and_written_once(shop, let_in, decision):
    job = make_job(stage="stripped", spend_limit_pence=0)
    ask_for(job)
    browser = let_in(job)
    address = f"/job/{job.number}/extra-work/1/{decision}/"
    page = browser.get(address).content.decode()
    assert "Together" in page
    assert ("On its way back by, if yes" in page) is (decision == "approved")
    assert ExtraWork.objects.get().decision == ""
    browser.post(address, {"note": "Keep the old bush."})
    browser.post(address, {"note": "again"})
    extra = ExtraWork.objects.get()
    assert (extra.decision, extra.note, extra.decided_by) == (decision, "Keep the old bush.", "Ada Thornby")


def test_an_answer_given_is_not_turned_round(shop, let_in):
    job = make_job(stage="stripped", spend_limit_pence=0)
    ask_for(job)
    browser = let_in(job)
    browser.post(f"/job/{job.number}/extra-work/1/approved/", {})
    browser.post(f"/job/{job.number}/extra-work/1/declined/", {})
    assert ExtraWork.objects.get().decision == "approved"
    assert "You said yes" in browser.get(f"/job/{job.number}/extra-work/1/").content.decode()


def test_a_hold_is_told_with_its_reason_and_what_ends_it(shop, let_in):
    job = make_job(stage="stripped")
    bench.hold_job(
        job.number,
        hold=HoldKind.PARTS,
        reason="A float of the old pattern",
        expected_on=None,
        actor=WORKSHOP,
        now=now(),
        expected_count=None,
    )
    page = let_in(job).get(f"/job/{job.number}/").content.decode()
    assert "It waits for parts" in page
    assert "A float of the old pattern." in page
    assert "You need not do anything" in page


def test_a_moved_promise_tells_the_old_range_and_why(shop, let_in):
    job = make_job(stage="stripped")
    first = Promise(date(2027, 1, 4), date(2027, 1, 8), date(2027, 1, 12))
    moved = Promise(
        date(2027, 1, 11), date(2027, 1, 15), date(2027, 1, 20), ("Waiting for parts: about 6 working days.",)
    )
    with transaction.atomic():
        log = lock_job(job.number, expected_count=None)
        log.record(EventKind.PROMISE_MADE, facts=first, actor=OWNER, now=now())
        log.record(EventKind.PROMISE_CHANGED, facts=moved, actor=OWNER, now=now())
    page = let_in(job).get(f"/job/{job.number}/").content.decode()
    assert "between Monday 11 January and Wednesday 20 January 2027" in page
    assert "Waiting for parts: about 6 working days." in page
    assert "between Monday 4 January and Tuesday 12 January 2027" in page


def test_the_present_range_is_told_with_what_takes_the_time(shop, let_in):
    job = make_job(stage="arrived")
    JobForecast.objects.create(
        job=job,
        earliest_on=date(2027, 2, 1),
        likely_on=date(2027, 2, 8),
        latest_on=date(2027, 2, 15),
        reasons=[
            {
                "kind": "queue",
                "working_days": 4.0,
                "sentence": "Queue at the fuel bench: about 4 working days.",
            }
        ],
        based_on="seed",
        computed_at=now(),
    )
    page = let_in(job).get(f"/job/{job.number}/").content.decode()
    assert "between Monday 1 February and Monday 15 February 2027" in page
    assert "Queue at the fuel bench" in page
    assert "Estimated from usual bench hours" in page


def test_findings_and_settings_are_shown(shop, let_in):
    job = make_job(stage="stripped")
    who = {"actor": WORKSHOP, "now": now(), "expected_count": None}
    bench.record_finding(job.number, finding=Finding(text="Spindle worn 0.2 mm", zone="body"), **who)
    bench.record_settings(
        job.number,
        settings=SettingsRecorded(as_found={"Main jet": "120"}, as_left={"Main jet": "125"}),
        **who,
    )
    page = let_in(job).get(f"/job/{job.number}/").content.decode()
    for said in ("Spindle worn 0.2 mm", "Main jet", "120", "125"):
        assert said in page


def test_the_address_can_be_changed_and_the_log_says_only_that(shop, let_in):
    job = make_job()
    given = {
        "name": "Ada Thornby",
        "phone": "",
        "address_lines": "9 Lock Lane",
        "postal_code": "",
        "country": "Wales",
        "version": "1",
    }
    assert let_in(job).post(f"/job/{job.number}/details/", given).status_code == 302
    job.refresh_from_db()
    assert job.customer.address_lines == "9 Lock Lane"
    assert "Lock Lane" not in str(job.events.order_by("-number").first().facts)


def test_details_changed_on_another_device_meanwhile_are_shown_and_not_overwritten(shop, let_in):
    job = make_job()
    here, url = let_in(job), f"/job/{job.number}/details/"
    given = {"name": "Ada Thornby", "phone": "", "postal_code": "", "country": "Wales"}
    (drawn,) = parse(here.get(url).content).xpath("//input[@name='version']/@value")
    let_in(job).post(url, {**given, "address_lines": "9 Lock Lane", "version": drawn})
    # Refused for another reason first: the page that comes back is still drawn from the old details.
    page = here.post(
        url, {**given, "name": "", "address_lines": "2 Quay Cottages", "version": drawn}, follow=True
    )
    (drawn,) = parse(page.content).xpath("//input[@name='version']/@value")
    page = here.post(url, {**given, "address_lines": "2 Quay Cottages", "version": drawn}, follow=True)
    words = page.content.decode()
    assert "We have now: Ada Thornby, 9 Lock Lane, Wales." in words
    assert "2 Quay Cottages" in words
    job.customer.refresh_from_db()
    assert job.customer.address_lines == "9 Lock Lane"
    (drawn,) = parse(page.content).xpath("//input[@name='version']/@value")
    assert here.post(url, {**given, "address_lines": "2 Quay Cottages", "version": drawn}).status_code == 302
    job.customer.refresh_from_db()
    assert job.customer.address_lines == "2 Quay Cottages"


def test_a_wrong_detail_keeps_the_rest_as_typed(shop, let_in):
    job = make_job()
    page = let_in(job).post(
        f"/job/{job.number}/details/",
        {"name": "", "address_lines": "9 Lock Lane", "country": "Wales"},
        follow=True,
    )
    assert "Enter your name" in page.content.decode()
    assert "9 Lock Lane" in page.content.decode()


def test_a_booking_is_cancelled_with_a_reason(shop, let_in):
    job = make_job(stage="cleared")
    browser = let_in(job)
    refused = browser.post(f"/job/{job.number}/cancel/", {"reason": ""}, follow=True)
    assert "Enter your reason" in refused.content.decode()
    browser.post(f"/job/{job.number}/cancel/", {"reason": "Sold the boat"})
    job.refresh_from_db()
    assert job.stage == "cancelled"
    assert "Sold the boat" in browser.get(f"/job/{job.number}/").content.decode()


def test_what_is_posted_can_no_longer_be_cancelled(shop, let_in):
    job = make_job(stage="posted")
    browser = let_in(job)
    assert (
        browser.post(f"/job/{job.number}/cancel/", {"reason": "x"}).headers["Location"]
        == f"/job/{job.number}/"
    )
    job.refresh_from_db()
    assert job.stage == "posted"


def test_i_have_received_it_closes_the_job(shop, let_in):
    job = make_job(stage="sent_back")
    browser = let_in(job)
    page = browser.get(f"/job/{job.number}/").content.decode()
    assert page.count("48 hours") == 1
    browser.post(f"/job/{job.number}/received/")
    job.refresh_from_db()
    assert job.stage == "closed"


def test_a_declined_booking_tells_why(shop, let_in):
    job = make_job(stage="declined")
    assert "We do not rebuild this one." in let_in(job).get(f"/job/{job.number}/").content.decode()


def test_the_page_asks_the_database_a_fixed_number_of_times(shop, let_in, django_assert_max_num_queries):
    job = make_job(stage="closed")
    browser = let_in(job)
    browser.get(f"/job/{job.number}/")
    with django_assert_max_num_queries(21):
        browser.get(f"/job/{job.number}/")


def test_marks_stand_on_their_photo_under_the_number_of_the_list(shop, let_in, photo_file):
    job = make_job(stage="arrived")
    photo = add_photo(
        photo_file(),
        booking=None,
        job=job,
        role="item",
        shot="",
        caption="",
        actor=WORKSHOP,
        now=now(),
    )
    convert_next(now=now())
    mark = arrivals.MarkEntry(
        zone="bowl", damage_kind="cracked", severity=3, photo_id=photo.pk, x_share=0.25, y_share=0.5
    )
    inspection = replace(sound_inspection(job), marks=(mark,))
    arrivals.record_inspection(
        job.number, inspection=inspection, actor=WORKSHOP, now=now(), expected_count=None
    )
    page = let_in(job).get(f"/job/{job.number}/").content.decode()
    # The photo is 64 x 48 px and drawn 480 units wide: a quarter across is 120, half of 360 down is 180.
    assert 'viewBox="0 0 480 360"' in page
    assert 'transform="translate(120.0 180.0)"' in page
    assert "1. bowl" in page
    assert "Cracked" in page


def test_the_wished_day_stays_visible_on_the_job_page(shop, let_in):
    wished = make_job(wished_on=date(2027, 5, 12))
    page = let_in(wished).get(f"/job/{wished.number}/").content.decode()
    assert "You wished it back by" in page
    assert "12 May 2027" in page.replace("\u00a0", " ")
    any_day = make_job(name="Bram Dunnage", email="bram@example.com")
    assert "You wished it back by" not in let_in(any_day).get(f"/job/{any_day.number}/").content.decode()
