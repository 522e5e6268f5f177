"""What really happens in an invented shop: an event simulation of its own, apart from the engines.

A visit's length is known only when it begins, because it depends on the week and on who does it; that is why
none of the engines, to which all durations are given beforehand, could play this truth.
"""

import heapq
import math
from bisect import insort

import numpy as np

from jobs.domain.stages import HoldKind
from jobs.leadtime.clock import start_clock
from jobs.leadtime.past import PastHold, PastJob
from jobs.leadtime.past_visits import PastVisit
from jobs.leadtime.routes import BenchStep
from jobs.leadtime.state import Priority
from tests.jobs.leadtime.truth.shops import (
    BENCHES,
    CENTRE_OF,
    DAY_H,
    EIGHT_HOURS,
    FAMILIES,
    MIX,
    PARTS_DAYS,
    RUN,
    START,
    STEPS,
    known_shop,
)

YEAR_H = 250.0 * DAY_H
WEEK_H = 5.0 * DAY_H
CLEAN, TEST = STEPS.index(BenchStep.CLEAN), STEPS.index(BenchStep.TEST)
ASSEMBLE = STEPS.index(BenchStep.ASSEMBLE)
GAMMA_SHAPE = 3.2
PARTS_SHAPE = 1.8
MISHAP_SHARE, MISHAP_FACTOR = 0.02, 3.0


def live_through(truth):
    """Return the past jobs of the shop, all of them packed, in the order of their arrival."""
    return _Life(truth).run()


