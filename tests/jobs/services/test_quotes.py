"""Quotes that are kept: at which moments, how often, what came of them, and what they do to the next one."""

from datetime import timedelta

import pytest
from django.db import IntegrityError, transaction

from jobs.domain.stages import HoldKind
from jobs.leadtime.ranges import LEVELS, QuotedLevels
from jobs.models import (
    FamilyForecast,
    ForecastRun,
    Job,
    JobEvent,
    JobForecast,
    KeptQuote,
    QuoteRefusal,
    ShopRevision,
)
from jobs.selectors import quotes as kept
from jobs.selectors import shop as shop_selector
from jobs.selectors.quotes import ON_ARRIVAL, Moment, past_quotes, replay_progress
from jobs.services import bench, corrections, dispatch, forecasts, quotes
from jobs.services._claims import LEASE, claimed
from tests.factories import NOW, WORKSHOP, make_job, open_shop

pytestmark = pytest.mark.django_db
LATER = NOW + timedelta(days=6)
WHO = {"actor": WORKSHOP, "expected_count": None}
FAR_TOO_SHORT = [0.01 * step for step in range(1, 20)]


@pytest.fixture(autouse=True)
def _few_runs(monkeypatch):
    monkeypatch.setattr(forecasts, "REPLICATIONS", 40)
    monkeypatch.setattr(quotes, "REPLICATIONS", 40)
    monkeypatch.setattr(kept, "LEAST_BEFORE", 2)


def moments():
    return list(KeptQuote.objects.order_by("pk").values_list("moment", flat=True))


def past(*which, now):
    return past_quotes(which or ON_ARRIVAL, hours=shop_selector.working_hours(), now=now)


def keep(job, *, hours, at, moment="arrival", family="carburettor"):
    return KeptQuote.objects.create(
        job=job, moment=moment, family=family, computed_at=at, earliest_on=at.date(), likely_on=at.date(),
        latest_on=at.date(), based_on="seed", quantile_hours=list(hours), quoted_levels=[0.1, 0.5, 0.8, 0.9],
    )  # fmt: skip


def test_the_first_forecast_after_arrival_is_kept_and_no_later_one():
    job = make_job(stage="arrived")
    forecasts.refresh(now=LATER)
    forecasts.refresh(now=LATER + timedelta(hours=8))
    (quote,) = KeptQuote.objects.all()
    assert (quote.job, quote.moment, quote.computed_at, quote.family) == (
        job,
        "arrival",
        LATER,
        "carburettor",
    )
    assert len(quote.quantile_hours) == len(LEVELS)
    assert quote.quoted_levels == [0.1, 0.5, 0.8, 0.9]
    assert quote.reasons


@pytest.mark.parametrize("stage", ["cleared", "posted"])
def test_nothing_is_kept_of_a_unit_that_is_not_here(stage):
    make_job(stage=stage)
    forecasts.refresh(now=LATER)
    assert moments() == []


def test_a_forecast_made_days_after_arrival_is_not_called_one_made_on_arrival():
    make_job(stage="arrived")
    forecasts.refresh(now=LATER + timedelta(days=4))
    assert moments() == []


def test_the_forecast_behind_each_promise_is_kept_with_its_event():
    job = make_job(stage="inspected")
    forecasts.refresh(now=LATER)
    forecasts.refresh(now=LATER)
    promise = JobEvent.objects.get(job=job, kind="promise_made")
    quote = KeptQuote.objects.get(moment="promise")
    assert (quote.event_number, quote.latest_on.isoformat()) == (promise.number, promise.facts["latest_on"])
    assert sorted(moments()) == ["arrival", "promise"]


def test_the_database_keeps_one_quote_on_arrival_for_each_job():
    job = make_job(stage="arrived")
    keep(job, hours=range(19), at=LATER)
    with pytest.raises(IntegrityError), transaction.atomic():
        keep(job, hours=range(19), at=LATER, moment="replayed")
    with pytest.raises(IntegrityError), transaction.atomic():
        keep(job, hours=range(19), at=LATER, moment="promise")


def test_what_came_of_a_quote_is_read_from_the_log():
    job = make_job(stage="packed")
    keep(job, hours=range(19), at=job.arrived_at)
    packed_at = JobEvent.objects.get(job=job, kind="packed").happened_at
    assert [quote.finished_at for quote in past(now=LATER + timedelta(days=9))] == [packed_at]
    corrections.take_back_last_step(job.number, reason="wrong box", now=LATER + timedelta(days=1), **WHO)
    assert [quote.finished_at for quote in past(now=LATER + timedelta(days=9))] == [None]


