"""Which units come while the present ones are worked: newcomers of today, and those of the coming weeks."""

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime, time, timedelta
from functools import partial

import numpy as np

from jobs.leadtime.at_hand import is_announced
from jobs.leadtime.clock import ShopClock, hours_per_week
from jobs.leadtime.draws import (
    NOTHING,
    Group,
    Luck,
    Without,
    draw_arrivals,
    draw_visits,
    judge_horizon,
    seed_stream,
)
from jobs.leadtime.floor import Array
from jobs.leadtime.routes import Route
from jobs.leadtime.scene import Fits, plan_visits
from jobs.leadtime.state import Priority, ShopState

NEWCOMERS_PER_REPLICATION = 8
JOBS_PER_BLOCK = 24
MOST_WEEKS = 60
LEAST_CLOSED_WEEKS = 0.5  # less is a holiday
LAST_IN_LINE_HOURS = 1e-9  # behind whatever stands in a queue now, in front of whatever comes later


def draw_newcomer(
    family: str, *, route: Route, state: ShopState, fits: Fits, luck: Luck, without: Without = NOTHING
) -> Group:
    """Return the draws of one unit of the family that has nothing done yet and stands in the shop now."""
    visits = plan_visits(route, family=family, job=None, state=state, fits=fits)
    stream = seed_stream(luck.seed, name=f"newcomer {family}")
    hours, days = draw_visits(visits, family=family, stream=stream, luck=luck, jobs=1, without=without)
    ready = np.zeros((luck.replications, 1))
    return Group(f"newcomer {family}", family, visits, hours, days, ready, came_hours=LAST_IN_LINE_HOURS)


def arriving(group: Group, *, ready: Array) -> Group:
    """Return the group with other arrival hours."""
    return Group(group.name, group.family, group.visits, group.hours, group.wait_days, ready)


