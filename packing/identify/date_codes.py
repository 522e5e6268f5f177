"""When a unit may have been made: every reading of a date code that parses, the likeliest first.

One-digit years repeat each decade and one code can follow several schemes, so no reading is ever chosen for
the reader; a build date only ranks them. Sources: restorers' published guides to production date codes, one
guide's own example contradicting its rule, hence all readings. That a week count may run from 1 January or
from the ISO week is common practice, so a week is shown as about a fortnight.
"""

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from packing.errors import OutOfRange
from packing.identify.normalise import normalise

YEAR_LEAST, YEAR_MOST = 1920, 2009
EARLY_DAYS = 183
_LETTERS_WITH_I = "ABCDEFGHIJKL"
_LETTERS_WITHOUT_I = "ABCDEFGHJKLM"


class DateScheme(StrEnum):
    """How a code is built up; the value is what the page calls it."""

    MONTH_LETTER_DAY_YEAR = "month letter, day, last digit of the year"
    MONTH_LETTER_YEAR = "month letter, last digit of the year"
    WEEK_YEAR = "week, last digit of the year"
    MONTH_DAY_YEAR = "month, day, year"
    YEAR_DOTS = "last digit of the year, one dot for each month"
    YEAR_DAY = "two-digit year, day of the year"
    DAY_YEAR = "day of the year, last digit of the year"
    DAY_ONLY = "day of the year, no year"
    DAY_MONTH = "day, month, no year"


class DateFit(StrEnum):
    """How a reading stands against the date of the vehicle or engine it sits on."""

    FITS = "fits"
    EARLY = "early"
    LATER = "later"
    UNPLACED = "unplaced"


@dataclass(frozen=True, slots=True)
class DateReading:
    """One way to read a date code; the dates are missing where the code gives no year."""

    scheme: DateScheme
    meaning: str
    first_on: date | None
    last_on: date | None
    fit: DateFit
    note: str = ""


_Span = tuple[DateScheme, str, date | None, date | None]
_RANK = {DateFit.FITS: 0, DateFit.EARLY: 1, DateFit.UNPLACED: 2, DateFit.LATER: 3}


def read_date_code(
    code: str, *, built_on: date | None, year_least: int = YEAR_LEAST, year_most: int = YEAR_MOST
) -> tuple[DateReading, ...]:
    """Return all readings of `code` between the two years, those that fit `built_on` first.

    The dots of "7 . . ." are read as written; all else is read with and without its separators.
    An empty result means that no known scheme parses.

    >>> [each.first_on.year for each in read_date_code("D 16 5", built_on=date(1965, 6, 1))][0]
    1965
    """
    years = range(year_least, year_most + 1)
    spans = dict.fromkeys(span for reader in _READERS for span in reader(code, years))
    readings = [_judge(span, built_on=built_on) for span in spans]
    return tuple(sorted(readings, key=lambda reading: _closeness(reading, built_on=built_on)))


def judge_date(part_on: date, *, built_on: date) -> DateFit:
    """Return how a part's date stands against the build date: up to about six months earlier fits.

    Source: restorers' published practice; a part cannot be later than the vehicle it was fitted to new.

    >>> judge_date(date(1965, 11, 1), built_on=date(1966, 6, 1))
    <DateFit.EARLY: 'early'>
    """
    if part_on > built_on:
        return DateFit.LATER
    return DateFit.FITS if (built_on - part_on).days <= EARLY_DAYS else DateFit.EARLY


def date_of_day(day: int, *, year: int) -> date:
    """Return the calendar date of day `day` of `year`; day 366 exists only in leap years.

    Raises: OutOfRange.

    >>> date_of_day(60, year=1968), date_of_day(60, year=1967)
    (datetime.date(1968, 2, 29), datetime.date(1967, 3, 1))
    """
    most = (date(year, 12, 31) - date(year, 1, 1)).days + 1
    if not 1 <= day <= most:
        raise OutOfRange(f"day of {year}", value=day, least=1, most=most)
    return date(year, 1, 1) + timedelta(days=day - 1)


def _judge(span: _Span, *, built_on: date | None) -> DateReading:
    scheme, meaning, first_on, last_on = span
    if first_on is None or last_on is None:
        return DateReading(scheme, meaning, first_on, last_on, DateFit.UNPLACED, "The code gives no year.")
    if built_on is None:
        return DateReading(scheme, meaning, first_on, last_on, DateFit.UNPLACED)
    nearest = min(max(built_on, first_on), last_on)
    fit = judge_date(nearest, built_on=built_on)
    notes = {
        DateFit.LATER: "Later than the build date: likely a replacement.",
        DateFit.EARLY: "More than six months before the build date: likely a replacement.",
    }
    return DateReading(scheme, meaning, first_on, last_on, fit, notes.get(fit, ""))


def _closeness(reading: DateReading, *, built_on: date | None) -> tuple[int, int, int]:
    order = list(DateScheme).index(reading.scheme)
    if reading.first_on is None:
        return _RANK[reading.fit], order, 0
    if built_on is None:
        return _RANK[reading.fit], order, reading.first_on.toordinal()
    return _RANK[reading.fit], abs((built_on - reading.first_on).days), order


# --- schemes ---------------------------------------------------------------------------------------


def _ending_in(digit: str, years: range) -> Iterator[int]:
    return (year for year in years if year % 10 == int(digit))


