"""How reliable past quotes were, as the owner sees it: a chart of levels, and a row per family."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from jobs.leadtime.calibrate import PastQuote, select_ripe
from jobs.leadtime.clock import WorkingHours, hours_per_day, working_hours_between
from jobs.leadtime.ranges import LEVELS
from jobs.leadtime.scores import score_crps_quantiles, score_pinball

SURE = 1.96  # standard normal quantile of a 95 % interval
QUOTED = (0.5, 0.8, 0.9)


@dataclass(frozen=True, slots=True)
class ReliabilityPoint:
    """Of `quotes` past quotes, `share` were back by the date quoted for `level`.

    `low` and `high` bound the share that a shop of this record may have, 19 times in 20 (Wilson 1927).
    """

    level: float
    share: float
    low: float
    high: float
    quotes: int


@dataclass(frozen=True, slots=True)
class FamilyRecord:
    """How the quotes of one family, or of the whole shop if it has no name, came true.

    `covered_*` are the shares back by the date quoted for that level. `pinball_days` is the mean pinball
    score of the 8-in-10 date and `crps_days` the mean CRPS, both in working days. For quotes still open the
    time up to now is scored, so their true scores are higher. `late` were not back by the 8-in-10 date;
    without the time in which the customer's answer or payment was waited for, `late_by_customer` of them
    would have been. That time, `stopped_days` on average, is told apart and taken off nothing.
    """

    family: str
    quotes: int
    still_open: int
    covered_50_share: float
    covered_80_share: float
    covered_90_share: float
    pinball_days: float
    crps_days: float
    late: int = 0
    late_by_customer: int = 0
    stopped_days: float = 0.0


def plot_reliability(
    quotes: Sequence[PastQuote], *, hours: WorkingHours, now: datetime
) -> tuple[ReliabilityPoint, ...]:
    """Return one point per quoted level over the ripe quotes; empty if none is ripe.

    A quote is ripe once its own 95 % date has passed; if still open it counts as late. Points on the diagonal
    say that the quotes were honest.
    """
    ripe = select_ripe(quotes, hours=hours, now=now, most=len(quotes))
    if not ripe:
        return ()
    actual_h = np.array([_lasted_h(quote, hours=hours, now=now) for quote in ripe])
    late = np.array([quote.finished_at is None for quote in ripe])
    quantiles = np.array([quote.quantile_hours for quote in ripe])
    met = (actual_h[:, None] <= quantiles) & ~late[:, None]
    return tuple(
        ReliabilityPoint(level, round(share, 4), *bound_share(share, count=len(ripe)), len(ripe))
        for level, share in zip(LEVELS, met.mean(axis=0).tolist(), strict=True)
    )


def bound_share(share: float, *, count: int) -> tuple[float, float]:
    """Return the 95 % Wilson interval of a share seen in `count` cases.

    Centre (p + z^2/2n) / (1 + z^2/n), half-width z sqrt(p(1-p)/n + z^2/4n^2) / (1 + z^2/n).
    Source: E. B. Wilson 1927. Valid for count >= 1.

    >>> bound_share(0.5, count=10)
    (0.2366, 0.7634)
    """
    spread = SURE**2 / count
    centre = (share + spread / 2.0) / (1.0 + spread)
    half = SURE * math.sqrt(share * (1.0 - share) / count + spread / (4.0 * count)) / (1.0 + spread)
    return round(max(centre - half, 0.0), 4), round(min(centre + half, 1.0), 4)


def record_families(
    quotes: Sequence[PastQuote], *, hours: WorkingHours, now: datetime
) -> tuple[FamilyRecord, ...]:
    """Return the record of the whole shop and then of each family, over the ripe quotes; empty without any.

    Raises: NoOpeningHours.
    """
    ripe = select_ripe(quotes, hours=hours, now=now, most=len(quotes))
    if not ripe:
        return ()
    families = sorted({quote.family for quote in ripe if quote.family})
    own = [(family, [quote for quote in ripe if quote.family == family]) for family in families]
    return tuple(_record(family, some, hours=hours, now=now) for family, some in [("", list(ripe)), *own])


def _record(family: str, quotes: list[PastQuote], *, hours: WorkingHours, now: datetime) -> FamilyRecord:
    day_h = hours_per_day(hours)
    lasted = [_lasted_h(quote, hours=hours, now=now) for quote in quotes]
    places = [LEVELS.index(level) for level in QUOTED]
    shares = [
        sum(
            quote.finished_at is not None and h <= quote.quantile_hours[at]
            for quote, h in zip(quotes, lasted, strict=True)
        )
        / len(quotes)
        for at in places
    ]
    pairs = list(zip(quotes, lasted, strict=True))
    pinball_h = sum(score_pinball(quote.quantile_hours[places[1]], level=0.8, actual=h) for quote, h in pairs)
    crps_h = sum(score_crps_quantiles(quote.quantile_hours, levels=LEVELS, actual=h) for quote, h in pairs)
    late = [
        (quote, h) for quote, h in pairs if quote.finished_at is None or h > quote.quantile_hours[places[1]]
    ]
    excused = sum(h - quote.stopped_hours <= quote.quantile_hours[places[1]] for quote, h in late)
    return FamilyRecord(
        family,
        len(quotes),
        sum(quote.finished_at is None for quote in quotes),
        round(shares[0], 4),
        round(shares[1], 4),
        round(shares[2], 4),
        round(pinball_h / len(quotes) / day_h, 3),
        round(crps_h / len(quotes) / day_h, 3),
        late=len(late),
        late_by_customer=excused,
        stopped_days=round(sum(quote.stopped_hours for quote in quotes) / len(quotes) / day_h, 2),
    )


def _lasted_h(quote: PastQuote, *, hours: WorkingHours, now: datetime) -> float:
    return working_hours_between(hours, start=quote.computed_at, end=quote.finished_at or now)
