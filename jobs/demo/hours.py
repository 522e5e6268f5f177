"""When does something happen in the demo shop? Only on days and at hours at which it is open."""

from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from jobs.leadtime.clock import WorkingHours, spans_on

DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class OpenDays:
    """Counts back in open days of the shop: 0 is now, or the last closing time.

    Later moments count less, always; so what is told in order happens in order.
    """

    hours: WorkingHours
    now: datetime

    def moment(self, days_ago: float) -> datetime:
        """Return the moment so many open days ago: a whole one from open to close, whatever its length."""
        zone = ZoneInfo(self.hours.time_zone)
        local = self.now.astimezone(zone)
        day, position = self._day_before(local.date()), 1.0
        if hours := self._hours_on(local.date()):
            passed = (local - datetime.combine(local.date(), hours[0], zone)) / _length(*hours)
            if passed > 0.0:
                day, position = local.date(), min(passed, 1.0)
        position -= days_ago
        while position < 0.0:
            day, position = self._day_before(day), position + 1.0
        opens, closes = self._hours_on(day)
        at = datetime.combine(day, opens, zone) + _length(opens, closes) * position
        return at.astimezone(self.now.tzinfo)

    def last_open(self, moment: datetime) -> datetime:
        """Return this moment if the shop is open then, else the last closing time before it."""
        return replace(self, now=moment).moment(0.0)

    def next_open(self, moment: datetime) -> datetime:
        """Return this moment if the shop is open then, else the next opening time."""
        zone = ZoneInfo(self.hours.time_zone)
        local = moment.astimezone(zone)
        day = local.date()
        while True:
            if hours := self._hours_on(day):
                opening, closing = (datetime.combine(day, at, zone) for at in hours)
                if local <= closing:
                    return max(local, opening).astimezone(moment.tzinfo)
            day += DAY

    def _hours_on(self, day: date) -> tuple[time, ...]:
        spans = spans_on(self.hours, day=day)
        return (spans[0].opens, spans[-1].closes) if spans else ()

    def _day_before(self, day: date) -> date:
        """Return the open day before this one."""
        day -= DAY
        while not spans_on(self.hours, day=day):
            day -= DAY
        return day


def _length(opens: time, closes: time) -> timedelta:
    return datetime.combine(date.min, closes) - datetime.combine(date.min, opens)
