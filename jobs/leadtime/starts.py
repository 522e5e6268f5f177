"""Whose promise is saved by starting a unit next, and whose is put at risk by it.

For each candidate the shop is worked once more with that unit at the head of the queue it stands in, behind
urgent ones only; every run meets the same luck, so the difference is the doing of the order alone.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

import numpy as np

from jobs.leadtime.arrivals import arriving
from jobs.leadtime.clock import hours_per_day
from jobs.leadtime.draws import Group
from jobs.leadtime.engines import run_fastest
from jobs.leadtime.floor import Array, Engine, Kept
from jobs.leadtime.groundwork import Groundwork, lay_groundwork
from jobs.leadtime.outlook import PromiseChance, PromiseMove, read_chances
from jobs.leadtime.ranges import DEFAULT_LEVELS, NO_FAMILY_LEVELS, QuotedLevels
from jobs.leadtime.scene import Fits
from jobs.leadtime.state import ShopState

REPLICATIONS = 120
MOST_CANDIDATES = 12
MOST_PER_CENTRE = 3
SAFE_SHARE, LOST_SHARE = 0.97, 0.01
LEAST_CHANGE = 0.03  # less is the luck of so few runs
HEAD_OF_LINE_HOURS = -1e6
HORIZON_WEEKS = 3.0


@dataclass(frozen=True, slots=True)
class StartGain:
    """What starting this unit next does: to its own promise and date, and to the promises of others.

    `earlier_days` is the mean gain of its own date in working days. `others` are the promises that change
    noticeably, those that lose most first.
    """

    job_number: str
    own: PromiseMove
    earlier_days: float
    others: tuple[PromiseMove, ...]

    @property
    def saves(self) -> bool:
        """Whether its own promise becomes noticeably safer."""
        return self.own.after_share - self.own.before_share >= LEAST_CHANGE


def weigh_starts(
    state: ShopState,
    *,
    now: datetime,
    promises: Mapping[str, date],
    replications: int = REPLICATIONS,
    seed: int = 1,
    levels: QuotedLevels = DEFAULT_LEVELS,
    family_levels: Mapping[str, QuotedLevels] = NO_FAMILY_LEVELS,
    engine: Engine = run_fastest,
    fits: Fits | None = None,
) -> tuple[StartGain, ...]:
    """Return what starting each of the most endangered waiting units next would change.

    Candidates wait at a bench now and carry a promise that is neither safe nor lost: the three most
    endangered of each work centre, twelve in all.
    Chances are told by the levels at which dates are quoted.
    Raises: NoOpeningHours, MomentWithoutZone, NotEnoughRuns.
    """
    ground = lay_groundwork(state, now=now, replications=replications, seed=seed, fits=fits)
    if not ground.live or not promises:
        return ()
    ground = ground.looking_ahead(min(ground.horizon_weeks, HORIZON_WEEKS))
    background = ground.background()
    base = _finish(ground, ground.live, background, engine=engine)

    def chances(finish: Array) -> tuple[PromiseChance, ...]:
        known = np.where(np.isnan(finish), np.inf, finish)
        return read_chances(
            known, ground=ground, promises=promises, levels=levels, family_levels=family_levels
        )

    before = {chance.job_number: chance.kept_share for chance in chances(base)}
    day_h = hours_per_day(state.working_hours)
    found = []
    for at in choose_candidates(ground, kept_shares=before):
        # Ready before everybody else, it goes first at this bench and takes its turn at the later ones.
        first = arriving(ground.live[at], ready=np.full((replications, 1), HEAD_OF_LINE_HOURS))
        first = replace(first, priority=ground.live[at].priority)
        live = [*ground.live[:at], first, *ground.live[at + 1 :]]
        finish = _finish(ground, live, background, engine=engine)
        moves = [
            PromiseMove(chance.job_number, before[chance.job_number], chance.kept_share)
            for chance in chances(finish)
        ]
        number = ground.jobs[at].job_number
        own = next(move for move in moves if move.job_number == number)
        others = sorted(
            (
                move
                for move in moves
                if move.job_number != number and abs(move.after_share - move.before_share) >= LEAST_CHANGE
            ),
            key=lambda move: move.after_share - move.before_share,
        )
        gained_h = float(np.nanmean(base[:, at] - finish[:, at]))
        found.append(StartGain(number, own, round(gained_h / day_h, 2), tuple(others)))
    return tuple(found)


def choose_candidates(ground: Groundwork, *, kept_shares: Mapping[str, float]) -> tuple[int, ...]:
    """Return the places of the live jobs worth trying, the most endangered promise first."""
    at_station: dict[int, int] = {}
    chosen: list[int] = []
    for at in sorted(
        range(len(ground.jobs)), key=lambda at: kept_shares.get(ground.jobs[at].job_number, 2.0)
    ):
        group = ground.live[at]
        share = kept_shares.get(ground.jobs[at].job_number)
        waits = bool(group.visits) and not group.begun and float(group.ready_hours.max()) <= 0.0
        if share is None or not waits or not LOST_SHARE < share < SAFE_SHARE:
            continue
        station = group.visits[0].station
        if at_station.get(station, 0) < MOST_PER_CENTRE and len(chosen) < MOST_CANDIDATES:
            at_station[station] = at_station.get(station, 0) + 1
            chosen.append(at)
    return tuple(chosen)


def _finish(
    ground: Groundwork, live: Sequence[Group], background: Sequence[Group], *, engine: Engine
) -> Array:
    passage = ground.simulate(live, background, engine=engine, kept=Kept.WATCHED).passage
    return passage.finish_hours[:, : len(live)] + [ground.added_hours(job) for job in ground.jobs]