def take_turns(group: Group, *, at: int, of: int, replications: int) -> Group:
    """Let the newcomer come behind the queue, in another order each time; of very many, some at a time."""
    turns = -(-of // NEWCOMERS_PER_REPLICATION)
    replication = np.arange(replications)
    comes = replication % turns == at % turns
    place = (at + replication) % of + 1
    return arriving(group, ready=np.where(comes, place * LAST_IN_LINE_HOURS, np.inf)[:, None])


def judge_weeks(live: Sequence[Group], *, state: ShopState, clock: ShopClock) -> float:
    """Return for how many weeks ahead arrivals matter to this shop; a closed week puts them off by one."""
    hands = len(state.people) or sum(centre.benches for centre in state.centres)
    week_h = hours_per_week(state.working_hours)
    weeks = open_weeks = judge_horizon(live, hands=hands, week_hours=week_h)
    while weeks < MOST_WEEKS:
        open_h = clock.hours_at(clock.now + timedelta(weeks=weeks))
        if open_h > (open_weeks - LEAST_CLOSED_WEEKS) * week_h:
            break
        weeks += 1.0
    return weeks


def draw_background(
    routes: Mapping[str, Route],
    *,
    horizon_weeks: float,
    state: ShopState,
    fits: Fits,
    luck: Luck,
    clock: ShopClock,
    without: Without = NOTHING,
) -> list[Group]:
    """Return the units nobody has announced yet that will have come in the weeks ahead, at the recent rates.

    The rates count every arrival, so the announced units of a family stand for the first that come.
    Urgent units are a group of their own. While the intake is paused nobody comes who was not announced: who
    was told to send a unit may still send it. While it is capped, what goes beyond the week's number is
    turned away in the order of arrival; the announced units of the week, and those of this week that are
    here already, count first.
    """
    groups = []
    for rate in state.arrivals:
        if rate.family not in routes:
            continue
        visits = plan_visits(routes[rate.family], family=rate.family, job=None, state=state, fits=fits)
        for priority, share in (
            (Priority.ORDINARY, 1.0 - rate.urgent_share),
            (Priority.URGENT, rate.urgent_share),
        ):
            if rate.per_week * share <= 0.0:
                continue
            words = "urgent arrivals" if priority is Priority.URGENT else "arrivals"
            name = f"{words} {rate.family}"
            ready = draw_arrivals(
                rate.per_week * share,
                horizon_weeks=horizon_weeks,
                stream=seed_stream(luck.seed, name=name),
                replications=luck.replications,
                clock=clock,
            )
            draw = partial(draw_visits, visits, family=rate.family, luck=luck, without=without)
            hours, days = _draw_by_blocks(draw, name=name, seed=luck.seed, jobs=ready.shape[1])
            groups.append(Group(name, rate.family, visits, hours, days, ready, priority=priority))
    _leave_out_announced(groups, state=state, clock=clock)
    return _let_in(groups, state=state, clock=clock)


def _draw_by_blocks(
    draw: Callable[..., tuple[Array, Array]], *, name: str, seed: int, jobs: int
) -> tuple[Array, Array]:
    """Return hours and wait days of so many jobs, drawn by blocks in the order of their coming.

    So the luck of a unit does not depend on how many come after it, and dates do not flicker when the
    backlog, and with it the horizon, moves.
    """
    stream = seed_stream(seed, name=f"work of {name}")
    blocks = [draw(stream=stream, jobs=JOBS_PER_BLOCK) for _ in range(-(-jobs // JOBS_PER_BLOCK))]
    hours, days = (np.concatenate([block[at].T for block in blocks], axis=1).T for at in (0, 1))
    return hours[:, :jobs], days[:, :jobs]


def _leave_out_announced(groups: Sequence[Group], *, state: ShopState, clock: ShopClock) -> None:
    """Take out, in place, one arrival for each announced unit of its family: the first in each replication.

    Only as far ahead as units are announced: a rush of bookings comes on top of what is usual later.
    """
    expected_at = [job.expected_at for job in state.jobs if is_announced(job) and job.expected_at]
    until_h = max((clock.hours_at(at) for at in expected_at), default=0.0)
    announced = Counter(job.family for job in state.jobs if is_announced(job))
    for family, count in announced.items():
        own = [group for group in groups if group.family == family]
        if not own:
            continue
        ready = np.concatenate([group.ready_hours for group in own], axis=1)
        rank = np.argsort(np.argsort(ready, axis=1, kind="stable"), axis=1)
        known = (rank < count) & (ready <= until_h)
        first = 0
        for group in own:
            size = group.ready_hours.shape[1]
            group.ready_hours[known[:, first : first + size]] = np.inf
            first += size


def _let_in(groups: list[Group], *, state: ShopState, clock: ShopClock) -> list[Group]:
    """Keep away what comes in a pause or beyond the number of its week."""
    if not groups or (not state.intake_pauses and state.intake_most_per_week is None):
        return groups
    ready = np.concatenate([group.ready_hours for group in groups], axis=1)
    for pause in state.intake_pauses:
        from_h, to_h = (
            clock.hours_at(datetime.combine(day, time(0), clock.zone))
            for day in (pause.first, pause.last + timedelta(days=1))
        )
        ready[(ready >= from_h) & (ready < to_h)] = np.inf
    if state.intake_most_per_week is not None:
        taken_h = _taken_hours(state, clock=clock)
        _cap_weeks(ready, most=state.intake_most_per_week, taken_h=taken_h, clock=clock)
    bounds = np.cumsum([group.ready_hours.shape[1] for group in groups])[:-1]
    return [
        replace(group, ready_hours=own)
        for group, own in zip(groups, np.split(ready, bounds, axis=1), strict=True)
    ]


def _taken_hours(state: ShopState, *, clock: ShopClock) -> Array:
    """Return when the units that are known by name came or will come, in working hours from now."""
    arrived = [clock.hours_at(job.arrived_at) for job in state.jobs if job.arrived_at]
    expected = [
        max(clock.hours_at(job.expected_at), 0.0)
        for job in state.jobs
        if is_announced(job) and job.expected_at
    ]
    return np.array([*arrived, *expected], dtype=np.float64)


def _cap_weeks(ready: Array, *, most: int, taken_h: Array, clock: ShopClock) -> None:
    """Turn away, in place, what comes after the `most`-th unit of its calendar week.

    Those at `taken_h` are let in before all others.
    """
    today = clock.date_at(0.0)
    monday = today - timedelta(days=today.weekday())
    last_h = float(ready[ready < np.inf].max(initial=0.0))
    for week in range(MOST_WEEKS):
        from_h, to_h = (
            clock.hours_at(datetime.combine(monday + timedelta(weeks=at), time(0), clock.zone))
            for at in (week, week + 1)
        )
        inside = (ready >= from_h) & (ready < to_h)
        rank = np.argsort(np.argsort(np.where(inside, ready, np.inf), axis=1, kind="stable"), axis=1)
        left = most - int(((taken_h >= from_h) & (taken_h < to_h)).sum())
        ready[inside & (rank >= left)] = np.inf
        if to_h > last_h:
            return
