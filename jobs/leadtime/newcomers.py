"""When a unit would be back that arrives today, tomorrow, or on any of the days ahead.

Today's newcomers are real extra jobs in one run, a unit of every family asked for, which come in another
order each time; they delay each other by hours, as `forecast` measured. The later days are read off the
arrivals that the background of one run simulates anyway, where there are thousands of them: those of the
family on that day, on the same weekday of the weeks beside it, or within a day and a half. Poisson arrivals
see the shop as a newcomer would (R. W. Wolff 1982), so this is free; sixty extra jobs in one run would
overload the shop and put the 8-in-10 date weeks too late. For families that come less often, which are most,
every third week has a run like today's, with the same luck, and the days between lie between those.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta, tzinfo

import numpy as np

from jobs.leadtime.arrivals import arriving, take_turns
from jobs.leadtime.clock import A_MOMENT_H, hours_per_day
from jobs.leadtime.closures import Shut, shut_between
from jobs.leadtime.draws import Group
from jobs.leadtime.engines import run_fastest
from jobs.leadtime.floor import Array, Engine, Kept
from jobs.leadtime.groundwork import Groundwork, lay_groundwork
from jobs.leadtime.loads import Simulated, read_first_waits
from jobs.leadtime.ranges import DEFAULT_LEVELS, NO_FAMILY_LEVELS, QuotedLevels
from jobs.leadtime.scene import Fits
from jobs.leadtime.state import ShopState

CURVE_DAYS = 60
MOST_CURVE_DAYS = 84
WINDOW_DAYS = 1.5
DAYS_IN_WEEK = 7
OPENING_HOURS = 1e-3
LEAST_SAMPLES = 2000  # fewer leave the 8-in-10 point of a lead time with waits for parts more than a day off
WEEKS_BEHIND = 4.0  # what comes after the last day still meets it at the later benches
RUN_EVERY_DAYS = 21  # a family that never came of late has no arrivals to read; it gets runs of its own
DAYS_BETWEEN_RIDERS = 42  # six weeks later the units of the first day no longer stand in anybody's way
NOON = time(12)


@dataclass(frozen=True, slots=True)
class NewcomerDay:
    """A unit that arrives on `arrives_on`: when it is packed to go back, and how long it lies before.

    `lead_hours` are working hours from arrival at the quoted levels low, likely, high and latest;
    `shelf_days` the mean wait on the shelf before the first bench takes it, in working days; `samples` the
    simulated arrivals it was read from. `shut` is a closure that lies before the day on which it is begun.
    """

    arrives_on: date
    low: date
    likely: date
    high: date
    latest: date
    lead_hours: tuple[float, float, float, float]
    shelf_days: float
    samples: int
    shut: Shut | None = None


@dataclass(frozen=True, slots=True)
class NewcomerCurve:
    """The days ahead for one family, today first."""

    family: str
    computed_at: datetime
    days: tuple[NewcomerDay, ...]


def forecast_curves(
    state: ShopState,
    *,
    now: datetime,
    families: Sequence[str] | None = None,
    days: int = CURVE_DAYS,
    replications: int = 300,
    seed: int = 1,
    levels: QuotedLevels = DEFAULT_LEVELS,
    family_levels: Mapping[str, QuotedLevels] = NO_FAMILY_LEVELS,
    engine: Engine = run_fastest,
    fits: Fits | None = None,
) -> tuple[NewcomerCurve, ...]:
    """Return the curve of each family, or of all that can be worked: today and the next `days` days.

    A family has none if a date of it lies beyond four years. One run for the curves, one for today, and one
    more for later days if a family came too seldom.
    A family that `family_levels` does not name is quoted at `levels`. Valid for 0 <= days <= 84.
    Raises: NoRoute, RouteUnusable, NoOpeningHours, MomentWithoutZone, NotEnoughRuns; ValueError for days.
    """
    if not 0 <= days <= MOST_CURVE_DAYS:
        raise ValueError(f"days has to be between 0 and {MOST_CURVE_DAYS}.")
    ground = lay_groundwork(state, now=now, replications=replications, seed=seed, fits=fits)
    far = (days + DAYS_IN_WEEK) / 7.0 + WEEKS_BEHIND
    ground = ground.looking_ahead(max(ground.horizon_weeks, far))
    background = ground.background()
    chosen = tuple(ground.routes) if families is None else tuple(families)
    probes = {family: ground.newcomer(family) for family in chosen}
    run = ground.simulate([*ground.live, *background], engine=engine)
    day_runs = _DayRuns(ground, probes, background=background, days=days, engine=engine)
    curves = []
    for family in probes:
        reader = _Reader(ground, run, family, family_levels.get(family, levels), day_runs)
        told = tuple(reader.read_day(ahead) for ahead in range(days + 1))
        if all(day is not None for day in told):
            curves.append(NewcomerCurve(family, now, tuple(day for day in told if day is not None)))
    return tuple(curves)


class _DayRuns:
    """Runs in which one more unit of every family comes on certain days, each made when first needed."""

    def __init__(
        self,
        ground: Groundwork,
        probes: Mapping[str, Group],
        *,
        background: list[Group],
        days: int,
        engine: Engine,
    ) -> None:
        self.ground, self.probes, self.background, self.engine = ground, probes, background, engine
        self.last_day = days + (-days) % RUN_EVERY_DAYS
        self.known: dict[tuple[int, str], tuple[Array, Array]] = {}

    def read(self, ahead: int, *, family: str) -> tuple[Array, Array]:
        """Return lead hours and shelf hours of the family's unit that comes `ahead` days from today.

        Valid for multiples of `RUN_EVERY_DAYS`.
        """
        if (ahead, family) not in self.known:
            self._run(range(ahead % DAYS_BETWEEN_RIDERS, self.last_day + 1, DAYS_BETWEEN_RIDERS))
        return self.known[ahead, family]

    def _run(self, days: Sequence[int]) -> None:
        clock, replications = self.ground.clock, self.ground.luck.replications
        riding: dict[tuple[int, str], Group] = {}
        for ahead in days:
            arrives_h = max(clock.hours_at(_middle_of(ahead, now=clock.now, zone=clock.zone)), 0.0)
            for at, (family, probe) in enumerate(self.probes.items()):
                turn = take_turns(probe, at=at, of=len(self.probes), replications=replications)
                riding[ahead, family] = arriving(turn, ready=arrives_h + turn.ready_hours)
        # Behind the live jobs, as in the forecast: what happens at one instant is settled by number.
        watched = [*self.ground.live, *riding.values()]
        run = self.ground.simulate(watched, self.background, engine=self.engine, kept=Kept.WATCHED)
        for at, (key, group) in enumerate(riding.items(), len(self.ground.live)):
            arrived, finish = group.ready_hours[:, 0], run.passage.finish_hours[:, at]
            waited = read_first_waits(run, jobs=[at])[:, 0]
            known = np.isfinite(arrived) & np.isfinite(finish)
            self.known[key] = (finish - arrived)[known], np.nan_to_num(waited[known])


def _middle_of(ahead: int, *, now: datetime, zone: tzinfo) -> datetime:
    """Return noon of the day so many days ahead; of today, now."""
    if not ahead:
        return now
    return datetime.combine(now.astimezone(zone).date() + timedelta(days=ahead), NOON, zone)


class _Reader:
    """Reads one family's days off a run."""

    def __init__(
        self, ground: Groundwork, run: Simulated, family: str, levels: QuotedLevels, day_runs: _DayRuns
    ) -> None:
        self.clock, self.family = ground.clock, family
        self.levels, self.day_runs = levels, day_runs
        self.hours = ground.state.working_hours
        self.day_h = hours_per_day(self.hours)
        self.arrived, self.lead, self.waited = _collect(run, family=family)

    def read_day(self, ahead: int) -> NewcomerDay | None:
        """Return the day `ahead` days from today; None if its dates lie beyond four years."""
        centre = _middle_of(ahead, now=self.clock.now, zone=self.clock.zone)
        lead, waited_h, samples = self._sample(ahead, centre)
        arrives_h = max(self.clock.hours_at(centre), 0.0)
        if not self.clock.reaches(arrives_h + max(lead)):
            return None
        low, likely, high, latest = (self.clock.date_at(arrives_h + max(hours, A_MOMENT_H)) for hours in lead)
        arrives_on = centre.astimezone(self.clock.zone).date()
        begun_on = self.clock.date_at(arrives_h + max(waited_h, A_MOMENT_H))
        return NewcomerDay(
            arrives_on,
            low,
            likely,
            high,
            latest,
            (lead[0], lead[1], lead[2], lead[3]),
            round(waited_h / self.day_h, 3),
            samples,
            shut_between(self.hours, first=arrives_on, last=begun_on),
        )

    def _sample(self, ahead: int, centre: datetime) -> tuple[list[float], float, int]:
        """Return the lead hours at the quoted levels, the mean wait on the shelf, and the samples."""
        if ahead == 0:
            return self._run_day(0)
        for shifts, reach_days in _windows(ahead):
            inside = np.zeros(len(self.arrived), dtype=bool)
            for shift in shifts:
                middle, reach = centre + timedelta(days=shift), timedelta(days=reach_days)
                from_h, to_h = (self.clock.hours_at(at) for at in (middle - reach, middle + reach))
                # What comes while the shop is shut is there when it opens, in the order of coming.
                inside |= (self.arrived >= max(from_h, 0.0)) & (self.arrived <= to_h + OPENING_HOURS)
            found = int(inside.sum())
            if found >= LEAST_SAMPLES:
                return self._levels_of(self.lead[inside]), float(self.waited[inside].mean()), found
        return self._between_runs(ahead)

    def _levels_of(self, lead: Array) -> list[float]:
        levels = (self.levels.low, self.levels.likely, self.levels.high, self.levels.latest)
        return [float(hours) for hours in np.quantile(lead, levels)]

    def _run_day(self, ahead: int) -> tuple[list[float], float, int]:
        """Return the same from a run with one real extra job."""
        lead, waited = self.day_runs.read(ahead, family=self.family)
        return self._levels_of(lead), float(waited.mean()), len(lead)

    def _between_runs(self, ahead: int) -> tuple[list[float], float, int]:
        """Return the same between two days that got runs of their own."""
        before = ahead - ahead % RUN_EVERY_DAYS
        share = (ahead - before) / RUN_EVERY_DAYS
        lead_a, waited_a, samples = self._run_day(before)
        lead_b, waited_b, _ = self._run_day(before + RUN_EVERY_DAYS) if share else (lead_a, waited_a, 0)
        mixed = (1.0 - share) * np.array(lead_a) + share * np.array(lead_b)
        return [float(hours) for hours in mixed], (1.0 - share) * waited_a + share * waited_b, samples


