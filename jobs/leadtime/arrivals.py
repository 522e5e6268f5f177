"""Which units come while the present ones are worked: newcomers of today, and those of the coming weeks."""

from collections.abc import Mapping, Sequence

import numpy as np

from jobs.leadtime.clock import ShopClock, hours_per_week
from jobs.leadtime.draws import Group, Luck, draw_arrivals, draw_visits, judge_horizon, seed_stream
from jobs.leadtime.floor import Array
from jobs.leadtime.routes import Route
from jobs.leadtime.scene import Fits, plan_visits
from jobs.leadtime.state import ShopState

NEWCOMERS_PER_REPLICATION = 8
LAST_IN_LINE_HOURS = 1e-9  # behind whatever stands in a queue now, in front of whatever comes later


def draw_newcomer(family: str, *, route: Route, state: ShopState, fits: Fits, luck: Luck) -> Group:
    """Return the draws of one unit of the family that has nothing done yet and stands in the shop now."""
    visits = plan_visits(route, family=family, job=None, state=state, fits=fits)
    stream = seed_stream(luck.seed, name=f"newcomer {family}")
    hours, days = draw_visits(visits, family=family, stream=stream, luck=luck, jobs=1)
    return Group(f"newcomer {family}", family, visits, hours, days, np.zeros((luck.replications, 1)))


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


def judge_weeks(live: Sequence[Group], *, state: ShopState) -> float:
    """Return for how many weeks ahead arrivals matter to this shop."""
    hands = len(state.people) or sum(centre.benches for centre in state.centres)
    return judge_horizon(live, hands=hands, week_hours=hours_per_week(state.working_hours))


def draw_background(
    routes: Mapping[str, Route],
    *,
    weeks_ahead: float,
    state: ShopState,
    fits: Fits,
    luck: Luck,
    clock: ShopClock,
) -> list[Group]:
    """Return the units that will have come in the weeks ahead, by family, at the recent rates."""
    groups = []
    for rate in state.arrivals:
        if rate.per_week <= 0.0 or rate.family not in routes:
            continue
        visits = plan_visits(routes[rate.family], family=rate.family, job=None, state=state, fits=fits)
        stream = seed_stream(luck.seed, name=f"arrivals {rate.family}")
        ready = draw_arrivals(
            rate.per_week, weeks_ahead=weeks_ahead, stream=stream, replications=luck.replications, clock=clock
        )
        hours, days = draw_visits(visits, family=rate.family, stream=stream, luck=luck, jobs=ready.shape[1])
        groups.append(Group(f"arrivals {rate.family}", rate.family, visits, hours, days, ready))
    return groups
