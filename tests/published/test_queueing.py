"""The event loop against queueing theory, and theory as written here against published figures.

Each formula is first held against a figure somebody else published, then used to judge the simulation, which
has to lie within three standard errors. The standard error comes from independent replications.
"""

import itertools
import math

import numpy as np
import pytest
import simpy

from jobs.leadtime.event_loop import run_event_loop
from jobs.leadtime.routes import Batch
from tests.jobs.leadtime.floors import lay_draws, lay_floor

REPLICATIONS = 40


def erlang_b(benches, load_erlang):
    blocking = 1.0
    for bench in range(1, benches + 1):
        blocking = load_erlang * blocking / (bench + load_erlang * blocking)
    return blocking


def erlang_c(benches, load_erlang):
    blocking = erlang_b(benches, load_erlang)
    return blocking / (1.0 - (load_erlang / benches) * (1.0 - blocking))


def mmc_wait(arrival_rate, service_rate, benches):
    return erlang_c(benches, arrival_rate / service_rate) / (benches * service_rate - arrival_rate)


def pollaczek_khinchine_wait(arrival_rate, service_mean, service_cv):
    load = arrival_rate * service_mean
    return load * service_mean * (1.0 + service_cv**2) / (2.0 * (1.0 - load))


# --- the formulas against published figures --------------------------------------------------------


def test_single_bench_figures_of_a_traffic_course():
    # 40 an hour at a bench that does 50: load .8, 3.2 waiting, 4.8 minutes in the queue, 6.0 in all.
    # Source: Buckholz queuing notes, sheet004, buckholztraffic.com.
    wait_h = mmc_wait(40.0, 50.0, 1)
    assert wait_h * 60 == pytest.approx(4.8, rel=1e-6)
    assert (wait_h + 1 / 50) * 60 == pytest.approx(6.0, rel=1e-6)
    assert 40.0 * wait_h == pytest.approx(3.2, rel=1e-6)


def test_county_hospital_figures():
    # Two patients an hour, three treated an hour: one doctor 40 minutes' wait; two doctors 2.5 minutes.
    # Source: the County Hospital example of Hillier and Lieberman (two-doctor figures from memory).
    assert mmc_wait(2.0, 3.0, 1) * 60 == pytest.approx(40.0, rel=1e-6)
    assert mmc_wait(2.0, 3.0, 2) * 60 == pytest.approx(2.5, rel=1e-6)
    assert mmc_wait(2.0, 3.0, 2) + 1 / 3 == pytest.approx(0.375, rel=1e-6)


@pytest.mark.parametrize(
    ("benches", "load_erlang", "blocking", "tolerance"),
    [
        (15, 8.108, 0.01, 1e-6),  # erlang.com calculator manual
        (10, 4.46, 0.01, 5e-5),  # published Erlang B tables give 4.46 (from memory)
        (30, 25.0, 0.05, 5e-3),  # "about .05", Wolfram, Enhanced Core Algorithms
        (2, 1.0, 0.2, 1e-12),  # one half over two and a half, by hand
    ],
)
def test_erlang_b_tables(benches, load_erlang, blocking, tolerance):
    assert erlang_b(benches, load_erlang) == pytest.approx(blocking, abs=tolerance)


def test_erlang_c_of_two_benches_at_a_quarter_load():
    # By hand: C(2, 1/2) = 1/10, wait 1/150. Inputs: CRAN package queueing, NewInput.MMC.
    assert erlang_c(2, 0.5) == pytest.approx(0.1, rel=1e-9)
    assert mmc_wait(5.0, 10.0, 2) == pytest.approx(1 / 150, rel=1e-9)


def test_constant_service_halves_the_queue():
    # M/D/1 with 6 an hour at a bench that does 10: .45 waiting. Source: code.policylink.org 24279479.
    assert 6.0 * pollaczek_khinchine_wait(6.0, 0.1, 0.0) == pytest.approx(0.45, rel=1e-9)


# --- the simulation against the formulas -----------------------------------------------------------


def simulate_waits(arrival_rate, draw_services, *, benches, jobs=4000, warm_up=800, seed=1, floor=None):
    """Return the waits before the bench after a warm-up: (replication, job)."""
    stream = np.random.default_rng(seed)
    arrivals = np.cumsum(stream.exponential(1.0 / arrival_rate, (REPLICATIONS, jobs)), axis=1)
    services = draw_services(stream, (REPLICATIONS, jobs))
    draws = lay_draws(arrivals, services[:, :, None], stations=(0,))
    passage = run_event_loop(floor or lay_floor(benches), draws)
    return (passage.start_hours - passage.ready_hours)[:, warm_up:, 0]


def assert_within_three_standard_errors(figures, theory):
    """`figures` holds one value for each independent replication."""
    error = figures.std(ddof=1) / math.sqrt(len(figures))
    assert 0.0 < error < 0.1 * theory  # a vague simulation would prove nothing
    assert abs(figures.mean() - theory) < 3.0 * error


def exponential(mean):
    return lambda stream, shape: stream.exponential(mean, shape)


