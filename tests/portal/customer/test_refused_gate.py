"""The draining and the smell test that were refused: an address of their own, and nothing typed is lost."""

import pytest
from django.utils import timezone

from jobs.models import JobEvent, StepTick
from portal.shared.refused_forms import SESSION_KEY
from tests.portal.customer.cleared import cleared, drain, pass_gate

pytestmark = pytest.mark.django_db
UNREADABLE = {"drained_on": "some day in May", "drained_time": "17:30"}


def send(browser, job, *, page, **given):
    return browser.post(f"/job/{job.number}/{page}/", given)


@pytest.mark.parametrize(("page", "given"), [("drained", UNREADABLE), ("smell", {})])
def test_a_refused_answer_leads_to_an_address_that_asks_nothing(shop, let_in, page, given):
    job = cleared()
    drain(job, hours_ago=30)
    browser = let_in(job)
    answer = send(browser, job, page=page, **given)
    again = f"/job/{job.number}/{page}/?again=1"
    assert (answer.status_code, answer.headers["Location"]) == (302, again)
    for _ in range(2):
        shown = browser.get(again).content.decode()
        assert "<title>Error:" in shown
        assert shown.count('id="error-summary"') == 1


def test_a_day_that_cannot_be_read_stands_there_again_beside_its_time_and_the_ticks(shop, let_in):
    job = cleared()
    browser = let_in(job)
    answer = send(
        browser, job, page="drained", **UNREADABLE, shown=["strip-take_stud"], done=["strip-take_stud"]
    )
    shown = browser.get(answer.headers["Location"]).content.decode()
    assert 'value="some day in May"' in shown
    assert 'value="17:30"' in shown
    assert StepTick.objects.get().step == "strip-take_stud"


def test_what_was_typed_into_the_other_form_of_the_page_stays(shop, let_in):
    job = cleared()
    drain(job, hours_ago=30)
    browser = let_in(job)
    answer = send(browser, job, page="smell", drained_on="2026-03-01", drained_time="07:07")
    assert 'value="07:07"' in browser.get(answer.headers["Location"]).content.decode()
    answer = send(browser, job, page="drained", **UNREADABLE, smells="yes")
    shown = browser.get(answer.headers["Location"]).content.decode()
    assert 'value="yes"' in shown
    assert "checked" in shown.split('value="yes"')[1].split(">")[0]


def test_once_answered_well_the_refused_page_leads_back_to_the_list(shop, let_in):
    job = cleared()
    browser = let_in(job)
    again = send(browser, job, page="drained", **UNREADABLE).headers["Location"]
    today = f"{timezone.localdate():%Y-%m-%d}"
    answer = send(browser, job, page="drained", drained_on=today, drained_time="00:00")
    assert answer.headers["Location"] == f"/job/{job.number}/pack/#gate"
    assert JobEvent.objects.filter(job=job, kind="drained").count() == 1
    assert not browser.session.get(SESSION_KEY)
    assert browser.get(again).headers["Location"] == f"/job/{job.number}/pack/#gate"


def test_ticks_sent_from_a_page_left_open_are_answered_by_the_page_as_it_is(shop, let_in):
    job = cleared()
    pass_gate(job)
    browser = let_in(job)
    sent = {"posted_on": f"{timezone.localdate():%Y-%m-%d}", "carrier": "", "tracking_number": ""}
    browser.post(f"/job/{job.number}/posted/", sent)
    answer = browser.post(
        f"/job/{job.number}/pack/", {"shown": ["strip-take_stud"], "done": ["strip-take_stud"]}
    )
    assert answer.status_code == 302
    assert not StepTick.objects.exists()


def test_a_posting_that_is_pressed_twice_is_recorded_once_and_shows_no_error(shop, let_in):
    job = cleared()
    pass_gate(job)
    browser = let_in(job)
    for number in ("", "RR 473 124 829 GB"):
        sent = {"posted_on": f"{timezone.localdate():%Y-%m-%d}", "carrier": "Post", "tracking_number": number}
        answers = [send(browser, job, page="posted", **sent).headers["Location"] for _ in range(2)]
        assert answers == [f"/job/{job.number}/posted/"] * 2
    kinds = JobEvent.objects.filter(job=job, kind__in=["posted", "tracking_added"]).order_by("number")
    assert list(kinds.values_list("kind", flat=True)) == ["posted", "tracking_added"]
