"""The shop's clock for whole arrays of hours, to the last bit as `ShopClock` gives it for one.

The open spans are looked up by bisection (`numpy.searchsorted`); the arithmetic and its order are those of
`jobs.leadtime.clock`, because the engines have to agree exactly.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from jobs.leadtime.clock import DAY_S, HOUR_S, SAME_MOMENT_H, OpenTable, ShopClock
from jobs.leadtime.floor import Array


@dataclass(frozen=True, slots=True, eq=False)
class TabledClock:
    """The table of a `ShopClock` as arrays."""

    opens_s: Array
    closes_s: Array
    before_h: Array
    now_s: float
    now_h: float

    def hours_after_days(self, hours: Array, *, days: Array) -> Array:
        """Return `ShopClock.hours_after_days` of every element; infinite hours stay infinite."""
        finite = hours < np.inf
        known = np.where(finite, hours, 0.0)
        counted_h = self.now_h + known
        at = np.maximum(np.searchsorted(self.before_h, counted_h - SAME_MOMENT_H, side="left") - 1, 0)
        moment_s = self.opens_s[at] + (counted_h - self.before_h[at]) * HOUR_S
        np.minimum(moment_s, self.closes_s[at], out=moment_s)
        np.maximum(moment_s, self.now_s, out=moment_s)
        moment_s = np.where(known > 0.0, moment_s, self.now_s)
        return np.where(finite, self._hours_at(moment_s + days * DAY_S), np.inf)

    def _hours_at(self, moment_s: Array) -> Array:
        at = np.searchsorted(self.opens_s, moment_s, side="right") - 1
        inside = np.maximum(at, 0)
        worked_s = np.minimum(moment_s, self.closes_s[inside]) - self.opens_s[inside]
        counted = np.where(at < 0, 0.0, self.before_h[inside] + worked_s / HOUR_S)
        return np.asarray(counted - self.now_h, dtype=np.float64)


@lru_cache(maxsize=64)
def _lay_out(table: OpenTable) -> tuple[Array, Array, Array]:
    return np.array(table.opens_s), np.array(table.closes_s), np.array(table.before_h)


def table_clock(clock: ShopClock) -> TabledClock:
    """Return the clock's table as arrays."""
    return TabledClock(*_lay_out(clock.table), clock.now.timestamp(), clock.now_h)
