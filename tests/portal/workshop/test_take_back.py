"""The page that takes the last step back says what the customer has been told of it already."""

from datetime import timedelta

import pytest

from jobs.services import arrivals, corrections, messages
from tests import factories as make
from tests.portal.workshop.conftest import main_of

pytestmark = pytest.mark.django_db
LATER = make.NOW + timedelta(days=20)
WHO = {"actor": make.WORKSHOP, "now": LATER, "expected_count": None}


def test_what_the_customer_was_told_is_said_before_the_step_is_taken_back(page_of):
    job = make.make_job(stage="sent_back")
    assert "Ring them" not in main_of(page_of(job, "take-back/"))
    messages.deliver_due(now=LATER, limit=50)
    page = main_of(page_of(job, "take-back/"))
    assert "is on its way back”. Ring them" in page
    assert page.count("Ring them") == 1


def test_a_mail_about_an_earlier_step_is_not_spoken_of(page_of):
    job = make.make_job(stage="stripped")
    messages.deliver_due(now=LATER, limit=50)
    assert "Ring them" not in main_of(page_of(job, "take-back/"))


def test_an_inspection_says_that_its_question_goes_with_it(page_of):
    job = make.make_job(stage="arrived")
    other = arrivals.Inspection("complete", "KV4087B", "tolvane-kv4087", ("unit",), (), ())
    arrivals.record_inspection(job.number, inspection=other, **WHO)
    corrections.take_back_last_step(job.number, reason="the wrong model was chosen", **WHO)
    messages.deliver_due(now=LATER, limit=50)
    page = main_of(page_of(job, "take-back/"))
    assert "The question to the customer that came out of it is taken back with it." in page
    assert page.count("Ring them") == 2


def test_an_inspection_without_a_question_speaks_of_none(page_of):
    assert "question" not in main_of(page_of(make.make_job(stage="inspected"), "take-back/"))


def test_a_dropped_mail_stands_in_the_owners_list_with_its_reason(client_of, person):
    job = make.make_job(stage="packed")
    make.walk_to(job, stage="sent_back", now=LATER - timedelta(days=1))
    corrections.take_back_last_step(job.number, reason="pressed on the wrong job", **WHO)
    messages.deliver_due(now=LATER, limit=50)
    page = client_of(person("owner")).get("/owner/mails/", {"state": "dropped"}).content.decode()
    assert "not sent any more" in main_of(page)
    assert "the step that it tells of was taken back" in main_of(page)
