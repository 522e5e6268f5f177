"""How dates and lengths of time are said in plain English."""

from datetime import date

WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)


def date_in_words(day: date, *, today: date) -> str:
    """Return weekday, day and month, with the year where it is not this year.

    >>> date_in_words(date(2026, 5, 12), today=date(2026, 4, 1))
    'Tuesday 12 May'
    """
    words = f"{WEEKDAYS[day.weekday()]} {day.day} {MONTHS[day.month - 1]}"
    return words if day.year == today.year else f"{words} {day.year}"


def span_in_words(first: date, last: date, *, today: date) -> str:
    """Return “between … and …”, or “on …” where both are the same day; across a new year both have the year.

    >>> span_in_words(date(2026, 12, 22), date(2027, 1, 15), today=date(2026, 11, 1))
    'between Tuesday 22 December 2026 and Friday 15 January 2027'
    """
    if first == last:
        return f"on {date_in_words(first, today=today)}"
    if first.year != last.year:
        # A date that stands in another year than its neighbour is ambiguous without its year.
        start, end = (date_in_words(day, today=date(day.year - 1, 1, 1)) for day in (first, last))
        return f"between {start} and {end}"
    return f"between {date_in_words(first, today=today)} and {date_in_words(last, today=today)}"


def working_days_in_words(days: float) -> str:
    """Return a length in working days, rounded as a person would say it.

    >>> working_days_in_words(0.5), working_days_in_words(3.2)
    ('about half a working day', 'about 3 working days')
    """
    if days < 0.25:
        return "an hour or two"
    if days < 0.75:
        return "about half a working day"
    whole = round(days)
    return "about 1 working day" if whole <= 1 else f"about {whole} working days"
