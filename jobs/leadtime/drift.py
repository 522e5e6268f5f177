"""Whether a step has begun to take longer, or less long, than it used to.

A cumulative sum (CUSUM) adds up how far each visit lies above what its forerunners let expect, in standard
deviations of the log hours, less an allowance, and never falls below zero. With an allowance of 0.25 and a
threshold of 8 a shop in which nothing changes hears a false alarm about every 775 visits; a step that takes
half a standard deviation longer is found after about 29 visits, a whole one after 11. An alarm shortens the
half-life with which old visits fade; it deletes nothing.

Sources: E. S. Page 1954 (the scheme); D. M. Hawkins 1987 (judging each visit by its forerunners alone); run
lengths: D. Siegmund 1985 and the usual tables.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from jobs.leadtime.history import SEED_WEIGHT, SHORTEST, Seed, StageVisit
from jobs.leadtime.routes import BenchStep

ALLOWANCE_SD = 0.25
THRESHOLD_SD = 8.0
SHORT_HALF_LIFE_DAYS = 60.0
ALARM_LASTS_DAYS = 170
LARGEST_RESIDUAL_SD = 4.0  # one mislaid unit must not raise the alarm


class Direction(StrEnum):
    """Which way a step has gone."""

    SLOWER = "slower"
    QUICKER = "quicker"


@dataclass(frozen=True, slots=True)
class Drift:
    """A step that has changed: found on a day, visible since another, and by how much.

    `change_factor` is the median of the visits since then over what was expected of them.
    """

    step: BenchStep
    direction: Direction
    found_on: date
    since: date
    change_factor: float
    visits: int
    sentence: str


def find_alarm(
    residuals: Iterable[float], *, allowance_sd: float = ALLOWANCE_SD, threshold_sd: float = THRESHOLD_SD
) -> int | None:
    """Return after how many residuals a one-sided CUSUM exceeds its threshold, or None if it does not.

    S = max(0, S + residual - allowance_sd), alarm when S > threshold; residuals in standard deviations.

    >>> find_alarm([1.25] * 20, allowance_sd=0.25, threshold_sd=8.0)
    9
    """
    total = 0.0
    for count, residual in enumerate(residuals, 1):
        total = max(0.0, total + residual - allowance_sd)
        if total > threshold_sd:
            return count
    return None


def find_drifts(
    visits: Sequence[StageVisit], *, seeds: Mapping[tuple[str, BenchStep], Seed], today: date
) -> tuple[Drift, ...]:
    """Return the last alarm of each step, both ways, that is not older than about half a year."""
    found = []
    for step in BenchStep:
        rows = [visit for visit in visits if visit.step is step and not visit.open]
        rows = [visit for visit in rows if (visit.family, step) in seeds]
        drift = _follow(sorted(rows, key=lambda visit: visit.on), seeds=seeds, step=step)
        if drift is not None and (today - drift.found_on).days <= ALARM_LASTS_DAYS:
            found.append(drift)
    return tuple(found)


def shorten_half_lives(drifts: Iterable[Drift]) -> dict[BenchStep, float]:
    """Return the half-life, in days, of the steps that have drifted."""
    return {drift.step: SHORT_HALF_LIFE_DAYS for drift in drifts}


class _Expectation:
    """What the visits so far let expect: family means shrunk to the step, and a pooled spread."""

    __slots__ = ("counts", "prior", "seen", "squares", "sums", "total")

    def __init__(self, prior_sd: float) -> None:
        self.sums: dict[str, float] = {}
        self.counts: dict[str, int] = {}
        self.total, self.squares, self.seen = 0.0, 0.0, 0
        self.prior = SEED_WEIGHT * prior_sd**2

    def mean_of(self, family: str) -> float:
        """Return the expected log ratio of the family."""
        step_mean = self.total / (self.seen + SEED_WEIGHT)
        own, seen = self.sums.get(family, 0.0), self.counts.get(family, 0)
        return (own + SEED_WEIGHT * step_mean) / (seen + SEED_WEIGHT)

    def judge(self, family: str, ratio: float) -> float:
        """Return the residual of a visit in standard deviations, and learn from it."""
        off = ratio - self.mean_of(family)
        spread = math.sqrt((self.squares + self.prior) / (self.seen + SEED_WEIGHT))
        seen = self.counts.get(family, 0)
        residual = off / (max(spread, 1e-3) * math.sqrt(1.0 + 1.0 / (seen + SEED_WEIGHT)))
        self.squares += off * off
        self.seen += 1
        self.total += ratio
        self.sums[family] = self.sums.get(family, 0.0) + ratio
        self.counts[family] = seen + 1
        return min(max(residual, -LARGEST_RESIDUAL_SD), LARGEST_RESIDUAL_SD)


def _follow(
    rows: Sequence[StageVisit], *, seeds: Mapping[tuple[str, BenchStep], Seed], step: BenchStep
) -> Drift | None:
    """Return the last alarm; after each one, what comes next is judged by the visits since the change."""
    ratios = [
        (visit, math.log(max(visit.hours, SHORTEST) / seeds[visit.family, step].median)) for visit in rows
    ]
    if not ratios:
        return None
    prior_sd = max(math.log(seeds[rows[0].family, step].spread_factor), 0.05)
    expectation = _Expectation(prior_sd)
    slower = quicker = 0.0
    slower_from = quicker_from = 0
    last: tuple[int, int, Direction] | None = None
    for at, (visit, ratio) in enumerate(ratios):
        residual = expectation.judge(visit.family, ratio)
        slower = max(0.0, slower + residual - ALLOWANCE_SD)
        quicker = max(0.0, quicker - residual - ALLOWANCE_SD)
        slower_from = slower_from if slower else at + 1
        quicker_from = quicker_from if quicker else at + 1
        if max(slower, quicker) > THRESHOLD_SD:
            direction = Direction.SLOWER if slower > quicker else Direction.QUICKER
            first = min(slower_from if slower > quicker else quicker_from, at)
            last = (first, at, direction)
            expectation = _Expectation(prior_sd)
            for later, own in ratios[first : at + 1]:
                expectation.judge(later.family, own)
            slower = quicker = 0.0
            slower_from = quicker_from = at + 1
    if last is None:
        return None
    first, at, direction = last
    return _describe(ratios, first=first, at=at, direction=direction, step=step, prior_sd=prior_sd)


def _describe(
    ratios: Sequence[tuple[StageVisit, float]],
    *,
    first: int,
    at: int,
    direction: Direction,
    step: BenchStep,
    prior_sd: float,
) -> Drift:
    before = _Expectation(prior_sd)
    for visit, ratio in ratios[:first]:
        before.judge(visit.family, ratio)
    # All visits since, not only those up to the alarm: those that raised it are the longest ones.
    shifts = sorted(ratio - before.mean_of(visit.family) for visit, ratio in ratios[first:])
    factor = math.exp(shifts[len(shifts) // 2])
    share = round(100.0 * abs(factor - 1.0))
    since = ratios[first][0].on
    words = step.value.replace("_", " ")
    if share and (factor > 1.0) is (direction is Direction.SLOWER):
        sentence = (
            f"The step “{words}” takes about {share} % {'longer' if factor > 1.0 else 'less'}"
            f" since about {since.day} {since:%B %Y}: older visits count less from now on."
        )
    else:
        # A few very short or long visits raised the alarm.
        sentence = (
            f"The step “{words}” seemed to have become {direction.value} about {since.day} {since:%B %Y}, but"
            " most visits since do not bear that out: older visits count less for a while."
        )
    return Drift(step, direction, ratios[at][0].on, since, round(factor, 3), len(shifts), sentence)
