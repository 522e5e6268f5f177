"""When the shop is working, and which date follows so many working hours.

A year of opening hours becomes one table of open spans in absolute time with the hours worked before each;
both directions of the conversion are then a bisection. Because the spans are held in absolute time, a span
on the night the clocks change has its true length.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Collection
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from enum import StrEnum
from functools import lru_cache
from itertools import pairwise
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from jobs.leadtime.errors import MomentWithoutZone, NoOpeningHours
from packing.errors import refuse_fields

HOUR_S = 3600.0
DAY_S = 86400.0
MIDNIGHT = time(0, 0)
OVERLAP = "the spans overlap or are out of order; put them in order."
YEARS_AHEAD = 4
MOST_YEARS_AHEAD = 12


class Weekday(StrEnum):
    """The days of the week, Monday first."""

    MONDAY = "monday"
    TUESDAY = "tuesday"
    WEDNESDAY = "wednesday"
    THURSDAY = "thursday"
    FRIDAY = "friday"
    SATURDAY = "saturday"
    SUNDAY = "sunday"


@dataclass(frozen=True, slots=True)
class DaySpan:
    """One stretch of working time within a day; `closes` 00:00 means midnight at the end of the day."""

    opens: time
    closes: time

    def __post_init__(self) -> None:
        ends_first = self.closes != MIDNIGHT and self.closes <= self.opens
        refuse_fields((ends_first, "closes", "it ends before it begins; give a later time."))


@dataclass(frozen=True, slots=True)
class Closure:
    """Days, both counted, on which the shop does not work."""

    first: date
    last: date
    reason: str = ""

    def __post_init__(self) -> None:
        refuse_fields((self.last < self.first, "last", "it ends before it begins; swap the two days."))


@dataclass(frozen=True, slots=True)
class ShortDay:
    """One date with its own spans in place of its weekday's."""

    on: date
    spans: tuple[DaySpan, ...]

    def __post_init__(self) -> None:
        refuse_fields((_overlap(self.spans), "spans", OVERLAP))


@dataclass(frozen=True, slots=True)
class WorkingHours:
    """The owner's document of opening hours: spans per weekday, closures, and dates with other spans."""

    time_zone: str
    monday: tuple[DaySpan, ...] = ()
    tuesday: tuple[DaySpan, ...] = ()
    wednesday: tuple[DaySpan, ...] = ()
    thursday: tuple[DaySpan, ...] = ()
    friday: tuple[DaySpan, ...] = ()
    saturday: tuple[DaySpan, ...] = ()
    sunday: tuple[DaySpan, ...] = ()
    closures: tuple[Closure, ...] = ()
    short_days: tuple[ShortDay, ...] = ()

    def __post_init__(self) -> None:
        unknown = f"“{self.time_zone}” is no known time zone; write it as in Europe/London."
        refuse_fields(
            (not _is_zone(self.time_zone), "time_zone", unknown),
            *((_overlap(spans), day.value, OVERLAP) for day, spans in zip(Weekday, self.week, strict=True)),
        )

    @property
    def week(self) -> tuple[tuple[DaySpan, ...], ...]:
        """The spans of the seven weekdays, Monday first."""
        return (
            self.monday,
            self.tuesday,
            self.wednesday,
            self.thursday,
            self.friday,
            self.saturday,
            self.sunday,
        )


def _is_zone(name: str) -> bool:
    try:
        ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return False
    return True


def _overlap(spans: tuple[DaySpan, ...]) -> bool:
    return any(before.closes == MIDNIGHT or after.opens < before.closes for before, after in pairwise(spans))


def spans_on(hours: WorkingHours, *, day: date) -> tuple[DaySpan, ...]:
    """Return the spans worked on `day`; a closure wins over a short day, a short day over the weekday."""
    if any(closure.first <= day <= closure.last for closure in hours.closures):
        return ()
    for short in hours.short_days:
        if short.on == day:
            return short.spans
    return hours.week[day.weekday()]


def hours_per_week(hours: WorkingHours, *, without: Collection[Weekday] = ()) -> float:
    """Return the hours of an ordinary week, without closures and short days, and `without` some days."""
    counted = [spans for day, spans in zip(Weekday, hours.week, strict=True) if day not in without]
    return sum(_length_h(span) for spans in counted for span in spans)


