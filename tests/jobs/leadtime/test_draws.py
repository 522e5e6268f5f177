import math
from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from jobs.domain.stages import HoldKind
from jobs.domain.worked import WorkedSpan
from jobs.leadtime.clock import start_clock
from jobs.leadtime.draws import (
    Luck,
    draw_arrivals,
    draw_live,
    draw_logs,
    draw_remaining,
    draw_visits,
    seed_stream,
)
from jobs.leadtime.history import DurationFit
from jobs.leadtime.routes import BenchStep, route_for
from jobs.leadtime.scene import build_floor, fit_state, plan_visits
from jobs.leadtime.state import FailedTests, LiveJob, StepNeed, WaitNeed
from tests.jobs.leadtime.shops import NOW, demo_shop

SHOP = demo_shop()
CLOCK = start_clock(SHOP.working_hours, now=NOW)
FITS = fit_state(SHOP, routes=SHOP.routes, clock=CLOCK)
MAGNETO = route_for(SHOP.routes, family="magneto")


def plan(job=None, route=MAGNETO, family="magneto", fits=FITS):
    return plan_visits(route, family=family, job=job, state=SHOP, fits=fits)


def live(count=2000, **job):
    return draw_live(
        LiveJob("1", "magneto", **job),
        route=MAGNETO,
        state=SHOP,
        fits=FITS,
        luck=Luck(1, count, {}),
        clock=CLOCK,
    )


def test_remaining_time_is_the_conditional_lognormal():
    # Against a plain filter of unconditional draws.
    fit = DurationFit(median=2.0, log_sd=0.7)
    all_h = np.exp(draw_logs(fit, stream=seed_stream(1, name="all"), shape=(200_000,)))
    filtered = all_h[all_h > 3.0] - 3.0
    drawn = draw_remaining(fit, elapsed_units=3.0, stream=seed_stream(2, name="rest"), count=20_000)
    for level in (0.2, 0.5, 0.8, 0.95):
        assert np.quantile(drawn, level) == pytest.approx(np.quantile(filtered, level), rel=0.08)


def test_remaining_time_stays_positive_and_finite_far_beyond_experience():
    drawn = draw_remaining(
        DurationFit(median=0.5, log_sd=0.3), elapsed_units=500.0, stream=seed_stream(1, name="x"), count=100
    )
    assert (drawn > 0.0).all()
    assert np.isfinite(drawn).all()


def test_remaining_time_of_pooled_residuals_lies_above_what_has_passed():
    residuals = tuple(np.sort(np.random.default_rng(1).gamma(2.0, 0.3, 400) - 0.5).tolist())
    fit = DurationFit(2.0, 0.7, 99.0, residuals, tuple((at + 1) / 400 for at in range(400)))
    drawn = draw_remaining(fit, elapsed_units=3.0, stream=seed_stream(1, name="r"), count=20_000)
    totals = 2.0 * np.exp(np.array(residuals))
    beyond = totals[totals > 3.0] - 3.0
    assert len(beyond) > 50
    for level in (0.2, 0.5, 0.8):
        assert np.quantile(drawn, level) == pytest.approx(np.quantile(beyond, level), rel=0.05)


def test_members_of_a_run_share_the_luck_of_what_remains():
    def begun(number, family):
        job = LiveJob(
            number,
            family,
            done=(BenchStep.STRIP,),
            at_step=BenchStep.CLEAN,
            started_at=NOW - timedelta(minutes=20),
        )
        route = route_for(SHOP.routes, family=family)
        luck = Luck(1, 300, {})
        group = draw_live(job, route=route, state=SHOP, fits=FITS, luck=luck, clock=CLOCK)
        return group.hours[:, 0, 0]

    one, other, another = begun("1", "magneto"), begun("2", "magneto"), begun("3", "injection_pump")
    assert (one == other).all()
    # A longer job of the same run is longer in every replication, not in another one.
    assert np.corrcoef(np.argsort(np.argsort(one)), np.argsort(np.argsort(another)))[0, 1] > 0.99


def test_what_is_left_out_is_drawn_all_the_same():
    def days(without):
        _, waits = draw_visits(
            plan(),
            family="magneto",
            stream=seed_stream(1, name="w"),
            luck=Luck(1, 500, {}),
            jobs=1,
            without=without,
        )
        return waits

    everything, partless = days(frozenset()), days(frozenset({HoldKind.PARTS}))
    parts_at = [at for at, v in enumerate(plan()) if any(w.kind is HoldKind.PARTS for w, _ in v.waits)]
    others = [at for at in range(everything.shape[2]) if at not in parts_at]
    assert partless[:, :, parts_at].max() == 0.0 < everything[:, :, parts_at].max()
    assert (partless[:, :, others] == everything[:, :, others]).all()


