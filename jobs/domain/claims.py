"""By when, and by whom, must a damage or loss be reported to a carrier.

The periods are dated data with their sources; carriers change them, so each is shown with the day it was
read and the carrier's own terms decide. Where two sources differ on when a clock starts, the earlier date
counts and the difference is told. The day on which a clock starts is never counted.
"""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from jobs.domain.claim_periods import PERIODS, ClaimPeriod, Counting, Party, StartsAt
from jobs.domain.errors import JobsError
from packing.parcel.unit import Leg


class ClaimDatesError(JobsError):
    """The dates of posting and delivery cannot both be right."""


class Actor(StrEnum):
    """Who has to act here."""

    SHOP = "shop"
    CUSTOMER = "customer"
    EITHER = "either"


@dataclass(frozen=True, slots=True)
class ClaimClock:
    """One period as it runs for one parcel: the last day, who acts, and where the figure comes from."""

    period: ClaimPeriod
    last_on: date
    actor: Actor
    sentence: str

    def days_left(self, *, today: date) -> int:
        """Return the days until the last day, negative once it has passed."""
        return (self.last_on - today).days


def claim_clocks(
    *,
    leg: Leg,
    posted_on: date | None,
    delivered_on: date | None,
    closed_days: Collection[date],
    periods: Sequence[ClaimPeriod] = PERIODS,
) -> tuple[ClaimClock, ...]:
    """Return every clock that runs for a parcel, the earliest first.

    `closed_days` are public holidays; Saturdays and Sundays are known. A clock whose starting day is not
    known yet is left out. `periods` narrows to one carrier's.
    Raises: ClaimDatesError when the parcel was delivered before it was posted.
    """
    if posted_on and delivered_on and delivered_on < posted_on:
        raise ClaimDatesError(
            f"Delivered on {_day(delivered_on)}, before it was posted on {_day(posted_on)}: "
            "correct one of the two."
        )
    starts = {StartsAt.POSTING: posted_on, StartsAt.DELIVERY: delivered_on}
    clocks = (_clock(period, leg=leg, starts=starts, closed_days=closed_days) for period in periods)
    return tuple(sorted((clock for clock in clocks if clock), key=lambda clock: clock.last_on))


def last_day(
    start_on: date, *, days: int, counting: Counting, closed_days: Collection[date], months: int = 0
) -> date:
    """Return the last day of a period of `days` (or `months`) that starts on `start_on`, itself not counted.

    >>> last_day(date(2026, 3, 12), days=5, counting=Counting.BUSINESS_DAYS, closed_days=())
    datetime.date(2026, 3, 19)
    """
    if months:
        return _months_later(start_on, months=months)
    if counting is Counting.CALENDAR_DAYS:
        return start_on + timedelta(days=days)
    left_out = {5, 6} if counting is Counting.BUSINESS_DAYS else {6}
    on = start_on
    while days:
        on += timedelta(days=1)
        if on.weekday() not in left_out and on not in closed_days:
            days -= 1
    return on


def _clock(
    period: ClaimPeriod, *, leg: Leg, starts: dict[StartsAt, date | None], closed_days: Collection[date]
) -> ClaimClock | None:
    known = [(starts[start], start) for start in period.starts]
    ends = [
        (
            last_day(
                on, days=period.days, counting=period.counting, closed_days=closed_days, months=period.months
            ),
            start,
        )
        for on, start in known
        if on is not None
    ]
    if not ends:
        return None
    last_on, start = min(ends)
    actor = _actor(period.party, leg=leg)
    return ClaimClock(period, last_on, actor, " ".join(_sentences(period, last_on, start, actor)))


def _sentences(period: ClaimPeriod, last_on: date, start: StartsAt, actor: Actor) -> Iterator[str]:
    who = {
        Actor.SHOP: "The shop reports",
        Actor.CUSTOMER: "The customer reports",
        Actor.EITHER: "Either side reports",
    }
    span = "on the day of delivery" if not (period.days or period.months) else f"by {_day(last_on)}"
    yield f"{who[actor]} {period.matter} {span} ({period.name})."
    if len(period.starts) > 1:
        yield f"Sources differ on when this starts; counted from {start.value}, the earlier."
    if period.note:
        yield period.note


def _actor(party: Party, *, leg: Leg) -> Actor:
    if party is Party.EITHER:
        return Actor.EITHER
    shop_acts = (party is Party.RECIPIENT) == (leg is Leg.TO_SHOP)
    return Actor.SHOP if shop_acts else Actor.CUSTOMER


def _months_later(on: date, *, months: int) -> date:
    """Return the same day `months` later, or the last day of that month where it is shorter."""
    year, month0 = divmod(on.month - 1 + months, 12)
    first = date(on.year + year, month0 + 1, 1)
    after = date(first.year + first.month // 12, first.month % 12 + 1, 1)
    return min(first + timedelta(days=on.day - 1), after - timedelta(days=1))


def _day(on: date) -> str:
    return f"{on:%A} {on.day} {on:%B %Y}"
