"""The reference engine: one replication at a time, one event after the other.

It keeps the rules of `floor` exactly, with people who float between centres included. A faster engine for
special cases has to agree with this one to the last bit.

An event is (hour, code) on one heap. With J jobs the codes are: below J, job ready; J to 2J - 1, service of
that job over; from 2J on, a station looks again because its oldest job has waited long enough for a run.
"""

import math
from heapq import heapify, heappop, heappush

import numpy as np

from jobs.leadtime.floor import Draws, Floor, Passage

NAN = math.nan
Waiting = tuple[int, float, int]


def run_event_loop(floor: Floor, draws: Draws) -> Passage:
    """Return the passage of every replication.

    Stations are worked as `jobs.leadtime.floor` states; a replication ends when its watched jobs are done.
    """
    replications, jobs, visits = draws.service_hours.shape
    ready = np.full((replications, jobs, visits), NAN)
    start, end = ready.copy(), ready.copy()
    finish = np.full((replications, jobs), NAN)
    until = np.zeros(replications)
    plan = _Plan(floor, draws)
    for at in range(replications):
        run = _Run(plan, replication=at)
        until[at] = run.follow()
        shape = (jobs, visits)
        ready[at] = np.array(run.ready).reshape(shape)
        start[at] = np.array(run.start).reshape(shape)
        end[at] = np.array(run.end).reshape(shape)
        finish[at] = run.finish
    return Passage(ready, start, end, finish, until)


class _Plan:
    """What all replications share."""

    __slots__ = ("draws", "floor", "jobs", "stations_of", "touching", "visits")

    def __init__(self, floor: Floor, draws: Draws) -> None:
        self.floor, self.draws = floor, draws
        self.jobs, self.visits = draws.service_hours.shape[1:]
        self.stations_of = draws.stations_of
        masks = [station.people_mask for station in floor.stations]
        # The end of a visit at a station can let any station with a person in common start.
        self.touching = [
            tuple(other for other, theirs in enumerate(masks) if other == own or mask & theirs)
            for own, mask in enumerate(masks)
        ]


