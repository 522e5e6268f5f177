"""What a unit waits for, as its customer reads it, and which answers are still waited for."""

from datetime import timedelta

import pytest

from jobs.domain.stages import HoldKind
from jobs.models import ExtraWork
from jobs.services import arrivals, bench, dispatch, extra_work
from tests import factories as make

pytestmark = pytest.mark.django_db
LATER = make.NOW + timedelta(days=20)
WHO = {"actor": make.WORKSHOP, "now": LATER, "expected_count": None}


def ask(job):
    lines = (extra_work.ExtraLine(text="Re-bush", price_pence=6400),)
    extra_work.ask_extra_work(job.number, lines=lines, added_work_days=1, latest_on_if_approved=None, **WHO)


def test_the_payment_that_is_open_too_is_told_beside_the_question(let_in):
    job = make.make_job(stage="arrived")
    bench.hold_job(job.number, hold=HoldKind.PAYMENT, reason="Invoice 12", expected_on=None, **WHO)
    other = arrivals.Inspection("complete", "KV4087B", "tolvane-kv4087", ("unit",), (), ())
    arrivals.record_inspection(job.number, inspection=other, **WHO)
    page = let_in(job).get(f"/job/{job.number}/").content.decode()
    assert "It waits for your answer" in page
    assert "The payment is still open too: it is sent back once that is here." in page


def test_a_request_is_answered_while_its_answer_is_waited_for(let_in):
    job = make.make_job(stage="inspected", spend_limit_pence=0)
    ask(job)
    browser = let_in(job)
    assert "waits for your yes or no" in browser.get(f"/job/{job.number}/").content.decode()
    assert "It waits for your answer" in browser.get("/jobs/").content.decode()
    assert "Yes, do this work" in browser.get(f"/job/{job.number}/extra-work/1/").content.decode()
    assert browser.get(f"/job/{job.number}/extra-work/1/approved/").status_code == 200


def test_no_answer_is_asked_for_that_could_not_be_recorded(let_in):
    job = make.make_job(stage="inspected", spend_limit_pence=0)
    ask(job)
    dispatch.check_bench_fluid(job.number, smells=False, **WHO)
    parcel = {"on": LATER.date(), "carrier": "", "tracking_number": ""}
    dispatch.return_unrepaired(job.number, reason="The flange is cracked.", **parcel, **WHO)
    assert ExtraWork.objects.get().decision == ""
    browser = let_in(job)
    page = browser.get(f"/job/{job.number}/").content.decode()
    assert "yes or no" not in page
    assert "not answered, and not done" in page
    assert "Why it comes back unrepaired" in page
    assert "The flange is cracked." in page
    request = browser.get(f"/job/{job.number}/extra-work/1/").content.decode()
    assert "No answer is waited for any more" in request
    assert "Yes, do this work" not in request
    assert "if yes" not in request
    assert browser.get(f"/job/{job.number}/extra-work/1/approved/").status_code == 302
    assert "It waits for your answer" not in browser.get("/jobs/").content.decode()
