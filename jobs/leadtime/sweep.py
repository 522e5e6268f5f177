"""The fast engine: all replications together, one station after the other.

It is exact, not an approximation: `event_loop` gives the same passage to the last bit. A station's starts
depend only on when its visits are ready, so stations are worked in the order in which jobs pass them. Where
jobs come back to a station (a failed test, signing off at the test stand) the stations of that loop are
worked again until no visit is ready at another hour than before; later work cannot change what came before
it, so the one solution is reached. People shared between centres couple all of them at every instant; such
floors, and a few rarer ones, are named by `find_obstacle` and left to the event loop.
"""

from itertools import pairwise

import numpy as np

from jobs.leadtime.clock_arrays import table_clock
from jobs.leadtime.floor import Array, Draws, Floor, Passage
from jobs.leadtime.loops import Loop, Record
from jobs.leadtime.stations import BEGUN

NAN = float("nan")


def find_obstacle(floor: Floor, draws: Draws) -> str | None:
    """Return why this floor and these draws need the event loop, or None if the sweep may work them."""
    if floor.away:
        return "Somebody is away for some of the time."
    seen = 0
    for station in floor.stations:
        if seen & station.people_mask:
            return "Some people work at more than one centre."
        seen |= station.people_mask
    if bool((draws.service_hours == 0.0).any()):
        return "Some visits take no time."
    begun = [job for job, has_begun in enumerate(draws.in_progress) if has_begun]
    if not begun or not draws.service_hours.shape[2]:
        return None
    first, always = _first_visits(draws, jobs=begun)
    if not always:
        return "Some begun work is at another step in other replications."
    at = [draws.stations_of[job][visit] for job, visit in zip(begun, first, strict=True) if visit >= 0]
    for place, station in enumerate(floor.stations):
        if station.batch is not None and at.count(place) > station.batch.most_jobs:
            return "More has begun at a run than it takes."
    return None


def run_sweep(floor: Floor, draws: Draws) -> Passage:
    """Return the passage of every replication, followed to the last job.

    Valid where `find_obstacle` names nothing; where `run_event_loop` stops early this engine goes on.
    Raises: TooManyPasses if the loops of a route do not settle.
    """
    replications = draws.ready_hours.shape[0]
    visits = draws.service_hours.shape[2]
    record = Record(*(np.full((visits, draws.kept_jobs, replications), NAN) for _ in range(3)))
    finish = _sweep(floor, draws, record=record)
    until = np.maximum(np.nan_to_num(finish, nan=0.0).max(axis=0, initial=0.0), draws.follow_hours)
    return Passage(record.ready.T, record.start.T, record.end.T, finish.T, until)


def sweep_finishes(floor: Floor, draws: Draws) -> Array:
    """Return the finish hours of `run_sweep` alone, (replication, job), in about half the memory.

    Raises: as `run_sweep`.
    """
    return _sweep(floor, draws, record=None).T


def _sweep(floor: Floor, draws: Draws, *, record: Record | None) -> Array:
    reached = np.array(draws.ready_hours.T, dtype=np.float64, order="C")  # a copy: it is worked in place
    clock = table_clock(floor.clock) if floor.clock is not None else None
    classes = _class_rows(draws)
    for stations in order_stations(draws, stations=len(floor.stations)):
        loop = Loop(floor, draws, stations=stations, classes=classes, clock=clock, reached=reached)
        if loop.entries:
            loop.settle(record)
    return np.where(reached < np.inf, np.maximum(reached, 0.0), NAN)


def _first_visits(draws: Draws, *, jobs: list[int]) -> tuple[list[int], bool]:
    """Return the first worked visit of each job, -1 for none, and whether all replications agree."""
    worked = np.isfinite(draws.service_hours[:, jobs, :])
    lengths = np.array([len(draws.stations_of[job]) for job in jobs])
    worked &= np.arange(worked.shape[2]) < lengths[:, None]
    first = np.where(worked.any(axis=2), worked.argmax(axis=2), -1)
    return [int(visit) for visit in first[0]], bool((first == first[0]).all())


def _class_rows(draws: Draws) -> dict[tuple[int, int], int]:
    """Return the class of the visits that have begun; all others have the class of their job."""
    begun = [job for job, has_begun in enumerate(draws.in_progress) if has_begun]
    if not begun or not draws.service_hours.shape[2]:
        return {}
    first, _ = _first_visits(draws, jobs=begun)
    return {(job, visit): BEGUN for job, visit in zip(begun, first, strict=True) if visit >= 0}


def order_stations(draws: Draws, *, stations: int) -> list[list[int]]:
    """Return the stations in the order in which jobs pass them; those of one loop stand together."""
    follows = np.eye(stations, dtype=bool)
    for route in set(draws.stations_of):
        for before, after in pairwise(route):
            follows[before, after] = True
    for via in range(stations):
        follows |= follows[:, via, None] & follows[None, via, :]
    together = follows & follows.T
    # A station from which more stations can be reached comes earlier.
    order = sorted(range(stations), key=lambda at: (-int(follows[at].sum()), at))
    groups: list[list[int]] = []
    placed: set[int] = set()
    for at in order:
        if at not in placed:
            groups.append([other for other in order if together[at, other]])
            placed.update(groups[-1])
    return groups
