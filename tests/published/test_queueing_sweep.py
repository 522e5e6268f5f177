"""The sweep against queueing theory, on many more hours than the event loop could be given.

Textbook: D. Gross and C. M. Harris, "Fundamentals of Queueing Theory" (figures of the hair salon and of the
eye clinic from memory, each worked out again below from the formulas). Waiting-time quantiles of one bench,
loads of two and three benches, Pollaczek and Khinchine, and Jackson as in `test_queueing`. A simulated mean
has to lie within three standard errors, taken from independent replications.
"""

import math

import numpy as np
import pytest

from jobs.leadtime.routes import Batch
from jobs.leadtime.sweep import run_sweep
from tests.jobs.leadtime.floors import lay_draws, lay_floor
from tests.published.test_queueing import (
    assert_within_three_standard_errors,
    erlang_b,
    erlang_c,
    mmc_wait,
    pollaczek_khinchine_wait,
)

REPLICATIONS, JOBS, WARM_UP = 120, 6000, 1500


def simulate(arrival_rate, services, *, benches, seed=1):
    stream = np.random.default_rng(seed)
    arrivals = np.cumsum(stream.exponential(1.0 / arrival_rate, (REPLICATIONS, JOBS)), axis=1)
    durations = services(stream, (REPLICATIONS, JOBS))
    passage = run_sweep(lay_floor(benches), lay_draws(arrivals, durations[:, :, None], stations=(0,)))
    return (passage.start_hours - passage.ready_hours)[:, WARM_UP:, 0]


def exponential(mean):
    return lambda stream, shape: stream.exponential(mean, shape)


def empty_share(arrival_rate, service_rate, benches):
    """Return the probability that nobody is there: 1 / (sum a^n / n! + a^c / c! / (1 - rho))."""
    load = arrival_rate / service_rate
    terms = [load**n / math.factorial(n) for n in range(benches)]
    last = load**benches / math.factorial(benches) / (1.0 - load / benches)
    return 1.0 / (sum(terms) + last)


# --- the textbook's figures ------------------------------------------------------------------------


def test_hair_salon_with_one_chair():
    # Five customers an hour, ten minutes each: four and a sixth wait, for 50 minutes; one in six need not.
    wait_h = mmc_wait(5.0, 6.0, 1)
    assert wait_h * 60 == pytest.approx(50.0, rel=1e-9)
    assert 5.0 * wait_h == pytest.approx(25 / 6, rel=1e-9)
    assert empty_share(5.0, 6.0, 1) == pytest.approx(1 / 6, rel=1e-9)


def test_eye_clinic_with_three_doctors():
    # Six patients an hour, twenty minutes each: empty one ninth of the time, 8/9 wait, 28.9 minutes in all.
    assert empty_share(6.0, 3.0, 3) == pytest.approx(1 / 9, rel=1e-9)
    wait_h = mmc_wait(6.0, 3.0, 3)
    assert 6.0 * wait_h == pytest.approx(8 / 9, rel=1e-9)
    assert (wait_h + 1 / 3) * 60 == pytest.approx(28.9, abs=0.05)


def test_first_four_states_of_a_bench_at_a_load_of_eight_tenths():
    # .2 .16 .128 .1024. Source: vignette “M/M/k queues” of the CRAN package queuecomputer.
    shares = [empty_share(1.0, 1.25, 1) * 0.8**n for n in range(4)]
    assert shares == pytest.approx([0.2, 0.16, 0.128, 0.1024], rel=1e-9)


@pytest.mark.parametrize(
    ("benches", "load_erlang", "blocking"),
    [(15, 8.108, 0.0099996), (30, 25.0, 0.0526032), (10, 5.0, 0.0183846), (5, 3.0, 0.1100543)],
)
def test_erlang_b_to_seven_places(benches, load_erlang, blocking):
    # Worked out from the recursion of the published tables; the first is 1 % in the erlang.com manual.
    assert erlang_b(benches, load_erlang) == pytest.approx(blocking, abs=5e-8)


