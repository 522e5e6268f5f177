import math
from datetime import date, timedelta

import numpy as np
import pytest

from jobs.domain.stages import HoldKind
from jobs.leadtime.history import Seed, StageVisit, WaitVisit, fit_stages, fit_waits, weigh_censored
from jobs.leadtime.routes import BenchStep

TODAY = date(2026, 5, 4)
STRIP = BenchStep.STRIP
SEEDS = {("magneto", STRIP): Seed(2.0, 1.5), ("sender", STRIP): Seed(0.5, 1.5)}


def visits(family, hours, *, on=TODAY, still_open=False):
    return [StageVisit(family, STRIP, float(value), on, still_open) for value in hours]


def fit(rows, seeds=SEEDS):
    return fit_stages(rows, seeds=seeds, today=TODAY)


def test_without_history_the_seed_stands():
    fitted = fit([])["magneto", STRIP]
    assert fitted.median == 2.0
    assert fitted.log_sd == pytest.approx(math.log(1.5))
    assert not fitted.is_own


def test_much_history_outweighs_the_seed():
    stream = np.random.default_rng(1)
    fitted = fit(visits("magneto", stream.lognormal(math.log(5.0), 0.3, 800)))["magneto", STRIP]
    assert fitted.median == pytest.approx(5.0, rel=0.03)
    assert fitted.log_sd == pytest.approx(0.3, rel=0.08)
    assert fitted.is_own


def test_six_visits_move_the_family_by_the_weight_of_six_and_six():
    # Step mean: 6 of 12 towards the data; family: half of the data and half of that step mean.
    fitted = fit(visits("magneto", [4.0] * 6))["magneto", STRIP]
    assert math.log(fitted.median / 2.0) == pytest.approx(math.log(2.0) * 0.75, rel=1e-9)


def test_a_family_without_visits_follows_its_step_in_part():
    fitted = fit(visits("magneto", [4.0] * 6))["sender", STRIP]
    assert math.log(fitted.median / 0.5) == pytest.approx(math.log(2.0) * 0.5, rel=1e-9)
    assert not fitted.is_own


def test_old_visits_fade_by_half_in_a_half_life():
    old = fit(visits("magneto", [4.0] * 12, on=TODAY - timedelta(days=170)))["magneto", STRIP]
    assert old.own_weight == pytest.approx(6.0)
    assert old.median == pytest.approx(fit(visits("magneto", [4.0] * 6))["magneto", STRIP].median)


def test_open_waits_keep_the_median_from_being_read_too_short():
    # A delay with median 12 and log sd .9 seen through a window of 60 days: those still open are cut off.
    stream = np.random.default_rng(4)
    begun_ago = stream.uniform(0.0, 60.0, 600)
    lasts = stream.lognormal(math.log(12.0), 0.9, 600)
    rows = [
        WaitVisit("magneto", HoldKind.PARTS, float(min(days, ago)), TODAY, bool(days > ago))
        for days, ago in zip(lasts, begun_ago, strict=True)
    ]
    seeds = {("magneto", HoldKind.PARTS): Seed(9.0, 2.0)}
    fitted = fit_waits(rows, seeds=seeds, today=TODAY)["magneto", HoldKind.PARTS]
    ended = fit_waits([row for row in rows if not row.open], seeds=seeds, today=TODAY)
    assert fitted.median == pytest.approx(12.0, rel=0.1)
    assert ended["magneto", HoldKind.PARTS].median < 10.5


def test_visits_of_a_family_without_route_are_left_out():
    assert fit(visits("toaster", [9.0] * 50)) == fit([])


def test_residuals_are_pooled_only_once_there_are_enough():
    assert fit(visits("magneto", [2.0] * 19))["magneto", STRIP].residuals == ()
    pooled = fit(visits("magneto", [1.0, 2.0, 4.0] * 7))["sender", STRIP]
    assert len(pooled.residuals) == 21
    assert pooled.cumulative[-1] == pytest.approx(1.0)


def test_censored_weights_equal_the_published_product_limit_curve():
    # Remission weeks under 6-mercaptopurine, + still in remission: Freireich et al. 1963, with the curve
    # .857 .807 .753 .690 .627 .538 .448 as printed in Cox and Oakes 1984 (figures from memory).
    weeks = [6, 6, 6, 6, 7, 9, 10, 10, 11, 13, 16, 17, 19, 20, 22, 23, 25, 32, 32, 34, 35]
    still = [0, 0, 0, 1, 0, 1, 0, 1, 1, 0, 0, 1, 1, 1, 0, 0, 1, 1, 1, 1, 1]
    values, cumulative = weigh_censored(
        np.array(weeks, dtype=float), is_open=np.array(still, dtype=bool), weights=np.ones(21)
    )
    surviving = {value: 1.0 - share for value, share in zip(values, cumulative, strict=True)}
    published = {6: 0.857, 7: 0.807, 10: 0.753, 13: 0.690, 16: 0.627, 22: 0.538, 23: 0.448}
    assert {week: round(surviving[week], 3) for week in published} == published
