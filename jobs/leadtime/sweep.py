"""The fast engine: all replications together, one station after the other.

It is exact, not an approximation: `event_loop` gives the same passage to the last bit. A station's starts
depend only on when its visits are ready, so stations are worked in the order in which jobs pass them. Where
jobs come back to a station (a failed test, signing off at the test stand) the stations of that loop are
worked again until no visit is ready at another hour than before; later work cannot change what came before
it, so the one solution is reached. People shared between centres couple all of them at every instant; such
floors, and a few rarer ones, are named by `find_obstacle` and left to the event loop.
"""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from jobs.leadtime.clock_arrays import TabledClock, table_clock
from jobs.leadtime.errors import TooManyPasses
from jobs.leadtime.floor import Array, Draws, Floor, Passage
from jobs.leadtime.stations import BEGUN, IntArray, serve

MOST_PASSES = 400
COLUMNS = 250  # replications settled together: their arrays then stay in the processor's cache
NAN = float("nan")


def find_obstacle(floor: Floor, draws: Draws) -> str | None:
    """Return why this floor and these draws need the event loop, or None if the sweep may work them."""
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
    jobs, replications = len(draws.stations_of), draws.ready_hours.shape[0]
    visits = draws.service_hours.shape[2]
    record = _Record(*(np.full((visits, jobs, replications), NAN) for _ in range(3)))
    finish = _sweep(floor, draws, record=record)
    until = np.maximum(np.nan_to_num(finish, nan=0.0).max(axis=0, initial=0.0), draws.follow_hours)
    return Passage(record.ready.T, record.start.T, record.end.T, finish.T, until)


def sweep_finishes(floor: Floor, draws: Draws) -> Array:
    """Return the finish hours of `run_sweep` alone, (replication, job), in about half the memory.

    Raises: as `run_sweep`.
    """
    return _sweep(floor, draws, record=None).T


@dataclass(frozen=True, slots=True, eq=False)
class _Record:
    """The passage to be filled, laid out (visit, job, replication)."""

    ready: Array
    start: Array
    end: Array


def _sweep(floor: Floor, draws: Draws, *, record: _Record | None) -> Array:
    reached = np.array(draws.ready_hours.T, dtype=np.float64, order="C")  # a copy: it is worked in place
    clock = table_clock(floor.clock) if floor.clock is not None else None
    service, wait_days = draws.service_hours.T, draws.wait_days.T
    classes = _class_rows(draws)
    for stations in order_stations(draws, stations=len(floor.stations)):
        loop = _Loop(floor, draws, stations, service, wait_days, classes, clock)
        if loop.entries:
            loop.settle(reached, record)
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


