"""When the visits at one station, or at stations that jobs pass again and again, are served.

Where no job comes back, a station is worked once. Where jobs come back, a visit is ready when the visit of
the same job before it is over, and that depends on the queue of the later ones: the stations are worked again
until nothing moves. Each pass is right for longer than the one before, so it ends, and in the one solution.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
import numpy.typing as npt

from jobs.leadtime.clock_arrays import TabledClock
from jobs.leadtime.errors import TooManyPasses
from jobs.leadtime.floor import Array, Draws, Floor
from jobs.leadtime.stations import IntArray, serve

MOST_PASSES = 400
COLUMNS = 300  # replications settled together: their arrays then stay in the processor's cache
NAN = float("nan")


@dataclass(frozen=True, slots=True, eq=False)
class Record:
    """The passage to be filled, laid out (visit, job, replication)."""

    ready: Array
    start: Array
    end: Array


@dataclass(frozen=True, slots=True, eq=False)
class _Queue:
    """One station of the loop, its rows and their classes."""

    station: int
    rows: IntArray
    classes: tuple[int, ...]


class Loop:
    """The visits at stations that form a loop; most often this is one station that nobody sees twice.

    A row is one visit of one job that takes place in at least one replication; rows stand in job order.
    `reached` (job, replication) is when each job has come so far; settling moves it on.
    """

    __slots__ = (
        "clock",
        "days",
        "entries",
        "floor",
        "jobs",
        "queues",
        "ranks",
        "reached",
        "service",
        "waited",
        "worked",
    )

    def __init__(
        self,
        floor: Floor,
        draws: Draws,
        *,
        stations: list[int],
        classes: dict[tuple[int, int], int],
        clock: TabledClock | None,
        reached: Array,
    ) -> None:
        self.floor, self.clock, self.reached = floor, clock, reached
        inside = set(stations)
        found = [
            (job, visit)
            for job, route in enumerate(draws.stations_of)
            for visit, station in enumerate(route)
            if station in inside
        ]
        job_of = np.array([job for job, _ in found], dtype=np.int64)
        visit_of = np.array([visit for _, visit in found], dtype=np.int64)
        hours = draws.service_hours.T[visit_of, job_of]
        worked = np.isfinite(hours)
        worked &= (reached < np.inf)[job_of]
        kept = np.asarray(worked.any(axis=1))
        self.entries = [entry for entry, keep in zip(found, kept, strict=True) if keep]
        self.jobs, self.worked = job_of[kept], worked[kept]
        self.service = np.where(self.worked, hours[kept], 0.0)
        days = draws.wait_days.T[visit_of[kept], self.jobs]
        waited = np.flatnonzero((days > 0.0).any(axis=1))
        self.waited, self.days = waited, days[waited]
        station_of = np.array([draws.stations_of[job][visit] for job, visit in self.entries], dtype=np.int64)
        ranks = np.array([classes.get(entry, draws.priority[entry[0]]) for entry in self.entries])
        self.queues = [
            _Queue(station, rows, tuple(ranks[rows].tolist()))
            for station in stations
            if len(rows := np.flatnonzero(station_of == station))
        ]
        self.ranks = _rank_rows(self.jobs)

    def settle(self, record: Record | None) -> None:
        """Work the stations until nothing moves; move `reached` on, fill the record."""
        reached = self.reached
        if len(self.ranks) == 1:
            ready = np.where(self.worked, reached[self.jobs], np.inf)
            start, end = self.serve(self.queues[0], ready, self.service)
            days = None
            if len(self.waited):
                days = np.zeros(end.shape)
                days[self.waited] = self.days
            reached[self.jobs] = np.where(self.worked, self.release(end, days), reached[self.jobs])
        else:
            ready, start, end = (np.empty(self.service.shape) for _ in range(3))
            for first in range(0, reached.shape[1], COLUMNS):
                columns = slice(first, first + COLUMNS)
                _Settling(self, columns, reached[:, columns]).settle(
                    ready[:, columns], start[:, columns], end[:, columns]
                )
        if record is not None:
            # Rows stand in job order, and the jobs whose visits are kept come first.
            rows = int(np.searchsorted(self.jobs, record.ready.shape[1]))
            visits = np.array([visit for _, visit in self.entries[:rows]], dtype=np.int64)
            present = ready[:rows] < np.inf
            for target, values in ((record.ready, ready), (record.start, start), (record.end, end)):
                target[visits, self.jobs[:rows]] = np.where(present, values[:rows], NAN)

    def serve(
        self, queue: _Queue, ready: Array, service: Array, *, classes: Sequence[int] | None = None
    ) -> tuple[Array, Array]:
        """Return start and end of the visits of one queue."""
        station = self.floor.stations[queue.station]
        hands = station.benches
        if station.people_mask:
            hands = min(hands, station.people_mask.bit_count())
        own = queue.classes if classes is None else classes
        return serve(ready, service, classes=own, hands=hands, batch=station.batch)

    def release(self, end: Array, days: Array | None) -> Array:
        """Return when each job can go on: after its end, and the calendar wait behind it."""
        if days is None:
            return end
        rows = np.flatnonzero((days > 0.0).any(axis=1))
        if not len(rows):
            return end
        release, ended, own = end.copy(), end[rows], days[rows]
        clock = self.clock
        later = ended + 24.0 * own if clock is None else clock.hours_after_days(ended, days=own)
        release[rows] = np.where(own > 0.0, np.maximum(later, ended), ended)
        return release


class _Settling:
    """Some replications of a loop on their way to the solution.

    Most rows of a loop are visits after a failed test, absent in most replications. So the present ones are
    packed: of each queue and class, place k holds the k-th present row, whichever it is in a replication.
    `pool` holds when each place releases its job, then when each job reaches the loop, then infinity;
    `source` tells for every place, as a flat position, where in the pool it finds when it is ready.
    """

    __slots__ = ("days", "last", "loop", "pool", "queues", "reached", "row_at", "service", "source")

    def __init__(self, loop: Loop, columns: slice, reached: Array) -> None:
        self.loop, self.reached = loop, reached
        own_jobs, job_at = np.unique(loop.jobs, return_inverse=True)
        arriving = reached[own_jobs]
        worked = loop.worked[:, columns]
        rows, width = worked.shape
        self.row_at, self.queues = _pack(loop.queues, worked)
        places = len(self.row_at)
        place_of = np.zeros((rows + 1, width), dtype=np.int64)
        np.put_along_axis(place_of, self.row_at, np.arange(places)[:, None], axis=0)
        padded = np.zeros((rows + 1, width))
        padded[:rows] = loop.service[:, columns]
        self.service = np.take_along_axis(padded, self.row_at, axis=0)
        self.days: Array | None = None
        if len(loop.waited):
            padded[:] = 0.0
            padded[loop.waited] = loop.days[:, columns]
            self.days = np.take_along_axis(padded, self.row_at, axis=0)
        self.pool = np.concatenate([np.empty((places, width)), arriving, np.full((1, width), np.inf)])
        never = len(self.pool) - 1
        last = np.repeat(np.arange(places, never)[:, None], width, axis=1)
        source = np.full((rows + 1, width), never)
        # A first guess without any queue; what is guessed does not matter, it is worked until it holds.
        guess, reach = np.full((rows + 1, width), np.inf), np.maximum(arriving, 0.0)
        for rank in loop.ranks:
            jobs, here = job_at[rank], worked[rank]
            source[rank] = np.where(here, last[jobs], never)
            last[jobs] = np.where(here, place_of[rank], last[jobs])
            guess[rank] = reach[jobs] + np.where(here, loop.service[rank, columns], 0.0)
            reach[jobs] = guess[rank]
        self.pool[:places] = np.take_along_axis(guess, self.row_at, axis=0)
        self.source = _flatten(np.take_along_axis(source, self.row_at, axis=0))
        self.last = (own_jobs, last)

    def settle(self, ready: Array, start: Array, end: Array) -> None:
        """Fill the three, and move `reached` on to when each job leaves the loop."""
        active: npt.NDArray[np.int64] = np.arange(self.source.shape[1])
        shape = self.source.shape
        packed = (np.full(shape, np.inf), np.full(shape, np.inf), np.full(shape, np.inf))
        own = (np.full(shape, np.nan), np.empty(shape), np.empty(shape))
        pool = self.pool
        for _ in range(MOST_PASSES):
            changed = self._pass_once(pool, *own)
            going_on = int(changed.sum())
            if 2 * going_on > len(active):
                continue
            # Most replications are done: put them away and go on with the others alone.
            for whole, values in zip(packed, own, strict=True):
                whole[:, active] = values
            self.pool[:, active] = pool
            if not going_on:
                break
            self.source = _flatten(_keep(self.source // len(active), changed))
            active, pool = active[changed], _keep(pool, changed)
            own = (_keep(own[0], changed), _keep(own[1], changed), _keep(own[2], changed))
            self.service = _keep(self.service, changed)
            self.days = None if self.days is None else _keep(self.days, changed)
        else:
            raise TooManyPasses(MOST_PASSES)
        unpacked = np.empty((len(ready) + 1, ready.shape[1]))
        for target, values in zip((ready, start, end), packed, strict=True):
            unpacked[:] = np.inf
            np.put_along_axis(unpacked, self.row_at, values, axis=0)
            target[:] = unpacked[:-1]
        jobs, last = self.last
        self.reached[jobs] = np.take_along_axis(self.pool, last, axis=0)

    def _pass_once(self, pool: Array, ready: Array, start: Array, end: Array) -> npt.NDArray[np.bool_]:
        """Work every station once; return the replications in which a visit moved."""
        changed = np.zeros(pool.shape[1], dtype=bool)
        for queue, places, classes in self.queues:
            fresh = pool.take(self.source[places])
            differs = (fresh != ready[places]).any(axis=0)
            if differs.any():
                changed |= differs
                ready[places] = fresh
                own = self.loop.serve(queue, fresh, self.service[places], classes=classes)
                start[places], end[places] = own
                days = None if self.days is None else self.days[places]
                pool[places] = self.loop.release(own[1], days)
        return changed


Numbers = TypeVar("Numbers", Array, IntArray)


def _keep(values: Numbers, columns: npt.NDArray[np.bool_]) -> Numbers:
    """Return some columns, row by row in memory, so that they can be taken from by flat positions."""
    return np.compress(columns, values, axis=1)


def _flatten(rows: IntArray) -> IntArray:
    """Return the flat positions of the rows given for every column."""
    return np.asarray(rows * rows.shape[1] + np.arange(rows.shape[1]), dtype=np.int64)


def _pack(
    queues: list[_Queue], worked: npt.NDArray[np.bool_]
) -> tuple[IntArray, list[tuple[_Queue, slice, list[int]]]]:
    """Return the row at each place, by replication, and the places and classes of each queue."""
    rows_at: list[IntArray] = []
    packed: list[tuple[_Queue, slice, list[int]]] = []
    behind = 0
    for queue in queues:
        first = behind
        classes: list[int] = []
        ranks = np.array(queue.classes)
        for kind in np.unique(ranks):
            rows = queue.rows[ranks == kind]
            present = worked[rows]
            count = present.sum(axis=0)
            most = int(count.max(initial=0))
            order = np.argsort(~present, axis=0, kind="stable")[:most]
            rows_at.append(np.where(np.arange(most)[:, None] < count, rows[order], len(worked)))
            classes += [int(kind)] * most
            behind += most
        packed.append((queue, slice(first, behind), classes))
    return np.concatenate(rows_at), packed


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
