"""What is stored beside the dates: which parts, when again, and what an odd shop gets."""

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta

import pytest

from jobs.demo.five_people import FAMILIES, five_people_shop
from jobs.domain.shop import ShopKind
from jobs.domain.stages import HoldKind
from jobs.leadtime.clock import Closure
from jobs.leadtime.intake import Sending
from jobs.models import ForecastRun, Job, OutlookPart
from jobs.selectors import outlook
from jobs.services import bench, forecasts, outlooks, shop
from jobs.services._claims import LEASE, claimed
from packing.errors import CatalogueError
from packing.plain import to_plain
from packing.selectors import catalogue
from tests.factories import NOW, OWNER, WORKSHOP, make_job, open_shop, publish

pytestmark = pytest.mark.django_db
LATER = NOW + timedelta(days=6)
SOON = LATER + timedelta(minutes=2)
PARTS = {"weeks", "newcomers", "starts", "contributions"}


@pytest.fixture(autouse=True)
def _few_runs(monkeypatch):
    monkeypatch.setattr(forecasts, "REPLICATIONS", 40)
    for name in ("WEEKS", "CURVE", "CONTRIBUTION", "START"):
        monkeypatch.setattr(outlooks, f"{name}_REPLICATIONS", 30)
    monkeypatch.setattr(outlooks, "CURVE_DAYS", 21)


def refresh(now=LATER):
    forecasts.refresh(now=now)
    outlooks.refresh_all(now=now)


def parts():
    return set(OutlookPart.objects.filter(subject="").values_list("part", flat=True))


def test_every_part_is_stored_with_its_moment():
    job = make_job(stage="inspected")
    refresh()
    assert parts() == PARTS
    assert set(OutlookPart.objects.values_list("computed_at", flat=True)) == {LATER}
    found, refusal = outlook.weeks_ahead()
    assert (found.in_process_now, len(found.weeks), refusal) == (1, 12, "")
    calendar = outlook.intake_calendar(published=catalogue())
    assert {each.family for each in calendar.families} == set(FAMILIES)
    assert all(len(each.curve.days) == 22 and each.advice for each in calendar.families)
    assert outlook.contributions_of(job.number)


def test_nobody_is_published_who_leaves_a_bench_empty_on_every_open_day():
    open_shop()
    bench_slug = five_people_shop().centres[0].slug
    alone = to_plain(five_people_shop().centres[0]) | {"people": ["wren"]}
    shop.publish_document(alone, kind=ShopKind.WORK_CENTRE, based_on=1, note="", actor=OWNER, now=LATER)
    wren = next(to_plain(person) for person in five_people_shop().people if person.slug == "wren")
    off = ["monday", "tuesday", "wednesday", "thursday", "friday"]
    with pytest.raises(CatalogueError, match=f"{bench_slug}.people: nobody who works there"):
        shop.publish_document(
            wren | {"days_off": off}, kind=ShopKind.PERSON, based_on=1, note="", actor=OWNER, now=LATER
        )


def test_one_part_is_worked_out_at_a_time():
    make_job(stage="inspected")
    forecasts.refresh(now=LATER)
    seen = []
    while outlooks.refresh_next(now=LATER):
        seen.append(len(parts()))
    assert seen == [1, 2, 3]
    assert outlooks.refresh_next(now=LATER) is False


def test_a_new_run_brings_the_weeks_up_to_date_and_spares_the_costly_parts():
    make_job(stage="inspected")
    refresh()
    refresh(now=SOON)
    fresh = OutlookPart.objects.filter(computed_at=SOON).values_list("part", flat=True)
    assert set(fresh) == {"weeks"}
    refresh(now=LATER + timedelta(minutes=20))
    stale = OutlookPart.objects.filter(computed_at__lt=LATER + timedelta(minutes=20))
    assert not stale.exists()


def test_a_changed_shop_is_worked_out_at_once():
    make_job(stage="inspected")
    refresh()
    bench_more = to_plain(five_people_shop().centres[0])
    shop.publish_document(
        bench_more | {"benches": 3}, kind=ShopKind.WORK_CENTRE, based_on=1, note="one more",
        actor=OWNER,        now=LATER + timedelta(minutes=1),
    )  # fmt: skip
    refresh(now=SOON)
    assert not OutlookPart.objects.filter(computed_at__lt=SOON).exists()


def test_the_chance_of_a_promise_is_stored_as_soon_as_it_is_made():
    job = make_job(stage="inspected")
    assert outlook.stakes().chances.by_number == {}
    refresh()
    promised = Job.objects.get(pk=job.pk).promise_latest_on
    assert promised is not None
    chances = outlook.stakes().chances
    assert 0.5 < chances.of(job.number, promised_on=promised) <= 1.0
    assert chances.of(job.number, promised_on=promised + timedelta(days=9)) is None


def test_an_empty_shop_has_weeks_and_advice():
    open_shop()
    refresh()
    found, _ = outlook.weeks_ahead()
    assert {week.in_process.high for week in found.weeks} == {0.0}
    advice = outlook.sending_advice("carburettor", now=LATER)
    assert advice.sending is Sending.NOW
    assert outlook.stakes().gains == {}


def test_a_shop_in_which_everything_is_held_is_worked_out():
    for name in ("Ada Thornby", "Bram Dunnage"):
        job = make_job(stage="inspected", name=name)
        bench.hold_job(
            job.number, hold=HoldKind.PARTS, reason="A float is on order.", expected_on=None, actor=WORKSHOP,
            now=LATER - timedelta(hours=1), expected_count=None,
        )  # fmt: skip
    refresh()
    found, _ = outlook.weeks_ahead()
    assert found.in_process_now == 2
    assert outlook.stakes().gains == {}


