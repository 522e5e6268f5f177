"""In which week a unit should be sent, so that it does not lie on the shelf before it is begun.

Read from a `NewcomerCurve`. A unit that waits at home is safer there than on a shelf, and comes back no
later as long as the queue it would have stood in has not been overtaken.
"""

from dataclasses import dataclass, replace
from datetime import date, timedelta
from enum import StrEnum

from jobs.leadtime.closures import Shut
from jobs.leadtime.loads import is_short
from jobs.leadtime.newcomers import NewcomerCurve, NewcomerDay
from jobs.leadtime.words import date_in_words, working_days_in_words

SAME_DATE_DAYS = 4  # calendar days by which the date may move and still be called the same


class Sending(StrEnum):
    """What a customer is advised to do."""

    NOW = "now"
    HOLD_ON = "hold_on"
    NO_DIFFERENCE = "no_difference"


@dataclass(frozen=True, slots=True)
class SendingAdvice:
    """Whether to send now or in the week of `arrive_in_week`, with what that costs and saves.

    `shelf_days` is the expected wait on the shelf in working days if it arrives then, `now_shelf_days` if it
    arrives in what is left of this week, a closure's days counted as worked; `back_by` and `back_by_now` the
    8-in-10 dates.
    """

    family: str
    sending: Sending
    arrive_in_week: date
    shelf_days: float
    now_shelf_days: float
    back_by: date
    back_by_now: date
    sentence: str


@dataclass(frozen=True, slots=True)
class WeekPlace:
    """What a unit meets that arrives in the week of this Monday: mean shelf wait, likely and 8-in-10 date.

    `shut` is a closure before a unit that arrives in the first half of the week is begun.
    """

    monday: date
    shelf_days: float
    likely: date
    high: date
    shut: Shut | None = None

    @property
    def idle_days(self) -> float:
        """The working days on the shelf, and those that would have been worked were the shop not closed."""
        return self.shelf_days + (self.shut.lost_days if self.shut else 0)


def weeks_of(curve: NewcomerCurve, *, opens_on: date) -> tuple[WeekPlace, ...]:
    """Return the weeks of a curve from the next day on which the shop works; each stands for its middle."""
    weeks: dict[date, list[NewcomerDay]] = {}
    for day in curve.days:
        if day.arrives_on < opens_on:
            continue
        weeks.setdefault(day.arrives_on - timedelta(days=day.arrives_on.weekday()), []).append(day)
    return tuple(
        WeekPlace(
            monday,
            round(sum(day.shelf_days for day in days) / len(days), 2),
            days[len(days) // 2].likely,
            max(day.high for day in days[: len(days) // 2 + 1]),
            next((day.shut for day in days[: len(days) // 2 + 1] if day.shut), None),
        )
        for monday, days in weeks.items()
    )


def advise_sending(curve: NewcomerCurve, *, today: date, opens_on: date) -> SendingAdvice:
    """Return when to send a unit of the curve's family; `opens_on` is the next day on which the shop works.

    Sent now means that it arrives in what is left of that day's week, by the same figures as `weeks_of` has.
    Now, if it would be begun within about two working days. If only a closure keeps it from that, from the
    day on which the shop opens again. Else so that it arrives in the latest week from which it is back by
    about the same date; else in the first week in which it need not wait; else now, because every week is as
    full, or from the reopening. No week is advised in which it would lie through a closure.
    """
    weeks = weeks_of(curve, opens_on=opens_on) or weeks_of(curve, opens_on=today)
    here = weeks_of(curve, opens_on=today) or weeks
    # No parcel is here on the day it is posted: a first week that is shut as well is what it meets.
    now = here[0] if here[0].shut and not weeks[0].shut else weeks[0]
    if is_short(now.shelf_days):
        if now.shut:
            return _after_closure(curve, now, now.shut, weeks, today)
        sentence = f"Nothing is gained by waiting: we begin it {_soon(now.shelf_days)} after it arrives."
        return _advice(curve, now, Sending.NOW, now, sentence)
    lies = _lie(now, today)
    later = [week for week in weeks[1:] if not week.shut and week.shelf_days < 0.5 * now.idle_days]
    same = [week for week in later if _is_same(week, now)]
    if same:
        week = same[-1]
        back = f"either way 8 in 10 are back by about {date_in_words(max(week.high, now.high), today=today)}"
        hold_on = f"Hold on to it and send it so that it arrives {_week(week, today)}"
        sentence = f"{hold_on}: sent now it {lies}, and {back}."
        return _advice(curve, now, Sending.HOLD_ON, week, sentence)
    quiet = next((week for week in later if is_short(week.shelf_days)), None)
    if quiet is not None:
        sentence = (
            f"Sent now it {lies} and is back by about"
            f" {date_in_words(now.high, today=today)}; if it arrives {_week(quiet, today)} it need not wait,"
            f" and is back by about {date_in_words(quiet.high, today=today)}."
        )
        return _advice(curve, now, Sending.HOLD_ON, quiet, sentence)
    if now.shut:
        return _after_closure(curve, now, now.shut, weeks, today)
    sentence = f"Send it when you like: it {lies} now, and in no week ahead much less."
    return _advice(curve, now, Sending.NO_DIFFERENCE, now, sentence)


def _after_closure(
    curve: NewcomerCurve, now: WeekPlace, shut: Shut, weeks: tuple[WeekPlace, ...], today: date
) -> SendingAdvice:
    """Return the advice to wait until the shop opens again, as it could not begin the unit before."""
    monday = shut.reopens_on - timedelta(days=shut.reopens_on.weekday())
    # What arrives while the shop is shut and what arrives when it opens wait for the same hours.
    then = next((week for week in weeks if week.monday == monday), replace(now, monday=monday, shut=None))
    opens = date_in_words(shut.reopens_on, today=today)
    if _is_same(then, now):
        back = date_in_words(max(then.high, now.high), today=today)
        sentence = (
            f"Hold on to it and send it so that it arrives from {opens} on: we cannot begin it before we open"
            f" again on that day, and either way 8 in 10 are back by about {back}."
        )
    else:
        first, second = (date_in_words(week.high, today=today) for week in (now, then))
        sentence = (
            f"We cannot begin it before we open again on {opens}. Sent now it lies on our shelf until then,"
            f" and 8 in 10 are back by about {first}; if it arrives from that day on, it stands behind what"
            f" came before, and 8 in 10 are back by about {second}."
        )
    return _advice(curve, now, Sending.HOLD_ON, then, sentence)


def _is_same(week: WeekPlace, now: WeekPlace) -> bool:
    return (week.high - now.high).days <= SAME_DATE_DAYS


def _lie(now: WeekPlace, today: date) -> str:
    """Return how long it lies when it is sent now, as a verb and its object."""
    words = f"lies on our shelf for {working_days_in_words(now.shelf_days)}"
    if now.shut is None:
        return words
    return f"{words} beside the days until we open again on {date_in_words(now.shut.reopens_on, today=today)}"


def _advice(
    curve: NewcomerCurve, now: WeekPlace, sending: Sending, then: WeekPlace, sentence: str
) -> SendingAdvice:
    return SendingAdvice(
        curve.family, sending, then.monday, then.shelf_days, now.idle_days, then.high, now.high, sentence
    )


def _soon(shelf_days: float) -> str:
    words = working_days_in_words(shelf_days)
    return words if words.startswith("an hour") else f"within {words}"


def _week(week: WeekPlace, today: date) -> str:
    return f"in the week of {date_in_words(week.monday, today=today)}"
