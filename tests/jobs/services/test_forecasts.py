"""Stored forecasts: when they are computed, what they promise, and when a promise moves."""

import re
from datetime import timedelta

import pytest

from jobs.demo.five_people import FAMILIES
from jobs.domain.shop import ShopKind
from jobs.domain.stages import HoldKind
from jobs.models import FamilyForecast, ForecastRun, Job, JobEvent, JobForecast, OutboxMessage, ShopRevision
from jobs.selectors.bench import latest_if_added
from jobs.services import answers, bench, corrections, extra_work, forecasts, shop
from tests.factories import NOW, OWNER, WORKSHOP, make_job, open_shop

pytestmark = pytest.mark.django_db
LATER = NOW + timedelta(days=6)
WHO = {"actor": WORKSHOP, "now": LATER, "expected_count": None}


@pytest.fixture(autouse=True)
def _few_runs(monkeypatch):
    monkeypatch.setattr(forecasts, "REPLICATIONS", 40)


def promises(job):
    kinds = ("promise_made", "promise_changed")
    events = JobEvent.objects.filter(job=job, kind__in=kinds).order_by("number")
    return list(events.values_list("kind", flat=True))


def mails(job):
    return list(
        OutboxMessage.objects.filter(job=job, kind__startswith="promise")
        .order_by("pk")
        .values_list("kind", flat=True)
    )


def test_a_run_stores_a_range_for_every_job_and_every_family():
    here, coming = make_job(stage="inspected"), make_job(stage="posted", name="Bram Dunnage")
    make_job(stage="closed", name="Celia Hawkridge")
    forecasts.refresh(now=LATER)
    assert set(JobForecast.objects.values_list("job", flat=True)) == {here.pk, coming.pk}
    assert set(FamilyForecast.objects.values_list("family", flat=True)) == set(FAMILIES)
    rows = [*JobForecast.objects.all(), *FamilyForecast.objects.all()]
    for row in rows:
        assert LATER.date() <= row.earliest_on <= row.likely_on <= row.latest_on
        assert row.computed_at == LATER
        assert row.reasons
    run = ForecastRun.objects.get()
    assert run.overview["centres"]
    assert "refusal" not in run.overview


def test_a_later_run_replaces_the_ranges():
    make_job(stage="inspected")
    forecasts.refresh(now=LATER)
    forecasts.refresh(now=LATER + timedelta(days=1))
    assert JobForecast.objects.get().computed_at == LATER + timedelta(days=1)
    assert FamilyForecast.objects.count() == len(FAMILIES)


@pytest.mark.parametrize("stage", ["cleared", "posted", "arrived"])
def test_nothing_is_promised_before_the_unit_was_inspected(stage):
    job = make_job(stage=stage)
    forecasts.refresh(now=LATER)
    assert promises(job) == []


def test_a_promise_is_made_once_the_unit_was_inspected_and_mailed_once():
    job = make_job(stage="inspected")
    forecasts.refresh(now=LATER)
    forecasts.refresh(now=LATER)
    job.refresh_from_db()
    found = JobForecast.objects.get()
    assert promises(job) == ["promise_made"]
    assert mails(job) == ["promise"]
    assert (job.promise_earliest_on, job.promise_latest_on) == (found.earliest_on, found.latest_on)


def test_a_promise_that_slips_by_days_is_moved_and_mailed_once_with_its_reasons():
    job = make_job(stage="inspected")
    forecasts.refresh(now=LATER)
    bench.hold_job(job.number, hold=HoldKind.OUTSIDE, reason="A winding, outside", expected_on=None, **WHO)
    much_later = LATER + timedelta(days=40)
    forecasts.refresh(now=much_later)
    forecasts.refresh(now=much_later)
    job.refresh_from_db()
    assert promises(job) == ["promise_made", "promise_changed"]
    assert mails(job) == ["promise", "promise_changed"]
    assert job.promise_latest_on > much_later.date()
    moved = JobEvent.objects.get(job=job, kind="promise_changed")
    assert moved.actor_role == "system"
    assert moved.facts["reasons"]


def test_a_moved_promise_names_what_took_longer():
    job = make_job(stage="inspected")
    forecasts.refresh(now=LATER)
    bench.hold_job(job.number, hold=HoldKind.ANSWER, reason="Which jet?", expected_on=None, **WHO)
    answered = LATER + timedelta(days=40)
    forecasts.refresh(now=answered)
    assert promises(job) == ["promise_made"]
    bench.release_job(job.number, note="", actor=WORKSHOP, now=answered, expected_count=None)
    forecasts.refresh(now=answered)
    moved = JobEvent.objects.get(job=job, kind="promise_changed")
    told = r"Your answer, if we have to ask: about (\d+) working days longer than we had counted on\."
    longest = re.fullmatch(told, moved.facts["reasons"][0])
    assert longest is not None
    # Forty days are some thirty working days; a few were counted on at first, and a few more may come.
    assert 22 <= int(longest[1]) <= 45