class _Life:
    def __init__(self, truth):
        self.truth, self.stream = truth, np.random.default_rng([truth.seed, 77])
        self.clock = start_clock(EIGHT_HOURS, now=START)
        shop = known_shop(truth)
        self.free = {centre.slug: centre.benches for centre in shop.centres}
        self.queues = {slug: [] for slug in BENCHES}
        # People of a floating crew differ in pace; without one, benches alone limit the work.
        self.crew = np.exp(truth.pace_sd * self.stream.standard_normal(truth.floating_people)).tolist()
        self.idle = list(range(truth.floating_people))
        weeks = self.stream.standard_normal(4000)
        sd = truth.week_shock_sd
        self.shock = np.exp(sd * weeks - sd**2 / 2.0)
        self.events, self.count = [], 0
        self.jobs = []

    def run(self):
        hour = 0.0
        for number in range(self.truth.jobs):
            hour += self._gap(hour)
            self._push(hour, "arrive", self._new_job(number, hour))
        while self.events:
            now, _, kind, payload = heapq.heappop(self.events)
            getattr(self, f"_{kind}")(now, payload)
            if not self.events or self.events[0][0] > now:
                self._give_out(now)
        return tuple(self._write_up(job) for job in self.jobs)

    # --- chance ------------------------------------------------------------------------------------

    def _gap(self, hour):
        rate = self.truth.per_day / DAY_H
        rate *= 1.0 + self.truth.season_share * math.sin(2.0 * math.pi * hour / YEAR_H)
        return float(self.stream.exponential(1.0 / rate))

    def _new_job(self, number, hour):
        family = list(FAMILIES)[int(self.stream.choice(len(FAMILIES), p=MIX))]
        _, machined, parts = FAMILIES[family]
        sd = self.truth.difficulty_sd
        job = {
            "number": number,
            "family": family,
            "arrived": hour,
            "urgent": self.stream.random() < self.truth.urgent_share,
            "difficulty": math.exp(sd * self.stream.standard_normal() - sd**2 / 2.0),
            "steps": [at for at in range(len(STEPS)) if at != 2 or self.stream.random() < machined],
            "parts": self.stream.random() < parts,
            "rounds": 0,
            "visits": [],
            "holds": [],
            "packed": None,
        }
        self.jobs.append(job)
        return job

    def _length(self, job, step, now, person):
        hours = FAMILIES[job["family"]][0][step]
        if self.stream.random() < MISHAP_SHARE:
            hours *= MISHAP_FACTOR
        hours *= float(self.stream.gamma(GAMMA_SHAPE)) / GAMMA_SHAPE
        if step == CLEAN:
            return hours
        hours *= job["difficulty"] * float(self.shock[int(now // WEEK_H)])
        if person is not None:
            hours /= self.crew[person]
        if step == TEST and job["number"] >= self.truth.drift_from_job:
            hours *= self.truth.test_drift
        return hours * (0.5 if job["rounds"] else 1.0)

    def _parts_days(self, job):
        days = PARTS_DAYS / math.gamma(1.0 + 1.0 / PARTS_SHAPE) * float(self.stream.weibull(PARTS_SHAPE))
        return days * (self.truth.parts_drift if job["number"] >= self.truth.drift_from_job else 1.0)

    # --- events ------------------------------------------------------------------------------------

    def _push(self, hour, kind, payload):
        self.count += 1
        heapq.heappush(self.events, (hour, self.count, kind, payload))

    def _arrive(self, now, job):
        slug = CENTRE_OF[STEPS[job["steps"][0]]]
        insort(self.queues[slug], (not job["urgent"], now, job["number"]))
        if slug == "tank":
            self._push(now + RUN.longest_wait_hours, "look", None)

    def _look(self, now, _):
        pass

    def _end(self, now, visit):
        slug, person, members = visit
        self.free[slug] += 1
        if person is not None:
            insort(self.idle, person)
        for job in members:
            self._end_step(now, job)

    def _end_step(self, now, job):
        step = job["steps"].pop(0)
        job["visits"][-1]["ended"] = now
        if step == TEST and job["rounds"] < 2 and self.stream.random() < self.truth.rework_share:
            job["visits"][-1]["passed"] = False
            job["rounds"] += 1
            job["steps"] = [ASSEMBLE, TEST, *job["steps"]]
        if step == CLEAN and job["parts"]:
            ends = self.clock.hours_after_days(now, days=self._parts_days(job))
            job["holds"].append((now, ends))
            self._push(max(ends, now), "arrive", job)
        elif job["steps"]:
            self._arrive(now, job)
        else:
            job["packed"] = now

    # --- giving out work ---------------------------------------------------------------------------

    def _give_out(self, now):
        while True:
            ready = []
            for slug, queue in self.queues.items():
                if not queue or not self.free[slug]:
                    continue
                if slug == "tank":
                    oldest = min(entry[1] for entry in queue)
                    if len(queue) < RUN.least_jobs and oldest + RUN.longest_wait_hours > now:
                        continue
                elif self.crew and not self.idle:
                    continue
                ready.append((queue[0], slug))
            if not ready:
                return
            self._start(now, min(ready)[1])

    def _start(self, now, slug):
        most = RUN.most_jobs if slug == "tank" else 1
        queue = self.queues[slug]
        members = [self.jobs[entry[2]] for entry in queue[:most]]
        del queue[:most]
        person = None
        if self.crew and slug != "tank":
            person = self.idle.pop(int(self.stream.integers(len(self.idle))))
        self.free[slug] -= 1
        length = max(self._length(job, job["steps"][0], now, person) for job in members)
        for job in members:
            visit = {"step": job["steps"][0], "started": now, "passed": True, "again": job["rounds"] > 0}
            if visit["step"] not in (ASSEMBLE, TEST):
                visit["again"] = False
            job["visits"].append(visit)
        self._push(now + max(length, 1e-3), "end", (slug, person, members))

    # --- writing it up -----------------------------------------------------------------------------

    def _write_up(self, job):
        at = self.clock.moment_at
        return PastJob(
            f"{job['number']:06d}",
            job["family"],
            at(job["arrived"]),
            tuple(
                PastVisit(
                    STEPS[visit["step"]],
                    at(visit["started"]),
                    at(visit["ended"]),
                    passed=visit["passed"],
                    again=visit["again"],
                )
                for visit in job["visits"]
            ),
            tuple(PastHold(HoldKind.PARTS, at(began), at(ended)) for began, ended in job["holds"]),
            at(job["packed"]),
            Priority.URGENT if job["urgent"] else Priority.ORDINARY,
        )
