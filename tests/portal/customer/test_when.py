"""When is it back: what the customer is told in each state, what it is counted from, and how it moved."""

from datetime import date, timedelta

import pytest
from django.db import transaction
from django.utils import timezone

from jobs.domain.facts import Promise
from jobs.domain.stages import EventKind, HoldKind
from jobs.models import FamilyForecast, ForecastRun, JobForecast, OutlookPart
from jobs.selectors.customer_when import WhenState
from jobs.services import answers, bench, dispatch
from jobs.services._steps import lock_job
from tests.factories import OWNER, WORKSHOP, make_job

pytestmark = pytest.mark.django_db

RANGE = {
    "earliest_on": date(2027, 2, 1),
    "likely_on": date(2027, 2, 8),
    "latest_on": date(2027, 2, 15),
    "reasons": [{"kind": "queue", "working_days": 4.0, "sentence": "Queue at the fuel bench: 4 days."}],
    "based_on": "seed",
}
RANGE_WORDS = "between Monday 1 February and Monday 15 February 2027"
FIRST = Promise(date(2027, 1, 4), date(2027, 1, 8), date(2027, 1, 12))
FIRST_WORDS = "between Monday 4 January and Tuesday 12 January 2027"
SECOND = Promise(
    date(2027, 1, 11), date(2027, 1, 15), date(2027, 1, 20), ("Waiting for parts: 4 days longer.",)
)


def forecast(job):
    return JobForecast.objects.create(job=job, computed_at=timezone.now(), **RANGE)


def promise(job, *promises):
    with transaction.atomic():
        log = lock_job(job.number, expected_count=None)
        for at, facts in enumerate(promises):
            kind = EventKind.PROMISE_CHANGED if at else EventKind.PROMISE_MADE
            log.record(kind, facts=facts, actor=OWNER, now=timezone.now())


def hold(job, *, kind, days_ago=0, expected_on=None):
    bench.hold_job(
        job.number,
        hold=kind,
        reason="A float of the old pattern",
        expected_on=expected_on,
        actor=WORKSHOP,
        now=timezone.now() - timedelta(days=days_ago),
        expected_count=None,
    )


def test_without_any_forecast_there_is_no_date_and_no_range(told):
    state, part = told(make_job(stage="booked"))
    assert state is WhenState.NO_DATE
    assert "There is no date yet" in part
    assert "between" not in part


@pytest.mark.parametrize("stage", ["cleared", "posted"])
def test_before_arrival_the_range_reckons_with_the_road(told, stage):
    job = make_job(stage=stage)
    forecast(job)
    state, part = told(job)
    assert state is WhenState.ANNOUNCED
    for words in (RANGE_WORDS, "your box here by about", "The day your box arrives"):
        assert words in part


def test_after_arrival_the_range_names_the_day_of_arrival_and_is_no_promise_yet(told):
    job = make_job(stage="arrived")
    forecast(job)
    state, part = told(job)
    assert state is WhenState.HERE
    for words in (
        RANGE_WORDS,
        "Yours arrived on",
        "once we have looked at the unit",
        "Queue at the fuel bench",
    ):
        assert words in part


def test_a_promise_says_how_sure_what_it_is_counted_from_and_what_would_change_it(told):
    job = make_job(stage="inspected")
    promise(job, FIRST)
    state, part = told(job)
    assert state is WhenState.PROMISED
    for words in (
        "Our promise",
        FIRST_WORDS,
        "8 in 10",
        "when we promised it",
        "Your answer, if we have to ask",
    ):
        assert words in part
    assert "How it moved" not in part


def test_a_promise_beside_todays_range_shows_both(told):
    job = make_job(stage="inspected")
    promise(job, FIRST)
    forecast(job)
    _, part = told(job)
    assert part.index(FIRST_WORDS) < part.index(RANGE_WORDS)


def test_a_moved_promise_tells_each_move_with_its_days_and_its_reason(told):
    job = make_job(stage="stripped")
    third = Promise(date(2027, 1, 5), date(2027, 1, 7), date(2027, 1, 11))
    promise(job, FIRST, SECOND, third)
    _, part = told(job)
    moves = part.split("How it moved, and why")[1]
    newest, oldest = moves.index("9 days earlier"), moves.index("8 days later")
    assert newest < oldest
    assert "No reason was noted" in moves[newest:oldest]
    assert FIRST_WORDS in moves[oldest:]
    assert "Waiting for parts: 4 days longer." in moves[oldest:]


