"""How are the weeks ahead said and drawn: the fans, and what a unit of each family meets in each week?"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from jobs.leadtime.closures import Shut
from jobs.leadtime.intake import SendingAdvice, weeks_of
from jobs.leadtime.loads import is_short
from jobs.leadtime.outlook import ShopOutlook
from jobs.leadtime.routes import Person
from jobs.selectors.outlook import CALENDAR_WEEKS, FamilyIntake, IntakeCalendar
from portal.owner.fans import FanChart, FanPoint, fan_chart

LONG_SHELF_DAYS = 5


@dataclass(frozen=True, slots=True)
class WeekCell:
    """What a unit of a family meets that arrives in one week: a word, its wait, when 8 in 10 are back."""

    family: str
    monday: date
    word: str
    shelf: str
    back_by: str
    is_quiet: bool
    is_shut: bool


@dataclass(frozen=True, slots=True)
class FamilyRow:
    """One family over the weeks ahead."""

    name: str
    advice: SendingAdvice | None
    cells: tuple[WeekCell, ...]


def work_fan(found: ShopOutlook) -> FanChart:
    """Return how many units will be in the shop at the end of each week."""
    points = [FanPoint(_("now"), *(3 * (float(found.in_process_now),)))]
    points += [
        FanPoint(_sunday(week.monday), week.in_process.low, week.in_process.likely, week.in_process.high)
        for week in found.weeks
    ]
    return fan_chart(points, key="work", title=_("Units in the shop, week by week"), unit=_("units"))


def output_fan(found: ShopOutlook) -> FanChart:
    """Return how many units will be ready to go back in each week."""
    points = [
        FanPoint(date_format(week.monday, "D j M"), week.output.low, week.output.likely, week.output.high)
        for week in found.weeks
    ]
    return fan_chart(
        points, key="output", title=_("Units ready to go back, week by week"), unit=_("units a week")
    )


def _sunday(monday: date) -> str:
    return date_format(monday + timedelta(days=6), "D j M")


def closed_weeks(found: ShopOutlook) -> tuple[date, ...]:
    """Return the Mondays of the weeks in which nobody works."""
    return tuple(week.monday for week in found.weeks if week.open_hours <= 0.0)


def closed_stretches(mondays: Sequence[date]) -> tuple[tuple[date, date], ...]:
    """Return the closed weeks as stretches from a Monday to a Sunday, weeks that follow each other as one."""
    stretches: list[tuple[date, date]] = []
    for monday in mondays:
        sunday = monday + timedelta(days=6)
        if stretches and stretches[-1][1] + timedelta(days=1) == monday:
            stretches[-1] = (stretches[-1][0], sunday)
        else:
            stretches.append((monday, sunday))
    return tuple(stretches)


@dataclass(frozen=True, slots=True)
class AwayLine:
    """Somebody who will not be at the benches, from when to when."""

    slug: str
    name: str
    first: date
    last: date
    note: str


def absences_ahead(people: Sequence[Person], *, today: date) -> tuple[AwayLine, ...]:
    """Return the absences of the twelve weeks ahead that are not over yet, the first to begin first."""
    until = today + timedelta(weeks=CALENDAR_WEEKS)
    lines = [
        AwayLine(person.slug, person.name, absence.first, absence.last, absence.note)
        for person in people
        for absence in person.absences
        if absence.last >= today and absence.first < until
    ]
    return tuple(sorted(lines, key=lambda line: (line.first, line.name)))


def calendar_rows(
    calendar: IntakeCalendar, *, closed: Collection[date], opens_on: date
) -> tuple[FamilyRow, ...]:
    """Return each family's weeks from the next day on which the shop works, at most twelve.

    `closed` holds the Mondays of the weeks in which nobody works.
    """
    return tuple(
        FamilyRow(family.name, family.advice, _cells(family, closed=closed, opens_on=opens_on))
        for family in calendar.families
    )


def advice_by_sentence(rows: Sequence[FamilyRow]) -> tuple[tuple[tuple[str, ...], str], ...]:
    """Return what customers are told, each sentence once with the families it is told of."""
    told: dict[str, list[str]] = {}
    for row in rows:
        if row.advice is not None:
            told.setdefault(row.advice.sentence, []).append(row.name)
    return tuple((tuple(names), sentence) for sentence, names in told.items())


def calendar_weeks(rows: Sequence[FamilyRow]) -> tuple[tuple[date, tuple[WeekCell, ...]], ...]:
    """Return the same week by week: the Monday, and what each family meets."""
    if not rows:
        return ()
    return tuple((cells[0].monday, cells) for cells in zip(*(row.cells for row in rows), strict=False))


def _cells(family: FamilyIntake, *, closed: Collection[date], opens_on: date) -> tuple[WeekCell, ...]:
    return tuple(
        WeekCell(
            family=family.name,
            monday=week.monday,
            word=_shut_word(week.monday, closed=closed) if week.shut else _word(week.shelf_days),
            shelf=_reopening(week.shut) if week.shut else _shelf(week.shelf_days),
            back_by=date_format(week.high, "D j M"),
            is_quiet=week.shut is None and is_short(week.shelf_days),
            is_shut=week.shut is not None,
        )
        for week in weeks_of(family.curve, opens_on=opens_on)[:CALENDAR_WEEKS]
    )


def _reopening(shut: Shut) -> str:
    return _("until %(day)s") % {"day": date_format(shut.reopens_on, "j M")}


def _shut_word(monday: date, *, closed: Collection[date]) -> str:
    """Return the word of a week from which a unit lies through a closure: the week itself may have work."""
    return _("closed") if monday in closed else _("waits")


def _shelf(shelf_days: float) -> str:
    whole = round(shelf_days)
    if whole < 1:
        return _("no wait")
    return ngettext("%(days)d day", "%(days)d days", whole) % {"days": whole}


def _word(shelf_days: float) -> str:
    """Return the class of the whole days that stand beside it."""
    if is_short(shelf_days):
        return _("quiet")
    return _("full") if round(shelf_days) > LONG_SHELF_DAYS else _("busy")


def is_behind(*computed_at: datetime | None, now: datetime) -> bool:
    """Say whether anything that is shown is older than the worker ever leaves it."""
    return any(moment is not None and now - moment > timedelta(hours=8) for moment in computed_at)
