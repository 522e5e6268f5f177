"""What is late: a parcel that should be here, and a promise that was not kept."""

from datetime import timedelta

import pytest
from django.db import transaction
from django.utils import timezone

from jobs.domain.facts import Promise
from jobs.domain.stages import EventKind
from jobs.services import answers, bench, parcels
from jobs.services._steps import lock_job
from tests.factories import OWNER, WORKSHOP, make_job, walk_to

pytestmark = pytest.mark.django_db


def main_of(answer):
    return answer.content.decode().split("<main")[1].split("</main>")[0]


@pytest.fixture
def posted(shop):
    """Return a function that makes a job posted so many days ago by a carrier with a number."""

    def make(*, days_ago, carrier="", number=""):
        now = timezone.now() - timedelta(days=days_ago)
        job = make_job(stage="cleared", now=now - timedelta(days=5))
        parcels.record_drained(job.number, drained_at=now - timedelta(days=4), actor=WORKSHOP, now=now)
        parcels.record_smell(job.number, smells=False, actor=WORKSHOP, now=now)
        parcels.record_posted(
            job.number,
            on=timezone.localdate(now),
            carrier=carrier,
            tracking_number=number,
            actor=WORKSHOP,
            now=now,
        )
        job.refresh_from_db()
        return job

    return make


# USPS publishes up to 6 days in our table, UPS 5; five more are allowed for a weekend and a delay.
@pytest.mark.parametrize(
    ("days_ago", "carrier", "is_late"),
    [(10, "", False), (11, "", True), (11, "USPS", False), (12, "USPS", True), (0, "UPS", False)],
)
def test_a_parcel_longer_on_its_way_than_its_carrier_needs_says_what_to_do(
    posted, let_in, days_ago, carrier, is_late
):
    job = posted(days_ago=days_ago, carrier=carrier, number="QF123456")
    browser = let_in(job)
    for page in ("", "posted/"):
        said = main_of(browser.get(f"/job/{job.number}/{page}"))
        assert ("It should be here by now" in said) is is_late, page
        assert (f"on its way for {days_ago} days" in said) is is_late, page
        assert ("with the number QF123456 where it is, and tell us" in said) is is_late, page


def test_without_a_number_the_receipt_is_asked_with(posted, let_in):
    job = posted(days_ago=17)
    assert "Ask the carrier with your receipt" in main_of(let_in(job).get(f"/job/{job.number}/"))


def test_a_parcel_that_is_here_is_late_no_more(posted, let_in):
    job = walk_to(posted(days_ago=17), stage="arrived", now=timezone.now())
    assert "It should be here by now" not in main_of(let_in(job).get(f"/job/{job.number}/"))


def test_the_shop_s_question_stands_on_the_page_once(shop, let_in):
    job = make_job(stage="inspected")
    who = {"actor": WORKSHOP, "now": timezone.now(), "expected_count": None}
    answers.ask_question(job.number, text="Can you send the missing levers?", **who)
    bench.hold_job(
        job.number, hold="answer", reason="Can you send the missing levers?", expected_on=None, **who
    )
    browser = let_in(job)
    said = main_of(browser.get(f"/job/{job.number}/"))
    assert said.count("Can you send the missing levers?") == 1
    assert said.count("your answer since") == 1
    browser.post(f"/job/{job.number}/answer/", {"text": "They are in the post."})
    said = main_of(browser.get(f"/job/{job.number}/"))
    assert said.count("Can you send the missing levers?") == 1
    assert "They are in the post." in said


def test_when_something_is_wrong_the_page_says_where_to_write_and_mail_photos(shop, let_in):
    job = make_job(stage="sent_back")
    said = main_of(let_in(job).get(f"/job/{job.number}/received/"))
    assert f'href="mailto:counter@quillfeather.example?subject={job.number}"' in said
    assert "01632 960 123" in said


def sent_back_late(*latest_offs, reasons=()):
    """Return a job sent back after promises that ended so many days from its packing, the last counting."""
    job = make_job(stage="packed")
    packed_on = timezone.localdate(job.stage_since)
    with transaction.atomic():
        log = lock_job(job.number, expected_count=None)
        for at, off in enumerate(latest_offs):
            last = packed_on + timedelta(days=off)
            kind = EventKind.PROMISE_CHANGED if at else EventKind.PROMISE_MADE
            facts = Promise(last - timedelta(days=8), last - timedelta(days=4), last, reasons)
            log.record(kind, facts=facts, actor=OWNER, now=timezone.now())
    return walk_to(job, stage="sent_back", now=timezone.now())


def test_a_promise_that_was_not_kept_has_a_word_of_regret(shop, let_in):
    job = sent_back_late(-57)
    said = main_of(let_in(job).get(f"/job/{job.number}/"))
    assert "57 days after the range we promised" in said
    assert (
        "We did not keep our word, and we regret it. No reason was noted with it; ask us, and we look it up."
        in said
    )


def test_a_promise_that_moved_and_was_not_kept_leads_to_its_reasons(shop, let_in):
    job = sent_back_late(-30, -3, reasons=("Waiting for parts: 20 days longer.",))
    said = main_of(let_in(job).get(f"/job/{job.number}/"))
    assert "We did not keep our word, and we regret it. How it moved, and why, is below." in said
    assert "Waiting for parts: 20 days longer." in said


def test_a_promise_that_was_kept_needs_no_regret(shop, let_in):
    job = sent_back_late(2)
    said = main_of(let_in(job).get(f"/job/{job.number}/"))
    assert "within the range we promised" in said
    assert "regret" not in said