@pytest.mark.parametrize(
    ("kind", "waits", "after"),
    [
        (HoldKind.ANSWER, "for your answer", "Once you answer"),
        (HoldKind.PAYMENT, "for the payment", "Once it is here"),
    ],
)
def test_while_we_wait_for_the_customer_the_clock_stands_still(told, kind, waits, after):
    job = make_job(stage="stripped", now=timezone.now() - timedelta(days=30))
    promise(job, FIRST)
    forecast(job)
    hold(job, kind=kind, days_ago=3)
    state, part = told(job)
    assert state is WhenState.STOPPED
    assert "The clock stands still" in part
    for words in (
        f"We have waited {waits} since",
        "3 days so far",
        "the days do not count",
        after,
        FIRST_WORDS,
    ):
        assert words in part
    assert RANGE_WORDS not in part


def test_a_wait_that_is_over_is_told_apart_from_the_range(told):
    job = make_job(stage="inspected", now=timezone.now() - timedelta(days=30))
    asked_at = timezone.now() - timedelta(days=5)
    answers.ask_question(job.number, text="Which way?", actor=WORKSHOP, now=asked_at, expected_count=None)
    hold(job, kind=HoldKind.ANSWER, days_ago=5)
    answers.answer_question(job.number, text="Left.", actor=OWNER, now=asked_at + timedelta(days=4))
    promise(job, FIRST)
    state, part = told(job)
    assert state is WhenState.PROMISED
    assert "4 days for your answer. These days do not count." in part
    assert "The clock stands still" not in part


@pytest.mark.parametrize("kind", [HoldKind.PARTS, HoldKind.OUTSIDE])
def test_parts_and_outside_trades_count_on_the_shop_s_side(told, kind):
    job = make_job(stage="stripped")
    promise(job, FIRST)
    hold(job, kind=kind, expected_on=date(2027, 1, 6))
    state, part = told(job)
    assert state is WhenState.PROMISED
    assert "counts on our side" in part
    assert "Wednesday 6 January 2027" in part
    assert "The clock stands still" not in part


def test_a_refused_forecast_leaves_the_promise_and_hides_the_stale_range(told):
    job = make_job(stage="stripped")
    promise(job, FIRST)
    forecast(job)
    ForecastRun.objects.create(computed_at=timezone.now(), log_mark=0, overview={"refusal": "No hours."})
    state, part = told(job)
    assert state is WhenState.REFUSED
    assert "what we promised stands" in part
    assert FIRST_WORDS in part
    assert RANGE_WORDS not in part
    assert "Queue at the fuel bench" not in part


def test_a_refused_forecast_without_a_promise_gives_no_range(told):
    job = make_job(stage="arrived")
    forecast(job)
    ForecastRun.objects.create(computed_at=timezone.now(), log_mark=0, overview={"refusal": "No hours."})
    state, part = told(job)
    assert state is WhenState.REFUSED
    assert "We cannot work out a range at the moment" in part
    assert "between" not in part


def test_packed_it_goes_to_the_carrier_next(told):
    job = make_job(stage="packed")
    state, part = told(job)
    assert state is WhenState.PACKED
    assert "goes to the carrier next" in part


@pytest.mark.parametrize(
    ("days_off", "words"),
    [
        (0, "That was within the range we promised"),
        (-30, "That was before the range we promised"),
        (3, "That was 3 days after the range we promised"),
        (1, "That was 1 day after the range we promised"),
    ],
)
def test_once_sent_back_it_is_told_in_the_past_and_against_the_promise(told, days_off, words):
    job = make_job(stage="packed")
    packed_on = timezone.localdate(job.stage_since)
    latest_on = packed_on - timedelta(days=days_off)
    promise(job, Promise(latest_on - timedelta(days=8), latest_on - timedelta(days=4), latest_on))
    dispatch.send_back(
        job.number,
        on=packed_on + timedelta(days=2),
        carrier="",
        tracking_number="",
        actor=WORKSHOP,
        now=timezone.now(),
        expected_count=None,
    )
    state, part = told(job)
    assert state is WhenState.GONE
    assert "When it went back" in part
    assert "It was handed to the carrier on" in part
    assert "after it was packed on" in part
    assert words in part
    assert "What would change it" not in part


