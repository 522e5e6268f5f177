"""The same floor in SimPy: an outside engine to compare with, in time and in every finish hour.

Jobs and tanks are processes, benches are resources. SimPy is needed for the comparison only. It starts with
empty benches, so work that has begun is not expressible here.
"""

import math
from collections.abc import Collection, Generator
from typing import Any

import simpy

from jobs.leadtime.floor import Draws, Floor
from jobs.leadtime.routes import Batch

Steps = Generator[Any, Any, None]
Entry = tuple[int, float, int, float, Any]


def run_simpy(
    floor: Floor, draws: Draws, *, replication: int = 0, pools: Collection[int] = ()
) -> list[float]:
    """Return the finish hour of every job of one replication; at the `pools` who came first goes first."""
    return _Shop(floor, draws, replication, pools).run()


class _Shop:
    def __init__(self, floor: Floor, draws: Draws, replication: int, pools: Collection[int]) -> None:
        self.floor, self.draws, self.pools = floor, draws, pools
        self.env = simpy.Environment()
        self.benches = [
            simpy.PriorityResource(self.env, capacity=station.benches) for station in floor.stations
        ]
        self.ready: list[float] = draws.ready_hours[replication].tolist()
        self.service: list[list[float]] = draws.service_hours[replication].tolist()
        self.wait_days: list[list[float]] = draws.wait_days[replication].tolist()
        self.finish: dict[int, float] = {}
        self.queues: dict[int, list[Entry]] = {}
        self.joined: dict[int, Any] = {}

    def run(self) -> list[float]:
        """Work until every job is finished."""
        jobs = range(len(self.ready))
        for at, station in enumerate(self.floor.stations):
            if station.batch is not None:
                self.queues[at], self.joined[at] = [], self.env.event()
                self.env.process(self.tank(at, station.batch))
        # What stands in the shop at hour 0 asks for its bench in its turn.
        for number in sorted(jobs, key=lambda job: (self.draws.priority[job], self.ready[job], job)):
            self.env.process(self.job(number))
        self.env.run(until=1e6)
        return [self.finish[number] for number in jobs]

    def job(self, number: int) -> Steps:
        """Pass the stations of one job."""
        since: float | None = self.ready[number]
        yield self.env.timeout(max(self.ready[number], 0.0))
        for visit, station in enumerate(self.draws.stations_of[number]):
            hours = self.service[number][visit]
            if math.isnan(hours):
                continue
            ready = self.env.now if since is None else since
            since = None
            if station in self.queues:
                yield from self.soak(number, station, hours, ready)
            else:
                since_h = self.ready[number] if station in self.pools else ready
                order: Any = (self.draws.priority[number], since_h, number)
                with self.benches[station].request(priority=order) as bench:
                    yield bench
                    yield self.env.timeout(hours)
            days = self.wait_days[number][visit]
            if days > 0.0:
                yield self.env.timeout(24.0 * days)
        self.finish[number] = self.env.now

    def soak(self, number: int, station: int, hours: float, ready: float) -> Steps:
        """Wait in front of the tank and then for the end of the run."""
        done = self.env.event()
        self.queues[station].append((self.draws.priority[number], ready, number, hours, done))
        if not self.joined[station].triggered:
            self.joined[station].succeed()
        yield done

    def tank(self, station: int, batch: Batch) -> Steps:
        """Start run after run."""
        queue = self.queues[station]
        while True:
            while not queue or (
                len(queue) < batch.least_jobs and self.env.now < _deadline(queue, batch) - 1e-9
            ):
                self.joined[station] = self.env.event()
                if queue:
                    left_h = max(_deadline(queue, batch) - self.env.now, 0.0)
                    yield self.joined[station] | self.env.timeout(left_h)
                else:
                    yield self.joined[station]
            yield self.env.timeout(0.0)  # what joins at this instant comes along
            queue.sort(key=lambda entry: entry[:3])
            members = [queue.pop(0) for _ in range(min(len(queue), batch.most_jobs))]
            yield self.env.timeout(max(entry[3] for entry in members))
            # Members of a run are done at one instant; the next bench takes them by class and number.
            for entry in sorted(members, key=lambda entry: (entry[0], entry[2])):
                entry[4].succeed()

    def is_due(self, queue: list[Entry], batch: Batch) -> bool:
        """Whether a run starts with those who wait."""
        if not queue:
            return False
        return len(queue) >= batch.least_jobs or self.env.now >= _deadline(queue, batch) - 1e-9


def _deadline(queue: list[Entry], batch: Batch) -> float:
    return min(entry[1] for entry in queue) + batch.longest_wait_hours