class _Run:
    """One replication."""

    __slots__ = (
        "at_visit",
        "batch",
        "benches_free",
        "clock",
        "end",
        "events",
        "finish",
        "left",
        "masks",
        "members",
        "people_free",
        "person_of",
        "plan",
        "priority",
        "queues",
        "ready",
        "service",
        "start",
        "wait_days",
    )

    def __init__(self, plan: _Plan, *, replication: int) -> None:
        draws, floor = plan.draws, plan.floor
        self.plan, self.clock = plan, floor.clock
        self.service: list[float] = draws.service_hours[replication].ravel().tolist()
        self.wait_days: list[float] = draws.wait_days[replication].ravel().tolist()
        size = plan.jobs * plan.visits
        self.ready, self.start, self.end = [NAN] * size, [NAN] * size, [NAN] * size
        self.finish: list[float] = [NAN] * plan.jobs
        self.at_visit = [0] * plan.jobs
        self.priority = draws.priority
        self.queues: list[list[Waiting]] = [[] for _ in floor.stations]
        self.benches_free = [station.benches for station in floor.stations]
        self.masks = [station.people_mask for station in floor.stations]
        self.batch = [station.batch for station in floor.stations]
        self.people_free = (1 << floor.people) - 1
        self.person_of = [0] * plan.jobs
        self.members: dict[int, list[int]] = {}
        arrivals: list[float] = draws.ready_hours[replication].tolist()
        self.events: list[tuple[float, int]] = [
            (hour, job) for job, hour in enumerate(arrivals) if hour < math.inf and not draws.in_progress[job]
        ]
        heapify(self.events)
        self.left = sum(1 for hour in arrivals[: draws.watched] if hour < math.inf)
        self._seat_begun(
            [job for job, hour in enumerate(arrivals) if draws.in_progress[job] and hour < math.inf], arrivals
        )

    def follow(self) -> float:
        """Work all events until the watched jobs are done; return the last hour reached."""
        events, jobs = self.events, self.plan.jobs
        # What is already waiting joins its queue first, and work is given out once, at hour 0.
        touched: set[int] = set(range(len(self.queues)))
        while events and events[0][0] <= 0.0 and events[0][1] < jobs:
            hour, job = heappop(events)
            self._join(job, hour, touched)
        now = 0.0
        self._give_out(touched, now)
        while events and self.left:
            now = events[0][0]
            touched = set()
            while events and events[0][0] == now:
                code = heappop(events)[1]
                if code < jobs:
                    self._join(code, now, touched)
                elif code < 2 * jobs:
                    self._end_service(code - jobs, now, touched)
                else:
                    touched.add(code - 2 * jobs)
            if touched:
                self._give_out(touched, now)
        return now

    def _seat_begun(self, begun: list[int], arrivals: list[float]) -> None:
        """Put work that has begun on its benches; what finds none waits in front of its queue."""
        runs: dict[int, list[int]] = {}
        for job in sorted(begun, key=lambda job: (arrivals[job], job)):
            visit = self._next_visit(job)
            if visit is None:
                heappush(self.events, (max(arrivals[job], 0.0), job))
                continue
            station = self.plan.stations_of[job][visit]
            self.ready[job * self.plan.visits + visit] = arrivals[job]
            batch = self.batch[station]
            if batch is not None and len(runs.get(station, ())) < batch.most_jobs and station in runs:
                runs[station].append(job)
            elif batch is not None and station not in runs and self._can_start(station):
                runs[station] = [job]
                self._take(station, job)
            elif batch is None and self._can_start(station):
                self._take(station, job)
                self._begin(job, [job], 0.0)
            else:
                heappush(self.queues[station], (-1, arrivals[job], job))
        for members in runs.values():
            self._begin(members[0], members, 0.0)

    def _next_visit(self, job: int) -> int | None:
        """Move the job past skipped visits; return the visit at hand, or None behind the last."""
        visit, base = self.at_visit[job], job * self.plan.visits
        last, service = len(self.plan.stations_of[job]), self.service
        while visit < last and service[base + visit] != service[base + visit]:
            visit += 1
        self.at_visit[job] = visit
        return visit if visit < last else None

    def _join(self, job: int, now: float, touched: set[int]) -> None:
        visit = self._next_visit(job)
        if visit is None:
            self.finish[job] = max(now, 0.0)
            if job < self.plan.draws.watched:
                self.left -= 1
            return
        station = self.plan.stations_of[job][visit]
        self.ready[job * self.plan.visits + visit] = now
        heappush(self.queues[station], (self.priority[job], now, job))
        touched.add(station)
        batch = self.batch[station]
        if batch is not None and batch.least_jobs > 1:
            look_again = (
                max(now, 0.0) if now + batch.longest_wait_hours < 0.0 else now + batch.longest_wait_hours
            )
            heappush(self.events, (look_again, 2 * self.plan.jobs + station))

    def _end_service(self, leader: int, now: float, touched: set[int]) -> None:
        plan, visits = self.plan, self.plan.visits
        station = plan.stations_of[leader][self.at_visit[leader]]
        self.benches_free[station] += 1
        self.people_free |= self.person_of[leader]
        touched.update(plan.touching[station] if self.masks[station] else (station,))
        for job in self.members.pop(leader, None) or (leader,):
            place = job * visits + self.at_visit[job]
            self.end[place] = now
            self.at_visit[job] += 1
            days = self.wait_days[place]
            if days > 0.0:
                clock = self.clock
                hour = now + 24.0 * days if clock is None else clock.hours_after_days(now, days=days)
                heappush(self.events, (max(hour, now), job))
            else:
                self._join(job, now, touched)

    def _can_start(self, station: int) -> bool:
        mask = self.masks[station]
        return self.benches_free[station] > 0 and (not mask or bool(mask & self.people_free))

    def _give_out(self, touched: set[int], now: float) -> None:
        """Start whatever can start now, the first in order over all touched stations first."""
        queues, benches_free, masks = self.queues, self.benches_free, self.masks
        while True:
            best: Waiting | None = None
            chosen = -1
            for station in touched:
                queue = queues[station]
                if not queue or benches_free[station] <= 0 or (best is not None and queue[0] > best):
                    continue
                mask = masks[station]
                if mask and not mask & self.people_free:
                    continue
                if self.batch[station] is not None and not self._run_is_due(station, now):
                    continue
                best, chosen = queue[0], station
            if best is None:
                return
            self._start(chosen, now)

    def _run_is_due(self, station: int, now: float) -> bool:
        batch, queue = self.batch[station], self.queues[station]
        if batch is None or len(queue) >= batch.least_jobs:
            return True
        return min(waiting[1] for waiting in queue) + batch.longest_wait_hours <= now

    def _start(self, station: int, now: float) -> None:
        queue, batch = self.queues[station], self.batch[station]
        leader = heappop(queue)[2]
        self._take(station, leader)
        members = [leader]
        while batch is not None and queue and len(members) < batch.most_jobs:
            members.append(heappop(queue)[2])
        self._begin(leader, members, now)

    def _take(self, station: int, leader: int) -> None:
        self.benches_free[station] -= 1
        free = self.masks[station] & self.people_free
        person = free & -free
        self.people_free &= ~person
        self.person_of[leader] = person

    def _begin(self, leader: int, members: list[int], now: float) -> None:
        visits, longest = self.plan.visits, 0.0
        for job in members:
            place = job * visits + self.at_visit[job]
            self.start[place] = now
            longest = max(longest, self.service[place])
        if len(members) > 1:
            self.members[leader] = members
        heappush(self.events, (now + longest, self.plan.jobs + leader))