def hours_per_day(hours: WorkingHours) -> float:
    """Return the mean hours of an ordinary open day.

    Raises: NoOpeningHours if no weekday has a span.
    """
    open_days = sum(1 for spans in hours.week if spans)
    if not open_days:
        raise NoOpeningHours
    return hours_per_week(hours) / open_days


def _length_h(span: DaySpan) -> float:
    closes_h = 24.0 if span.closes == MIDNIGHT else _clock_h(span.closes)
    return closes_h - _clock_h(span.opens)


def _clock_h(at: time) -> float:
    return at.hour + at.minute / 60 + at.second / HOUR_S


# --- the table -------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, eq=False)
class OpenTable:
    """Open spans in POSIX seconds, and the working hours counted before each opens.

    Tables are built once and compared by identity.
    """

    opens_s: tuple[float, ...]
    closes_s: tuple[float, ...]
    before_h: tuple[float, ...]
    total_h: float


_RECENT: dict[tuple[int, int, int], tuple[WorkingHours, OpenTable]] = {}
MOST_RECENT = 64
A_MOMENT_H = 1e-6
SAME_MOMENT_H = 1e-7  # within this the count at a closing time is met, whatever is rounded on the way to it
BEFORE_CLOSING_S = 1e-3  # what is worked by midnight was worked on the day that ends with it


def tabulate(hours: WorkingHours, *, first_year: int, last_year: int) -> OpenTable:
    """Return the open spans of the years, both counted."""
    # Hashing a whole document of hours costs far more than looking a moment up, so identity is tried first.
    key = (id(hours), first_year, last_year)
    known = _RECENT.get(key)
    if known is not None and known[0] is hours:
        return known[1]
    table = _tabulate(hours, first_year, last_year)
    if len(_RECENT) >= MOST_RECENT:
        _RECENT.clear()
    _RECENT[key] = (hours, table)
    return table


@lru_cache(maxsize=64)
def _tabulate(hours: WorkingHours, first_year: int, last_year: int) -> OpenTable:
    zone = ZoneInfo(hours.time_zone)
    day, end = date(first_year, 1, 1), date(last_year, 12, 31)
    opens, closes, before, total_s = [], [], [], 0.0
    while day <= end:
        for span in spans_on(hours, day=day):
            closing_day = day + timedelta(days=1) if span.closes == MIDNIGHT else day
            opens_s = datetime.combine(day, span.opens, zone).timestamp()
            closes_s = datetime.combine(closing_day, span.closes, zone).timestamp()
            if closes_s > opens_s:
                opens.append(opens_s)
                closes.append(closes_s)
                before.append(total_s / HOUR_S)
                total_s += closes_s - opens_s  # whole seconds, so that no rounding adds up over the years
        day += timedelta(days=1)
    return OpenTable(tuple(opens), tuple(closes), tuple(before), total_s / HOUR_S)


def _hours_at(table: OpenTable, *, moment_s: float) -> float:
    """Return the hours counted up to a moment; outside the table its nearest end."""
    at = bisect_right(table.opens_s, moment_s) - 1
    if at < 0:
        return 0.0
    return table.before_h[at] + (min(moment_s, table.closes_s[at]) - table.opens_s[at]) / HOUR_S


def _moment_at(table: OpenTable, *, counted_h: float) -> float:
    """Return the earliest moment by which so many hours have been counted, to within `SAME_MOMENT_H`."""
    at = max(bisect_left(table.before_h, counted_h - SAME_MOMENT_H) - 1, 0)
    return min(table.opens_s[at] + (counted_h - table.before_h[at]) * HOUR_S, table.closes_s[at])


def working_hours_between(hours: WorkingHours, *, start: datetime, end: datetime) -> float:
    """Return the working hours from `start` to `end`; negative if `end` comes first.

    Raises: MomentWithoutZone.

    >>> week = WorkingHours("Europe/London", monday=(DaySpan(time(8), time(12)),))
    >>> working_hours_between(
    ...     week, start=datetime(2026, 5, 4, 7, tzinfo=UTC), end=datetime(2026, 5, 11, 8, tzinfo=UTC)
    ... )
    5.0
    """
    refuse_without_zone(start, end)
    years = sorted((start.year, end.year))
    table = tabulate(hours, first_year=years[0] - 1, last_year=years[1] + 1)
    return _hours_at(table, moment_s=end.timestamp()) - _hours_at(table, moment_s=start.timestamp())


