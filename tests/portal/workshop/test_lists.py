"""The lists: what stands on them, in which order, at a constant cost, empty and full."""

from datetime import date, timedelta

import pytest
from django.utils import timezone

from jobs.domain.facts import BenchWork
from jobs.models import ForecastRun, Job, JobForecast
from jobs.selectors.counter import counter_lists
from jobs.selectors.queue import JobFilter, list_jobs, risk_words, shop_queue
from jobs.services import answers, bench, corrections
from portal.workshop.views.bench import STAGE_SHOWN
from tests import factories as make
from tests.factories import NOW
from tests.portal.workshop.conftest import main_of

pytestmark = pytest.mark.django_db
TODAY = date(2026, 4, 1)
LISTS = ("/workshop/", "/workshop/queue/", "/workshop/jobs/", "/workshop/bookings/")


def numbers(lines):
    return [line.number for line in lines]


def queries_of(tobin, address):
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    with CaptureQueriesContext(connection) as caught:
        assert tobin.get(address).status_code == 200
    return len(caught)


@pytest.mark.parametrize("address", LISTS)
def test_an_empty_shop_says_what_to_do(tobin, address):
    make.open_shop()
    assert tobin.get(address).status_code == 200


@pytest.mark.parametrize("address", [*LISTS, "/workshop/box/"])
def test_the_pages_open_before_anything_is_set_up(tobin, address):
    assert tobin.get(address, follow=True).status_code == 200


def test_who_is_at_the_work_is_not_who_began_what_was_taken_back():
    job, at = make.make_job(stage="inspected"), {"now": timezone.now(), "expected_count": None}
    bench.start_work(job.number, work=BenchWork(step="strip"), actor=make.WORKSHOP, **at)
    bench.finish_work(job.number, work=BenchWork(step="strip"), actor=make.WORKSHOP, **at)
    bench.start_work(job.number, work=BenchWork(step="clean"), actor=make.SECOND, **at)
    for _ in range(2):
        corrections.take_back_last_step(job.number, reason="Not all is off yet", actor=make.SECOND, **at)
    lines = [line for centre in shop_queue(today=TODAY).centres for line in centre.lines]
    assert [line.working_name for line in lines] == [make.WORKSHOP.name]


@pytest.mark.slow
def test_a_list_costs_the_same_with_three_rows_and_with_thirty(tobin):
    stages = ("booked", "posted", "arrived", "stripped", "assembled", "tested")
    for stage in stages[:3]:
        make.make_job(stage=stage)
    make.make_job(stage="stripped")
    for address in LISTS:
        tobin.get(address)
    few = {address: queries_of(tobin, address) for address in LISTS}
    for at in range(26):
        make.make_job(stage=stages[at % len(stages)], name=f"Customer {at}")
    many = {address: queries_of(tobin, address) for address in LISTS}
    assert [address for address in LISTS if many[address] > few[address]] == []
    assert max(few.values()) <= 20


def test_of_a_full_stage_the_most_urgent_are_shown_and_the_rest_is_one_step_away(tobin):
    jobs = [make.make_job(stage="arrived") for _ in range(STAGE_SHOWN + 1)]
    page = tobin.get("/workshop/queue/").content.decode()
    address = "/workshop/jobs/?stage=arrived"
    assert address in page
    assert sum(f"/workshop/jobs/{job.number}/" in page for job in jobs) == STAGE_SHOWN
    every = tobin.get(address).content.decode()
    assert all(f"/workshop/jobs/{job.number}/" in every for job in jobs)


def test_a_job_page_stays_cheap(tobin):
    job = make.make_job(stage="sent_back")
    assert queries_of(tobin, f"/workshop/jobs/{job.number}/") <= 40


def test_the_bench_takes_jobs_in_the_order_of_their_promises():
    late, soon, first = (make.make_job(stage="inspected", name=name) for name in ("Late", "Soon", "First"))
    for job, on in ((late, date(2026, 6, 1)), (soon, date(2026, 5, 1)), (first, date(2026, 7, 1))):
        Job.objects.filter(pk=job.pk).update(
            promise_earliest_on=on, promise_likely_on=on, promise_latest_on=on, priority=job is first
        )
    strip = next(centre for centre in shop_queue(today=TODAY).centres if centre.name == "Strip bench")
    assert numbers(strip.lines) == [first.number, soon.number, late.number]
    assert {line.next_words for line in strip.lines} == {"Strip"}


