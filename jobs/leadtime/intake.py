"""In which week a unit should be sent, so that it does not lie on the shelf before it is begun.

Read from a `NewcomerCurve`. A unit that waits at home is safer there than on a shelf, and comes back no
later as long as the queue it would have stood in has not been overtaken.
"""

from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

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
    arrives in what is left of this week; `back_by` and `back_by_now` the 8-in-10 dates.
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
    """What a unit meets that arrives in the week of this Monday: mean shelf wait, likely and 8-in-10 date."""

    monday: date
    shelf_days: float
    likely: date
    high: date


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
        )
        for monday, days in weeks.items()
    )


def advise_sending(curve: NewcomerCurve, *, today: date, opens_on: date) -> SendingAdvice:
    """Return when to send a unit of the curve's family; `opens_on` is the next day on which the shop works.

    Sent now means that it arrives in what is left of that day's week, by the same figures as `weeks_of` has.
    Now, if it would be begun within about two working days. Else so that it arrives in the latest week from
    which it is back by about the same date; else in the first week in which it need not wait; else now,
    because every week is as full.
    """
    weeks = weeks_of(curve, opens_on=opens_on) or weeks_of(curve, opens_on=today)
    now = weeks[0]
    shelf = now.shelf_days
    if is_short(shelf):
        sentence = f"Nothing is gained by waiting: we begin it {_soon(shelf)} after it arrives."
        return _advice(curve, now, Sending.NOW, now, sentence)
    later = [week for week in weeks[1:] if week.shelf_days < 0.5 * shelf]
    same = [week for week in later if (week.high - now.high).days <= SAME_DATE_DAYS]
    if same:
        week = same[-1]
        gain = f"sent now it lies on our shelf for {working_days_in_words(shelf)}"
        back = f"either way 8 in 10 are back by about {date_in_words(max(week.high, now.high), today=today)}"
        sentence = f"Hold on to it and send it so that it arrives {_week(week, today)}: {gain}, and {back}."
        return _advice(curve, now, Sending.HOLD_ON, week, sentence)
    quiet = next((week for week in later if is_short(week.shelf_days)), None)
    if quiet is not None:
        sentence = (
            f"Sent now it lies on our shelf for {working_days_in_words(shelf)} and is back by about"
            f" {date_in_words(now.high, today=today)}; if it arrives {_week(quiet, today)} it need not wait,"
            f" and is back by about {date_in_words(quiet.high, today=today)}."
        )
        return _advice(curve, now, Sending.HOLD_ON, quiet, sentence)
    sentence = (
        f"Send it when you like: it lies on our shelf for {working_days_in_words(shelf)} now,"
        " and in no week ahead much less."
    )
    return _advice(curve, now, Sending.NO_DIFFERENCE, now, sentence)


def _advice(
    curve: NewcomerCurve, now: WeekPlace, sending: Sending, then: WeekPlace, sentence: str
) -> SendingAdvice:
    return SendingAdvice(
        curve.family, sending, then.monday, then.shelf_days, now.shelf_days, then.high, now.high, sentence
    )


def _soon(shelf_days: float) -> str:
    words = working_days_in_words(shelf_days)
    return words if words.startswith("an hour") else f"within {words}"


def _week(week: WeekPlace, today: date) -> str:
    return f"in the week of {date_in_words(week.monday, today=today)}"