def test_a_unit_that_went_back_unrepaired_says_nothing_about_its_quote():
    job = make_job(stage="stripped")
    keep(job, hours=range(19), at=NOW)
    assert len(past(now=LATER)) == 1
    dispatch.check_bench_fluid(job.number, smells=False, now=LATER, **WHO)
    parcel = {"on": LATER.date(), "carrier": "", "tracking_number": "", "reason": "It is cracked."}
    dispatch.return_unrepaired(job.number, **parcel, now=LATER, **WHO)
    assert past(now=LATER) == ()


@pytest.mark.parametrize(("hold", "stopped_days"), [(HoldKind.ANSWER, 2), (HoldKind.PARTS, 0)])
def test_time_spent_waiting_for_the_customer_is_told_apart(hold, stopped_days):
    job = make_job(stage="inspected")
    monday = NOW + timedelta(days=13)
    keep(job, hours=range(19), at=monday - timedelta(days=1))
    bench.hold_job(job.number, hold=hold, reason="Which jet?", expected_on=None, now=monday, **WHO)
    bench.release_job(job.number, note="", now=monday + timedelta(days=2), **WHO)
    (quote,) = past(now=monday + timedelta(days=9))
    day_h = 8.5
    assert quote.stopped_hours == pytest.approx(stopped_days * day_h, abs=2 * 1.0)
    assert (quote.stopped_hours > 0) is (stopped_days > 0)


def test_families_whose_quotes_came_late_are_quoted_later():
    open_shop()
    for at in range(12):
        job = make_job(stage="packed", name=f"Ada Thornby {at}", now=NOW - timedelta(days=90 - at))
        keep(job, hours=FAR_TOO_SHORT, at=job.arrived_at - timedelta(days=7))
    KeptQuote.objects.update(moment="promise", event_number=1)
    forecasts.refresh(now=NOW)
    trusted = FamilyForecast.objects.get(family="carburettor").latest_on
    assert ForecastRun.objects.latest("computed_at").overview["record"]["levels"][0]["levels"]["high"] == 0.8
    KeptQuote.objects.filter(moment="promise").update(moment="arrival", event_number=None)
    forecasts.refresh(now=NOW)
    moved = FamilyForecast.objects.get(family="carburettor").latest_on
    record = kept.record_of(ForecastRun.objects.latest("computed_at"))
    assert record.levels[0].levels.high == pytest.approx((12 * 1.0 + 30 * 0.8) / 42, abs=0.01)
    assert (record.levels[0].quotes, record.families[0].covered_80_share) == (12, 0.0)
    assert moved > trusted


def test_a_job_in_the_shop_is_quoted_by_its_familys_record_too():
    late = [make_job(stage="packed", name=f"Ada Thornby {at}") for at in range(8)]
    here = make_job(stage="stripped")
    forecasts.refresh(now=LATER)
    trusted = JobForecast.objects.get(job=here).latest_on
    KeptQuote.objects.all().delete()
    for job in late:
        keep(job, hours=FAR_TOO_SHORT, at=job.arrived_at - timedelta(days=7))
    forecasts.refresh(now=LATER)
    assert KeptQuote.objects.get(job=here, moment="arrival").quoted_levels[2] > 0.8 + 0.02
    assert JobForecast.objects.get(job=here).latest_on >= trusted  # two near levels may fall on one day


def seeded_past(count=6):
    for at in range(count):
        make_job(stage="packed", name=f"Ada Thornby {at}", now=NOW - timedelta(days=40 - 2 * at))


def test_units_that_came_before_quotes_were_kept_get_one_worked_out_each_once():
    seeded_past()
    made = []
    while some := quotes.make_up_some(now=LATER, most=3):
        made.append(some)
    assert made == [3, 1]
    rows = KeptQuote.objects.filter(moment="replayed").select_related("job")
    assert all(row.computed_at == row.job.arrived_at for row in rows)
    assert len({row.job_id for row in rows}) == 4
    # The first two units came before anything was known.
    assert set(Job.objects.order_by("arrived_at")[:2]) & {row.job for row in rows} == set()


