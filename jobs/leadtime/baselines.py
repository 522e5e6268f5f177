"""The simple ways to quote a lead time, which a simulation has to beat.

Each returns quantiles in working hours at `LEVELS` from nothing but when earlier jobs arrived and were
packed: fixed weeks (the first 300 jobs, for ever), the last 30 packed, the last 40 packed of the same family,
and the work in process over the throughput, times how that rule has erred so far.
"""

import math
from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from jobs.leadtime.floor import Array
from jobs.leadtime.ranges import LEVELS

FIRST_JOBS = 300
LAST_JOBS = 30
LAST_OF_FAMILY = 40
LAST_RATIOS = 150
THROUGHPUT_DAYS = 60.0
LEAST_KNOWN = 10


class Rule(StrEnum):
    """A simple way to quote."""

    FIXED_WEEKS = "fixed weeks"
    LAST_30 = "last 30 jobs"
    LAST_40_OF_FAMILY = "last 40 of the family"
    WIP_OVER_THROUGHPUT = "WIP over throughput"


@dataclass(frozen=True, slots=True)
class Passed:
    """One packed job as the simple rules see it, in working hours from any fixed moment."""

    family: str
    arrived_h: float
    packed_h: float


@dataclass(frozen=True, slots=True)
class Unpacked:
    """A job that is in the shop, or left it unrepaired: it has no lead time and was work in process."""

    arrived_h: float
    left_h: float = math.inf


class SimpleRules:
    """The four rules over one history; each looks only at what was packed before the quote."""

    def __init__(
        self, jobs: Sequence[Passed], *, day_hours: float, unpacked: Sequence[Unpacked] = ()
    ) -> None:
        """Take the jobs in the order of their arrival."""
        self.day_hours = day_hours
        self.first_leads = sorted(job.packed_h - job.arrived_h for job in jobs[:FIRST_JOBS])
        self.by_packing = sorted(jobs, key=lambda job: job.packed_h)
        self.packed_h = [job.packed_h for job in self.by_packing]
        arrived_h = [job.arrived_h for job in jobs] + [job.arrived_h for job in unpacked]
        self.arrived_h = sorted(arrived_h)
        self.gone_h = sorted([*self.packed_h, *(job.left_h for job in unpacked)])
        self.ratios = {
            id(job): (job.packed_h - job.arrived_h) / self._wip_hours(job.arrived_h) for job in jobs
        }

    def quote(self, rule: Rule, *, family: str, at_h: float) -> tuple[float, ...]:
        """Return the quantiles of the lead time at `LEVELS` in working hours, as known at `at_h`."""
        known = self.by_packing[: bisect_left(self.packed_h, at_h)]
        if rule is Rule.FIXED_WEEKS or len(known) < LEAST_KNOWN:
            return _quantiles(self.first_leads)
        if rule is Rule.LAST_30:
            return _quantiles([job.packed_h - job.arrived_h for job in known[-LAST_JOBS:]])
        if rule is Rule.LAST_40_OF_FAMILY:
            own = [job.packed_h - job.arrived_h for job in known if job.family == family][-LAST_OF_FAMILY:]
            if len(own) < LEAST_KNOWN:
                own = [job.packed_h - job.arrived_h for job in known[-LAST_JOBS:]]
            return _quantiles(own)
        point_h = self._wip_hours(at_h)
        ratios = [self.ratios[id(job)] for job in known[-LAST_RATIOS:]]
        return tuple(point_h * ratio for ratio in _quantiles(ratios))

    def _wip_hours(self, at_h: float) -> float:
        """Return the units in the shop over the units packed per working hour (Little's law)."""
        inside = bisect_right(self.arrived_h, at_h) - bisect_right(self.gone_h, at_h)
        since_h = at_h - THROUGHPUT_DAYS * self.day_hours
        packed = bisect_right(self.packed_h, at_h) - bisect_right(self.packed_h, since_h)
        hours = min(THROUGHPUT_DAYS * self.day_hours, max(at_h - self.arrived_h[0], self.day_hours))
        return max(inside, 1) * hours / max(packed, 1)


def _quantiles(sample: Sequence[float]) -> tuple[float, ...]:
    values: Array = np.array(sample, dtype=np.float64)
    return tuple(float(value) for value in np.quantile(values, LEVELS))