def test_shares_of_waits_and_failed_tests_are_mixed_with_the_routes():
    state = replace(
        SHOP,
        wait_needs=(WaitNeed("magneto", HoldKind.PARTS, needed=24, seen=24),),
        failed_tests=(FailedTests("magneto", failed=0, seen=24),),
    )
    fits = fit_state(state, routes=SHOP.routes, clock=CLOCK)
    visits = plan_visits(MAGNETO, family="magneto", job=None, state=state, fits=fits)
    shares = {wait.kind: wait.needed_share for visit in visits for wait, _ in visit.waits}
    # (24 + 6 x .3) / 30 and (0 + 6 x .12) / 30
    assert shares[HoldKind.PARTS] == pytest.approx(0.86)
    assert shares[HoldKind.OUTSIDE] == 0.5
    again = [visit.needed_share for visit in visits if visit.round_again == 1]
    assert again[0] == pytest.approx(0.024)


def test_pooled_residuals_are_drawn_with_their_weights():
    fit = DurationFit(1.0, 0.5, 30.0, residuals=(-1.0, 0.0, 2.0), cumulative=(0.2, 0.7, 1.0))
    drawn = draw_logs(fit, stream=seed_stream(1, name="pool"), shape=(40_000,))
    assert [(drawn == value).mean() for value in fit.residuals] == pytest.approx([0.2, 0.5, 0.3], abs=0.01)


def test_the_same_name_draws_the_same_numbers_and_another_name_others():
    first, again, other = (seed_stream(7, name=name).random(5) for name in ("a", "a", "b"))
    assert (first == again).all()
    assert (first != other).all()


def test_a_failed_test_sends_both_steps_round_again():
    visits = plan()
    hours, _ = draw_visits(
        visits, family="magneto", stream=seed_stream(1, name="v"), luck=Luck(1, 4000, {}), jobs=1
    )
    again = {
        (visit.step, visit.round_again): np.isfinite(hours[:, 0, at])
        for at, visit in enumerate(visits)
        if visit.round_again
    }
    assert (again[BenchStep.ASSEMBLE, 1] == again[BenchStep.TEST, 1]).all()
    assert again[BenchStep.TEST, 1].mean() == pytest.approx(MAGNETO.rework_share, abs=0.02)
    assert not (again[BenchStep.TEST, 2] & ~again[BenchStep.TEST, 1]).any()
    assert again[BenchStep.TEST, 2].mean() == pytest.approx(MAGNETO.rework_share**2, abs=0.01)


def test_after_a_failed_test_the_next_round_is_planned_as_a_newcomers_second():
    fresh = [visit for visit in plan() if visit.round_again == 1]
    done = tuple(step for step in BenchStep if step.value in ("strip", "clean", "machine"))
    ahead = plan(LiveJob("1", "magneto", done=done, failed_tests=1))
    assert [(visit.step, visit.effort) for visit in ahead[:2]] == [(each.step, each.effort) for each in fresh]
    assert all(visit.effort < 1.0 for visit in fresh)
    assert {visit.round_again for visit in ahead} == {0, 2}


def test_a_second_round_under_way_has_what_is_left_of_its_own_hours():
    done = tuple(step for step in BenchStep if step.value in ("strip", "clean", "machine"))
    at_hand = {"done": done, "at_step": BenchStep.ASSEMBLE, "started_at": NOW - timedelta(seconds=1)}
    first, second = live(**at_hand), live(**at_hand, failed_tests=1)
    effort = plan(LiveJob("1", "magneto", **at_hand, failed_tests=1))[0].effort
    assert np.median(second.hours[:, 0, 0]) == pytest.approx(
        effort * np.median(first.hours[:, 0, 0]), rel=0.05
    )


def test_steps_behind_a_job_are_not_planned():
    job = LiveJob("1", "magneto", done=(BenchStep.STRIP, BenchStep.CLEAN, BenchStep.ASSEMBLE))
    assert [visit.step for visit in plan(job) if not visit.round_again] == [
        BenchStep.TEST,
        BenchStep.SIGN_OFF,
        BenchStep.PACK,
    ]


def test_decided_steps_are_certain():
    shares = {
        name: [visit.needed_share for visit in plan(job) if visit.step is BenchStep.MACHINE]
        for name, job in {
            "open": LiveJob("1", "magneto"),
            "needed": LiveJob("1", "magneto", needs=(BenchStep.MACHINE,)),
            "skipped": LiveJob("1", "magneto", skips=(BenchStep.MACHINE,)),
        }.items()
    }
    assert shares == {"open": [0.7], "needed": [1.0], "skipped": []}


