"""What a job waits for, what it waits for after that, and what may not be done meanwhile."""

from datetime import timedelta

import pytest

from jobs.domain.stages import HoldKind
from jobs.services import arrivals, bench, dispatch, extra_work
from tests import factories as make
from tests.portal.workshop.conftest import large_action, main_of

pytestmark = pytest.mark.django_db
LATER = make.NOW + timedelta(days=20)
WHO = {"actor": make.WORKSHOP, "now": LATER, "expected_count": None}
OTHER = arrivals.Inspection("complete", "KV4087B", "tolvane-kv4087", ("unit",), (), ())


def hold(job, kind, reason):
    bench.hold_job(job.number, hold=kind, reason=reason, expected_on=None, **WHO)


def ask(job):
    lines = (extra_work.ExtraLine(text="Re-bush", price_pence=6400),)
    extra_work.ask_extra_work(job.number, lines=lines, added_work_days=1, latest_on_if_approved=None, **WHO)


def unpaid_and_asked():
    job = make.make_job(stage="arrived")
    hold(job, HoldKind.PAYMENT, "Invoice 12 is open.")
    arrivals.record_inspection(job.number, inspection=OTHER, **WHO)
    return job


def test_the_shop_reads_what_comes_after_the_answer(page_of):
    page = main_of(page_of(unpaid_and_asked()))
    assert "After that it is on hold again, waiting for payment: Invoice 12 is open." in page


def test_the_end_of_a_hold_says_what_is_waited_for_next(page_of, send, tobin):
    job = make.make_job(stage="inspected", spend_limit_pence=0)
    hold(job, HoldKind.PARTS, "A float")
    ask(job)
    told = main_of(page_of(job, "release/"))
    assert "It was held for: A float. After that it waits for the customer&#x27;s yes or no" in told
    assert send(job, "release", note="").status_code == 302
    page = page_of(job)
    assert "That hold has ended; the job still waits" in page
    assert "Work may go on" not in page
    assert large_action(page) == "Record the customer&#x27;s yes or no (by phone)"


def test_the_end_of_the_last_hold_lets_work_go_on(page_of, send):
    job = make.make_job(stage="inspected")
    hold(job, HoldKind.PARTS, "A float")
    assert send(job, "release", note="").status_code == 302
    assert "The hold has ended. Work may go on." in page_of(job)


def test_a_step_that_has_to_stay_is_not_offered_to_be_taken_back(page_of, tobin):
    job = make.make_job(stage="inspected", spend_limit_pence=0)
    assert "take-back/" in page_of(job)
    ask(job)
    assert "take-back/" not in page_of(job)
    response = tobin.get(f"/workshop/jobs/{job.number}/take-back/")
    assert response.status_code == 409
    assert "Record their answer first." in main_of(response.content.decode())


def test_no_answer_is_offered_to_be_recorded_once_the_unit_has_gone(page_of):
    job = make.make_job(stage="inspected", spend_limit_pence=0)
    ask(job)
    assert f"/workshop/jobs/{job.number}/extra-work/1/" in page_of(job)
    dispatch.check_bench_fluid(job.number, smells=False, **WHO)
    parcel = {"on": LATER.date(), "carrier": "", "tracking_number": ""}
    dispatch.return_unrepaired(job.number, reason="The flange is cracked.", **parcel, **WHO)
    page = page_of(job)
    assert f"/workshop/jobs/{job.number}/extra-work/1/" not in page
    assert "Not answered, and not done" in page


def test_an_undecided_unit_is_not_offered_to_be_signed_off(page_of):
    job = make.make_job(stage="tested", spend_limit_pence=0)
    hold(job, HoldKind.PAYMENT, "Invoice 12 is open.")
    ask(job)
    assert large_action(page_of(job)) == "Record the customer&#x27;s yes or no (by phone)"