def held_outside():
    """Return a job whose promise counts on weeks with an outside trade; the unit comes the next day."""
    job = make_job(stage="inspected")
    bench.hold_job(job.number, hold=HoldKind.OUTSIDE, reason="A winding", expected_on=None, **WHO)
    forecasts.refresh(now=LATER)
    back = {"actor": WORKSHOP, "now": LATER + timedelta(days=1), "expected_count": None}
    bench.release_job(job.number, note="", **back)
    job.refresh_from_db()
    Job.objects.filter(pk=job.pk).update(promise_latest_on=job.promise_latest_on + timedelta(days=14))
    return job


def test_a_date_that_comes_forward_by_more_than_a_week_is_told_once_the_promise_has_stood_for_one():
    job = held_outside()
    forecasts.refresh(now=LATER + timedelta(days=6, hours=23))
    assert promises(job) == ["promise_made"]
    for hours in (0, 0.2, 1):
        forecasts.refresh(now=LATER + timedelta(days=7, hours=hours))
    assert promises(job) == ["promise_made", "promise_changed"]
    assert mails(job) == ["promise", "promise_changed"]
    moved = JobEvent.objects.get(job=job, kind="promise_changed")
    assert any("outside trade" in words and "less than" in words for words in moved.facts["reasons"])


@pytest.mark.parametrize(("later_days", "moves"), [(-7, 0), (3, 0), (4, 1)])
def test_a_promise_moves_only_by_more_than_three_days_later_or_seven_earlier(later_days, moves):
    job = make_job(stage="inspected")
    forecasts.refresh(now=LATER)
    settled = LATER + timedelta(days=8)
    forecasts.refresh(now=settled)
    answers.ask_question(job.number, text="Which jet?", actor=WORKSHOP, now=settled, expected_count=None)
    answers.answer_question(job.number, text="The small one.", actor=OWNER, now=settled)
    before = len(promises(job))
    promised = JobForecast.objects.get().latest_on - timedelta(days=later_days)
    Job.objects.filter(pk=job.pk).update(promise_latest_on=promised)
    forecasts.refresh(now=settled)
    assert len(promises(job)) == before + moves


def slipping(job, *, now):
    """Let the forecast of a job lie five days behind its promise."""
    forecasts.refresh(now=now)
    promised = JobForecast.objects.get(job=job).latest_on - timedelta(days=5)
    Job.objects.filter(pk=job.pk).update(
        promise_earliest_on=promised, promise_likely_on=promised, promise_latest_on=promised
    )
    forecasts.refresh(now=now)


def test_a_promise_does_not_follow_every_forecast_but_stands_for_a_week():
    job = make_job(stage="inspected")
    forecasts.refresh(now=LATER)
    for hours in (1, 20, 7 * 24 - 1):
        slipping(job, now=LATER + timedelta(hours=hours))
        assert promises(job) == ["promise_made"]
    slipping(job, now=LATER + timedelta(days=7))
    assert promises(job) == ["promise_made", "promise_changed"]
    slipping(job, now=LATER + timedelta(days=13))
    assert promises(job) == ["promise_made", "promise_changed"]


def test_news_of_the_unit_moves_its_promise_at_once_and_only_once():
    job = make_job(stage="inspected")
    forecasts.refresh(now=LATER)
    bench.hold_job(job.number, hold=HoldKind.OUTSIDE, reason="A winding, outside", expected_on=None, **WHO)
    slipping(job, now=LATER + timedelta(hours=2))
    assert promises(job) == ["promise_made", "promise_changed"]
    slipping(job, now=LATER + timedelta(hours=4))
    assert promises(job) == ["promise_made", "promise_changed"]
    bench.release_job(
        job.number, note="", actor=WORKSHOP, now=LATER + timedelta(hours=5), expected_count=None
    )
    slipping(job, now=LATER + timedelta(hours=6))
    assert promises(job) == ["promise_made", "promise_changed", "promise_changed"]


def test_news_that_was_taken_back_moves_no_promise():
    job = make_job(stage="inspected")
    forecasts.refresh(now=LATER)
    bench.hold_job(job.number, hold=HoldKind.OUTSIDE, reason="Another unit's", expected_on=None, **WHO)
    corrections.take_back_last_step(job.number, reason="it was another unit", **WHO)
    slipping(job, now=LATER + timedelta(hours=2))
    assert promises(job) == ["promise_made"]


@pytest.mark.parametrize("kind", [HoldKind.ANSWER, HoldKind.PAYMENT])
def test_a_promise_stands_still_while_the_customer_is_asked(kind):
    job = make_job(stage="inspected")
    bench.hold_job(job.number, hold=kind, reason="Yours to say", expected_on=None, **WHO)
    forecasts.refresh(now=LATER)
    assert promises(job) == []