def test_the_shops_own_share_of_a_step_is_mixed_with_the_routes():
    state = replace(SHOP, needs=(StepNeed("magneto", BenchStep.MACHINE, needed=24, seen=24),))
    fits = fit_state(state, routes=SHOP.routes, clock=CLOCK)
    # (24 + 6 x .7) / (24 + 6)
    assert fits.needed_shares["magneto", BenchStep.MACHINE] == pytest.approx(0.94)


def test_begun_work_has_its_remaining_hours_and_holds_its_bench():
    begun = live(started_at=NOW - timedelta(minutes=30), arrived_at=NOW - timedelta(days=9))
    fresh = live(arrived_at=NOW - timedelta(days=9))
    assert begun.begun
    assert not fresh.begun
    beyond = fresh.hours[:, 0, 0][fresh.hours[:, 0, 0] > 0.5] - 0.5
    assert np.median(begun.hours[:, 0, 0]) == pytest.approx(np.median(beyond), rel=0.1)


def test_work_put_down_has_its_remaining_hours_and_holds_no_bench():
    # NOW is a Monday at 8, when the shop opens: both parts are of the week before.
    spans = [
        WorkedSpan("strip", NOW - timedelta(days=days, hours=-2), NOW - timedelta(days=days, hours=-2.25))
        for days in (6, 5)
    ]
    put_down = live(put_down=tuple(spans), arrived_at=NOW - timedelta(days=9))
    fresh = live(arrived_at=NOW - timedelta(days=9))
    assert not put_down.begun
    beyond = fresh.hours[:, 0, 0][fresh.hours[:, 0, 0] > 0.5] - 0.5
    assert np.median(put_down.hours[:, 0, 0]) == pytest.approx(np.median(beyond), rel=0.1)
    assert (put_down.hours[:, 0, 1:] == fresh.hours[:, 0, 1:]).all(where=~np.isnan(fresh.hours[:, 0, 1:]))


def test_work_taken_up_again_remembers_its_first_part():
    span = WorkedSpan("strip", NOW - timedelta(days=6, hours=-2), NOW - timedelta(days=6, hours=-2.25))
    more = {"started_at": NOW - timedelta(minutes=15), "at_step": BenchStep.STRIP}
    again = live(put_down=(span,), **more)
    at_one_go = live(started_at=NOW - timedelta(minutes=30), at_step=BenchStep.STRIP)
    assert again.begun
    assert np.median(again.hours[:, 0, 0]) == pytest.approx(np.median(at_one_go.hours[:, 0, 0]), rel=0.1)


def test_a_held_job_does_not_hold_a_bench():
    held = live(started_at=NOW - timedelta(hours=1), hold=HoldKind.PARTS, held_since=NOW)
    assert not held.begun
    assert (held.ready_hours >= 0.0).all()


def test_a_hold_that_has_lasted_is_expected_to_last_longer():
    medians = [
        np.median(live(hold=HoldKind.ANSWER, held_since=NOW - timedelta(days=days)).ready_hours)
        for days in (0, 10, 30)
    ]
    assert medians == sorted(medians)
    assert medians[0] < medians[-1]


def test_an_entered_end_of_a_hold_is_believed():
    held = live(hold=HoldKind.PARTS, held_since=NOW, hold_expected_at=NOW + timedelta(days=14))
    # Two weeks of 39 hours; a day at the shop has eight and a half.
    assert np.median(held.ready_hours) == pytest.approx(78.0, abs=8.5)


def test_a_hold_is_not_waited_for_twice():
    kinds = {
        wait.kind for visit in plan(LiveJob("1", "magneto", hold=HoldKind.PARTS)) for wait, _ in visit.waits
    }
    assert kinds == {HoldKind.ANSWER, HoldKind.OUTSIDE}


def test_an_expected_parcel_joins_when_it_is_expected():
    assert live(expected_at=NOW + timedelta(days=7)).ready_hours.min() == pytest.approx(39.0)
    assert live(expected_at=NOW - timedelta(days=7)).ready_hours.max() == 0.0


def test_arrivals_come_at_their_rate_within_the_horizon():
    hours = draw_arrivals(
        6.0, horizon_weeks=5.0, stream=seed_stream(1, name="a"), replications=800, clock=CLOCK
    )
    counts = np.isfinite(hours).sum(axis=1)
    error = math.sqrt(30.0 / 800)
    assert counts.mean() == pytest.approx(30.0, abs=3 * error)
    assert counts.var() == pytest.approx(30.0, rel=0.2)  # Poisson: the variance is the mean


def test_people_who_serve_fewer_centres_have_lower_bits():
    floor = build_floor(SHOP, clock=CLOCK)
    at = {centre.slug: floor.stations[place] for place, centre in enumerate(SHOP.centres)}
    assert at["ignition_bench"].people_mask.bit_count() == 1
    assert at["ignition_bench"].people_mask < at["fuel_bench"].people_mask
    assert floor.people == 5
