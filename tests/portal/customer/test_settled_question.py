"""A question that the shop's yes has settled is asked no more; an answer on its way then is kept."""

import pytest
from django.utils import timezone

from jobs.services import answers
from tests.factories import MODEL, WORKSHOP, make_job

pytestmark = pytest.mark.django_db


@pytest.fixture
def cleared(shop, let_in):
    """Return a job cleared while its customer had a question open, and their browser."""
    job = make_job()
    who = {"actor": WORKSHOP, "now": timezone.now(), "expected_count": None}
    answers.ask_question(job.number, text="Which float?", **who)
    answers.clear_job(job.number, unit_model=MODEL, note="", **who)
    return job, let_in(job)


def test_the_page_of_a_cleared_unit_asks_for_the_next_step_not_for_the_answer(cleared):
    job, browser = cleared
    page = browser.get(f"/job/{job.number}/").content.decode()
    assert "The shop asks" not in page
    assert "Which float?" in page
    assert browser.get(f"/job/{job.number}/answer/").status_code == 302


def test_an_answer_written_while_the_shop_said_yes_is_kept_once(cleared):
    job, browser = cleared
    for _ in range(2):
        assert browser.post(f"/job/{job.number}/answer/", {"text": "Brass."}).status_code == 302
    assert [row.facts["text"] for row in job.events.filter(kind="question_answered")] == ["Brass."]


def test_an_answer_to_a_job_that_has_ended_is_refused_with_what_was_typed(shop, let_in):
    job = make_job()
    who = {"actor": WORKSHOP, "now": timezone.now(), "expected_count": None}
    answers.ask_question(job.number, text="Which float?", **who)
    answers.decline_job(job.number, reason="Too worn.", **who)
    page = let_in(job).post(f"/job/{job.number}/answer/", {"text": "Brass."}, follow=True).content.decode()
    assert "Brass.</textarea>" in page
    assert "Which float?" in page