def test_nothing_is_made_up_for_units_that_came_after_the_first_quote_was_kept():
    seeded_past()
    make_job(stage="arrived", name="Bram Dunnage")
    forecasts.refresh(now=LATER)
    make_job(stage="packed", name="Celia Hawkridge", now=LATER)
    progress = replay_progress(families=["carburettor"], now=LATER + timedelta(days=20))
    assert (progress.done, progress.wanted) == (0, 4)


def test_no_more_quotes_are_made_up_than_are_wanted(monkeypatch):
    monkeypatch.setattr(kept, "MOST_REPLAYED", 2)
    seeded_past()
    assert quotes.make_up_some(now=LATER) == 2
    assert quotes.make_up_some(now=LATER) == 0
    assert quotes.make_up_some(now=LATER + timedelta(days=30)) == 0


def test_a_shop_that_is_not_set_up_makes_nothing_up():
    assert quotes.make_up_some(now=NOW) == 0


def test_forecasts_are_computed_again_when_quotes_were_made_up():
    seeded_past()
    forecasts.refresh(now=LATER)
    later = LATER + timedelta(minutes=5)
    assert not forecasts.refresh_if_stale(now=later)
    quotes.make_up_some(now=later)
    assert forecasts.refresh_if_stale(now=later)
    assert not forecasts.refresh_if_stale(now=later + timedelta(minutes=5))
    found = kept.record_of(ForecastRun.objects.latest("computed_at"))
    assert (found.quotes, found.replayed) == (4, 4)


def test_promises_are_judged_apart_from_quotes_on_arrival():
    keep(make_job(stage="packed"), hours=range(19), at=NOW)
    promise = keep(make_job(stage="packed"), hours=range(19), at=NOW, moment="replayed")
    KeptQuote.objects.filter(pk=promise.pk).update(moment="promise", event_number=9)
    assert len(past(now=LATER)) == 1
    assert len(past(Moment.PROMISE, now=LATER)) == 1
    assert past(now=LATER)[0].levels == QuotedLevels()


def test_a_unit_for_which_nothing_can_be_worked_out_is_tried_once_and_the_others_are_kept():
    seeded_past()
    untold = make_job(stage="posted", name="Bram Dunnage")
    Job.objects.filter(pk=untold.pk).update(arrived_at=NOW - timedelta(days=20))
    assert quotes.make_up_some(now=LATER) == 5
    assert quotes.make_up_some(now=LATER + timedelta(minutes=1)) == 0
    refusal = QuoteRefusal.objects.get()
    assert (refusal.job, "replay_jobs" in refusal.sentence) == (untold, True)
    progress = replay_progress(families=["carburettor"], now=LATER)
    assert (progress.done, progress.wanted, progress.refused) == (4, 4, 1)


def test_what_could_not_be_worked_out_is_tried_again_once_the_shop_has_changed():
    seeded_past()
    job = Job.objects.order_by("arrived_at").last()
    at = ShopRevision.objects.latest("published_at").published_at
    QuoteRefusal.objects.create(job=job, sentence="No bench.", refused_at=at + timedelta(minutes=1))
    assert quotes.make_up_some(now=LATER) == 3
    QuoteRefusal.objects.update(refused_at=at - timedelta(minutes=1))
    assert quotes.make_up_some(now=LATER) == 1


def test_work_that_another_worker_is_at_is_left_to_it():
    seeded_past()
    with claimed("quotes", now=LATER):
        assert quotes.make_up_some(now=LATER) == 0
        assert quotes.make_up_some(now=LATER + LEASE) == 4


def test_two_holds_without_a_release_between_count_both_for_the_customer():
    job = make_job(stage="inspected")
    monday = NOW + timedelta(days=13)
    keep(job, hours=range(19), at=monday - timedelta(days=1))
    for day, hold in enumerate((HoldKind.ANSWER, HoldKind.PAYMENT)):
        facts = {"hold": hold.value, "reason": "It waits."}
        JobEvent.objects.create(
            job=job, number=90 + day, kind="held", facts=facts, facts_version=1, actor_role="workshop",
            happened_at=monday + timedelta(days=day), recorded_at=monday + timedelta(days=day),
        )  # fmt: skip
    (quote,) = past(now=monday + timedelta(days=2))
    assert quote.stopped_hours == pytest.approx(2 * 8.5, abs=2 * 1.0)