@pytest.mark.parametrize("stage", ["declined"])
def test_what_never_came_has_no_date(told, stage):
    state, part = told(make_job(stage=stage))
    assert (state, part) == (WhenState.NONE, "")


def test_the_confirmation_tells_when_it_would_be_back_and_from_when_that_counts(shop, let_in):
    job = make_job(stage="booked")
    FamilyForecast.objects.create(family=job.family, computed_at=timezone.now(), **RANGE)
    page = let_in(job).get(f"/job/{job.number}/sent/").content.decode()
    assert "between Thursday 11 February and Thursday 25 February 2027" in page
    assert "your box here by about" in page


def test_the_start_page_says_which_days_do_not_count(shop, client):
    page = client.get("/").content.decode()
    assert "the days do not count" in page


def test_what_would_bring_it_forward_is_told_beside_what_takes_the_time(told):
    job = make_job(stage="stripped")
    forecast(job)
    gain = {
        "kind": "parts",
        "working_days": 3.0,
        "sentence": "With all parts on the shelf it would be done 3 days earlier.",
        "work_centre": "",
    }
    OutlookPart.objects.create(
        part="contributions",
        run_at=timezone.now(),
        computed_at=timezone.now(),
        content={"jobs": {job.number: [gain]}, "families": {}},
    )
    _state, part = told(job)
    assert "Queue at the fuel bench: 4 days." in part
    assert gain["sentence"] in part


def test_what_stands_at_a_bench_already_passed_is_no_longer_told(told):
    job = make_job(stage="assembled")
    forecast(job)
    gains = [
        {"kind": "queue", "working_days": days, "sentence": f"Without {centre}.", "work_centre": centre}
        for days, centre in ((3.0, "strip_bench"), (2.0, "test_stand"))
    ]
    OutlookPart.objects.create(
        part="contributions",
        run_at=timezone.now(),
        computed_at=timezone.now(),
        content={"jobs": {job.number: gains}, "families": {}},
    )
    _state, part = told(job)
    assert "Without test_stand." in part
    assert "strip_bench" not in part


def test_once_tested_nothing_found_inside_can_move_the_day(told):
    job = make_job(stage="tested")
    forecast(job)
    promise(job, FIRST)
    _state, part = told(job)
    assert "Only the second look, the payment where one is open, and the packing" in part
    assert "extra work" not in part


def test_once_signed_off_no_second_look_is_said_to_be_ahead(told):
    job = make_job(stage="signed_off")
    forecast(job)
    promise(job, FIRST)
    _state, part = told(job)
    assert "Only the payment, where one is open, and the packing" in part
    assert "second look" not in part


@pytest.mark.parametrize(
    ("days_ahead", "words"),
    [(5, "We expect to go on with it about"), (-5, "That day is past, and we know no new one yet.")],
)
def test_a_day_on_which_the_parts_should_have_come_is_not_told_as_still_to_come(told, days_ahead, words):
    job = make_job(stage="cleaned")
    forecast(job)
    promise(job, FIRST)
    expected_on = timezone.localdate() + timedelta(days=days_ahead)
    hold(job, kind=HoldKind.PARTS, days_ago=9, expected_on=expected_on)
    said = told(job)[1]
    assert words in said
    assert ("We expect to go on" in said) == (days_ahead > 0)


def test_a_range_of_a_single_day_speaks_of_that_day_and_not_of_the_later_one(told):
    job = make_job(stage="tested")
    forecast(job)
    promise(job, Promise(*[FIRST.latest_on] * 3))
    _state, part = told(job)
    assert "by that day" in part
    assert "the later day" not in part


@pytest.mark.parametrize(("moved_days", "is_told"), [(1, False), (2, True)])
def test_today_s_range_stands_beside_the_promise_once_it_has_moved_by_more_than_a_day(
    told, moved_days, is_told
):
    job = make_job(stage="cleaned")
    forecast(job)
    last_on = RANGE["latest_on"] + timedelta(days=moved_days)
    promise(job, Promise(RANGE["earliest_on"], RANGE["likely_on"], last_on))
    assert ("As things stand today" in told(job)[1]) == is_told