def test_what_is_under_way_comes_first_and_what_is_held_stands_apart(send):
    waiting, working, held = (make.make_job(stage="inspected", name=name) for name in ("A", "B", "C"))
    send(working, "start", step="strip")
    send(held, "hold", hold="parts", reason="Gasket set")
    strip = next(centre for centre in shop_queue(today=TODAY).centres if centre.name == "Strip bench")
    assert numbers(strip.lines) == [working.number, waiting.number]
    assert [line.working_name for line in strip.lines] == ["Tobin Ashgrove", ""]
    assert numbers(strip.held) == [held.number]


def test_a_promise_is_at_risk_in_words():
    job = make.make_job(stage="stripped")
    job.promise_latest_on = date(2026, 5, 1)
    assert risk_words(job, ends_on=date(2026, 4, 30), today=TODAY) == ""
    assert "10 days after the promise" in risk_words(job, ends_on=date(2026, 5, 11), today=TODAY)
    assert "passed 3 days ago" in risk_words(job, ends_on=None, today=date(2026, 5, 4))


def test_a_promise_is_not_at_risk_while_its_customer_is_waited_for():
    waiting = Job(stage="stripped", hold="answer", promise_latest_on=date(2026, 5, 1))
    held = Job(stage="stripped", hold="parts", promise_latest_on=date(2026, 5, 1))
    assert risk_words(waiting, ends_on=date(2026, 5, 11), today=TODAY) == ""
    assert "10 days after the promise" in risk_words(held, ends_on=date(2026, 5, 11), today=TODAY)


def test_the_forecast_reaches_the_list(tobin):
    job = make.make_job(stage="stripped")
    on = date(2027, 5, 1)
    Job.objects.filter(pk=job.pk).update(promise_earliest_on=on, promise_likely_on=on, promise_latest_on=on)
    JobForecast.objects.create(
        job=job,
        earliest_on=on,
        likely_on=on,
        latest_on=date(2027, 5, 21),
        based_on="seed",
        computed_at=timezone.now(),
    )
    assert "20 days after the promise" in main_of(tobin.get("/workshop/queue/").content.decode())


@pytest.mark.parametrize("cause", ["refused", "old"])
def test_a_forecast_that_no_longer_holds_stands_on_no_page(tobin, cause):
    job = make.make_job(stage="stripped")
    on = date(2027, 5, 1)
    Job.objects.filter(pk=job.pk).update(promise_earliest_on=on, promise_likely_on=on, promise_latest_on=on)
    now = timezone.now()
    days = {"earliest_on": on, "likely_on": on, "latest_on": date(2027, 5, 21)}
    row = JobForecast.objects.create(job=job, based_on="seed", computed_at=now, **days)
    addresses = ("/workshop/queue/", f"/workshop/jobs/{job.number}/")
    assert all("s things stand" in tobin.get(address).content.decode() for address in addresses)
    if cause == "refused":
        ForecastRun.objects.create(computed_at=now, log_mark=0, overview={"refusal": "No hours."})
    else:
        row.computed_at = now - timedelta(days=5)
        row.save()
    assert not any("s things stand" in tobin.get(address).content.decode() for address in addresses)


def test_the_counter_tells_a_late_parcel_and_a_cleared_one_nobody_sends():
    posted, cleared = make.make_job(stage="posted"), make.make_job(stage="cleared")
    lists = counter_lists(now=posted.stage_since + timedelta(days=2))
    assert [line.is_late for line in lists.posted] == [False]
    assert lists.cleared_late == ()
    lists = counter_lists(now=NOW + timedelta(days=40))
    assert [line.is_late for line in lists.posted] == [True]
    assert numbers(lists.cleared_late) == [cleared.number]


def test_the_counter_names_holds_that_may_have_ended(send):
    due, open_end = make.make_job(stage="stripped"), make.make_job(stage="stripped")
    in_a_week = timezone.localdate() + timedelta(days=7)
    send(due, "hold", hold="parts", reason="Needle valve", expected_on=in_a_week.isoformat())
    send(open_end, "hold", hold="parts", reason="Gasket set")
    lines = counter_lists(now=timezone.now() + timedelta(days=400)).holds_to_check
    assert numbers(lines) == [due.number]
    assert "Needle valve" in lines[0].words


