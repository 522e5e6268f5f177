"""A hold as the bench reads it: what stands still, until when, what ends it, and what is still unanswered."""

from datetime import timedelta

import pytest
from django.utils import timezone

from jobs.domain.stages import HoldKind
from jobs.models import Job, OutboxMessage
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


def test_whoever_began_the_work_is_named_to_the_next_person_who_opens_the_job(wren, under_way):
    page = main_of(wren.get(f"/workshop/jobs/{under_way.number}/").content.decode())
    assert "begun by Tobin Ashgrove" in page


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


def test_a_hold_for_an_answer_asks_the_customer_by_mail_and_on_their_page(send, page_of):
    job = make.make_job(stage="inspected")
    send(job, "hold", hold="answer", reason="Shall the old jets go back in?")
    assert large_action(page_of(job)) == "The customer answered by phone"
    assert OutboxMessage.objects.filter(job=job, kind="question").count() == 1
    assert Job.objects.get(pk=job.pk).hold == "answer"


def test_a_hold_for_an_answer_asks_nothing_twice(send, asked):
    send(asked, "release")
    mails = OutboxMessage.objects.filter(job=asked, kind="question").count()
    send(asked, "hold", hold="answer", reason="Is this yours?")
    assert Job.objects.get(pk=asked.pk).hold == "answer"
    assert OutboxMessage.objects.filter(job=asked, kind="question").count() == mails == 1


def test_a_box_without_a_name_waits_for_nobodys_answer(send):
    refused = send(make.make_box(), "hold", hold="answer", reason="Whose is it?")
    assert refused.status_code == 422
    assert "Find its booking first" in main_of(refused.content.decode())


def test_taking_back_a_hold_for_an_answer_takes_its_question_back_too(send, page_of):
    job = make.make_job(stage="inspected")
    send(job, "hold", hold="answer", reason="Shall the old jets go back in?")
    assert "The question to the customer that it waits for is taken back with it" in page_of(
        job, "take-back/"
    )
    send(job, "take-back", text="Pressed by mistake")
    page = page_of(job)
    assert "no answer yet" not in page
    assert large_action(page) == "Start: Strip"


def test_taking_back_a_hold_leaves_a_question_that_was_asked_before_it(send, page_of):
    job = make.make_job(stage="inspected")
    who = {"actor": make.SECOND, "now": make.NOW, "expected_count": None}
    answers.ask_question(job.number, text="Is this yours?", **who)
    send(job, "hold", hold="answer", reason="Is this yours?")
    send(job, "take-back", text="Work may go on meanwhile")
    assert "no answer yet" in page_of(job)


def test_a_hold_nobody_was_asked_for_is_not_said_to_end_by_itself(page_of):
    job = make.make_job(stage="inspected")
    who = {"actor": make.SECOND, "now": make.NOW, "expected_count": None}
    bench.hold_job(job.number, hold=HoldKind.ANSWER, reason="They ring back", expected_on=None, **who)
    page = main_of(page_of(job))
    assert "No question stands on" in page
    assert "It ends by itself" not in page


def test_what_a_hold_was_for_ends_with_one_sign(send, page_of):
    job = make.make_job(stage="inspected")
    send(job, "hold", hold="parts", reason="Is the float here yet?")
    assert "It was held for: Is the float here yet? " in main_of(page_of(job, "release/"))


@pytest.mark.parametrize("page", ["hold", "release"])
def test_a_hold_that_cannot_begin_or_end_is_said_before_anything_is_typed(send, tobin, page):
    job = make.make_job(stage="inspected")
    if page == "hold":
        send(job, "hold", hold="parts", reason="A float")
    shown = tobin.get(f"/workshop/jobs/{job.number}/{page}/")
    assert shown.status_code == 409
    assert "on hold" in main_of(shown.content.decode())


def test_a_box_without_a_name_is_not_offered_to_wait_for_an_answer(send, page_of):
    box, named = make.make_box(), make.make_job(stage="inspected")
    assert 'value="answer"' in page_of(named, "hold/")
    refused = send(box, "hold", hold="answer", reason="Whose is it?")
    assert refused.status_code == 422
    for page in (page_of(box, "hold/"), refused.content.decode()):
        assert 'value="answer"' not in page
        assert 'value="parts"' in page
        assert "Nobody's name is known yet, so nobody can be asked" in page.replace("&#x27;", "'")
    assert send(box, "hold", hold="parts", reason="A float").status_code == 302