def moment_after_hours(hours: WorkingHours, *, start: datetime, work_hours: float) -> datetime:
    """Return the earliest moment by which `work_hours` have been worked since `start`, in the shop's zone.

    With no hours to work it is `start` itself. Valid for work_hours >= 0.
    Raises: MomentWithoutZone; NoOpeningHours if twelve years do not hold so many hours.
    """
    refuse_without_zone(start)
    zone = ZoneInfo(hours.time_zone)
    if work_hours <= 0:
        return start.astimezone(zone)
    for years in (1, YEARS_AHEAD, MOST_YEARS_AHEAD):
        table = tabulate(hours, first_year=start.year - 1, last_year=start.year + years)
        counted_h = _hours_at(table, moment_s=start.timestamp()) + work_hours
        if table.opens_s and counted_h <= table.total_h:
            moment_s = max(_moment_at(table, counted_h=counted_h), start.timestamp())
            return datetime.fromtimestamp(moment_s, zone)
    raise NoOpeningHours


def date_after_hours(hours: WorkingHours, *, start: datetime, work_hours: float) -> date:
    """Return the shop's calendar date on which the last of `work_hours` is worked.

    Raises: as `moment_after_hours`.
    """
    return _day_of(moment_after_hours(hours, start=start, work_hours=work_hours), at_least=start)


def open_day_from(hours: WorkingHours, *, day: date) -> date:
    """Return `day` itself if the shop works on it, else the next day it does: when a parcel can leave.

    Raises: NoOpeningHours.
    """
    midnight = datetime.combine(day, time.min, ZoneInfo(hours.time_zone))
    return date_after_hours(hours, start=midnight, work_hours=A_MOMENT_H)


def _day_of(moment: datetime, *, at_least: datetime) -> date:
    """Return the date of a moment by which work is done; at midnight that is the day which ends with it."""
    before = moment.timestamp() - BEFORE_CLOSING_S
    return datetime.fromtimestamp(max(before, at_least.timestamp()), moment.tzinfo).date()


def refuse_without_zone(*moments: datetime) -> None:
    """Raise MomentWithoutZone if one of the moments has no time zone."""
    if any(moment.tzinfo is None for moment in moments):
        raise MomentWithoutZone


# --- the same table counted from now, for the simulation -------------------------------------------


@dataclass(frozen=True, slots=True)
class ShopClock:
    """Working hours and calendar days counted from one moment, as the simulation needs them."""

    now: datetime
    zone: ZoneInfo
    table: OpenTable
    now_h: float

    def hours_at(self, moment: datetime) -> float:
        """Return the working hours from now to `moment`; negative for the past."""
        refuse_without_zone(moment)
        return _hours_at(self.table, moment_s=moment.timestamp()) - self.now_h

    def hours_after_days(self, hours: float, *, days: float) -> float:
        """Return the working-hour count `days` calendar days after the moment with the count `hours`."""
        moment_s = self.now.timestamp()
        if hours > 0.0:
            moment_s = max(_moment_at(self.table, counted_h=self.now_h + hours), moment_s)
        return _hours_at(self.table, moment_s=moment_s + days * DAY_S) - self.now_h

    def reaches(self, hours: float) -> bool:
        """Say whether the count `hours` lies before the end of the table; beyond it no date is known."""
        return self.now_h + hours < self.table.total_h - A_MOMENT_H

    def moment_at(self, hours: float) -> datetime:
        """Return the earliest moment with the count `hours`, at most the end of the table."""
        if hours <= 0.0:
            return self.now.astimezone(self.zone)
        counted_h = min(self.now_h + hours, self.table.total_h)
        moment_s = max(_moment_at(self.table, counted_h=counted_h), self.now.timestamp())
        return datetime.fromtimestamp(moment_s, self.zone)

    def date_at(self, hours: float) -> date:
        """Return the shop's calendar date on which the last of `hours` is worked."""
        return _day_of(self.moment_at(hours), at_least=self.now)


def start_clock(hours: WorkingHours, *, now: datetime) -> ShopClock:
    """Return the clock that counts from `now`, for a year back and four years ahead.

    Raises: MomentWithoutZone; NoOpeningHours if no hour is worked in the years ahead.
    """
    refuse_without_zone(now)
    local_year = now.astimezone(UTC).year
    table = tabulate(hours, first_year=local_year - 1, last_year=local_year + YEARS_AHEAD)
    now_h = _hours_at(table, moment_s=now.timestamp())
    if table.total_h - now_h <= 0.0:
        raise NoOpeningHours
    return ShopClock(now, ZoneInfo(hours.time_zone), table, now_h)
