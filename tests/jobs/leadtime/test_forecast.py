from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from jobs.demo.five_people import FAMILIES
from jobs.domain.stages import HoldKind
from jobs.leadtime.clock import Closure, WorkingHours
from jobs.leadtime.errors import (
    NoOpeningHours,
    NoRoute,
    NotEnoughRuns,
    RouteUnusable,
)
from jobs.leadtime.event_loop import run_event_loop
from jobs.leadtime.forecast import forecast_newcomer, forecast_shop
from jobs.leadtime.history import StageVisit
from jobs.leadtime.ranges import BasedOn, QuotedLevels, ReasonKind, ShopForecast
from jobs.leadtime.routes import BenchStep, Person, Route, RouteStep, WorkCentre
from jobs.leadtime.state import ArrivalRate, LiveJob, Priority, ShopState
from jobs.leadtime.sweep import run_sweep
from packing.plain import from_plain, to_plain
from tests.jobs.leadtime.queues import by_number, queue_of
from tests.jobs.leadtime.shops import EIGHT_HOURS, NOW, busy_shop, demo_shop, one_bench_shop

RUNS = 60


def forecast(state, **more):
    return forecast_shop(state, now=NOW, replications=RUNS, **more)


def test_an_empty_shop_still_answers_for_every_family():
    result = forecast(demo_shop())
    assert [newcomer.family for newcomer in result.newcomers] == list(FAMILIES)
    assert result.jobs == result.refusals == ()
    for newcomer in result.newcomers:
        span = newcomer.range
        assert NOW.date() <= span.low <= span.likely <= span.high <= span.latest
        assert span.based_on is BasedOn.SEED


def test_a_queue_at_one_bench_takes_the_sum_of_its_work():
    # Ten jobs of four hours at one bench: two a day, so the tenth is done on the fifth day.
    result = by_number(forecast(one_bench_shop(jobs=queue_of(10))))
    assert result["009"].range.likely in {date(2026, 5, 8), date(2026, 5, 11)}
    assert result["001"].range.likely in {date(2026, 5, 4), date(2026, 5, 5)}


def test_a_newcomer_stands_behind_the_whole_queue():
    state = one_bench_shop(jobs=queue_of(10))
    newcomer = forecast_newcomer(state, family="sender", now=NOW, replications=RUNS)
    last = by_number(forecast(state))["009"]
    assert newcomer.quantile_hours[9] == pytest.approx(last.quantile_hours[9] + 4.0, rel=0.02)
    assert newcomer.range.reasons[0].kind is ReasonKind.QUEUE
    assert newcomer.range.reasons[0].working_days == pytest.approx(5.0, rel=0.05)


def test_an_urgent_job_passes_the_queue():
    jobs = [*queue_of(10), LiveJob("999", "sender", priority=Priority.URGENT, arrived_at=NOW)]
    result = by_number(forecast(one_bench_shop(jobs=jobs)))
    assert result["999"].range.latest <= date(2026, 5, 4)


def test_a_shop_in_which_everything_is_held_waits_for_the_holds():
    jobs = [replace(job, hold=kind, held_since=NOW) for job, kind in zip(queue_of(4), HoldKind, strict=True)]
    result = by_number(forecast(one_bench_shop(jobs=jobs)))
    leading = {number: job.range.reasons[0].kind for number, job in result.items()}
    assert leading == {
        "000": ReasonKind.ANSWER,
        "001": ReasonKind.PARTS,
        "002": ReasonKind.OUTSIDE,
        "003": ReasonKind.PAYMENT,
    }


def test_a_finished_job_that_waits_for_payment_only_gets_a_date():
    job = LiveJob("1", "sender", done=(BenchStep.STRIP,), hold=HoldKind.PAYMENT, held_since=NOW)
    span = by_number(forecast(one_bench_shop(jobs=[job])))["1"].range
    assert span.low >= NOW.date()
    assert [reason.kind for reason in span.reasons] == [ReasonKind.PAYMENT]