@pytest.mark.parametrize(("benches", "load"), [(1, 0.7), (2, 0.8), (3, 0.8)])
def test_benches_wait_as_erlang_c_says(benches, load):
    waits = simulate_waits(load * benches, exponential(1.0), benches=benches)
    assert_within_three_standard_errors(waits.mean(axis=1), mmc_wait(load * benches, 1.0, benches))


def test_share_that_waits_is_erlang_c():
    waits = simulate_waits(1.6, exponential(1.0), benches=2)
    assert_within_three_standard_errors((waits > 0.0).mean(axis=1), erlang_c(2, 1.6))


def test_people_not_benches_limit_where_people_are_fewer():
    # Five benches and two people are two servers.
    floor = lay_floor(5, people_masks=[0b11], people=2)
    waits = simulate_waits(1.6, exponential(1.0), benches=5, floor=floor)
    assert_within_three_standard_errors(waits.mean(axis=1), mmc_wait(1.6, 1.0, 2))


def test_waiting_time_quantile_of_one_bench():
    # P(W > t) = load exp(-(1 - load) t): at load .7 eight in ten wait less than ln(3.5) / .3.
    waits = simulate_waits(0.7, exponential(1.0), benches=1)
    assert_within_three_standard_errors(np.quantile(waits, 0.8, axis=1), math.log(3.5) / 0.3)


def test_constant_service_waits_as_pollaczek_and_khinchine_say():
    waits = simulate_waits(1.0, lambda _, shape: np.full(shape, 0.6), benches=1)
    assert_within_three_standard_errors(waits.mean(axis=1), 0.45)


def test_lognormal_service_waits_as_pollaczek_and_khinchine_say():
    log_sd = math.sqrt(math.log(1.0 + 1.2**2))
    mean_log = math.log(0.6) - log_sd**2 / 2
    waits = simulate_waits(1.0, lambda stream, shape: stream.lognormal(mean_log, log_sd, shape), benches=1)
    assert pollaczek_khinchine_wait(1.0, 0.6, 1.2) == pytest.approx(1.098, rel=1e-9)
    assert_within_three_standard_errors(waits.mean(axis=1), 1.098)


def test_urgent_jobs_wait_as_cobham_says():
    # Non-preemptive classes: W1 = R / (1 - load1), W2 = R / ((1 - load1)(1 - load)), R = load x mean here.
    # Source: A. Cobham, "Priority assignment in waiting line problems", Operations Research 2 (1954).
    stream = np.random.default_rng(5)
    jobs, load, urgent_share = 4000, 0.7, 0.25
    arrivals = np.cumsum(stream.exponential(1.0 / load, (REPLICATIONS, jobs)), axis=1)
    services = stream.exponential(1.0, (REPLICATIONS, jobs, 1))
    urgent = stream.random(jobs) < urgent_share
    draws = lay_draws(arrivals, services, stations=(0,), priority=np.where(urgent, 0, 1).tolist())
    passage = run_event_loop(lay_floor(1), draws)
    waits = (passage.start_hours - passage.ready_hours)[:, 800:, 0]
    after = urgent[800:]
    urgent_load = load * urgent.mean()
    assert_within_three_standard_errors(waits[:, after].mean(axis=1), load / (1.0 - urgent_load))
    assert_within_three_standard_errors(
        waits[:, ~after].mean(axis=1), load / ((1.0 - urgent_load) * (1.0 - load))
    )


@pytest.mark.slow
def test_tandem_shop_takes_as_long_as_jackson_says():
    # One an hour through 1.25 (one bench), 2 (one bench) and .6 (two benches) an hour: 4 + 1 + 5.4545 hours.
    # Source: J. R. Jackson 1957; sum of the three M/M/c sojourn times.
    theory = sum(mmc_wait(1.0, rate, benches) + 1 / rate for rate, benches in ((1.25, 1), (2, 1), (0.6, 2)))
    assert theory == pytest.approx(10.4545, abs=1e-4)
    stream = np.random.default_rng(8)
    jobs, warm_up = 4000, 1000
    arrivals = np.cumsum(stream.exponential(1.0, (REPLICATIONS, jobs)), axis=1)
    means = np.array([0.8, 0.5, 1 / 0.6])
    services = stream.exponential(1.0, (REPLICATIONS, jobs, 3)) * means
    passage = run_event_loop(lay_floor(1, 1, 2), lay_draws(arrivals, services, stations=(0, 1, 2)))
    stays = (passage.finish_hours - arrivals)[:, warm_up:].mean(axis=1)
    assert_within_three_standard_errors(stays, theory)


def test_number_in_the_shop_obeys_littles_law():
    # L = lambda W holds for every sample path observed from empty to empty. Source: J. D. C. Little 1961.
    stream = np.random.default_rng(3)
    arrivals = np.cumsum(stream.exponential(1.0, 500))
    services = stream.exponential(0.8, (1, 500, 1))
    passage = run_event_loop(lay_floor(1), lay_draws([arrivals], services, stations=(0,)))
    finish = passage.finish_hours[0]
    moments = sorted([(at, 1) for at in arrivals] + [(at, -1) for at in finish])
    inside, area_h = 0, 0.0
    for (at, step), (following, _) in itertools.pairwise([*moments, (moments[-1][0], 0)]):
        inside += step
        area_h += inside * (following - at)
    assert area_h == pytest.approx(float((finish - arrivals).sum()), rel=1e-9)


