"""The way back: drained before packed, packed by the plan, handed over with its number."""

from datetime import date, timedelta

import pytest
from django.utils import timezone

from jobs.models import JobForecast
from jobs.selectors.parcels import plan_back
from jobs.services.extra_work import ExtraLine, ask_extra_work
from portal.shared.scan_code import qr_svg
from tests import factories as make
from tests.portal.workshop.conftest import main_of

pytestmark = pytest.mark.django_db


def all_steps(job):
    return [step.slug for step in plan_back(job).steps]


@pytest.fixture
def job():
    return make.make_job(stage="signed_off")


def test_a_unit_that_was_not_smelled_at_is_not_packed(send, job, page_of):
    assert "Not drained yet" in page_of(job, "pack/")
    response = send(job, "pack", steps=all_steps(job))
    assert response.status_code == 422
    assert "Drain the bench fluid" in response.content.decode()


def test_a_unit_that_smells_is_not_packed(send, job):
    send(job, "bench-fluid", drained="on", smells="yes")
    assert "neither packed nor sent" in send(job, "pack", steps=all_steps(job)).content.decode()


@pytest.mark.parametrize("address", ["", "bench-fluid/", "pack/"])
def test_after_a_smell_the_pages_say_so_and_when_to_test_again(send, page_of, job, address):
    send(job, "bench-fluid", drained="on", smells="yes")
    page = main_of(page_of(job, address))
    assert "It smelled at " in page
    assert "at the earliest" in page


def test_a_smell_is_told_once_on_the_page_of_the_job(send, page_of, job):
    send(job, "bench-fluid", drained="on", smells="yes")
    assert main_of(page_of(job)).count("it can be neither packed nor sent") == 1


def test_no_smell_right_after_a_smell_is_refused_with_the_day(send, job):
    send(job, "bench-fluid", drained="on", smells="yes")
    response = send(job, "bench-fluid", drained="on", smells="no")
    assert response.status_code == 422
    assert "at the earliest" in response.content.decode()


def test_a_failed_test_stands_out_in_the_log(send, page_of, job):
    send(job, "bench-fluid", drained="on", smells="yes")
    log = page_of(job).split('id="log"')[1]
    assert log.count('class="warns"') == 1
    assert "Bench fluid check failed" in log.split('class="warns"')[1].split("</li>")[0]


def test_a_dry_unit_is_packed_step_by_step(send, job):
    send(job, "bench-fluid", drained="on", smells="no")
    response = send(job, "pack", steps=all_steps(job)[1:])
    assert response.status_code == 422
    assert "Tick every step" in response.content.decode()
    assert send(job, "pack", steps=all_steps(job)).status_code == 302
    job.refresh_from_db()
    assert job.stage == "packed"


def test_the_packing_page_draws_the_plan_for_the_way_back(page_of, job):
    page = page_of(job, "pack/")
    assert 'class="dw-sheet"' in page
    assert "Section from the front" in page


def test_the_steps_that_have_to_be_ticked_are_not_called_optional(page_of, job):
    page = main_of(page_of(job, "pack/"))
    assert "Packed by the plan" in page
    assert "Packed by the plan (optional)" not in page
    assert "Note (optional)" in page


def test_the_packing_page_shows_the_figures_behind_its_plan(page_of, job):
    page = page_of(job, "pack/")
    assert "The figures behind it" in page
    assert page.count("Formula:") == page.count("Source:") > 8


def test_the_parcel_back_is_handed_over_with_its_number(send, page_of):
    job = make.make_job(stage="packed")
    page = page_of(job, "send-back/")
    assert "2 Quay Cottages" in page
    send(job, "send-back", on="2026-03-20", carrier="Harbour Post", tracking_number="1Z999AA10123456784")
    job.refresh_from_db()
    assert (job.stage, job.tracking_out) == ("sent_back", "1Z999AA10123456784")
    assert "check digit fits" in main_of(page_of(job))


@pytest.mark.parametrize("days", [-4000, 1])
def test_a_day_of_handing_over_before_the_arrival_or_ahead_is_refused_and_kept(send, days):
    job = make.make_job(stage="packed")
    day = timezone.localdate() + timedelta(days=days)
    response = send(job, "send-back", on=day.isoformat(), carrier="Harbour Post")
    assert response.status_code == 422
    page = response.content.decode()
    assert "Enter the day on which the carrier took it" in page
    assert day.isoformat() in page
    assert "Harbour Post" in page
    assert not job.events.filter(kind="sent_back").exists()


def test_a_job_waiting_for_payment_is_not_sent(send):
    job = make.make_job(stage="packed")
    send(job, "hold", hold="payment", reason="Invoice 12")
    response = send(job, "send-back", on="2026-03-20")
    assert response.status_code == 422
    assert "on hold" in response.content.decode()


