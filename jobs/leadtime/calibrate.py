"""Whether 8 in 10 were back by the 8-in-10 date, and which level has to be quoted so that they will be.

Each past quote has a place in its own distribution at which the job finished (its probability integral
transform). If too many finish late, the level to quote for "8 in 10" is the 0.8 quantile of those places.
Only quotes whose own 95 % date has passed count, and those still open then count as late: taking the last
finished jobs instead would favour the fast ones.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

import numpy as np
import numpy.typing as npt

from jobs.leadtime.clock import WorkingHours, working_hours_between
from jobs.leadtime.errors import ScoreRefused
from jobs.leadtime.ranges import LEVELS, QuotedLevels
from jobs.leadtime.state import Priority

MOST_QUOTES = 150
PRIOR_QUOTES = 30.0  # so many quotes weigh as much as trust in the simulation as it is
LEAST_LEVEL, MOST_LEVEL = 0.01, 0.99
RIPE_LEVEL = 0.95
NOMINAL = QuotedLevels()


@dataclass(frozen=True, slots=True)
class PastQuote:
    """What was simulated for a job once, at `LEVELS`, and when it was packed, if it is.

    `levels` are the points of the simulation that were quoted then. `stopped_hours` of the time until it was
    packed, or until now, were spent waiting for the customer's answer or payment. That time is part of the
    quote as of the truth: the simulation draws such waits too, so taking them off one side would bend it.
    `priority` is the job's as it stands, or stood when it left: a job may be put first after its quote.
    """

    job_number: str
    computed_at: datetime
    quantile_hours: tuple[float, ...]
    finished_at: datetime | None = None
    family: str = ""
    stopped_hours: float = 0.0
    levels: QuotedLevels = NOMINAL
    priority: Priority = Priority.ORDINARY

    def __post_init__(self) -> None:
        if len(self.quantile_hours) != len(LEVELS):
            raise ValueError(f"quantile_hours has {len(self.quantile_hours)} values; give {len(LEVELS)}.")


@dataclass(frozen=True, slots=True)
class Coverage:
    """The share of `quotes` that were back by the date quoted for `level`, with its 95 % half-width."""

    level: float
    share: float
    half_width_share: float
    quotes: int


def place_in_quote(quote: PastQuote, *, hours: WorkingHours) -> float:
    """Return the level of the quote's distribution at which the job finished, 1 if it is still open.

    Below the lowest and above the highest level it is interpolated towards 0 and 1 as if the outer
    distance were twice the next one.
    """
    if quote.finished_at is None:
        return 1.0
    actual_h = working_hours_between(hours, start=quote.computed_at, end=quote.finished_at)
    return level_at_hours(quote.quantile_hours, hours=actual_h)


def select_ripe(
    quotes: Sequence[PastQuote], *, hours: WorkingHours, now: datetime, most: int = MOST_QUOTES
) -> tuple[PastQuote, ...]:
    """Return the last `most` quotes whose own 95 % date has passed, oldest first."""
    ripe_at = LEVELS.index(RIPE_LEVEL)
    ripe = [
        quote
        for quote in quotes
        if working_hours_between(hours, start=quote.computed_at, end=now) >= quote.quantile_hours[ripe_at]
    ]
    return tuple(sorted(ripe, key=lambda quote: (quote.computed_at, quote.job_number))[-most:])


def recalibrate(
    quotes: Sequence[PastQuote], *, hours: WorkingHours, now: datetime, wanted: QuotedLevels | None = None
) -> QuotedLevels:
    """Return the levels to quote so that the wanted shares come true, judged by the ripe quotes.

    The empirical quantile of the places is mixed with the wanted level, weighted n : 30.
    """
    wanted = wanted or QuotedLevels()
    ripe = select_ripe(quotes, hours=hours, now=now)
    if not ripe:
        return wanted
    return _move_levels(ripe, hours=hours, trusted=wanted, wanted=wanted)


def recalibrate_families(
    quotes: Sequence[PastQuote],
    *,
    families: Sequence[str],
    hours: WorkingHours,
    now: datetime,
    wanted: QuotedLevels | None = None,
) -> dict[str, QuotedLevels]:
    """Return the levels to quote for each family: those of the whole shop, mixed with its own quotes.

    A family's empirical quantile is mixed with the shop's recalibrated level, weighted n : 30, so a family
    with few past quotes is quoted as the shop is.
    """
    wanted = wanted or QuotedLevels()
    shop = recalibrate(quotes, hours=hours, now=now, wanted=wanted)
    levels = dict.fromkeys(families, shop)
    for family in levels:
        own = [quote for quote in quotes if quote.family == family]
        ripe = select_ripe(own, hours=hours, now=now)
        if ripe:
            levels[family] = _move_levels(ripe, hours=hours, trusted=shop, wanted=wanted)
    return levels


def _move_levels(
    ripe: Sequence[PastQuote], *, hours: WorkingHours, trusted: QuotedLevels, wanted: QuotedLevels
) -> QuotedLevels:
    places = [place_in_quote(quote, hours=hours) for quote in ripe]
    moved = move_levels(
        places,
        wanted_levels=(wanted.low, wanted.likely, wanted.high, wanted.latest),
        trusted_levels=(trusted.low, trusted.likely, trusted.high, trusted.latest),
    )
    return QuotedLevels(*moved)


def move_levels(
    place_levels: Sequence[float],
    *,
    wanted_levels: Sequence[float],
    trusted_levels: Sequence[float] | None = None,
) -> tuple[float, ...]:
    """Return the level to quote for each wanted one, rising as they do.

    The empirical quantile of the places at the wanted level, mixed n : 30 with the trusted level, which is
    the wanted one itself if no other is given; between 0.01 and 0.99.
    """
    trusted = trusted_levels or wanted_levels
    if not place_levels:
        return tuple(trusted)
    count = float(len(place_levels))
    observed = np.quantile(np.array(place_levels), wanted_levels)
    mixed = (count * observed + PRIOR_QUOTES * np.array(trusted)) / (count + PRIOR_QUOTES)
    rising = np.maximum.accumulate(np.clip(mixed, LEAST_LEVEL, MOST_LEVEL))
    return tuple(float(level) for level in rising)


def level_at_hours(quantile_hours: Sequence[float], *, hours: float) -> float:
    """Return the level of a quote, 0 to 1, that lies at these working hours: the share done by then."""
    return float(np.interp(hours, _grid(quantile_hours), (0.0, *LEVELS, 1.0)))


def hours_at_level(quantile_hours: Sequence[float], *, level: float) -> float:
    """Return the working hours of a quote at any level between 0 and 1, the inverse of `level_at_hours`."""
    return float(np.interp(level, (0.0, *LEVELS, 1.0), _grid(quantile_hours)))


def told_chance(share: float, *, levels: QuotedLevels) -> float:
    """Return the chance that is told for a share of the replications, the inverse of what is quoted.

    A day that `levels.high` of the replications keep is told as the 8-in-10 date, so its chance is 0.8.
    Between the four quoted levels, and from them to 0 and 1, it is interpolated.

    >>> told_chance(0.9, levels=QuotedLevels(0.2, 0.6, 0.9, 0.95))
    0.8
    """
    told = (0.0, NOMINAL.low, NOMINAL.likely, NOMINAL.high, NOMINAL.latest, 1.0)
    quoted = np.array((0.0, levels.low, levels.likely, levels.high, levels.latest, 1.0))
    # Interpolation needs levels that were moved to the same point apart.
    return round(float(np.interp(share, quoted + 1e-9 * np.arange(len(quoted)), told)), 3)


def as_told(quote: PastQuote) -> PastQuote:
    """Return the quote with the hours that were told for each level, instead of those that were simulated.

    The four quoted levels are what was told for 0.1, 0.5, 0.8 and 0.9; between them it is interpolated.
    """
    nominal, told = NOMINAL, quote.levels
    if told == nominal:
        return quote
    levels = np.interp(
        LEVELS,
        (0.0, nominal.low, nominal.likely, nominal.high, nominal.latest, 1.0),
        (0.0, told.low, told.likely, told.high, told.latest, 1.0),
    )
    hours = tuple(hours_at_level(quote.quantile_hours, level=float(level)) for level in levels)
    return replace(quote, quantile_hours=hours)


def as_known(quote: PastQuote, *, at: datetime) -> PastQuote:
    """Return the quote as it was known at a moment: what was packed later was still open."""
    if quote.finished_at is None or quote.finished_at <= at:
        return quote
    return replace(quote, finished_at=None)


def _grid(quantiles: Sequence[float]) -> npt.NDArray[np.float64]:
    """Return the hours at level 0, at `LEVELS` and at level 1, strictly rising."""
    lowest = quantiles[0] - 2.0 * max(quantiles[1] - quantiles[0], 1e-9)
    highest = quantiles[-1] + 2.0 * max(quantiles[-1] - quantiles[-2], 1e-9)
    rising = np.maximum.accumulate(np.array((lowest, *quantiles, highest)))
    # Interpolation needs levels that share a value apart.
    return np.asarray(rising + 1e-9 * np.arange(len(rising)), dtype=np.float64)


def measure_coverage(
    quotes: Sequence[PastQuote], *, hours: WorkingHours, now: datetime, level: float
) -> Coverage:
    """Return how many of the ripe quotes were back by their quantile at `level`, one of `LEVELS`.

    The half-width is 1.96 sqrt(p (1 - p) / n), as if the quotes were independent.
    Raises: ScoreRefused if the level is not one of `LEVELS`, or no quote is ripe.
    """
    if level not in LEVELS:
        raise ScoreRefused(f"The level is {level}: choose one of {', '.join(map(str, LEVELS))}.")
    ripe = select_ripe(quotes, hours=hours, now=now, most=len(quotes))
    if not ripe:
        raise ScoreRefused(
            "No past quote is old enough to be judged yet: wait until its 95 % date has passed."
        )
    at = LEVELS.index(level)
    met = sum(
        1
        for quote in ripe
        if quote.finished_at is not None
        and working_hours_between(hours, start=quote.computed_at, end=quote.finished_at)
        <= quote.quantile_hours[at]
    )
    share = met / len(ripe)
    half_width_share = 1.96 * math.sqrt(share * (1.0 - share) / len(ripe))
    return Coverage(level, round(share, 4), round(half_width_share, 4), len(ripe))