def test_a_closed_month_is_stepped_over():
    shop = one_bench_shop(jobs=queue_of(3))
    shut = replace(shop.working_hours, closures=(Closure(date(2026, 5, 1), date(2026, 5, 31)),))
    first = by_number(forecast(replace(shop, working_hours=shut)))["000"].range
    assert first.low == date(2026, 6, 1)


def test_a_route_without_capacity_is_refused_and_the_others_are_forecast():
    shop = demo_shop(jobs=(LiveJob("1", "injection_pump"), LiveJob("2", "sender")))
    centres = tuple(replace(c, benches=0) if c.slug == "pump_room" else c for c in shop.centres)
    broken = replace(shop, centres=centres)
    result = forecast(broken)
    assert [(refusal.family, refusal.job_number) for refusal in result.refusals] == [
        ("injection_pump", ""),
        ("injection_pump", "1"),
    ]
    assert all("has no bench" in refusal.sentence for refusal in result.refusals)
    assert list(by_number(result)) == ["2"]
    with pytest.raises(RouteUnusable, match="has no bench; give it at least one"):
        forecast_newcomer(broken, family="injection_pump", now=NOW, replications=RUNS)


def test_a_family_without_route_is_refused():
    with pytest.raises(NoRoute):
        forecast_newcomer(demo_shop(), family="toaster", now=NOW, replications=RUNS)
    result = forecast(demo_shop(jobs=(LiveJob("1", "toaster"),)))
    assert [refusal.job_number for refusal in result.refusals] == ["1"]


def test_a_shop_without_routes_or_jobs_says_nothing_and_does_not_fail():
    result = forecast(replace(demo_shop(), routes=()))
    assert (result.jobs, result.newcomers, result.quiet_week) == ((), (), None)


def test_a_shop_that_never_opens_is_refused():
    with pytest.raises(NoOpeningHours):
        forecast(demo_shop(working_hours=WorkingHours("UTC")))


def test_too_few_replications_are_refused():
    with pytest.raises(NotEnoughRuns, match="at least 20"):
        forecast_shop(demo_shop(), now=NOW, replications=5)


def test_the_same_question_gets_the_same_answer():
    assert forecast(busy_shop()) == forecast(busy_shop())


def test_a_job_more_leaves_the_jobs_before_it_as_they_were():
    jobs = queue_of(6)
    five, six = (forecast(one_bench_shop(jobs=some)) for some in (jobs[:5], jobs))
    assert [job.quantile_hours for job in five.jobs] == [job.quantile_hours for job in six.jobs[:5]]


def test_a_fuller_shop_takes_longer():
    emptier, fuller = (
        forecast_newcomer(busy_shop(jobs=count), family="magneto", now=NOW, replications=RUNS)
        for count in (6, 60)
    )
    assert fuller.quantile_hours[9] > emptier.quantile_hours[9] + 5.0


def test_newcomers_of_all_families_hardly_delay_each_other():
    state = busy_shop(jobs=40)
    shared = {newcomer.family: newcomer.quantile_hours for newcomer in forecast(state).newcomers}
    for family in ("carburettor", "injection_pump"):
        alone = forecast_newcomer(state, family=family, now=NOW, replications=RUNS).quantile_hours
        assert shared[family][15] == pytest.approx(alone[15], abs=8.0)  # a working day, at 8 in 10


def test_a_later_arrival_is_back_later():
    today, later = (
        forecast_newcomer(demo_shop(), family="sender", now=NOW, arrives_at=at, replications=RUNS)
        for at in (None, NOW + timedelta(days=21))
    )
    assert (later.range.likely - today.range.likely) >= timedelta(days=18)


def test_recalibrated_levels_move_the_quoted_dates():
    state = busy_shop()
    plain = forecast(state)
    cautious = forecast(state, levels=QuotedLevels(0.1, 0.6, 0.95, 0.99))
    assert all(c.range.high >= p.range.high for c, p in zip(cautious.jobs, plain.jobs, strict=True))
    assert any(c.range.high > p.range.high for c, p in zip(cautious.jobs, plain.jobs, strict=True))
    assert cautious.jobs[0].quantile_hours == plain.jobs[0].quantile_hours


