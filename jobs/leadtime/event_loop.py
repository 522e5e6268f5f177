"""The reference engine: one replication at a time, one event after the other.

It keeps the rules of `floor` exactly, with people who float between centres included. A faster engine for
special cases has to agree with this one to the last bit.

An event is (hour, code) on one heap. With J jobs and S stations the codes are: below J, job ready; J to
2J - 1, service of that job over; 2J to 2J + S - 1, a station looks again because its oldest job has waited
long enough for a run; from there on, somebody leaves or is back.
"""

import math
from heapq import heapify, heappop, heappush

import numpy as np

from jobs.leadtime.event_plan import EventPlan
from jobs.leadtime.floor import Draws, Floor, Passage
from jobs.leadtime.routes import Batch

NAN = math.nan
Waiting = tuple[int, float, int]


def run_event_loop(floor: Floor, draws: Draws) -> Passage:
    """Return the passage of every replication.

    Stations are worked as `jobs.leadtime.floor` states; a replication ends when its watched jobs are done
    and the hours to be followed are over.
    """
    replications, jobs, visits = draws.service_hours.shape
    kept = draws.kept_jobs
    places, shape = kept * visits, (kept, visits)
    ready = np.full((replications, kept, visits), NAN)
    start, end = ready.copy(), ready.copy()
    finish = np.full((replications, jobs), NAN)
    until = np.zeros(replications)
    plan = EventPlan(floor, draws)
    for at in range(replications):
        run = _Run(plan, replication=at)
        until[at] = run.follow()
        ready[at] = np.array(run.ready[:places]).reshape(shape)
        start[at] = np.array(run.start[:places]).reshape(shape)
        end[at] = np.array(run.end[:places]).reshape(shape)
        finish[at] = run.finish
    return Passage(ready, start, end, finish, until)


