"""How is a date typed, whoever types it, and how is it said?

A browser's own date input sends 2026-12-20. Where a browser has none, people type, and only what can be meant
in one way is read: a month in words, or the day first between full stops. 3/4/2026 is refused.
"""

from datetime import date
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.formats import date_format

ISO = "%Y-%m-%d"
# fmt: off
DAY_FORMATS = (
    ISO, "%Y/%m/%d", "%d.%m.%Y",
    "%d %B %Y", "%d %b %Y", "%A %d %B %Y", "%a %d %b %Y", "%B %d, %Y", "%b %d, %Y", "%B %d %Y", "%b %d %Y",
)
# fmt: on
EXAMPLE = "20 December 2026"
FIRST_YEAR, LAST_YEAR = 1900, 2199
_READER = forms.DateField(input_formats=DAY_FORMATS)


class NoDay(ValueError):
    """What was typed is not one date."""


def read_day(text: str) -> date:
    """Return the date that was typed.

    Raises: NoDay for what is no date, can be meant in two ways, or lies centuries off.
    """
    try:
        day = _READER.to_python(" ".join(text.split()))
    except ValidationError:
        day = None
    if day is None or not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise NoDay
    return day


def day_words(text: str) -> str:
    """Return a typed date in words; what is no date stays as it was typed.

    >>> day_words("2026-12-20"), day_words("soon")
    ('Sunday 20 December 2026', 'soon')
    """
    try:
        return date_format(read_day(text), "l j F Y")
    except NoDay:
        return text


class DayInput(forms.DateInput):
    """The browser's own date input; what is no date stands in an input for text, so that it stays there."""

    input_type = "date"

    def format_value(self, value: object) -> str | None:
        """Return the date as a date input takes it, or what was typed; None for nothing."""
        text = str(value or "")
        try:
            return read_day(text).strftime(ISO)
        except NoDay:
            return text or None

    def get_context(self, name: str, value: object, attrs: dict[str, object] | None) -> dict[str, object]:
        """Return what the input is drawn from, with the type that can show its value."""
        context = super().get_context(name, value, attrs)
        shown = str(context["widget"]["value"] or "")
        try:
            read_day(shown or "2026-12-20")
        except NoDay:
            context["widget"]["type"] = "text"
        return context


class DayField(forms.DateField):
    """A date in the browser's own input; what may mean two days is refused and stays as it was typed."""

    widget = DayInput(attrs={"class": "w-16"})

    def to_python(self, value: Any) -> date | None:
        """Return the date, None for nothing.

        Raises: ValidationError for what is no date, or may mean two.
        """
        if value in self.empty_values or isinstance(value, date):
            found: date | None = super().to_python(value)
            return found
        try:
            return read_day(str(value))
        except NoDay:
            raise ValidationError(self.error_messages["invalid"], code="invalid") from None
