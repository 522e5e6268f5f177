"""A form sent twice by one press is kept once, and its sender is told so, not asked to send it again."""

from datetime import timedelta

import pytest
from django.utils import timezone

from jobs.models import ExtraWork, JobEvent
from jobs.services import answers
from tests import factories as make
from tests.factories import WORKSHOP
from tests.portal.workshop.conftest import main_of

pytestmark = pytest.mark.django_db
TWICE = "It was sent twice and is kept once"


@pytest.mark.parametrize(
    ("page", "fields"),
    [
        ("part", {"part": "Gasket", "count": "1"}),
        ("finding", {"text": "Crack at the ear", "severity": "0"}),
        ("start", {"step": "strip"}),
        ("hold", {"hold": "parts", "reason": "A float"}),
        ("hold", {"hold": "answer", "reason": "Which float?"}),
    ],
)
def test_a_double_click_records_once_and_says_so(send, tobin, page, fields):
    job = make.make_job(stage="inspected")
    before = JobEvent.objects.filter(job=job).count()
    send(job, page, **fields)
    once = JobEvent.objects.filter(job=job).count()
    second = send(job, page, seen=before, **fields)
    assert second.status_code == 302
    assert TWICE in main_of(tobin.get(second.url).content.decode())
    assert JobEvent.objects.filter(job=job).count() == once > before


def test_a_double_click_on_finishing_finishes_one_step(send, tobin):
    job = make.make_job(stage="inspected")
    send(job, "start", step="strip")
    before = JobEvent.objects.filter(job=job).count()
    send(job, "finish", step="strip")
    second = send(job, "finish", seen=before, step="strip")
    assert second.status_code == 302
    assert TWICE in main_of(tobin.get(second.url).content.decode())
    assert JobEvent.objects.filter(job=job).count() == before + 1


def test_a_double_click_on_handing_over_sends_it_back_once(send, tobin):
    job = make.make_job(stage="packed")
    before, on = job.event_count, timezone.localdate().isoformat()
    send(job, "send-back", on=on)
    second = send(job, "send-back", seen=before, on=on)
    assert second.status_code == 302
    assert TWICE in main_of(tobin.get(second.url).content.decode())


def test_a_double_click_on_closing_closes_once(send, tobin):
    job = make.make_job(stage="sent_back")
    before = job.event_count
    send(job, "close")
    second = send(job, "close", seen=before)
    assert second.status_code == 302
    assert TWICE in main_of(tobin.get(second.url).content.decode())


def test_a_double_click_asks_the_customer_for_one_extra_work(tobin):
    job = make.make_job(stage="stripped", spend_limit_pence=0)
    seen, address = job.event_count, f"/workshop/jobs/{job.number}/extra-work/"
    extra = {"seen": seen, "send": "1", "text_0": "Bush", "price_0": "20", "days": "1", "lines": "3"}
    tobin.post(address, extra)
    assert TWICE in main_of(tobin.post(address, extra, follow=True).content.decode())
    assert ExtraWork.objects.filter(job=job).count() == 1


def test_a_note_sent_twice_stands_in_the_log_once(send):
    job = make.make_job(stage="stripped")
    for text in ("Rings on Friday", "Rings on Friday", "Rang", "Rings on Friday"):
        assert send(job, "note", text=text).status_code == 302
    assert JobEvent.objects.filter(job=job, kind="note_added").count() == 3


def test_the_same_words_said_again_the_next_day_stand_in_the_log_twice():
    job = make.make_job(stage="stripped")
    for day in range(2):
        moment = timezone.now() + timedelta(days=day)
        answers.add_note(job.number, text="Rang, nobody there", actor=WORKSHOP, now=moment)
    assert JobEvent.objects.filter(job=job, kind="note_added").count() == 2


def test_an_entry_of_minutes_ago_is_no_double_click(send):
    job = make.make_job(stage="stripped")
    seen = job.event_count
    note = {"actor": WORKSHOP, "now": timezone.now() - timedelta(minutes=2)}
    answers.add_note(job.number, text="Rings on Friday", **note)
    later = send(job, "part", part="Gasket", count="1", seen=seen)
    assert later.status_code == 409


def test_another_entry_sent_from_the_same_page_is_not_taken_for_the_one_before_it(send):
    job = make.make_job(stage="inspected")
    seen = job.event_count
    send(job, "part", part="Gasket", count="1")
    other = send(job, "hold", hold="parts", reason="A float", seen=seen)
    assert other.status_code == 409


def test_two_people_never_take_each_other_for_a_double_click(send, wren):
    job = make.make_job(stage="stripped")
    seen = job.event_count
    send(job, "part", part="Gasket", count="1")
    other = send(job, "part", part="Gasket", count="1", seen=seen, browser=wren)
    assert other.status_code == 409
    assert "Recorded meanwhile" in main_of(other.content.decode())
