"""What a change would do to every job and to every family, and who gains and who loses by it.

The shop is worked twice, as it is and changed, with the same luck for every job; the difference is the
change's doing. Dates, not hours, are compared, because a closure changes what an hour is.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

import numpy as np

from jobs.leadtime.arrivals import take_turns
from jobs.leadtime.changes import Change, apply_changes, describe_change
from jobs.leadtime.clock import ShopClock
from jobs.leadtime.engines import run_fastest
from jobs.leadtime.floor import Array, Engine
from jobs.leadtime.forecast import DEFAULT_LEVELS
from jobs.leadtime.groundwork import Groundwork, lay_groundwork
from jobs.leadtime.ranges import QuotedLevels, Refusal
from jobs.leadtime.scene import Fits
from jobs.leadtime.state import ShopState

REPLICATIONS = 200
MOVED_DAYS = 0.5  # calendar days by which the likely or the 8-in-10 date has to move to count
DAY_S = 86400.0


class Effect(StrEnum):
    """What a change does to somebody's dates."""

    EARLIER = "earlier"
    LATER = "later"
    SAME = "same"


@dataclass(frozen=True, slots=True)
class Comparison:
    """The dates of one job, or of a newcomer of a family without number, before and after a change.

    `moved_days` is the mean over the likely and the 8-in-10 date in calendar days, negative for earlier.
    """

    job_number: str
    family: str
    likely_before: date
    likely_after: date
    high_before: date
    high_after: date
    moved_days: float
    effect: Effect


@dataclass(frozen=True, slots=True)
class WhatIf:
    """A change in words, what it does to each job and family, and a sentence on who gains and who loses."""

    changes: tuple[str, ...]
    jobs: tuple[Comparison, ...]
    newcomers: tuple[Comparison, ...]
    gaining: tuple[str, ...]
    losing: tuple[str, ...]
    sentence: str
    refusals: tuple[Refusal, ...]


def compare_change(
    state: ShopState,
    *,
    changes: Sequence[Change],
    now: datetime,
    replications: int = REPLICATIONS,
    seed: int = 1,
    levels: QuotedLevels = DEFAULT_LEVELS,
    engine: Engine = run_fastest,
    fits: Fits | None = None,
    on_progress: Callable[[float], None] | None = None,
) -> WhatIf:
    """Return the dates of all jobs and newcomers before and after the changes.

    `on_progress` is called with the share done, and may raise to cancel.
    Raises: ChangeRefused, NoOpeningHours, MomentWithoutZone, NotEnoughRuns.
    """
    changed_state = apply_changes(state, changes=changes)
    before = lay_groundwork(state, now=now, replications=replications, seed=seed, fits=fits)
    after = lay_groundwork(
        changed_state,
        now=now,
        replications=replications,
        seed=seed,
        fits=before.fits,
        horizon_weeks=before.horizon_weeks,
    )
    _tell(on_progress, 0.1)
    finishes = []
    for at, ground in enumerate((before, after), 1):
        finishes.append(_finish(ground, engine=engine))
        _tell(on_progress, 0.1 + 0.45 * at)
    names = [(job.job_number, job.family) for job in before.jobs if job.family in after.routes]
    names += [("", family) for family in before.routes if family in after.routes]
    rows = [
        _compare(number, family, finishes[0], finishes[1], before.clock, after.clock, levels)
        for number, family in names
    ]
    jobs = tuple(row for row in rows if row.job_number)
    gaining, losing = _sort_out(jobs)
    return WhatIf(
        tuple(describe_change(change, state=state) for change in changes),
        jobs,
        tuple(row for row in rows if not row.job_number),
        gaining,
        losing,
        _sum_up(rows, gaining=gaining, losing=losing),
        after.refusals,
    )


def _tell(on_progress: Callable[[float], None] | None, share: float) -> None:
    if on_progress is not None:
        on_progress(share)


def _finish(ground: Groundwork, *, engine: Engine) -> dict[tuple[str, str], Array]:
    """Return the finish hours of every job, and of a newcomer of each family in a run with newcomers."""
    background = ground.background()
    found: dict[tuple[str, str], Array] = {}
    if ground.live:
        # Without the newcomers, who would fill a run of the tank before its time.
        finish = ground.simulate(ground.live, background, engine=engine).passage.finish_hours
        found.update({(job.job_number, job.family): finish[:, at] for at, job in enumerate(ground.jobs)})
    families = list(ground.routes)
    riding = [
        take_turns(ground.newcomer(family), at=at, of=len(families), replications=ground.luck.replications)
        for at, family in enumerate(families)
    ]
    if riding:
        finish = ground.simulate(riding, [*ground.live, *background], engine=engine).passage.finish_hours
        found.update({("", family): finish[:, at] for at, family in enumerate(families)})
    return found


def _compare(
    number: str,
    family: str,
    before: dict[tuple[str, str], Array],
    after: dict[tuple[str, str], Array],
    clock_before: ShopClock,
    clock_after: ShopClock,
    levels: QuotedLevels,
) -> Comparison:
    moments = []
    for finishes, clock in ((before, clock_before), (after, clock_after)):
        hours = finishes[number, family]
        hours = hours[np.isfinite(hours)]
        moments.append(
            [clock.moment_at(float(np.quantile(hours, level))) for level in (levels.likely, levels.high)]
        )
    (likely_a, high_a), (likely_b, high_b) = moments
    moved_s = 0.5 * ((likely_b - likely_a).total_seconds() + (high_b - high_a).total_seconds())
    moved = moved_s / DAY_S
    effect = Effect.SAME
    if abs(moved) >= MOVED_DAYS:
        effect = Effect.EARLIER if moved < 0.0 else Effect.LATER
    return Comparison(
        number,
        family,
        likely_a.date(),
        likely_b.date(),
        high_a.date(),
        high_b.date(),
        round(moved, 2),
        effect,
    )


def _sort_out(jobs: Sequence[Comparison]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return the numbers of the jobs that gain and of those that lose, the most moved first."""
    ordered = sorted(jobs, key=lambda row: row.moved_days)
    gaining = tuple(row.job_number for row in ordered if row.effect is Effect.EARLIER)
    losing = tuple(row.job_number for row in reversed(ordered) if row.effect is Effect.LATER)
    return gaining, losing


def _sum_up(rows: Sequence[Comparison], *, gaining: Sequence[str], losing: Sequence[str]) -> str:
    families = [row for row in rows if not row.job_number]
    parts = [
        f"{_count(numbers)} {effect.value}"
        for numbers, effect in ((gaining, Effect.EARLIER), (losing, Effect.LATER))
        if numbers
    ]
    for effect in (Effect.EARLIER, Effect.LATER):
        names = [row.family.replace("_", " ") for row in families if row.effect is effect]
        if names:
            parts.append(f"newcomers {effect.value}: {', '.join(names)}")
    return f"{'; '.join(parts)}." if parts else "Nobody's dates move by more than half a day."


def _count(numbers: Sequence[str]) -> str:
    return f"{len(numbers)} job{'' if len(numbers) == 1 else 's'}"
