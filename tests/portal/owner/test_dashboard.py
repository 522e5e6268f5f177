"""The owner's page reads stored rows, asks a constant number of times, and says what is at risk."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.db import transaction
from django.urls import reverse
from django.utils import timezone

from jobs.domain.facts import Promise
from jobs.domain.stages import EventKind, HoldKind, Stage
from jobs.leadtime.outlook import PromiseChance
from jobs.models import ForecastRun, Job, JobForecast, OutboxMessage
from jobs.selectors import dashboard, reports
from jobs.selectors.dashboard import Waiting
from jobs.selectors.outlook import Chances
from jobs.selectors.promises_at_risk import RiskKind
from jobs.selectors.shop_past import shop_past
from jobs.services import answers, corrections, forecasts
from jobs.services._steps import lock_job
from packing import selectors as catalogue
from portal.owner.overview import HELD_SHOWN, hold_groups
from portal.owner.risks import risk_lines
from tests.factories import NOW, WORKSHOP, make_job, open_shop

pytestmark = pytest.mark.django_db

QUERIES_MOST = 16
LONDON = ZoneInfo("Europe/London")


@pytest.fixture
def owner(db, person, client_of):
    return client_of(person("owner"))


def open_now(now=NOW, refused=None):
    return dashboard.open_jobs(published=catalogue.catalogue(), refused=refused or {}, zone=LONDON, now=now)


def promise(job, *, promised, likely, latest):
    Job.objects.filter(pk=job.pk).update(
        promise_earliest_on=promised, promise_likely_on=promised, promise_latest_on=promised
    )
    JobForecast.objects.update_or_create(
        job=job,
        defaults={
            "earliest_on": likely, "likely_on": likely, "latest_on": latest,
            "reasons": [{"kind": "queue", "working_days": 3.0, "sentence": "Queue at the test stand."}],
            "based_on": "seed", "computed_at": NOW,
        },
    )  # fmt: skip


@pytest.mark.parametrize(
    ("likely", "latest", "words"),
    [
        (date(2026, 4, 5), date(2026, 4, 9), "will likely miss by 4 days"),
        (date(2026, 3, 28), date(2026, 4, 2), "may miss by 1 day"),
    ],
)
def test_a_promise_at_risk_is_told_in_words(likely, latest, words):
    job = make_job(stage="stripped")
    promise(job, promised=date(2026, 4, 1), likely=likely, latest=latest)
    told = PromiseChance(job.number, date(2026, 4, 1), 0.31)
    (line,) = risk_lines(open_now().risks, chances=Chances({job.number: told}))
    assert line.words == words
    assert line.risk.reason == "Queue at the test stand."
    assert line.chance == "kept in about 3 of 10 cases"


def test_a_promise_whose_day_has_passed_comes_first():
    late, later = make_job(stage="stripped"), make_job(stage="stripped")
    promise(late, promised=date(2026, 4, 1), likely=date(2026, 4, 20), latest=date(2026, 4, 25))
    promise(later, promised=date(2026, 3, 9), likely=date(2026, 3, 20), latest=date(2026, 3, 25))
    risks = open_now(now=NOW + timedelta(days=1)).risks
    assert [risk.kind for risk in risks] == [RiskKind.PASSED, RiskKind.LIKELY]


@pytest.mark.parametrize("hold", [HoldKind.ANSWER, HoldKind.PAYMENT])
def test_a_promise_whose_customer_is_waited_for_is_not_counted_as_the_shops(owner, hold):
    waiting, own = make_job(stage="stripped"), make_job(stage="stripped")
    for job in (waiting, own):
        promise(job, promised=date(2026, 4, 1), likely=date(2026, 4, 20), latest=date(2026, 4, 25))
    Job.objects.filter(pk=waiting.pk).update(hold=hold.value, hold_since=NOW)
    found = open_now()
    assert [risk.number for risk in found.own_risks] == [own.number]
    assert [risk.number for risk in found.waiting_risks] == [waiting.number]
    assert found.risks_count == 1
    told = Chances({waiting.number: PromiseChance(waiting.number, date(2026, 4, 1), 0.02)})
    (line,) = risk_lines(found.waiting_risks, chances=told)
    assert (line.chance, "miss" in line.words) == ("", False)
    page = owner.get(reverse("owner:dashboard")).content.decode()
    assert "1 promise waits for its customer, so its days do not count." in page


def test_a_moved_promise_stands_beside_the_first_one(owner):
    job = make_job(stage="stripped")
    with transaction.atomic():
        log = lock_job(job.number, expected_count=None)
        for kind, day in ((EventKind.PROMISE_MADE, 3), (EventKind.PROMISE_CHANGED, 17)):
            on = date(2026, 4, day)
            log.record(kind, facts=Promise(on, on, on), actor=WORKSHOP, now=NOW)
    promise(job, promised=date(2026, 4, 17), likely=date(2026, 4, 20), latest=date(2026, 4, 25))
    (risk,) = open_now().risks
    assert (risk.promised_on, risk.first_promised_on) == (date(2026, 4, 17), date(2026, 4, 3))
    assert "first Fri 3 Apr" in " ".join(owner.get(reverse("owner:dashboard")).content.decode().split())


def test_a_job_that_is_held_for_parts_stays_the_shops_risk():
    job = make_job(stage="stripped")
    promise(job, promised=date(2026, 4, 1), likely=date(2026, 4, 20), latest=date(2026, 4, 25))
    Job.objects.filter(pk=job.pk).update(hold=HoldKind.PARTS.value, hold_since=NOW)
    assert open_now().risks_count == 1


def test_a_promise_that_will_be_kept_is_not_at_risk():
    job = make_job(stage="stripped")
    promise(job, promised=date(2026, 4, 1), likely=date(2026, 3, 20), latest=date(2026, 4, 1))
    assert open_now().risks == ()


def test_every_open_job_waits_for_exactly_one_thing():
    for stage in ("booked", "cleared", "posted", "arrived", "stripped", "packed"):
        make_job(stage=stage)
    held = make_job(stage="inspected")
    Job.objects.filter(pk=held.pk).update(hold=HoldKind.PARTS.value, hold_since=NOW)
    waits = {row.waiting: row.count for row in open_now(now=NOW + timedelta(days=30)).waits}
    assert sum(waits.values()) == 7
    assert waits[Waiting.PARTS] == waits[Waiting.SHOP_ANSWER] == waits[Waiting.BENCH] == 1


def test_a_booking_on_which_the_shop_asked_waits_for_the_customer_until_it_is_answered():
    asked_at = NOW + timedelta(days=1)
    make_job(stage="booked")
    asked = make_job(stage="booked", name="Asked One")
    question = {"text": "Which float?", "expected_count": None}
    answers.ask_question(asked.number, actor=WORKSHOP, now=asked_at, **question)
    waits = {row.waiting: row for row in open_now(now=NOW + timedelta(days=2)).waits}
    assert (waits[Waiting.SHOP_ANSWER].count, waits[Waiting.ANSWER].count) == (1, 1)
    assert (waits[Waiting.ANSWER].oldest_since, waits[Waiting.ANSWER].oldest_number) == (
        asked_at,
        asked.number,
    )
    answers.answer_question(asked.number, text="Brass.", actor=WORKSHOP, now=NOW + timedelta(days=2))
    waits = {row.waiting: row.count for row in open_now(now=NOW + timedelta(days=3)).waits}
    assert (waits[Waiting.SHOP_ANSWER], waits[Waiting.ANSWER]) == (2, 0)


def test_stages_and_ages_add_up_to_the_open_jobs():
    make_job(stage="booked", now=NOW - timedelta(days=20))
    make_job(stage="booked", now=NOW - timedelta(days=3))
    found = open_now()
    (row,) = found.stages
    assert (row.stage, row.counts, found.count) == (Stage.BOOKED, (1, 0, 1, 0, 0), 2)


def test_announced_parcels_are_counted_by_the_week_they_are_expected_in():
    make_job(stage="cleared")
    weeks = open_now().weeks_ahead
    # Cleared on Tuesday 10 March 2026; ten days later is Friday 20 March, in the week of Monday 16.
    assert [(week.monday, week.cleared) for week in weeks][:2] == [
        (date(2026, 3, 9), 0),
        (date(2026, 3, 16), 1),
    ]


def test_weekly_flow_counts_what_arrived_and_what_went_back():
    make_job(stage="sent_back", now=NOW)
    weeks = reports.weekly_flow(zone=LONDON, now=NOW + timedelta(days=21))
    assert sum(week.arrived for week in weeks) == 1
    assert sum(week.sent_back for week in weeks) == 1


def test_a_week_begins_at_the_shops_midnight_also_across_a_change_of_the_clocks():
    # The clocks of Europe/London go forward on 29 March 2026, so that the Monday after begins at 23:00 UTC.
    job = make_job(stage="arrived")
    for moment, week in (
        (datetime(2026, 3, 22, 23, 59, tzinfo=UTC), date(2026, 3, 16)),
        (datetime(2026, 3, 23, 0, 0, tzinfo=UTC), date(2026, 3, 23)),
        (datetime(2026, 3, 29, 22, 59, tzinfo=UTC), date(2026, 3, 23)),
        (datetime(2026, 3, 29, 23, 0, tzinfo=UTC), date(2026, 3, 30)),
    ):
        Job.objects.filter(pk=job.pk).update(arrived_at=moment)
        weeks = reports.weekly_flow(zone=LONDON, now=datetime(2026, 4, 20, tzinfo=UTC))
        assert [row.monday for row in weeks if row.arrived] == [week]


def test_a_unit_whose_sending_was_taken_back_did_not_go_back():
    job = make_job(stage="sent_back")
    act = {"actor": WORKSHOP, "now": NOW + timedelta(days=20), "expected_count": None}
    corrections.take_back_last_step(job.number, reason="the parcel stands here still", **act)
    assert not any(week.sent_back for week in reports.weekly_flow(zone=LONDON, now=NOW + timedelta(days=21)))


def test_of_many_held_jobs_the_longest_held_stand_here_and_the_rest_in_the_list(owner):
    jobs = [make_job(stage="inspected") for _ in range(HELD_SHOWN + 1)]
    for at, job in enumerate(jobs):
        since = NOW - timedelta(hours=at)
        Job.objects.filter(pk=job.pk).update(hold=HoldKind.PARTS.value, hold_since=since)
    (group,) = hold_groups(open_now())
    longest = [job.number for job in reversed(jobs)]
    assert [job.number for _url, job in group.lines] == longest[:HELD_SHOWN]
    assert group.count == HELD_SHOWN + 1
    page = owner.get(group.all_url).content.decode()
    places = [page.index(reverse("workshop:job", args=[number])) for number in longest]
    assert places == sorted(places)


def test_few_held_jobs_all_stand_here():
    job = make_job(stage="inspected")
    Job.objects.filter(pk=job.pk).update(hold=HoldKind.PARTS.value, hold_since=NOW)
    (group,) = hold_groups(open_now())
    assert (len(group.lines), group.all_url) == (1, "")


@pytest.mark.django_db(transaction=True)
def test_the_past_is_worked_out_again_when_something_happened():
    def sent_back():
        past = shop_past(zone=LONDON, now=NOW + timedelta(days=21))
        return sum(week.sent_back for week in past.flow)

    make_job(stage="sent_back", now=NOW)
    assert [sent_back(), sent_back()] == [1, 1]
    make_job(stage="sent_back", now=NOW)
    assert sent_back() == 2


def test_the_page_asks_as_often_with_many_jobs_as_with_few(owner, django_assert_max_num_queries):
    make_job(stage="stripped")
    forecasts.refresh(now=NOW + timedelta(days=6))
    url = reverse("owner:dashboard")
    owner.get(url)
    with django_assert_max_num_queries(QUERIES_MOST) as few:
        assert owner.get(url).status_code == 200
    for stage in ("booked", "posted", "arrived", "cleaned", "sent_back", "closed"):
        make_job(stage=stage)
    forecasts.refresh(now=NOW + timedelta(days=7))
    with django_assert_max_num_queries(QUERIES_MOST) as many:
        assert owner.get(url).status_code == 200
    assert len(many) == len(few)


def test_the_page_names_the_person_whom_jobs_wait_for(owner):
    make_job(stage="stripped")
    forecasts.refresh(now=timezone.now())
    run = ForecastRun.objects.get()
    ada = {"work_centre": "strip_bench", "people": ["Ada"], "needed_at": ["strip_bench", "packing_table"]}
    run.overview["limit"] = {**ada, "load_share": 1.25}
    run.save()
    page = owner.get(reverse("owner:dashboard")).content.decode()
    assert page.count("Jobs wait for Ada, needed at: Strip bench and Packing table.") == 2
    assert "125 % of their hours" in page
    assert page.count("waits for Ada") >= 2
    for nothing_short in (None, {**ada, "load_share": 0.03}):
        run.overview["limit"] = nothing_short
        run.save()
        page = owner.get(reverse("owner:dashboard")).content.decode()
        assert "Jobs wait" not in page.replace("Jobs that wait", "")
        assert "waits for Ada" not in page


def test_the_page_simulates_nothing(owner):
    make_job(stage="stripped")
    owner.get(reverse("owner:dashboard"))
    assert ForecastRun.objects.count() == 0


def test_every_chart_has_its_numbers_in_a_table(owner):
    job = make_job(stage="stripped", now=timezone.now() - timedelta(days=10))
    promise(job, promised=date(2026, 4, 1), likely=date(2026, 4, 5), latest=date(2026, 4, 9))
    forecasts.refresh(now=timezone.now())
    page = owner.get(reverse("owner:dashboard")).content.decode()
    charts = page.split('<figure class="chart"')[1:]
    assert len(charts) == 5
    for chart in charts:
        inside = chart.split("</figure>")[0]
        assert 'role="img"' in inside
        assert "<title" in inside
        assert "<desc" in inside
        assert "<table" in inside


def test_an_empty_shop_is_told_what_to_set_up_and_in_which_order(owner):
    page = owner.get(reverse("owner:dashboard")).content.decode()
    places = [page.index(words) for words in ("Name and address", "Working hours", "Benches", "Routes")]
    assert places == sorted(places)
    assert reverse("owner:edit", args=["shop", "shop"]) in page


def test_a_shop_that_is_set_up_is_not_told_again(owner):
    open_shop()
    page = owner.get(reverse("owner:dashboard")).content.decode()
    # The demo catalogue has families that no starting route serves: that is the one thing left.
    assert "Setting up" in page
    assert page.count("<strong>Done.</strong>") == 7


def test_a_mail_that_was_given_up_can_be_tried_again(owner):
    mail = OutboxMessage.objects.create(
        kind="cleared", key="k", recipient="ada@example.com", state="given_up", tries=6,
        run_after=NOW, created_at=NOW, last_error="SMTPException: 550",
    )  # fmt: skip
    make_job(stage="booked")
    assert "550" in owner.get(reverse("owner:dashboard")).content.decode()
    owner.post(reverse("owner:send_again", args=[mail.pk]))
    mail.refresh_from_db()
    assert (mail.state, mail.tries) == ("waiting", 0)


def test_a_forecast_that_cannot_be_made_says_why(owner):
    open_shop()
    ForecastRun.objects.create(
        computed_at=timezone.now(), log_mark=0, overview={"refusal": "No bench is left."}
    )
    assert "No bench is left." in owner.get(reverse("owner:dashboard")).content.decode()