def test_own_history_is_said_to_be_own():
    shop = one_bench_shop(jobs=queue_of(1))
    visits = tuple(StageVisit("sender", BenchStep.STRIP, 8.0, NOW.date()) for _ in range(40))
    result = by_number(forecast(replace(shop, visits=visits)))["000"]
    assert result.range.based_on is BasedOn.OWN_HISTORY
    assert result.quantile_hours[9] == pytest.approx(8.0, rel=0.1)


def test_jobs_wait_for_the_overloaded_bench():
    shop = demo_shop(
        jobs=tuple(
            LiveJob(str(number), "injection_pump", done=(BenchStep.STRIP, BenchStep.CLEAN))
            for number in range(25)
        ),
        arrivals=(ArrivalRate("injection_pump", 1.0),),
    )
    result = forecast(shop)
    loads = {centre.work_centre: centre for centre in result.centres}
    assert result.limit is not None
    assert result.limit.work_centre == "machine_corner"
    assert result.limit.people == ()
    assert loads["machine_corner"].jobs_waiting == 25
    assert loads["machine_corner"].mean_queue_days > 1.0
    assert loads["ignition_bench"].backlog_hours == 0.0


def two_benches_shop(people, waiting=6):
    """Two benches side by side, four hours of work at each, the second of them hardly used."""
    steps = (
        RouteStep(BenchStep.STRIP, "strip_bench", 4.0, spread_factor=1.05),
        RouteStep(BenchStep.PACK, "packing_table", 1.0, spread_factor=1.05),
    )
    centres = tuple(
        WorkCentre(slug, slug, benches, people=people[slug])
        for slug, benches in (("strip_bench", 2), ("packing_table", 1))
    )
    names = sorted({slug for team in people.values() for slug in team})
    return ShopState(
        EIGHT_HOURS,
        centres,
        tuple(Person(slug, slug.capitalize()) for slug in names),
        (Route("only", "Only route", ("sender",), steps),),
        jobs=tuple(queue_of(waiting)),
        arrivals=(ArrivalRate("sender", 7.0),),
    )


def test_people_shared_by_lightly_loaded_benches_are_named_not_the_benches():
    shared = two_benches_shop({"strip_bench": ("ada",), "packing_table": ("ada",)})
    result = forecast(shared)
    assert max(centre.load_share for centre in result.centres) < 0.8
    assert result.limit is not None
    assert result.limit.people == ("Ada",)
    assert set(result.limit.needed_at) == {"strip_bench", "packing_table"}
    # Seven units of five hours a week, and thirty hours that wait now, over four weeks of forty hours.
    assert result.limit.load_share == pytest.approx((7 * 4 * 5 + 30) / 160, rel=0.05)


def test_people_of_other_benches_are_not_named():
    result = forecast(two_benches_shop({"strip_bench": ("ada",), "packing_table": ("bo",)}, waiting=20))
    assert result.limit is not None
    assert result.limit.people == ("Ada",)
    assert result.limit.needed_at == ("strip_bench",)


def test_nothing_is_said_to_be_short_while_no_job_waits():
    idle = two_benches_shop({"strip_bench": ("ada",), "packing_table": ("ada",)}, waiting=0)
    assert forecast(idle).limit is None


def test_a_parcel_on_its_way_does_not_wait_at_a_bench():
    coming = LiveJob("coming", "sender", expected_at=NOW + timedelta(days=2))
    load = forecast(one_bench_shop(jobs=[*queue_of(2), coming])).centres[0]
    assert load.jobs_waiting == 2


def test_demand_and_capacity_of_a_centre_are_hours_a_week():
    shop = replace(one_bench_shop(), arrivals=(ArrivalRate("sender", 5.0),))
    load = forecast(shop).centres[0]
    # Five units of four hours against one person's forty hours.
    assert load.weekly_capacity_hours == 40.0
    assert load.weekly_demand_hours == pytest.approx(20.0, rel=0.03)
    assert load.load_share == pytest.approx(0.5, rel=0.03)