class _Loop:
    """The visits at one station, or at the stations of one loop."""

    __slots__ = (
        "clock",
        "days",
        "entries",
        "floor",
        "jobs",
        "ranks",
        "rows_at",
        "service",
        "waited",
        "worked",
    )

    def __init__(
        self,
        floor: Floor,
        draws: Draws,
        stations: list[int],
        service: Array,
        wait_days: Array,
        classes: dict[tuple[int, int], int],
        clock: TabledClock | None,
    ) -> None:
        self.floor, self.clock = floor, clock
        inside = set(stations)
        found = [
            (job, visit)
            for job, route in enumerate(draws.stations_of)
            for visit, station in enumerate(route)
            if station in inside
        ]
        visits_of = np.array([visit for _, visit in found], dtype=np.int64)
        jobs_of = np.array([job for job, _ in found], dtype=np.int64)
        hours = service[visits_of, jobs_of] if found else np.zeros((0, service.shape[-1]))
        worked = np.isfinite(hours)
        kept = np.asarray(worked.any(axis=1))
        self.entries = [entry for entry, keep in zip(found, kept, strict=True) if keep]
        self.jobs = jobs_of[kept]
        self.worked = worked[kept]
        self.service = np.where(self.worked, hours[kept], 0.0)
        days = wait_days[visits_of[kept], self.jobs]
        self.waited = np.flatnonzero((days > 0.0).any(axis=1))
        self.days = days[self.waited]
        station_of = [draws.stations_of[job][visit] for job, visit in self.entries]
        self.rows_at = [
            (
                station,
                np.array([row for row, at in enumerate(station_of) if at == station], dtype=np.int64),
                [
                    classes.get(entry, draws.priority[entry[0]])
                    for entry, at in zip(self.entries, station_of, strict=True)
                    if at == station
                ],
            )
            for station in stations
            if station in station_of
        ]
        self.ranks = _rank_rows(self.jobs)

    def settle(self, reached: Array, record: _Record | None) -> None:
        """Work the stations until nothing changes; move `reached` on and fill the record."""
        ready = np.full(self.service.shape, np.inf)
        if len(self.ranks) == 1:
            ready = np.where(self.worked, reached[self.jobs], np.inf)
            start, end = self._serve_station(0, ready, self.service)
            release = self._release(end, self.days)
            reached[self.jobs] = np.where(self.worked, release, reached[self.jobs])
        else:
            start, end, release = self._settle_loop(ready, reached)
            self._chain(ready, release, self.worked, reached)
        if record is not None:
            visits = np.array([visit for _, visit in self.entries], dtype=np.int64)
            present = ready < np.inf
            for target, values in ((record.ready, ready), (record.start, start), (record.end, end)):
                target[visits, self.jobs] = np.where(present, values, NAN)

    def _settle_loop(self, ready: Array, reached: Array) -> tuple[Array, Array, Array]:
        """Repeat the stations of the loop until nothing changes; fills `ready`."""
        start, end, release = (np.full(ready.shape, np.inf) for _ in range(3))
        # A first guess without any queue; what is guessed does not matter, it is worked until it holds.
        guess = reached.copy()
        for rows in self.ranks:
            jobs, worked = self.jobs[rows], self.worked[rows]
            release[rows] = np.where(worked, np.maximum(guess[jobs], 0.0) + self.service[rows], np.inf)
            guess[jobs] = np.where(worked, release[rows], guess[jobs])
        for first in range(0, ready.shape[1], COLUMNS):
            active = np.arange(first, min(first + COLUMNS, ready.shape[1]))
            for _ in range(MOST_PASSES):
                active = self._pass_once(active, reached, ready, start, end, release)
                if not len(active):
                    break
            else:
                raise TooManyPasses(MOST_PASSES)
        return start, end, release

    def _pass_once(
        self, active: IntArray, reached: Array, ready: Array, start: Array, end: Array, release: Array
    ) -> IntArray:
        """Work the stations once for the active replications; return those in which a visit moved."""
        own_reached, service = reached[:, active], self.service[:, active]
        worked, days = self.worked[:, active], self.days[:, active]
        now_ready, now_release, now_end = ready[:, active], release[:, active], end[:, active]
        changed = np.zeros(len(active), dtype=bool)
        for place, (_, rows, _) in enumerate(self.rows_at):
            fresh = np.empty_like(now_ready)
            self._chain(fresh, now_release, worked, own_reached.copy())
            own = fresh[rows]
            differs = (own != now_ready[rows]).any(axis=0)
            if not differs.any():
                continue
            changed |= differs
            now_ready[rows] = own
            starts, now_end[rows] = self._serve_station(place, own, service[rows])
            start[np.ix_(rows, active)] = starts
            now_release = self._release(now_end, days)
        ready[:, active], release[:, active], end[:, active] = now_ready, now_release, now_end
        return active[changed]

    def _chain(self, ready: Array, release: Array, worked: Array, reached: Array) -> None:
        """Fill when each visit is ready from the releases before it; moves `reached` on."""
        for rows in self.ranks:
            jobs = self.jobs[rows]
            here = reached[jobs]
            ready[rows] = np.where(worked[rows], here, np.inf)
            reached[jobs] = np.where(worked[rows], release[rows], here)

    def _serve_station(self, place: int, ready: Array, service: Array) -> tuple[Array, Array]:
        number, _, classes = self.rows_at[place]
        station = self.floor.stations[number]
        hands = station.benches
        if station.people_mask:
            hands = min(hands, station.people_mask.bit_count())
        return serve(ready, service, classes=classes, hands=hands, batch=station.batch)

    def _release(self, end: Array, days: Array) -> Array:
        """Return when the job can go on after each visit: its end, and the calendar wait after it."""
        if not len(self.waited):
            return end
        release = end.copy()
        rows = end[self.waited]
        clock = self.clock
        later = rows + 24.0 * days if clock is None else clock.hours_after_days(rows, days=days)
        release[self.waited] = np.where(days > 0.0, np.maximum(later, rows), rows)
        return release


def _rank_rows(jobs: IntArray) -> list[IntArray]:
    """Return the rows of the first visit of each job, of the second, and so on; rows stand in job order."""
    ranks: list[list[int]] = []
    seen: dict[int, int] = {}
    for row, job in enumerate(jobs.tolist()):
        rank = seen.get(job, 0)
        seen[job] = rank + 1
        if rank == len(ranks):
            ranks.append([])
        ranks[rank].append(row)
    return [np.array(rows, dtype=np.int64) for rows in ranks]
