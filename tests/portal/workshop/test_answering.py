"""A booking is answered with everything in view: the candidates with reasons, the date, the parcel."""

from datetime import timedelta
from html import unescape
from uuid import uuid4

import pytest
from django.utils import timezone

from jobs.domain.actors import Actor
from jobs.domain.stages import EventKind, Role
from jobs.models import FamilyForecast, Photo
from jobs.selectors.answering import other_models, see_booking
from jobs.services.answers import answer_question, ask_question
from tests import factories as make
from tests.portal.workshop.conftest import main_of

pytestmark = pytest.mark.django_db


def test_the_page_shows_what_the_customer_said_and_why_a_model_fits(page_of):
    job = make.make_job(number_as_read="KV4O81B", symptoms=("floods",))
    page = main_of(page_of(job, "answer/"))
    assert "KV4O81B" in page
    assert "It will not idle." in page
    assert "Fuel drips or runs over, even when standing" in page
    assert "Tolvane KV28 The customer chose it." in page
    assert "£50.00" in page


def test_a_yes_settles_the_model_and_freezes_what_the_customer_is_told(send):
    job = make.make_job(unit_model="")
    send(job, "answer", choice="tolvane-kv4081", note="Good photos, thank you")
    job.refresh_from_db()
    assert (job.stage, job.unit_model) == ("cleared", "tolvane-kv4081")
    assert job.strip_list is not None
    assert job.plan is not None


def test_another_model_from_the_catalogue_can_be_chosen(send):
    job = make.make_job()
    assert "Choose the other model" in send(job, "answer", choice="other").content.decode()
    slug, _name = other_models(job, shown=see_booking(job).choices)[0]
    send(job, "answer", choice="other", other=slug)
    job.refresh_from_db()
    assert (job.stage, job.unit_model) == ("cleared", slug)


def test_a_unit_outside_the_catalogue_gets_the_familys_list(send):
    job = make.make_job()
    send(job, "answer", choice="none")
    job.refresh_from_db()
    assert (job.stage, job.unit_model, job.plan) == ("cleared", "", None)
    assert job.strip_list["family"] == "carburettor"


def test_the_parcel_of_another_candidate_can_be_looked_at(tobin):
    job = make.make_job()
    page = tobin.get(f"/workshop/jobs/{job.number}/answer/", {"model": "tolvane-kv4087"}).content.decode()
    assert "<strong>Tolvane KV28 marine travels" in page
    assert 'class="dw-sheet"' in page


def test_a_question_is_asked_and_the_job_waits_where_it_is(send, tobin):
    job = make.make_job()
    send(job, "question", text="Is there a tag under the cover screw?")
    job.refresh_from_db()
    assert job.stage == "booked"
    assert "Waits for the customer" in main_of(tobin.get("/workshop/bookings/").content.decode())


def test_what_was_typed_beside_the_answer_begins_the_question(send):
    job = make.make_job()
    page = send(job, "question", ask="1", note="Is the float brass?", choice="none")
    assert page.status_code == 200
    assert "Is the float brass?</textarea>" in page.content.decode()
    assert not job.events.filter(kind=EventKind.QUESTION_ASKED.value).exists()


def test_a_no_carries_the_reason_the_customer_reads(send):
    job = make.make_job()
    assert send(job, "decline", text="").status_code == 422
    send(job, "decline", text="We do not rebuild aircraft units.")
    job.refresh_from_db()
    assert job.stage == "declined"
    row = job.events.get(kind=EventKind.DECLINED.value)
    assert row.facts["text"] == "We do not rebuild aircraft units."


def test_bookings_are_listed_the_oldest_first(tobin):
    first = make.make_job(name="First")
    from datetime import timedelta

    second = make.make_job(name="Second", now=make.NOW + timedelta(days=1))
    page = tobin.get("/workshop/bookings/").content.decode()
    assert page.index(first.number) < page.index(second.number)


def test_an_answer_by_phone_ends_the_hold_that_waited_for_it(send, page_of):
    job = make.make_job(stage="inspected")
    send(job, "question", text="Keep the old choke?")
    send(job, "hold", hold="answer", reason="Keep the old choke?")
    assert "The customer answered by phone" in page_of(job)
    send(job, "answered", text="Mrs Thornby on the phone: yes, keep it")
    job.refresh_from_db()
    assert job.hold == ""


def test_the_customers_answer_is_read_beside_the_next_action_until_work_goes_on(send, page_of):
    job = make.make_job(stage="inspected")
    send(job, "question", text="Is this the unit you want rebuilt?")
    send(job, "hold", hold="answer", reason="Another unit than booked")
    answer_question(
        job.number, text="No! Send it back.", actor=Actor(Role.CUSTOMER, name="Ada Thornby"), now=make.NOW
    )
    panel = page_of(job).split('class="panel next"', 1)[1].split("</section>", 1)[0]
    for words in ("read the customer's answer", "Is this the unit you want rebuilt?", "No! Send it back."):
        assert words in unescape(panel), words
    send(job, "start", step="strip", note="")
    assert "No! Send it back." not in page_of(job).split('class="panel next"', 1)[1].split("</section>", 1)[0]


def test_an_answer_given_on_the_phone_stands_there_too(send, page_of):
    job = make.make_job(stage="inspected")
    send(job, "question", text="Keep the old choke?")
    send(job, "answered", text="Mrs Thornby on the phone: no")
    assert "read the customer's answer" in unescape(page_of(job))


def test_a_cleared_job_that_never_comes_is_cancelled_with_its_reason(send, page_of):
    job = make.make_job(stage="cleared")
    assert "Cancel it" in page_of(job)
    send(job, "cancel", text="Sold the boat")
    job.refresh_from_db()
    assert job.stage == "cancelled"


@pytest.mark.parametrize(("days", "is_warned"), [(20, True), (400, False)], ids=["too soon", "far off"])
def test_a_wished_day_before_the_end_of_the_range_is_pointed_out(page_of, days, is_warned):
    today = timezone.localdate()
    FamilyForecast.objects.create(
        family="carburettor",
        earliest_on=today + timedelta(days=10),
        likely_on=today + timedelta(days=20),
        latest_on=today + timedelta(days=30),
        reasons=[],
        based_on="seed",
        computed_at=timezone.now(),
    )
    job = make.make_job(wished_on=today + timedelta(days=days))
    page = page_of(job, "answer/")
    assert "Wished by" in page
    assert ("The range ends after the wished day" in page) == is_warned


def test_a_refused_photo_is_told_to_the_workshop_and_not_called_saved(page_of):
    job = make.make_job()
    Photo.objects.create(
        reference=uuid4(),
        job=job,
        role="before",
        state="refused",
        refusal="This photo could not be read to its end: it was cut short. Send it again; or as JPEG.",
        by_role="customer",
        by_name="Ada Thornby",
        uploaded_at=timezone.now(),
    )
    page = page_of(job, "answer/")
    assert "Not kept. This photo could not be read to its end: it was cut short." in page
    assert "being prepared" not in page
    assert "Send it again" not in page


def test_what_was_asked_and_answered_stands_beside_the_answer_to_a_booking(page_of):
    job = make.make_job()
    asked, ada = "Cable or by hand?", Actor(Role.CUSTOMER, name="Ada Thornby")
    ask_question(job.number, text=asked, actor=make.WORKSHOP, now=make.NOW, expected_count=None)
    assert main_of(page_of(job, "answer/")).count(asked) == 1
    answer_question(job.number, text="By a small knob.", actor=ada, now=make.NOW)
    page = main_of(page_of(job, "answer/"))
    assert page.index(asked) < page.index("By a small knob.") < page.index("Your answer")
