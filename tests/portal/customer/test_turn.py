"""Whose turn is it, and by when: the job page and the list of jobs say the same."""

import re
from datetime import date, timedelta

import pytest
from django.utils import timezone

from jobs.models import FamilyForecast, ForecastRun, Job, JobForecast
from jobs.services import answers
from jobs.services.extra_work import ExtraLine, ask_extra_work
from tests.factories import WORKSHOP, make_job
from tests.portal.customer.cleared import cleared, drain, pass_gate

pytestmark = pytest.mark.django_db
RANGE_WORDS = "between Monday 1 February and Monday 15 February 2027"


def ask(job):
    now = timezone.now()
    answers.ask_question(job.number, text="Which way?", actor=WORKSHOP, now=now, expected_count=None)


def forecast(job, *, computed_at=None):
    JobForecast.objects.create(
        job=job,
        earliest_on=date(2027, 2, 1),
        likely_on=date(2027, 2, 8),
        latest_on=date(2027, 2, 15),
        based_on="seed",
        computed_at=computed_at or timezone.now(),
    )


def main_of(answer):
    return answer.content.decode().split("<main")[1].split("</main>")[0]


@pytest.mark.parametrize("page", ["/job/{}/", "/jobs/"])
def test_a_booking_that_was_asked_about_does_not_wait_for_the_shop(shop, let_in, page):
    job = make_job()
    browser = let_in(job)
    address = page.format(job.number)
    assert "Waiting for the shop" in main_of(browser.get(address))
    ask(job)
    said = main_of(browser.get(address))
    assert "We need your answer" in said
    assert "Waiting for the shop" not in said
    assert "one working day" not in said


def test_a_question_about_a_unit_on_the_bench_leads_and_the_stage_stays(shop, let_in):
    job = make_job(stage="arrived")
    ask(job)
    said = main_of(let_in(job).get(f"/job/{job.number}/"))
    assert "We need your answer; the question is below. The box is here." in said


def test_once_answered_the_page_is_the_shop_s_turn_again(shop, let_in):
    job = make_job()
    ask(job)
    browser = let_in(job)
    browser.post(f"/job/{job.number}/answer/", {"text": "Clockwise."})
    said = main_of(browser.get(f"/job/{job.number}/"))
    assert "Waiting for the shop" in said
    assert "We need your answer" not in said


def test_the_list_shows_the_range_of_the_job_page(shop, let_in):
    job = make_job(stage="arrived")
    forecast(job)
    browser = let_in(job)
    assert RANGE_WORDS in main_of(browser.get(f"/job/{job.number}/"))
    said = main_of(browser.get("/jobs/"))
    assert RANGE_WORDS in said
    assert "not a promise yet" in said
    assert "no date yet" not in said


def test_a_range_that_the_posting_moved_is_left_to_the_job_page(shop, let_in):
    job = make_job(stage="posted", now=timezone.now() - timedelta(days=6))
    forecast(job, computed_at=job.stage_since - timedelta(hours=1))
    said = main_of(let_in(job).get("/jobs/"))
    assert RANGE_WORDS not in said
    assert "see its own page" in said


def test_what_is_stored_is_not_shown_while_no_range_can_be_worked_out(shop, let_in):
    job = make_job(stage="arrived")
    forecast(job)
    ForecastRun.objects.create(
        computed_at=timezone.now(), log_mark=0, overview={"refusal": "Nobody works here."}
    )
    assert RANGE_WORDS not in main_of(let_in(job).get("/jobs/"))


def test_the_list_asks_the_database_no_more_for_more_jobs(shop, let_in, django_assert_max_num_queries):
    job = make_job(stage="arrived")
    forecast(job)
    browser = let_in(job)
    browser.get("/jobs/")
    for _ in range(4):
        more = make_job(stage="arrived")
        Job.objects.filter(pk=more.pk).update(customer=job.customer)
        forecast(more)
    with django_assert_max_num_queries(12):
        assert main_of(browser.get("/jobs/")).count(RANGE_WORDS) == 5


def family_forecast(family):
    FamilyForecast.objects.create(
        family=family,
        earliest_on=date(2027, 2, 1),
        likely_on=date(2027, 2, 8),
        latest_on=date(2027, 2, 15),
        based_on="seed",
        computed_at=timezone.now(),
    )


def range_words(page):
    return re.search(r"between [A-Z]\w+ \d+ \w+(?: \d+)? and [A-Z]\w+ \d+ \w+ \d+", page)[0]


def test_a_booking_without_a_range_of_its_own_shows_that_of_its_page(
    shop, let_in, django_assert_max_num_queries
):
    job = make_job()
    family_forecast(job.family)
    for _ in range(5):
        Job.objects.filter(pk=make_job().pk).update(customer=job.customer)
    browser = let_in(job)
    words = range_words(main_of(browser.get(f"/job/{job.number}/")))
    with django_assert_max_num_queries(26):
        said = main_of(browser.get("/jobs/"))
    assert said.count(words) == 6
    assert "see its own page" not in said


def test_a_question_about_a_unit_at_home_leads_to_its_photos(shop, let_in):
    at_home, here = make_job(), make_job(stage="arrived")
    ask(at_home)
    ask(here)
    assert "Add a photo that shows it" in main_of(let_in(at_home).get(f"/job/{at_home.number}/"))
    assert "Add a photo that shows it" not in main_of(let_in(here).get(f"/job/{here.number}/"))


def test_a_cleared_job_says_how_far_its_draining_is(shop, let_in):
    job = cleared()
    browser = let_in(job)
    address = f"/job/{job.number}/"
    assert "Strip, drain and pack it" in main_of(browser.get(address))
    drain(job, hours_ago=1)
    said = main_of(browser.get(address))
    assert "It is airing until" in said
    assert "Go on with your list" in said
    pass_gate(job)
    said = main_of(browser.get(address))
    assert "it may be packed and posted today" in said
    assert "Pack it and print the slip" in said
    assert "Drain it" not in said


def test_a_request_for_more_work_leads_and_promises_no_next_step(shop, let_in):
    job = make_job(stage="stripped")
    ask_extra_work(
        job.number,
        lines=(ExtraLine("Re-bush the spindle", price_pence=6400),),
        added_work_days=3,
        latest_on_if_approved=None,
        actor=WORKSHOP,
        now=timezone.now(),
        expected_count=None,
    )
    said = main_of(let_in(job).get(f"/job/{job.number}/"))
    assert "We need your yes or no to more work; the request is below. It is on the bench" in said
    assert "Next it is" not in said


def test_a_closed_job_promises_no_settings_sheet_that_was_not_written(shop, let_in):
    job = make_job(stage="closed")
    said = let_in(job).get(f"/job/{job.number}/").content.decode()
    assert "This job is closed." in said
    assert "ettings sheet" not in said