def test_a_closed_month_is_worked_out_with_no_output():
    make_job(stage="inspected")
    closed = five_people_shop().working_hours
    hours = to_plain(closed)
    closure = Closure(LATER.date(), LATER.date() + timedelta(days=34), "moving house")
    shop.publish_document(
        hours | {"closures": to_plain((*closed.closures, closure))}, kind=ShopKind.HOURS,
        based_on=1, note="closed", actor=OWNER, now=LATER - timedelta(hours=1),
    )  # fmt: skip
    refresh()
    found, _ = outlook.weeks_ahead()
    assert [week.open_hours for week in found.weeks[1:4]] == [0.0] * 3
    assert {week.output.high for week in found.weeks[1:4]} == {0.0}
    advice = outlook.sending_advice("carburettor", now=LATER)
    assert advice.back_by_now > LATER.date() + timedelta(days=34)


def test_a_shop_that_cannot_be_forecast_has_no_outlook():
    forecasts.refresh(now=LATER)
    refusal = ForecastRun.objects.get().overview["refusal"]
    assert outlooks.refresh_next(now=LATER) is False
    assert outlook.weeks_ahead() == (None, refusal)
    assert outlook.intake_calendar(published=catalogue()).families == ()


def test_a_week_is_over_when_it_is_over_at_the_shop():
    open_shop()
    refresh()
    monday = LATER.date() - timedelta(days=LATER.weekday())
    row = OutlookPart.objects.get(part="advice", subject="magneto")
    row.content |= {"sending": "hold_on", "arrive_in_week": str(monday)}
    row.save()
    sunday_evening = datetime.combine(monday + timedelta(days=6), time(20), UTC)
    OutlookPart.objects.update(computed_at=sunday_evening)
    assert outlook.sending_advice("magneto", now=sunday_evening) is not None
    publish(ShopKind.HOURS, replace(five_people_shop().working_hours, time_zone="Pacific/Auckland"))
    assert outlook.sending_advice("magneto", now=sunday_evening) is None


def test_advice_for_a_week_that_is_over_is_not_given():
    open_shop()
    refresh()
    row = OutlookPart.objects.get(part="advice", subject="magneto")
    row.content |= {"sending": "hold_on", "arrive_in_week": str(LATER.date() - timedelta(days=14))}
    row.save()
    assert outlook.sending_advice("magneto", now=LATER) is None
    assert outlook.sending_advice("carburettor", now=LATER + timedelta(days=4)) is None
    assert outlook.sending_advice("carburettor", now=LATER + timedelta(days=2)) is not None


def test_a_row_of_another_shape_is_as_good_as_none():
    OutlookPart.objects.create(part="weeks", run_at=NOW, computed_at=NOW, content={"weeks": date.max.year})
    assert outlook.weeks_ahead() == (None, "")
    assert outlook.stakes().chances.by_number == {}


def test_weeks_from_before_a_refusal_are_not_shown():
    make_job(stage="inspected")
    refresh()
    assert outlook.weeks_ahead()[0] is not None
    ForecastRun.objects.create(computed_at=SOON, log_mark=0, overview={"refusal": "No hours are set."})
    assert outlook.weeks_ahead() == (None, "No hours are set.")


def test_neither_stakes_nor_advice_from_before_a_refusal_are_told():
    make_job(stage="inspected")
    refresh()
    day = LATER.date() + timedelta(days=2)
    assert outlook.stakes().gains
    assert outlook.sending_advice("carburettor", now=LATER) is not None
    assert outlook.day_on_arrival("carburettor", arrives_on=day, now=LATER) is not None
    ForecastRun.objects.create(computed_at=SOON, log_mark=0, overview={"refusal": "No hours are set."})
    assert outlook.stakes() == outlook.Stakes(outlook.Chances({}), {}, None)
    assert outlook.sending_advice("carburettor", now=SOON) is None
    assert outlook.day_on_arrival("carburettor", arrives_on=day, now=SOON) is None


def test_what_costs_a_newcomer_time_is_stored_for_its_family():
    open_shop()
    refresh()
    assert outlook.contributions_of_family("injection_pump")
    assert outlook.contributions_of_family("unheard_of") == ()


def test_dates_of_newcomers_are_quoted_at_the_levels_of_the_newest_run():
    open_shop()
    refresh()
    trusted = outlook.intake_calendar(published=catalogue()).families
    run = ForecastRun.objects.get()
    late = {"low": 0.3, "likely": 0.8, "high": 0.97, "latest": 0.99}
    for row in run.overview["record"]["levels"]:
        row["levels"] = late
    run.computed_at = SOON
    run.save()
    outlooks.refresh_all(now=LATER + timedelta(minutes=20))
    moved = outlook.intake_calendar(published=catalogue()).families
    assert len(trusted) == len(moved) == len(FAMILIES)
    for before, after in zip(trusted, moved, strict=True):
        assert after.curve.days[0].lead_hours[1] > 1.1 * before.curve.days[0].lead_hours[1]


def test_a_part_that_another_worker_is_at_is_left_to_it_until_its_claim_runs_out():
    make_job(stage="inspected")
    forecasts.refresh(now=LATER)
    with claimed("outlook weeks", now=LATER):
        outlooks.refresh_all(now=LATER)
        assert parts() == PARTS - {"weeks"}
        outlooks.refresh_all(now=LATER + LEASE)
        assert parts() == PARTS


def test_a_forecast_that_another_worker_is_at_is_left_to_it():
    make_job(stage="inspected")
    with claimed("forecast", now=LATER):
        assert forecasts.refresh_if_stale(now=LATER) is False
    assert forecasts.refresh_if_stale(now=LATER) is True