def test_littles_wine_cellar():
    # 160 bottles and 8 drunk a month: a bottle lies 20 months. Source: Little and Graves 2008, chapter 5.
    # The cellar as one bench that gives out 8 a month, first in first out, and is filled up as it does so.
    brought_months = np.concatenate([np.zeros(160), np.arange(1, 400) / 8])
    draws = lay_draws([brought_months], np.full((1, len(brought_months), 1), 1 / 8), stations=(0,))
    drunk_months = run_sweep(lay_floor(1), draws).finish_hours[0]
    stays_months = (drunk_months - brought_months)[160:]
    assert stays_months == pytest.approx(np.full(399, 20.0))
    inside = [(brought_months <= at).sum() - (drunk_months <= at).sum() for at in (6.01, 30.01, 49.01)]
    assert inside == [160] * 3


# --- the sweep against them ------------------------------------------------------------------------


def test_the_hair_salon_waits_as_the_textbook_says():
    waits = simulate(5.0, exponential(1 / 6), benches=1)
    assert_within_three_standard_errors(60 * waits.mean(axis=1), 50.0)


def test_the_eye_clinic_waits_as_the_textbook_says():
    waits = simulate(6.0, exponential(1 / 3), benches=3)
    assert_within_three_standard_errors(6.0 * waits.mean(axis=1), 8 / 9)


@pytest.mark.parametrize(
    ("benches", "arrivals", "services", "wait"),
    [(1, 0.8, 1.0, 4.0), (2, 2.0, 1.25, 1.4222), (3, 2.7, 1.0, 2.7235)],
)
def test_mean_waits_of_one_two_and_three_benches(benches, arrivals, services, wait):
    # Erlang C; arrivals and services of one bench in an hour.
    assert mmc_wait(arrivals, services, benches) == pytest.approx(wait, abs=5e-5)
    waits = simulate(arrivals, exponential(1.0 / services), benches=benches)
    assert_within_three_standard_errors(waits.mean(axis=1), mmc_wait(arrivals, services, benches))


def test_share_that_waits_at_two_benches():
    waits = simulate(1.6, exponential(1.0), benches=2)
    assert erlang_c(2, 1.6) == pytest.approx(0.7111, abs=5e-5)
    assert_within_three_standard_errors((waits > 0.0).mean(axis=1), erlang_c(2, 1.6))


@pytest.mark.parametrize(("level", "wait"), [(0.8, 6.9315), (0.9, 10.3972)])
def test_waiting_time_quantiles_of_one_bench(level, wait):
    # P(W > t) = .8 exp(-.2 t).
    assert math.log(0.8 / (1.0 - level)) / 0.2 == pytest.approx(wait, abs=5e-5)
    waits = simulate(0.8, exponential(1.0), benches=1, seed=4)
    pooled = (waits > wait).mean(axis=1)
    assert_within_three_standard_errors(pooled, 1.0 - level)


def test_sojourn_quantile_of_one_bench():
    # The time in the system is exponential with mean 1 / (1 - .8): nine in ten are out after 11.5129.
    stream = np.random.default_rng(5)
    arrivals = np.cumsum(stream.exponential(1.25, (REPLICATIONS, JOBS)), axis=1)
    services = stream.exponential(1.0, (REPLICATIONS, JOBS, 1))
    passage = run_sweep(lay_floor(1), lay_draws(arrivals, services, stations=(0,)))
    stays = (passage.finish_hours - arrivals)[:, WARM_UP:]
    assert_within_three_standard_errors((stays > 11.5129).mean(axis=1), 0.1)


def test_constant_and_lognormal_service_wait_as_pollaczek_and_khinchine_say():
    constant = simulate(1.0, lambda _, shape: np.full(shape, 0.6), benches=1)
    assert_within_three_standard_errors(constant.mean(axis=1), 0.45)
    log_sd = math.sqrt(math.log(1.0 + 1.2**2))
    mean_log = math.log(0.6) - log_sd**2 / 2
    spread = simulate(1.0, lambda stream, shape: stream.lognormal(mean_log, log_sd, shape), benches=1)
    assert_within_three_standard_errors(spread.mean(axis=1), pollaczek_khinchine_wait(1.0, 0.6, 1.2))


