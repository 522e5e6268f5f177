"""A hold as the bench reads it: what stands still, until when, what ends it, and what is still unanswered."""

from datetime import timedelta

import pytest
from django.utils import timezone

from jobs.domain.stages import HoldKind
from jobs.models import Job
from jobs.services import answers, bench
from portal.templatetags.portal_format import day
from tests import factories as make
from tests.portal.workshop.conftest import large_action, main_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def under_way(send):
    """Return a job that is worked at."""
    job = make.make_job(stage="inspected")
    send(job, "start", step="strip")
    return job


@pytest.fixture
def asked():
    """Return a job held until the customer has answered a question."""
    job = make.make_job(stage="inspected")
    answers.ask_question(
        job.number, text="Is this yours?", actor=make.SECOND, now=make.NOW, expected_count=None
    )
    bench.hold_job(
        job.number,
        hold=HoldKind.ANSWER,
        reason="Is this yours?",
        expected_on=None,
        actor=make.SECOND,
        now=make.NOW,
        expected_count=None,
    )
    return Job.objects.get(pk=job.pk)


def test_work_that_was_under_way_is_said_to_stand_still_during_a_hold(send, page_of, under_way):
    send(under_way, "hold", hold="parts", reason="Needle valve, ordered")
    words = main_of(page_of(under_way))
    assert "“Strip” was under way when the hold began. It stands still now" in words
    assert "Under way since" not in words


def test_work_that_goes_on_after_a_hold_is_told_apart_from_its_beginning(send, page_of, under_way):
    assert "Under way since" in main_of(page_of(under_way))
    send(under_way, "hold", hold="parts", reason="Needle valve, ordered")
    send(under_way, "release")
    assert "Under way again since the hold ended" in main_of(page_of(under_way))


def test_work_goes_on_while_payment_is_waited_for(send, page_of, under_way):
    send(under_way, "hold", hold="payment", reason="The invoice is open")
    assert "Under way since" in main_of(page_of(under_way))


def test_the_end_that_is_expected_of_a_hold_stands_on_the_page(send, page_of, under_way):
    expected_on = timezone.localdate() + timedelta(days=9)
    send(under_way, "hold", hold="parts", reason="Needle valve", expected_on=expected_on.isoformat())
    assert f"Expected to end on {day(expected_on)}." in main_of(page_of(under_way))


def test_a_hold_that_would_have_ended_already_is_refused_with_everything_typed_kept(send, under_way):
    yesterday = (timezone.localdate() - timedelta(days=1)).isoformat()
    response = send(under_way, "hold", hold="parts", reason="Needle valve", expected_on=yesterday)
    page = response.content.decode()
    assert response.status_code == 422
    assert "Enter today or a later day as the end of the hold" in page
    assert "Needle valve" in page
    assert yesterday in page
    assert not under_way.events.filter(kind="held").exists()


def test_a_hold_may_be_expected_to_end_today(send, under_way):
    send(under_way, "hold", hold="parts", reason="Needle valve", expected_on=timezone.localdate().isoformat())
    assert under_way.events.filter(kind="held").exists()


def test_a_question_that_holds_a_job_leads_to_recording_its_answer(send, page_of, asked):
    page = page_of(asked)
    assert large_action(page) == "The customer answered by phone"
    assert ">End the hold<" in page
    send(asked, "answered", text="Yes, it is mine, says Mrs Thornby")
    assert "The hold that waited for it has ended." in main_of(page_of(asked))
    assert large_action(page_of(asked)) == "Start: Strip"


def test_ending_the_hold_of_an_unanswered_question_is_cautioned_and_the_question_stays_on_the_page(
    send, page_of, asked
):
    caution = "The customer has not answered yet."
    assert caution in page_of(asked, "release/")
    send(asked, "release")
    assert "We asked “Is this yours?”: no answer yet." in main_of(page_of(asked))
    other = make.make_job(stage="inspected")
    send(other, "hold", hold="parts", reason="Needle valve")
    assert caution not in page_of(other, "release/")


def test_an_answer_that_held_nothing_is_not_said_to_have_ended_a_hold(send, page_of):
    job = make.make_job()
    send(job, "question", text="Is it the brass float?")
    send(job, "answered", text="Yes, brass")
    words = main_of(page_of(job))
    assert "Recorded. It stands on this page." in words
    assert "hold that waited" not in words