def test_a_job_goes_back_unrepaired_only_with_the_customers_knowledge(send):
    job = make.make_job(stage="stripped")
    send(job, "bench-fluid", drained="on", smells="no")
    given = {"on": "2026-03-20", "reason": "The body is cracked."}
    assert send(job, "unrepaired", **given).status_code == 422
    assert send(job, "unrepaired", **given, sure="on").status_code == 302
    job.refresh_from_db()
    assert job.stage == "returned_unrepaired"


def test_a_job_goes_back_unrepaired_only_with_a_reason(send, page_of):
    job = make.make_job(stage="stripped")
    send(job, "bench-fluid", drained="on", smells="no")
    response = send(job, "unrepaired", on="2026-03-20", sure="on")
    assert response.status_code == 422
    assert "Enter the reason" in response.content.decode()
    send(job, "unrepaired", on="2026-03-20", sure="on", reason="The body is cracked.")
    assert "The body is cracked." in main_of(page_of(job))


def test_a_job_that_came_back_is_closed(send):
    job = make.make_job(stage="sent_back")
    send(job, "close", note="customer rang")
    job.refresh_from_db()
    assert job.stage == "closed"


def test_the_job_card_keeps_both_numbers_and_the_customers_words_apart(page_of):
    job = make.make_job(
        stage="inspected", number_as_read="KV 4081 B", own_words="It floods.", symptoms=("floods",)
    )
    card = main_of(page_of(job, "card/"))
    assert "Number, read on arrival KV 4081 B" in card
    assert "Number, customer's reading KV 4081 B" in card
    assert "In the customer's words “It floods.”" in card


def test_the_job_card_carries_the_code_of_the_slip(page_of, job, settings):
    settings.SITE_URL = "http://shop.example"
    page = page_of(job, "card/")
    assert str(qr_svg(f"HTTP://SHOP.EXAMPLE/W/{job.number}")) in page


def test_the_job_card_has_a_row_to_tick_for_each_step_of_the_route(page_of):
    page = main_of(page_of(make.make_job(stage="stripped"), "card/"))
    assert "Strip Strip bench done" in page
    assert "Machine (if needed) Lathe and mill" in page
    assert "It will not idle." in page


def test_a_unit_that_is_packed_is_not_forecast_any_more(page_of):
    job = make.make_job(stage="signed_off")
    JobForecast.objects.create(
        job=job,
        earliest_on=date(2027, 2, 1),
        likely_on=date(2027, 2, 8),
        latest_on=date(2027, 2, 15),
        reasons=[],
        based_on="seed",
        computed_at=timezone.now(),
    )
    assert "As things stand, 8 in 10" in page_of(job)
    make.walk_to(job, stage="packed", now=make.NOW + timedelta(days=30))
    page = main_of(page_of(job))
    assert "As things stand" not in page
    assert "no date was promised" in page


def test_a_parcel_number_in_the_field_of_the_carrier_is_noticed_in_words(send):
    job = make.make_job(stage="packed")
    response = send(job, "send-back", on="2026-04-20", carrier="1Z999AA10123456784")
    assert response.status_code == 422
    assert "looks like a parcel number: type it into the field for the number" in response.content.decode()
    job.refresh_from_db()
    assert job.stage == "packed"


def test_what_is_declared_at_the_counter_stands_on_the_page_of_packing(page_of):
    job = make.make_job(stage="signed_off", family="magneto", unit_model="brennick-bm4-c25")
    page = page_of(job, "pack/")
    assert "It holds strong magnets" in page
    assert "the carrier's rules and local law decide" in page.replace("&#x27;", "'")


@pytest.mark.parametrize(("page", "stage"), [("send-back", "packed"), ("unrepaired", "stripped")])
def test_what_has_to_be_said_at_the_counter_stands_where_the_parcel_is_handed_over(page_of, page, stage):
    words = main_of(page_of(make.make_job(stage=stage), f"{page}/"))
    assert "declare it truthfully as used, drained and aired, no fuel" in words
    assert "local law decide" in words


def test_a_job_is_said_to_stay_closed_before_it_is_closed(page_of):
    assert "A closed job is not opened again" in main_of(page_of(make.make_job(stage="sent_back"), "close/"))


@pytest.mark.parametrize(
    ("stage", "words"), [("declined", "no date was promised"), ("booked", "promised yet")]
)
def test_a_job_that_has_ended_awaits_no_promise(page_of, stage, words):
    assert words in main_of(page_of(make.make_job(stage=stage)))


@pytest.mark.parametrize(
    ("limit_pence", "words"),
    [(10_000, "Extra work, approved"), (0, "Extra work, not answered: leave it")],
    ids=["within the limit", "above the limit"],
)
def test_the_job_card_says_which_extra_work_may_be_done(page_of, limit_pence, words):
    job = make.make_job(stage="stripped", spend_limit_pence=limit_pence)
    ask_extra_work(
        job.number,
        lines=(ExtraLine("Re-bush the spindle", price_pence=6400),),
        added_work_days=3,
        latest_on_if_approved=None,
        actor=make.WORKSHOP,
        now=make.NOW,
        expected_count=None,
    )
    assert f"{words} Re-bush the spindle" in main_of(page_of(job, "card/"))
