"""Which engine works which shop: the sweep wherever it is exact and cheaper, else the event loop.

Measured on 400 jobs and eight stations: the sweep is many times faster where no people are shared; repeated
until it settles it stays faster with failed tests. One pool of people over all stations could also be settled
that way, but takes over forty passes and is then slower than the event loop, which therefore keeps it.
"""

from jobs.leadtime.errors import TooManyPasses
from jobs.leadtime.event_loop import run_event_loop
from jobs.leadtime.floor import Draws, Engine, Floor, Passage
from jobs.leadtime.sweep import find_obstacle, run_sweep

LEAST_REPLICATIONS = 12  # below, a numpy operation per step costs more than an event


def choose_engine(floor: Floor, draws: Draws) -> Engine:
    """Return the engine that is exact and cheapest for this floor and these draws."""
    if draws.ready_hours.shape[0] < LEAST_REPLICATIONS or find_obstacle(floor, draws) is not None:
        return run_event_loop
    return run_sweep


def run_fastest(floor: Floor, draws: Draws) -> Passage:
    """Return the passage by the engine of `choose_engine`; the numbers do not depend on the choice."""
    try:
        return choose_engine(floor, draws)(floor, draws)
    except TooManyPasses:
        return run_event_loop(floor, draws)
