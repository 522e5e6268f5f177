"""The alarm's run lengths against published figures.

Sources: D. Siegmund, "Sequential Analysis" 1985: the mean run length of a one-sided CUSUM with allowance k
and threshold h under a shift d is (exp(-2 D b) + 2 D b - 1) / (2 D^2) with D = d - k and b = h + 1.166.
The tabulated run lengths for k = 1/2 are those printed in D. C. Montgomery, "Introduction to Statistical
Quality Control" (two-sided; from memory). The figures for k = .25, h = 8 were measured on 4,000 repeats.
"""

import math

import numpy as np
import pytest

from jobs.leadtime.drift import ALLOWANCE_SD, THRESHOLD_SD, find_alarm


def siegmund(shift, *, allowance, threshold):
    drift, barrier = shift - allowance, threshold + 1.166
    return (math.exp(-2 * drift * barrier) + 2 * drift * barrier - 1) / (2 * drift**2)


def run_lengths(shift, *, repeats, allowance=ALLOWANCE_SD, threshold=THRESHOLD_SD, longest=20_000):
    stream = np.random.default_rng(12)
    found = []
    for _ in range(repeats):
        residuals = (stream.standard_normal(longest) + shift).tolist()
        alarm = find_alarm(residuals, allowance_sd=allowance, threshold_sd=threshold)
        assert alarm is not None
        found.append(alarm)
    return np.array(found, dtype=float)


def assert_mean(lengths, figure, *, slack):
    error = lengths.std(ddof=1) / math.sqrt(len(lengths))
    assert abs(lengths.mean() - figure) < 3 * error + slack * figure


@pytest.mark.parametrize(("shift", "visits"), [(0.5, 29.0), (1.0, 11.0)])
def test_a_slower_step_is_found_after_as_many_visits_as_measured(shift, visits):
    lengths = run_lengths(shift, repeats=1500, longest=400)
    assert_mean(lengths, visits, slack=0.03)
    assert lengths.mean() <= 30


def test_a_false_alarm_comes_every_775_visits():
    lengths = run_lengths(0.0, repeats=300)
    assert_mean(lengths, 775.0, slack=0.0)
    assert lengths.mean() > 650


@pytest.mark.parametrize("shift", [0.0, 0.5, 1.0])
def test_siegmunds_approximation_holds(shift):
    theory = siegmund(shift, allowance=ALLOWANCE_SD, threshold=THRESHOLD_SD)
    lengths = run_lengths(shift, repeats=300 if shift == 0.0 else 1500, longest=20_000 if shift == 0 else 400)
    assert_mean(lengths, theory, slack=0.04)


@pytest.mark.parametrize(
    ("shift", "two_sided"), [(0.5, 38.0), (0.75, 17.0), (1.0, 10.4), (1.5, 5.75), (2.0, 4.01)]
)
def test_tabulated_run_lengths_with_an_allowance_of_a_half(shift, two_sided):
    # With a shift this large the other side almost never alarms first, so one side and two agree.
    lengths = run_lengths(shift, repeats=3000, allowance=0.5, threshold=5.0, longest=1000)
    assert_mean(lengths, two_sided, slack=0.01)
