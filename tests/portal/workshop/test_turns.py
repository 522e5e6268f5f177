"""A job is put first on its page and back in its turn, with a reason for the shop's eyes alone."""

import pytest
from django.urls import reverse

from jobs.models import Job
from tests import factories as make
from tests.portal.site import let_in
from tests.portal.workshop.conftest import large_action, main_of

pytestmark = pytest.mark.django_db
WHY = "Wanted for the regatta on the 28th"


def put_first(send, job, **more):
    return send(job, "turn", turn="first", text=WHY, **more)


def is_first(job):
    return Job.objects.get(pk=job.pk).priority


def test_the_job_page_offers_what_the_job_is_not_and_never_as_the_main_action(send, page_of):
    job = make.make_job(stage="inspected")
    page = page_of(job)
    assert ">Put first</a>" in page
    assert ">Back in turn</a>" not in page
    assert large_action(page) == "Start: Strip"
    put_first(send, job)
    page = page_of(job)
    assert ">Back in turn</a>" in page
    assert ">Put first</a>" not in page
    assert large_action(page) == "Start: Strip"


def test_a_job_put_first_says_so_with_the_reason_on_its_page_and_in_its_log(send, page_of):
    job = make.make_job(stage="inspected")
    assert put_first(send, job).status_code == 302
    words = main_of(page_of(job))
    assert f"put first {WHY}" in words
    assert f"Put first {WHY} Tobin Ashgrove" in words


def test_a_job_back_in_turn_shows_the_way_in_its_log_only(send, page_of):
    job = make.make_job(stage="inspected")
    put_first(send, job)
    assert WHY in main_of(page_of(job, "turn/"))
    send(job, "turn", turn="in_turn", text="The regatta is off")
    words = main_of(page_of(job))
    assert "put first" not in words
    assert "Back in turn The regatta is off Tobin Ashgrove" in words
    assert not is_first(job)


@pytest.mark.parametrize("turn", ["first", "in_turn"])
def test_a_reason_is_asked_for_and_nothing_recorded_without(send, turn):
    job = make.make_job(stage="inspected")
    answer = send(job, "turn", turn=turn, text=" ")
    assert answer.status_code == 422
    assert "Enter the reason" in main_of(answer.content.decode())
    assert not job.events.filter(kind="turn_changed").exists()


def test_a_form_drawn_before_it_was_put_first_never_puts_it_back(send, wren):
    job = make.make_job(stage="inspected")
    seen = job.event_count
    put_first(send, job)
    stale = put_first(send, job, seen=seen, browser=wren)
    assert stale.status_code == 409
    assert WHY in main_of(stale.content.decode())
    assert 'name="turn" value="first"' in stale.content.decode()
    assert "<h1>Put first</h1>" in stale.content.decode()
    again = put_first(send, job)
    assert again.status_code == 422
    assert "The job is put first already." in main_of(again.content.decode())
    assert is_first(job)


@pytest.mark.parametrize("stage", ["packed", "sent_back", "closed", "declined"])
def test_a_unit_that_waits_for_no_bench_is_not_put_first(send, tobin, stage):
    job = make.make_job(stage=stage)
    assert tobin.get(f"/workshop/jobs/{job.number}/turn/").status_code == 409
    assert put_first(send, job).status_code == 422
    assert not is_first(job)


def test_the_lists_say_it_in_the_same_words(send, tobin, person, client_of):
    first, other = make.make_job(stage="inspected"), make.make_job(stage="inspected")
    put_first(send, first)
    bench = tobin.get("/workshop/queue/").content.decode()
    # where to start next, at the bench of the next step, and in the list of the stage
    assert bench.count("<strong>put first</strong>") == 3
    for page in (tobin.get("/workshop/jobs/"), client_of(person("owner")).get(reverse("owner:jobs"))):
        assert page.content.decode().count("<strong>put first</strong>") == 1
    assert "rgent" not in bench
    assert other.number in bench


def test_a_promise_at_risk_says_that_its_job_is_put_first_already(send, person, client_of):
    job, day = make.make_job(stage="inspected"), make.NOW.date()
    put_first(send, job)
    Job.objects.filter(pk=job.pk).update(
        promise_earliest_on=day, promise_likely_on=day, promise_latest_on=day
    )
    dashboard = client_of(person("owner")).get(reverse("owner:dashboard")).content.decode()
    assert dashboard.count("<strong>put first</strong>") == 1


def test_the_customer_sees_nothing_of_it(send):
    job = make.make_job(stage="inspected")
    browser = let_in(job)
    page = reverse("customer:job", args=[job.number])
    before = main_of(browser.get(page).content.decode())
    put_first(send, job)
    assert main_of(browser.get(page).content.decode()) == before
