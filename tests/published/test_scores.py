"""The scores against closed forms and published figures.

Source of the normal figures: Gneiting and Raftery 2007, the closed form of the score of a normal forecast.
"""

import math
from statistics import NormalDist

import numpy as np
import pytest

from jobs.leadtime.errors import ScoreRefused
from jobs.leadtime.scores import score_crps, score_crps_normal, score_crps_quantiles, score_pinball


@pytest.mark.parametrize(("actual", "score"), [(0.0, 0.233695), (1.0, 0.602441)])
def test_normal_forecast_scores_as_the_closed_form_tabulated(actual, score):
    assert score_crps_normal(0.0, sd=1.0, actual=actual) == pytest.approx(score, abs=5e-7)


@pytest.mark.parametrize(("actual", "score"), [(0.0, 0.233695), (1.0, 0.602441)])
def test_a_fine_normal_sample_scores_as_the_normal_forecast(actual, score):
    sample = [NormalDist().inv_cdf((at + 0.5) / 4000) for at in range(4000)]
    assert score_crps(sample, actual=actual) == pytest.approx(score, abs=5e-4)


@pytest.mark.parametrize("actual", [-1.0, 0.2, 0.9, 3.0])
def test_sample_score_is_the_integral_of_the_squared_distance_of_the_steps(actual):
    # The defining integral of (F(x) - 1{x >= y})^2, summed over a fine grid.
    sample = [0.1, 0.4, 0.8, 1.7, 2.5]
    grid = np.arange(-2.0, 4.0, 1e-4) + 5e-5
    steps = np.searchsorted(sample, grid, side="right") / len(sample)
    integral = float(((steps - (grid >= actual)) ** 2).sum() * 1e-4)
    assert score_crps(sample, actual=actual) == pytest.approx(integral, abs=2e-4)


def test_one_sure_value_scores_its_distance():
    assert score_crps([4.0], actual=6.5) == pytest.approx(2.5)


def test_fine_quantiles_score_as_the_normal_forecast():
    levels = [(at + 0.5) / 500 for at in range(500)]
    quantiles = [NormalDist().inv_cdf(level) for level in levels]
    assert score_crps_quantiles(quantiles, levels=levels, actual=1.0) == pytest.approx(0.602441, abs=2e-3)


def test_pinball_is_least_at_the_true_quantile():
    # The level-quantile minimises the expected pinball score (Koenker and Bassett 1978).
    actuals = [NormalDist().inv_cdf((at + 0.5) / 2000) for at in range(2000)]
    candidates = [at / 100 for at in range(-100, 200)]
    mean = {q: math.fsum(score_pinball(q, level=0.8, actual=y) for y in actuals) for q in candidates}
    assert min(mean, key=mean.__getitem__) == pytest.approx(NormalDist().inv_cdf(0.8), abs=0.011)


@pytest.mark.parametrize("level", [0.0, 1.0, 80.0])
def test_pinball_refuses_a_level_outside_its_range(level):
    with pytest.raises(ScoreRefused, match="between 0 and 1"):
        score_pinball(1.0, level=level, actual=1.0)


def test_an_empty_sample_is_refused():
    with pytest.raises(ScoreRefused, match="at least one"):
        score_crps([], actual=1.0)


def test_a_normal_forecast_without_spread_is_refused():
    with pytest.raises(ScoreRefused, match="above 0"):
        score_crps_normal(0.0, sd=0.0, actual=1.0)
