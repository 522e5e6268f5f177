"""The event loop against rows worked by hand with the recursions of Lindley and of Kiefer and Wolfowitz.

Sources: D. V. Lindley, "The theory of queues with a single server", Proc. Camb. Phil. Soc. 48 (1952): next
start = max(arrival, last end). J. Kiefer and J. Wolfowitz, "On the theory of queues with many servers",
Trans. Am. Math. Soc. 78 (1955): next start = max(arrival, earliest free bench).
"""

import numpy as np
import pytest

from jobs.leadtime.event_loop import run_event_loop
from tests.jobs.leadtime.floors import lay_draws, lay_floor, one_queue


def starts(floor, draws):
    return run_event_loop(floor, draws).start_hours[0, :, 0].tolist()


def test_one_bench_follows_lindleys_rows():
    assert starts(*one_queue([0, 1, 2, 3, 10], [3, 1, 4, 1, 2])) == [0, 3, 4, 8, 10]


def test_two_benches_follow_the_kiefer_wolfowitz_rows():
    assert starts(*one_queue([0, 1, 2, 3, 4], [5, 2, 4, 1, 2], benches=2)) == [0, 1, 3, 5, 6]


@pytest.mark.parametrize("benches", [1, 2, 3, 5])
def test_random_rows_equal_the_recursion_to_the_last_bit(benches):
    stream = np.random.default_rng(benches)
    arrivals = np.cumsum(stream.exponential(1.0, 400))
    services = stream.lognormal(0.0, 0.8, 400) * benches * 0.9
    free, expected = np.zeros(benches), []
    for arrival, service in zip(arrivals, services, strict=True):
        at = int(np.argmin(free))
        expected.append(max(arrival, free[at]))
        free[at] = expected[-1] + service
    assert starts(*one_queue(arrivals, services, benches=benches)) == expected


def test_benches_in_a_row_equal_the_recursion_of_a_tandem_queue():
    stream = np.random.default_rng(11)
    arrivals = np.cumsum(stream.exponential(1.0, 300))
    services = stream.exponential(0.8, (300, 3))
    draws = lay_draws([arrivals], services[None], stations=(0, 1, 2))
    expected = arrivals
    for station in range(3):
        free, ends = 0.0, []
        for ready, service in zip(expected, services[:, station], strict=True):
            free = max(ready, free) + service
            ends.append(free)
        expected = ends
    assert run_event_loop(lay_floor(1, 1, 1), draws).finish_hours[0].tolist() == expected