def test_a_booking_on_which_the_shop_asked_is_no_booking_to_answer(tobin, send, page_of):
    plain, asked = make.make_job(), make.make_job(name="Asked One")
    send(asked, "question", text="Is it the brass float?")
    lists = counter_lists(now=NOW)
    assert (numbers(lists.bookings), numbers(lists.asked)) == ([plain.number], [asked.number])
    assert "Is it the brass float?" in lists.asked[0].words
    waiting = tobin.get("/workshop/bookings/").content.decode().split('id="asked"', 1)[1]
    assert f"/workshop/jobs/{asked.number}/" in waiting
    assert f"/workshop/jobs/{plain.number}/" not in waiting
    assert "Waiting for the customer&#x27;s answer" in waiting
    assert "Waiting for the shop&#x27;s answer" not in waiting + page_of(asked)
    assert "It waits for the customer&#x27;s answer" in page_of(asked)
    assert "waits for the customer" not in page_of(plain)
    send(asked, "answered", text="Yes, brass.")
    assert set(numbers(counter_lists(now=NOW).bookings)) == {plain.number, asked.number}


def test_a_box_without_a_name_stands_at_the_counter():
    box = make.make_box()
    assert numbers(counter_lists(now=NOW).nameless) == [box.number]
    assert counter_lists(now=NOW).to_inspect == ()


def test_a_job_in_a_list_tells_since_when_it_stands_at_its_stage():
    job = make.make_job(stage="stripped")
    assert job.arrived_at < job.stage_since
    (line,) = list_jobs(JobFilter(), page_number=1, today=TODAY).lines
    assert line.since == job.stage_since


def test_the_list_is_narrowed_by_what_stands_in_its_address(tobin, send):
    stripped, tested = make.make_job(stage="stripped"), make.make_job(stage="tested", name="Bran Okeley")
    send(stripped, "hold", hold="outside", reason="Plater")
    for query, wanted in (
        ({"stage": "tested"}, tested),
        ({"hold": "any"}, stripped),
        ({"hold": "outside", "family": "carburettor"}, stripped),
        ({"text": "okeley"}, tested),
        ({"text": stripped.number}, stripped),
    ):
        page = tobin.get("/workshop/jobs/", query).content.decode()
        other = tested if wanted is stripped else stripped
        assert wanted.number in page, query
        assert other.number not in page, query


def test_a_filter_that_is_not_offered_narrows_nothing(tobin):
    job = make.make_job()
    assert job.number in tobin.get("/workshop/jobs/", {"stage": "on_the_moon"}).content.decode()


def test_the_list_is_paged_and_an_unknown_page_is_the_nearest():
    for at in range(28):
        make.make_job(name=f"Customer {at}")
    first = list_jobs(JobFilter(), page_number=1, today=TODAY)
    assert (len(first.lines), first.page.paginator.num_pages) == (25, 2)
    assert len(list_jobs(JobFilter(), page_number="99", today=TODAY).lines) == 3
    assert len(list_jobs(JobFilter(), page_number="x", today=TODAY).lines) == 25


def test_a_photo_is_served_to_the_shop_and_to_nobody_else(tobin, client):
    from django.utils import timezone

    from jobs.services.photos import convert_next
    from tests.portal.workshop.conftest import a_photo

    job = make.make_job(stage="arrived")
    tobin.post(f"/workshop/jobs/{job.number}/photos/", {"shot": "label", "photo": [a_photo()]})
    photo = job.photos.get()
    address = f"/workshop/photos/{photo.reference}/thumb/"
    assert tobin.get(address).status_code == 404
    convert_next(now=timezone.now())
    response = tobin.get(address)
    assert response["Content-Type"] == "image/jpeg"
    assert response["X-Content-Type-Options"] == "nosniff"
    assert client.get(address).status_code == 302
    assert tobin.get(address.replace("thumb", "raw")).status_code == 404


def test_an_unknown_job_is_not_found(tobin):
    make.open_shop()
    for part in ("", "receive/", "answer/", "card/", "inspect/", "sign-off/"):
        assert tobin.get(f"/workshop/jobs/4821095/{part}").status_code == 404


def test_a_booking_that_was_asked_about_waits_for_its_customer_in_the_list_of_all_jobs(tobin):
    job = make.make_job()
    rows = rows_of(tobin.get("/workshop/jobs/"))
    assert "Waiting for the shop" in rows
    answers.ask_question(job.number, text="Which way?", actor=make.WORKSHOP, now=NOW, expected_count=None)
    rows = rows_of(tobin.get("/workshop/jobs/"))
    assert "Waiting for the customer" in rows
    assert "Waiting for the shop" not in rows


def rows_of(answer):
    return answer.content.decode().split("<tbody")[1].split("</tbody>")[0]