def test_tandem_shop_takes_as_long_as_jackson_says():
    stream = np.random.default_rng(8)
    arrivals = np.cumsum(stream.exponential(1.0, (REPLICATIONS, JOBS)), axis=1)
    services = stream.exponential(1.0, (REPLICATIONS, JOBS, 3)) * np.array([0.8, 0.5, 1 / 0.6])
    passage = run_sweep(lay_floor(1, 1, 2), lay_draws(arrivals, services, stations=(0, 1, 2)))
    stays = (passage.finish_hours - arrivals)[:, WARM_UP:].mean(axis=1)
    assert_within_three_standard_errors(stays, 10.4545)


def test_urgent_jobs_wait_as_cobham_says():
    # W1 = R / (1 - load1), W2 = R / ((1 - load1)(1 - load)), R = load x mean (A. Cobham 1954).
    stream = np.random.default_rng(5)
    load = 0.8
    arrivals = np.cumsum(stream.exponential(1.0 / load, (REPLICATIONS, JOBS)), axis=1)
    services = stream.exponential(1.0, (REPLICATIONS, JOBS, 1))
    urgent = stream.random(JOBS) < 0.25
    draws = lay_draws(arrivals, services, stations=(0,), priority=np.where(urgent, 0, 1).tolist())
    passage = run_sweep(lay_floor(1), draws)
    waits = (passage.start_hours - passage.ready_hours)[:, WARM_UP:, 0]
    after, urgent_load = urgent[WARM_UP:], load * urgent.mean()
    assert_within_three_standard_errors(waits[:, after].mean(axis=1), load / (1.0 - urgent_load))
    ordinary = load / ((1.0 - urgent_load) * (1.0 - load))
    assert_within_three_standard_errors(waits[:, ~after].mean(axis=1), ordinary)


def test_a_failed_test_loads_the_bench_as_geometric_trials_do():
    # Units return to the same bench with probability p until they pass: as many visits as 1 / (1 - p), and
    # by Jackson the bench waits as M/M/1 at the load of all visits together (returning units are let in
    # as they come; up to nine rounds are drawn, of which the last is reached by one in 20,000 units).
    stream = np.random.default_rng(9)
    share, rounds, rate, jobs = 0.3, 9, 0.5, 3000
    arrivals = np.cumsum(stream.exponential(1.0 / rate, (REPLICATIONS, jobs)), axis=1)
    services = stream.exponential(1.0, (REPLICATIONS, jobs, rounds))
    failing = np.ones((REPLICATIONS, jobs), dtype=bool)
    for again in range(1, rounds):
        failing &= stream.random((REPLICATIONS, jobs)) < share
        services[:, :, again] = np.where(failing, services[:, :, again], np.nan)
    passage = run_sweep(lay_floor(1), lay_draws(arrivals, services, stations=(0,) * rounds))
    in_shop = (passage.finish_hours - arrivals)[:, 800:].mean(axis=1)
    load = rate / (1.0 - share)
    # Little: mean number of an M/M/1 at that load over the rate at which units come.
    assert_within_three_standard_errors(in_shop, load / (1.0 - load) / rate)


def test_a_plating_batch_of_fourteen_days_waits_seven_on_average():
    # A batch leaves every 14 days and is away for 10: mean 17, worst 24 days (trade arithmetic). Units come
    # evenly; a run starts when the fourteenth is there and the bench is never short.
    jobs = 14 * 40
    draws = lay_draws([np.arange(jobs) + 0.5], np.full((1, jobs, 1), 10.0), stations=(0,))
    passage = run_sweep(lay_floor(50, batches=[Batch(14, 14, 1e6)]), draws)
    stays = passage.finish_hours[0] - draws.ready_hours[0]
    assert stays.mean() == pytest.approx(16.5)  # 6.5 to the last unit of a run, which is half a day before 7
    assert stays.max() == pytest.approx(23.0)
    runs = np.unique(passage.start_hours[0, :, 0])
    assert runs == pytest.approx(13.5 + 14.0 * np.arange(40))