def _one_day(scheme: DateScheme, *, year: int, month: int, day: int) -> Iterator[_Span]:
    try:
        on = date(year, month, day)
    except ValueError:
        return
    yield scheme, f"{on.day} {on:%B %Y}", on, on


def _one_month(scheme: DateScheme, *, year: int, month: int) -> _Span:
    first_on = date(year, month, 1)
    last_on = date(year + month // 12, month % 12 + 1, 1) - timedelta(days=1)
    return scheme, f"{first_on:%B %Y}", first_on, last_on


def _months_of(letter: str) -> Iterator[int]:
    """Makers count A to L with I, or skip I; both are offered."""
    months = [letters.find(letter) + 1 for letters in (_LETTERS_WITH_I, _LETTERS_WITHOUT_I)]
    return (month for month in dict.fromkeys(months) if month)


def _month_letter(code: str, years: range) -> Iterator[_Span]:
    compact = normalise(code).compact
    if match := re.fullmatch(r"([A-HJ-M]|I)(\d{1,2})(\d)", compact):
        for month in _months_of(match[1]):
            for year in _ending_in(match[3], years):
                yield from _one_day(
                    DateScheme.MONTH_LETTER_DAY_YEAR, year=year, month=month, day=int(match[2])
                )
    if match := re.fullmatch(r"([A-M])(\d)", compact):
        for month in _months_of(match[1]):
            for year in _ending_in(match[2], years):
                yield _one_month(DateScheme.MONTH_LETTER_YEAR, year=year, month=month)


def _week(code: str, years: range) -> Iterator[_Span]:
    if match := re.fullmatch(r"(\d{2})(\d)", normalise(code).compact):
        week = int(match[1])
        for year in _ending_in(match[2], years):
            if 1 <= week <= date(year, 12, 28).isocalendar().week:
                monday = date.fromisocalendar(year, week, 1)
                first_on, last_on = monday - timedelta(days=4), monday + timedelta(days=9)
                yield DateScheme.WEEK_YEAR, f"about week {week} of {year}", first_on, last_on


def _month_day_year(code: str, years: range) -> Iterator[_Span]:
    spaced = re.fullmatch(r"\s*(\d{1,2})[\s/.-]+(\d{1,2})[\s/.-]+(\d{1,2})\s*", code)
    compact = normalise(code).compact
    splits = [spaced.groups()] if spaced else _splits(compact)
    for month, day, year_digits in splits:
        two_digits = len(year_digits) == 2
        chosen = (year for year in years if year % (100 if two_digits else 10) == int(year_digits))
        for year in chosen:
            yield from _one_day(DateScheme.MONTH_DAY_YEAR, year=year, month=int(month), day=int(day))


def _splits(compact: str) -> list[tuple[str, ...]]:
    if not re.fullmatch(r"[0-9]{3,6}", compact):
        return []
    cuts = [(compact[:a], compact[a:b], compact[b:]) for a in (1, 2) for b in (a + 1, a + 2)]
    return [cut for cut in cuts if len(cut[2]) in {1, 2}]


def _year_dots(code: str, years: range) -> Iterator[_Span]:
    if match := re.fullmatch(r"\s*(\d)((?:\s*[.·•]){1,12})\s*", code.replace("…", "...")):
        month = len(re.sub(r"\s", "", match[2]))
        for year in _ending_in(match[1], years):
            yield _one_month(DateScheme.YEAR_DOTS, year=year, month=month)


def _day_of_year(code: str, years: range) -> Iterator[_Span]:
    compact = normalise(code).compact
    readings: list[tuple[DateScheme, str, str]] = []
    if match := re.fullmatch(r"(\d{2})(\d{3})[0-9A-Z]?", compact):
        readings.append((DateScheme.YEAR_DAY, match[1], match[2]))
    if match := re.fullmatch(r"(\d{3})(\d)", compact):
        readings.append((DateScheme.DAY_YEAR, match[2], match[1]))
    for scheme, digits, day in readings:
        # A two-digit year may be of this century: it is not held to the decades of one-digit codes.
        span = range(years.start, 2100) if scheme is DateScheme.YEAR_DAY else years
        for year in (year for year in span if year % 10 ** len(digits) == int(digits)):
            try:
                on = date_of_day(int(day), year=year)
            except OutOfRange:
                continue
            yield scheme, f"day {int(day)} of {year}, {on.day} {on:%B}", on, on


def _without_year(code: str, years: range) -> Iterator[_Span]:
    compact = normalise(code).compact
    if re.fullmatch(r"\d{3}", compact) and 1 <= int(compact) <= 366:
        yield DateScheme.DAY_ONLY, f"day {int(compact)} of a year not given", None, None
    if re.fullmatch(r"\d{2,4}", compact):
        for cut in (1, 2):
            if 1 <= len(compact) - cut <= 2:
                yield from _day_and_month(compact[:cut], compact[cut:])


def _day_and_month(day: str, month: str) -> Iterator[_Span]:
    for _, _, on, _ in _one_day(DateScheme.DAY_MONTH, year=2000, month=int(month), day=int(day)):
        if on is not None:
            yield DateScheme.DAY_MONTH, f"{on.day} {on:%B} of a year not given", None, None


_READERS: tuple[Callable[[str, range], Iterator[_Span]], ...] = (
    _month_letter,
    _week,
    _month_day_year,
    _year_dots,
    _day_of_year,
    _without_year,
)