class _Run:
    """One replication."""

    __slots__ = (
        "away",
        "batch",
        "benches_free",
        "came",
        "clock",
        "end",
        "events",
        "finish",
        "following",
        "left",
        "masks",
        "members",
        "people_free",
        "people_here",
        "person_of",
        "place_of",
        "plan",
        "priority",
        "queues",
        "ready",
        "service",
        "start",
        "station_at",
        "vacant",
        "wait_days",
        "waiting",
    )

    def __init__(self, plan: EventPlan, *, replication: int) -> None:
        draws, floor = plan.draws, plan.floor
        self.plan, self.clock, self.station_at = plan, floor.clock, plan.station_at
        self.service: list[float] = draws.service_hours[replication].ravel().tolist()
        self.wait_days: list[float] = draws.wait_days[replication].ravel().tolist()
        size = plan.jobs * plan.visits
        self.ready, self.start, self.end = [NAN] * size, [NAN] * size, [NAN] * size
        self.finish: list[float] = [NAN] * plan.jobs
        self.place_of: list[int] = plan.first_visit[replication].tolist()
        self.following: list[int] = plan.following[replication].ravel().tolist()
        self.priority = draws.priority
        self.queues: list[list[Waiting]] = [[] for _ in floor.stations]
        self.benches_free = [station.benches for station in floor.stations]
        self.masks = [station.people_mask for station in floor.stations]
        self.batch = [station.batch for station in floor.stations]
        self.people_free = (1 << floor.people) - 1
        self.away, self.people_here = plan.away, plan.people_at_first()
        # Stations with a free bench, and stations at which somebody waits, as bits.
        self.vacant = sum(1 << at for at, station in enumerate(floor.stations) if station.benches)
        self.waiting = 0
        self.person_of = [0] * plan.jobs
        self.members: dict[int, list[int]] = {}
        arrivals_h: list[float] = draws.ready_hours[replication].tolist()
        came = draws.came_hours
        self.came: list[float] = arrivals_h if came is None else came[replication].tolist()
        coming = [job for job, hour in enumerate(arrivals_h) if hour < math.inf]
        self.events = [(arrivals_h[job], job) for job in coming if not draws.in_progress[job]]
        first_move = 2 * plan.jobs + len(floor.stations)
        self.events += [(hour, first_move + at) for at, (hour, _) in enumerate(plan.moves)]
        heapify(self.events)
        self.left = sum(1 for job in coming if job < draws.watched)
        self._seat_begun([job for job in coming if draws.in_progress[job]], arrivals_h)

    def follow(self) -> float:
        """Work all events until the watched jobs are done; return the hour up to which all is known."""
        events, jobs, follow_hours = self.events, self.plan.jobs, self.plan.draws.follow_hours
        first_move = 2 * jobs + len(self.queues)
        join, end_service, give_out = self._join, self._end_service, self._give_out
        # What is already waiting joins its queue first, and work is given out once, at hour 0.
        while events and events[0][0] <= 0.0 and events[0][1] < jobs:
            hour, job = heappop(events)
            join(job, hour)
        now_h = 0.0
        give_out((1 << len(self.queues)) - 1, now_h)
        while events and (self.left or events[0][0] <= follow_hours):
            now_h = events[0][0]
            touched = 0
            while events and events[0][0] == now_h:
                code = heappop(events)[1]
                if code < jobs:
                    touched |= join(code, now_h)
                elif code < 2 * jobs:
                    touched |= end_service(code - jobs, now_h)
                elif code < first_move:
                    touched |= 1 << (code - 2 * jobs)
                else:
                    touched |= self._come_or_go(code - first_move)
            if touched & self.waiting & self.vacant:
                give_out(touched, now_h)
        return max(now_h, follow_hours)

    def _seat_begun(self, begun: list[int], arrivals_h: list[float]) -> None:
        """Put work that has begun on its benches; what finds none waits in front of its queue."""
        runs: dict[int, list[int]] = {}
        for job in sorted(begun, key=lambda job: (arrivals_h[job], job)):
            if self.place_of[job] < 0:
                heappush(self.events, (max(arrivals_h[job], 0.0), job))
                continue
            place = self.place_of[job]
            station = self.station_at[place]
            self.ready[place] = arrivals_h[job]
            batch = self.batch[station]
            if batch is not None and station in runs and len(runs[station]) < batch.most_jobs:
                runs[station].append(job)
            elif batch is not None and station not in runs and self._can_start(station):
                runs[station] = [job]
                self._take(station, job)
            elif batch is None and self._can_start(station):
                self._take(station, job)
                self._begin([job], 0.0)
            else:
                heappush(self.queues[station], (-1, arrivals_h[job], job))
                self.waiting |= 1 << station
                if batch is not None:
                    self._look_again(batch, station, arrivals_h[job])
        for members in runs.values():
            self._begin(members, 0.0)

    def _join(self, job: int, now_h: float) -> int:
        """Let the job wait at its next station, or finish it; return the station as a bit, else 0."""
        place = self.place_of[job]
        if place < 0:
            self.finish[job] = max(now_h, 0.0)
            if job < self.plan.draws.watched:
                self.left -= 1
            return 0
        station = self.station_at[place]
        self.ready[place] = now_h
        order_h = self.came[job] if self.plan.is_shared[station] else now_h
        heappush(self.queues[station], (self.priority[job], order_h, job))
        bit = 1 << station
        self.waiting |= bit
        batch = self.batch[station]
        if batch is not None:
            self._look_again(batch, station, now_h)
        return bit

    def _look_again(self, batch: Batch, station: int, ready_h: float) -> None:
        """Wake a run's station when a job that is ready now will have waited its longest."""
        if batch.least_jobs > 1:
            hour = max(ready_h + batch.longest_wait_hours, 0.0)
            heappush(self.events, (hour, 2 * self.plan.jobs + station))

    def _end_service(self, leader: int, now_h: float) -> int:
        """Free the bench and the person, send the jobs of the visit on; return the touched stations."""
        station = self.station_at[self.place_of[leader]]
        self.benches_free[station] += 1
        self.vacant |= 1 << station
        person = self.person_of[leader]
        touched = 1 << station
        if person:
            self.people_free |= person
            touched = self.plan.touching[station]
        if leader in self.members:
            for job in self.members.pop(leader):
                touched |= self._send_on(job, now_h)
            return touched
        return touched | self._send_on(leader, now_h)

    def _come_or_go(self, move: int) -> int:
        """Let somebody leave, or be back; return the stations at which that lets work begin."""
        bit = self.plan.moves[move][1]
        self.people_here ^= bit
        return self.plan.served[bit] if self.people_here & bit else 0

    def _over_at(self, leader: int, now_h: float, hours: float) -> float:
        """Return when work begun now is over; it stands still while the person who does it is away."""
        over_h = now_h + hours
        for from_h, to_h in self.away.get(self.person_of[leader], ()):
            if now_h < to_h and from_h < over_h:
                over_h += to_h - max(from_h, now_h)
        return over_h

    def _send_on(self, job: int, now_h: float) -> int:
        """End the job's visit; let it wait, or join its next queue at once."""
        place = self.place_of[job]
        self.end[place] = now_h
        self.place_of[job] = self.following[place]
        days = self.wait_days[place]
        if days > 0.0:
            clock = self.clock
            hour = now_h + 24.0 * days if clock is None else clock.hours_after_days(now_h, days=days)
            if hour > now_h:
                heappush(self.events, (hour, job))
                return 0
        return self._join(job, now_h)

    def _can_start(self, station: int) -> bool:
        mask = self.masks[station]
        free = self.people_free & self.people_here
        return self.benches_free[station] > 0 and (not mask or bool(mask & free))

    def _give_out(self, touched: int, now_h: float) -> None:
        """Start whatever can start now, the first in order over all touched stations first."""
        queues, masks, batches = self.queues, self.masks, self.batch
        while left := touched & self.waiting & self.vacant:
            best: Waiting | None = None
            chosen, people_free = -1, self.people_free & self.people_here
            while left:
                bit = left & -left
                left ^= bit
                station = bit.bit_length() - 1
                first = queues[station][0]
                if best is not None and first > best:
                    continue
                mask = masks[station]
                if mask and not mask & people_free:
                    continue
                if batches[station] is not None and not self._run_is_due(station, now_h):
                    continue
                best, chosen = first, station
            if best is None:
                return
            self._start(chosen, now_h)

    def _run_is_due(self, station: int, now_h: float) -> bool:
        batch, queue = self.batch[station], self.queues[station]
        if batch is None or len(queue) >= batch.least_jobs:
            return True
        oldest_h = min(self.ready[self.place_of[job]] for _, _, job in queue)
        return oldest_h + batch.longest_wait_hours <= now_h

    def _start(self, station: int, now_h: float) -> None:
        queue, batch = self.queues[station], self.batch[station]
        leader = heappop(queue)[2]
        self._take(station, leader)
        if batch is None:
            place = self.place_of[leader]
            self.start[place] = now_h
            over_h = now_h + self.service[place]
            if self.away:
                over_h = self._over_at(leader, now_h, self.service[place])
            heappush(self.events, (over_h, self.plan.jobs + leader))
        else:
            members = [leader]
            while queue and len(members) < batch.most_jobs:
                members.append(heappop(queue)[2])
            self._begin(members, now_h)
        if not queue:
            self.waiting ^= 1 << station

    def _take(self, station: int, leader: int) -> None:
        """Give the leader of a visit a bench and, where one is needed, a person."""
        self.benches_free[station] -= 1
        if not self.benches_free[station]:
            self.vacant ^= 1 << station
        free = self.masks[station] & self.people_free & self.people_here
        person = free & -free
        self.people_free ^= person
        self.person_of[leader] = person

    def _begin(self, members: list[int], now_h: float) -> None:
        leader, longest = members[0], 0.0
        for job in members:
            place = self.place_of[job]
            self.start[place] = now_h
            longest = max(longest, self.service[place])
        if len(members) > 1:
            self.members[leader] = members
        heappush(self.events, (self._over_at(leader, now_h, longest), self.plan.jobs + leader))