def _windows(ahead: int) -> list[tuple[tuple[int, ...], float]]:
    """Return which days around a day may stand for it, the best first, as shifts and reach in days.

    The day itself; the same weekday of the weeks beside it, because a wait of days that begins on a Friday
    costs less of the working week; its neighbours. Never more: behind a queue that shrinks, a week later is
    another date.
    """
    windows: list[tuple[tuple[int, ...], float]] = [((0,), 0.5)]
    if ahead > DAYS_IN_WEEK:
        windows.append(((-DAYS_IN_WEEK, 0, DAYS_IN_WEEK), 0.5))
    return [*windows, ((0,), WINDOW_DAYS)]


def _collect(run: Simulated, *, family: str) -> tuple[Array, Array, Array]:
    """Return arrival hour, lead hours and shelf hours of every simulated arrival of the family.

    The announced units are among them: in the days ahead most of those who come are known by name.
    """
    columns: list[int] = []
    behind = 0
    for at, group in enumerate(run.groups):
        size = group.hours.shape[1]
        if group.family == family and (at >= run.live or group.announced):
            columns.extend(range(behind, behind + size))
        behind += size
    arrived = run.draws.ready_hours[:, columns]
    finish = run.passage.finish_hours[:, columns]
    waited = read_first_waits(run, jobs=columns)
    known = np.isfinite(arrived) & np.isfinite(finish)
    return arrived[known], (finish - arrived)[known], np.nan_to_num(waited[known])