def test_the_quiet_week_comes_after_the_backlog():
    # Eighty hours of work, ten new hours a week, forty hours a week: two and a half weeks, then no wait.
    shop = replace(one_bench_shop(jobs=queue_of(20)), arrivals=(ArrivalRate("sender", 2.5),))
    result = forecast_shop(shop, now=NOW, replications=200)
    assert result.weeks[0].monday == date(2026, 5, 4)
    assert result.weeks[0].shelf_days > 3.0
    assert result.quiet_week is not None
    assert date(2026, 5, 11) <= result.quiet_week <= date(2026, 5, 25)


def test_an_overloaded_shop_has_no_quiet_week():
    shop = replace(one_bench_shop(jobs=queue_of(40)), arrivals=(ArrivalRate("sender", 14.0),))
    assert forecast(shop).quiet_week is None


def test_the_forecast_survives_being_stored():
    result = forecast(busy_shop())
    assert from_plain(ShopForecast, to_plain(result)) == result


def test_dates_are_the_shops_own():
    late = datetime(2026, 5, 4, 23, 30, tzinfo=UTC)
    result = forecast_shop(demo_shop(), now=late, replications=RUNS)
    assert min(newcomer.range.low for newcomer in result.newcomers) >= date(2026, 5, 5)


def test_the_dates_do_not_depend_on_the_engine():
    state = busy_shop(jobs=25)
    state = replace(state, centres=tuple(replace(c, people=()) for c in state.centres), people=())
    swept, looped = (forecast(state, engine=engine) for engine in (run_sweep, run_event_loop))
    assert swept.jobs == looped.jobs
    assert swept.newcomers == looped.newcomers
    assert swept.centres == looped.centres


def test_urgent_arrivals_of_the_weeks_ahead_go_in_front():
    waiting = queue_of(12)
    rates = [ArrivalRate("sender", 8.0, urgent_share=share) for share in (0.0, 1.0)]
    ordinary, urgent = (
        by_number(forecast(replace(one_bench_shop(jobs=waiting), arrivals=(rate,)))) for rate in rates
    )
    assert urgent["011"].quantile_hours[9] > ordinary["011"].quantile_hours[9] + 4.0
    assert urgent["000"].quantile_hours == ordinary["000"].quantile_hours


def test_an_urgent_newcomer_passes_the_queue():
    state = one_bench_shop(jobs=queue_of(10))
    quoted = {
        priority: forecast_newcomer(
            state, family="sender", now=NOW, replications=RUNS, priority=priority
        ).quantile_hours[9]
        for priority in Priority
    }
    # One is at work already; the ordinary newcomer stands behind all ten.
    assert quoted[Priority.URGENT] == pytest.approx(8.0, rel=0.05)
    assert quoted[Priority.ORDINARY] == pytest.approx(44.0, rel=0.05)


def test_each_family_is_quoted_at_its_own_level():
    state = busy_shop()
    trusted = forecast_shop(state, now=NOW, replications=100)
    later = QuotedLevels(0.1, 0.5, 0.97, 0.98)
    moved = forecast_shop(state, now=NOW, replications=100, family_levels={"magneto": later})
    for before, after in zip(
        (*trusted.jobs, *trusted.newcomers), (*moved.jobs, *moved.newcomers), strict=True
    ):
        assert before.quantile_hours == after.quantile_hours
        if before.family == "magneto":
            assert after.range.high >= before.range.high
        else:
            assert after.range == before.range
    newcomers = {each.family: each.range.high for each in moved.newcomers}
    assert newcomers["magneto"] > {each.family: each.range.high for each in trusted.newcomers}["magneto"]


def test_a_step_that_has_changed_is_named_in_the_forecast():
    from tests.jobs.leadtime.test_drift import visits

    assert forecast_shop(busy_shop(), now=NOW, replications=40).drifts == ()
    slower = busy_shop(visits=tuple(visits([1.0] * 150 + [2.5] * 60)))
    (drift,) = forecast_shop(slower, now=NOW, replications=40).drifts
    assert "longer" in drift.sentence
