"""How loaded is each work centre, what do its jobs wait for, and in which week need a unit not wait?"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

import numpy as np

from jobs.leadtime.clock import ShopClock, hours_per_day, hours_per_week
from jobs.leadtime.draws import MOST_HORIZON_WEEKS, Group
from jobs.leadtime.floor import Array, Draws, Passage
from jobs.leadtime.limits import find_limit
from jobs.leadtime.ranges import CentreLoad, Limit, WeekOutlook
from jobs.leadtime.state import ShopState

SHORT_SHELF_DAYS = 2  # whole working days before the first bench; common practice, no published source
LEAST_SAMPLES = 30
LEAST_QUEUE_HOURS = 1.0


@dataclass(frozen=True, slots=True, eq=False)
class Simulated:
    """One run: the groups in their order, the draws and the passage."""

    groups: Sequence[Group]
    live: int
    draws: Draws
    passage: Passage


def measure_centres(
    run: Simulated, *, newcomers: Mapping[str, Group], state: ShopState
) -> tuple[tuple[CentreLoad, ...], Limit | None, float]:
    """Return the load of each centre, what the jobs wait for, and the people's load.

    `newcomers` has a drawn group for every family that arrives; it gives the weekly demand, in which the
    announced units count, so the backlog is that of the units in the shop. While no job stands in a queue
    nothing is named as short.
    """
    week_h = hours_per_week(state.working_hours)
    rates = {rate.family: rate.per_week for rate in state.arrivals}
    queue_h, visits = _mean_queues(run, stations=len(state.centres))
    loads, people_demand_h = [], 0.0
    here = [group for group in run.groups[: run.live] if not group.announced]
    for at, centre in enumerate(state.centres):
        per_run = centre.batch.least_jobs if centre.batch is not None else 1
        backlog_h = sum(_mean_hours(group, station=at) for group in here) / per_run
        demand_h = (
            sum(
                rates.get(family, 0.0) * _mean_hours(group, station=at) for family, group in newcomers.items()
            )
            / per_run
        )
        hands = min(centre.benches, len(centre.people)) if centre.people else centre.benches
        capacity_h = hands * week_h
        people_demand_h += demand_h if centre.people else 0.0
        loads.append(
            CentreLoad(
                centre.slug,
                centre.name,
                jobs_waiting=sum(_waits_at(group, station=at) for group in run.groups[: run.live]),
                backlog_hours=round(backlog_h, 2),
                weekly_demand_hours=round(demand_h, 2),
                weekly_capacity_hours=round(capacity_h, 2),
                load_share=round(demand_h / capacity_h, 3) if capacity_h else 0.0,
                mean_queue_days=round(
                    queue_h[at] / max(visits[at], 1e-9) / hours_per_day(state.working_hours), 3
                ),
            )
        )
    longest = int(np.argmax(queue_h)) if len(queue_h) else 0
    held_up = any(load.jobs_waiting for load in loads) and queue_h[longest] >= LEAST_QUEUE_HOURS
    capacity_all_h = len(state.people) * week_h
    people_share = people_demand_h / capacity_all_h if capacity_all_h else 0.0
    limit = None
    if held_up:
        queued_at = state.centres[longest].slug
        limit = find_limit(loads, queued_at=queued_at, state=state, week_h=week_h)
    return tuple(loads), limit, round(people_share, 3)


def _mean_hours(group: Group, *, station: int) -> float:
    at = [place for place, visit in enumerate(group.visits) if visit.station == station]
    return float(np.nan_to_num(group.hours[:, 0, at]).sum(axis=1).mean()) if at else 0.0


def _waits_at(group: Group, *, station: int) -> bool:
    """Whether the job stands in this centre's queue now: not begun, not held, not on its way."""
    here = bool(group.visits) and not group.begun and not group.announced
    waiting = here and float(group.ready_hours.max()) <= 0.0
    return waiting and group.visits[0].station == station


def _mean_queues(run: Simulated, *, stations: int) -> tuple[list[float], list[float]]:
    """Return queue hours and number of visits per station, per replication, over the watched jobs."""
    queue_h, visits = [0.0] * stations, [0.0] * stations
    passage, replications = run.passage, max(len(run.passage.until_hours), 1)
    for job in range(run.draws.watched):
        for at, station in enumerate(run.draws.stations_of[job]):
            waited = passage.start_hours[:, job, at] - np.maximum(passage.ready_hours[:, job, at], 0.0)
            queue_h[station] += float(np.nansum(waited)) / replications
            visits[station] += float(np.isfinite(waited).sum()) / replications
    return queue_h, visits


def is_short(shelf_days: float) -> bool:
    """Whether a wait on the shelf, in the whole working days in which it is told, is one nobody minds."""
    return round(shelf_days) <= SHORT_SHELF_DAYS


def look_ahead(
    run: Simulated, *, clock: ShopClock, day_hours: float
) -> tuple[tuple[WeekOutlook, ...], date | None]:
    """Return the weeks ahead as arrivals meet them, and the Monday of the first that is quiet.

    A week is quiet if the mean wait before the first bench is short, as for the single families. Read from
    the simulated arrivals, the announced ones among them, as far as the run has enough of them.
    Source: Poisson arrivals see time averages (R. W. Wolff 1982).
    """
    announced = [at for at, group in enumerate(run.groups[: run.live]) if group.announced]
    jobs = [*announced, *range(run.live, len(run.draws.stations_of))]
    if not jobs:
        return (), None
    arrived = run.draws.ready_hours[:, jobs]
    followed_h = run.passage.until_hours[:, None] - arrived
    waited = read_first_waits(run, jobs=jobs)
    waited = np.where(np.isnan(waited), followed_h, waited)  # not begun: it has waited so long at least
    # Of what came shortly before the run ended nobody knows whether it lay for long.
    known = np.isfinite(arrived) & (followed_h > SHORT_SHELF_DAYS * day_hours)
    weeks: list[WeekOutlook] = []
    today = clock.date_at(0.0)
    monday = today - timedelta(days=today.weekday())
    for week in range(math.ceil(MOST_HORIZON_WEEKS)):
        start = monday + timedelta(weeks=week)
        bounds = [
            clock.hours_at(datetime.combine(day, time(0), clock.zone))
            for day in (start, start + timedelta(weeks=1))
        ]
        inside = known & (arrived >= max(bounds[0], 0.0)) & (arrived < bounds[1])
        if bounds[1] <= max(bounds[0], 0.0):
            continue  # the shop is closed in what is left of this week
        if int(inside.sum()) < LEAST_SAMPLES:
            break
        weeks.append(WeekOutlook(start, round(float(waited[inside].mean()) / day_hours, 3)))
    quiet = next((week.monday for week in weeks if is_short(week.shelf_days)), None)
    return tuple(weeks), quiet


def read_first_waits(run: Simulated, *, jobs: Sequence[int]) -> Array:
    """Return the queueing hours before the first visit of these jobs, not-a-number if it was not begun."""
    start = run.passage.start_hours[:, jobs, :]
    ready = run.passage.ready_hours[:, jobs, :]
    if ready.shape[2] == 0:
        return np.full(ready.shape[:2], np.nan)
    first = np.argmax(np.isfinite(ready), axis=2)[:, :, None]
    waited = np.take_along_axis(start, first, axis=2) - np.take_along_axis(ready, first, axis=2)
    return np.asarray(waited[:, :, 0], dtype=np.float64)