# --- the simulation against SimPy on the same random numbers ---------------------------------------


RUN = Batch(least_jobs=3, most_jobs=6, longest_wait_hours=8.0)
BENCHES = (2, 1, 2, 3, 1, 1)
TANK = 1


def draw_scene(seed, jobs=150):
    """Six stations with a tank, skips, two classes, waits, and up to two more rounds after a failed test."""
    stream = np.random.default_rng(seed)
    stations = (0, 1, 2, 3, 4, 3, 4, 3, 4, 5)
    service = stream.lognormal(0.0, 0.6, (1, jobs, len(stations)))
    service[0, stream.random(jobs) < 0.5, 2] = np.nan
    fails_once = stream.random(jobs) < 0.3
    fails_twice = fails_once & (stream.random(jobs) < 0.3)
    service[0, ~fails_once, 5:7] = np.nan
    service[0, ~fails_twice, 7:9] = np.nan
    wait_days = np.zeros_like(service)
    wait_days[0, :, 0] = np.where(stream.random(jobs) < 0.4, stream.lognormal(0.0, 0.9, jobs), 0.0)
    arrivals = np.cumsum(stream.exponential(0.75, jobs))
    priority = np.where(stream.random(jobs) < 0.1, 0, 1).tolist()
    return lay_draws([arrivals], service, stations=stations, wait_days=wait_days, priority=priority)


class SimpyShop:
    """The same scene in SimPy: jobs and the tank are processes, benches are resources."""

    def __init__(self, draws):
        self.draws, self.env = draws, simpy.Environment()
        self.benches = [simpy.PriorityResource(self.env, capacity=count) for count in BENCHES]
        self.finish, self.tank_queue, self.joined = {}, [], self.env.event()

    def run(self):
        jobs = range(len(self.draws.stations_of))
        for number in jobs:
            self.env.process(self.job(number))
        self.env.process(self.tank())
        self.env.run(until=1e5)
        return [self.finish[number] for number in jobs]

    def job(self, number):
        yield self.env.timeout(self.draws.ready_hours[0, number])
        for visit, station in enumerate(self.draws.stations_of[number]):
            hours = self.draws.service_hours[0, number, visit]
            if math.isnan(hours):
                continue
            yield from self.soak(number, hours) if station == TANK else self.work(number, station, hours)
            days = self.draws.wait_days[0, number, visit]
            if days > 0.0:
                yield self.env.timeout(24.0 * days)
        self.finish[number] = self.env.now

    def work(self, number, station, hours):
        order = (self.draws.priority[number], self.env.now, number)
        with self.benches[station].request(priority=order) as bench:
            yield bench
            yield self.env.timeout(hours)

    def soak(self, number, hours):
        done = self.env.event()
        self.tank_queue.append((self.draws.priority[number], self.env.now, number, hours, done))
        if not self.joined.triggered:
            self.joined.succeed()
        yield done

    def tank(self):
        while True:
            while not self.run_is_due():
                self.joined = self.env.event()
                if self.tank_queue:
                    yield self.joined | self.env.timeout(max(self.deadline() - self.env.now, 0.0))
                else:
                    yield self.joined
            self.tank_queue.sort(key=lambda entry: entry[:3])
            members = [self.tank_queue.pop(0) for _ in range(min(len(self.tank_queue), RUN.most_jobs))]
            yield self.env.timeout(max(entry[3] for entry in members))
            # Members of a run are done at one instant; the next bench takes them by class and number.
            for entry in sorted(members, key=lambda entry: (entry[0], entry[2])):
                entry[4].succeed()

    def deadline(self):
        return min(entry[1] for entry in self.tank_queue) + RUN.longest_wait_hours

    def run_is_due(self):
        if not self.tank_queue:
            return False
        return len(self.tank_queue) >= RUN.least_jobs or self.env.now >= self.deadline() - 1e-9


@pytest.mark.parametrize("seed", range(5))
def test_finish_times_equal_simpys_on_the_same_durations(seed):
    draws = draw_scene(seed)
    floor = lay_floor(*BENCHES, batches=[RUN if at == TANK else None for at in range(len(BENCHES))])
    ours = run_event_loop(floor, draws).finish_hours[0].tolist()
    # SimPy adds a delay to the present where the loop compares with a deadline: one rounding apart.
    assert ours == pytest.approx(SimpyShop(draws).run(), rel=1e-12, abs=1e-9)


def test_finish_times_equal_simpys_to_the_last_bit_without_deadlines():
    stream = np.random.default_rng(21)
    service = stream.lognormal(0.0, 0.6, (1, 200, 2))
    arrivals = np.cumsum(stream.exponential(0.7, 200))
    draws = lay_draws([arrivals], service, stations=(0, 2))
    assert run_event_loop(lay_floor(*BENCHES), draws).finish_hours[0].tolist() == SimpyShop(draws).run()