def test_a_shop_without_hours_keeps_the_reason_in_a_sentence():
    job = make_job(stage="inspected")
    shop.withdraw_document("hours", kind=ShopKind.HOURS, based_on=1, note="", actor=OWNER, now=LATER)
    forecasts.refresh(now=LATER)
    assert "working hours" in ForecastRun.objects.get().overview["refusal"]
    assert promises(job) == []


def test_a_shop_that_is_not_set_up_says_so():
    forecasts.refresh(now=NOW)
    assert not ShopRevision.objects.exists()
    assert "The owner sets them" in ForecastRun.objects.get().overview["refusal"]


def test_forecasts_are_computed_again_after_a_change_that_has_settled():
    job = make_job(stage="arrived")
    assert forecasts.refresh_if_stale(now=LATER)
    assert not forecasts.refresh_if_stale(now=LATER + timedelta(minutes=5))
    changed_at = LATER + timedelta(minutes=6)
    bench.hold_job(
        job.number,
        hold=HoldKind.PARTS,
        reason="A float",
        expected_on=None,
        actor=WORKSHOP,
        now=changed_at,
        expected_count=None,
    )
    assert not forecasts.refresh_if_stale(now=changed_at + timedelta(seconds=4))
    assert forecasts.refresh_if_stale(now=changed_at + timedelta(seconds=6))


def test_without_any_change_they_are_computed_again_after_six_hours():
    open_shop()
    assert forecasts.refresh_if_stale(now=NOW)
    assert not forecasts.refresh_if_stale(now=NOW + timedelta(hours=5, minutes=59))
    assert forecasts.refresh_if_stale(now=NOW + timedelta(hours=6))


def test_old_runs_are_dropped(monkeypatch):
    monkeypatch.setattr(forecasts, "KEEP_RUNS", 2)
    open_shop()
    for day in range(4):
        forecasts.refresh(now=NOW + timedelta(days=day))
    kept = ForecastRun.objects.order_by("computed_at").values_list("computed_at", flat=True)
    assert list(kept) == [NOW + timedelta(days=2), NOW + timedelta(days=3)]


def test_a_fault_in_one_promise_does_not_keep_the_others_from_theirs():
    odd, sound = make_job(stage="inspected"), make_job(stage="inspected", name="Bram Dunnage")
    # Its log is broken: the event that comes next is there already.
    JobEvent.objects.create(
        job=odd, number=odd.event_count + 1, kind="work_paused", facts={"note": ""},
        facts_version=1, actor_role="workshop", happened_at=LATER, recorded_at=LATER,
    )  # fmt: skip
    forecasts.refresh(now=LATER)
    assert promises(sound) == ["promise_made"]


def test_no_day_is_told_with_extra_work_while_the_shop_cannot_be_forecast():
    job = make_job(stage="stripped", spend_limit_pence=0)
    forecasts.refresh(now=LATER)
    assert latest_if_added(job, added_work_days=4, now=LATER) is not None
    refused_at = LATER + timedelta(hours=1)
    ForecastRun.objects.create(computed_at=refused_at, log_mark=0, overview={"refusal": "No bench is left."})
    assert latest_if_added(job, added_work_days=4, now=refused_at) is None


def test_a_forecast_that_is_days_old_gives_way_to_the_promise():
    job = make_job(stage="stripped", spend_limit_pence=0)
    forecasts.refresh(now=LATER)
    job.refresh_from_db()
    late_on = job.promise_latest_on + timedelta(days=60)
    JobForecast.objects.filter(job=job).update(latest_on=late_on)
    soon, days_later = (
        latest_if_added(job, added_work_days=1, now=LATER + timedelta(days=days)) for days in (2, 4)
    )
    assert days_later < late_on < soon


def test_the_day_told_with_extra_work_is_the_one_forecast_after_the_yes():
    job = make_job(stage="stripped", spend_limit_pence=0)
    forecasts.refresh(now=LATER)
    told = latest_if_added(job, added_work_days=4, now=LATER)
    without = JobForecast.objects.get(job=job).latest_on
    extra_work.ask_extra_work(
        job.number,
        lines=(extra_work.ExtraLine("Re-bush the spindle", 6400),),
        added_work_days=4,
        latest_on_if_approved=told,
        **WHO,
    )
    extra_work.decide_extra_work(
        job.number, extra_work=1, decision="approved", note="", actor=OWNER, now=LATER + timedelta(minutes=3)
    )
    forecasts.refresh(now=LATER + timedelta(minutes=5))
    found = JobForecast.objects.get(job=job).latest_on
    assert told > without
    assert abs(found - told) <= timedelta(days=1)
