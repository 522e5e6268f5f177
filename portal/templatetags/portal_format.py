"""How figures, dates and numbers are put into words on every page.

Dates are words with the month spelled out, ranges are "between ... and ...", lengths and masses appear in
both units with the reader's choice first. Nothing here reads the clock: an age needs `now` from the page.
"""

from datetime import date, datetime, timedelta
from functools import lru_cache

from django import template
from django.conf import settings
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.html import format_html_join
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import get_language, ngettext
from django.utils.translation import gettext as _

from packing.parcel.drop import show_drop_height
from packing.quantities import UnitChoice, show_length, show_mass, show_size

register = template.Library()
BREAK_SIGNS = 12

YEAR_KNOWN_BEHIND = timedelta(days=60)
YEAR_KNOWN_AHEAD = timedelta(days=300)


def _choice(choice: object) -> UnitChoice:
    return choice if isinstance(choice, UnitChoice) else UnitChoice(str(choice or UnitChoice.METRIC))


@register.filter
def length(length_mm: float, choice: object = UnitChoice.METRIC) -> str:
    """Return a length in both units: `{{ clearance_mm|length:units }}` -> 89 mm (3 1/2 in)."""
    return show_length(float(length_mm), choice=_choice(choice))


@register.filter
def fall(drop_height_m: float, choice: object = UnitChoice.METRIC) -> str:
    """Return a drop height in both units, as its table states them: `{{ drop_height_m|fall:units }}`."""
    return show_drop_height(float(drop_height_m), choice=_choice(choice))


@register.filter
def mass(mass_kg: float, choice: object = UnitChoice.METRIC) -> str:
    """Return a mass in both units: `{{ gross_mass_kg|mass:units }}` -> 2.40 kg (5 lb 5 oz)."""
    return show_mass(float(mass_kg), choice=_choice(choice))


@register.simple_tag
def size(length_mm: float, width_mm: float, height_mm: float, choice: object = UnitChoice.METRIC) -> str:
    """Return three sides in both units: `{% size 230 180 140 units %}`."""
    return show_size(float(length_mm), float(width_mm), float(height_mm), choice=_choice(choice))


def _as_day(value: date | datetime) -> date:
    if isinstance(value, datetime):
        return timezone.localtime(value).date() if timezone.is_aware(value) else value.date()
    return value


@register.filter
def day(value: date | datetime | None) -> str:
    """Return a date in words, "Tuesday 12 May 2026"; nothing for no date."""
    return date_format(_as_day(value), "l j F Y") if value else ""


@register.filter
def day_short(value: date | datetime | None) -> str:
    """Return a date in words for tables, "Tue 12 May 2026", which never breaks; nothing for no date."""
    return _table_day(_as_day(value), style="D j F Y", language=get_language()) if value else ""


@register.filter
def day_near(value: date | datetime | None, today: date | datetime) -> str:
    """Return a date for tables that leaves out a year nobody asks for: `{{ promised_on|day_near:now }}`.

    From two months before today to ten months after it a day and its month name one date only: "Tue 12 May".
    Outside that the year stands with it, as by `day_short`; nothing for no date.
    """
    if not value:
        return ""
    on, now_on = _as_day(value), _as_day(today)
    if now_on - YEAR_KNOWN_BEHIND <= on <= now_on + YEAR_KNOWN_AHEAD:
        return _table_day(on, style="D j F", language=get_language())
    return day_short(on)


@lru_cache(maxsize=1024)
def _table_day(on: date, *, style: str, language: str | None) -> str:
    """Return a day for tables in the active language; long lists name the same few days many times."""
    return _unbroken(date_format(on, style))


def _unbroken(words: str) -> str:
    """Return words that stay on one line."""
    return words.replace(" ", "\u00a0")


@register.filter
def moment(value: datetime | None) -> str:
    """Return a date and time in the shop's zone, "Tuesday 12 May 2026, 14:30"; nothing for none."""
    if not value:
        return ""
    local = timezone.localtime(value) if timezone.is_aware(value) else value
    return date_format(local, "l j F Y, H:i")


@register.filter
def moment_short(value: datetime | None) -> str:
    """Return a date and time for tables, "Tue 12 May 2026, 14:30", which breaks only before the time."""
    if not value:
        return ""
    local = timezone.localtime(value) if timezone.is_aware(value) else value
    return f"{_unbroken(date_format(local, 'D j M Y'))}, {date_format(local, 'H:i')}"


@register.simple_tag
def day_range(first: date, last: date) -> str:
    """Return a range of days in words, naming the year once when both ends share it.

    >>> day_range(date(2026, 5, 12), date(2026, 5, 22))
    'between Tuesday 12 May and Friday 22 May 2026'
    >>> day_range(date(2026, 5, 12), date(2026, 5, 12))
    'on Tuesday 12 May 2026'
    """
    start, end = sorted((_as_day(first), _as_day(last)))
    if start == end:
        return _("on %(day)s") % {"day": day(end)}
    opening = date_format(start, "l j F") if start.year == end.year else day(start)
    return _("between %(first)s and %(last)s") % {"first": opening, "last": day(end)}


@register.simple_tag
def weeks_about(first: date, last: date, counted_from: date) -> str:
    """Return how far off a range of days is, "about 4 to 6 weeks"; in days within a fortnight."""
    least, most = sorted(max((_as_day(end) - _as_day(counted_from)).days, 0) for end in (first, last))
    unit_days = 1 if most < 14 else 7
    low, high = (max(round(days / unit_days), 1) for days in (least, most))
    if unit_days == 1:
        words = ngettext("about %(span)s day", "about %(span)s days", high)
    else:
        words = ngettext("about %(span)s week", "about %(span)s weeks", high)
    span = str(high) if low == high else _("%(low)d to %(high)d") % {"low": low, "high": high}
    return words % {"span": span}


@register.filter
def age(since: date | datetime | None, now: date | datetime) -> str:
    """Return the whole days from `since` to `now`: `{{ job.arrived_at|age:now }}` -> today, 1 day, 3 days."""
    if not since:
        return ""
    days = (_as_day(now) - _as_day(since)).days
    if days == 0:
        return _("today")
    words = ngettext("%(days)d day", "%(days)d days", abs(days)) % {"days": abs(days)}
    return _unbroken(words if days > 0 else _("in %(days)s") % {"days": words})


@register.simple_tag
def limits(least: float | None, most: float | None, unit: str) -> str:
    """Return the limits of a reading: 14.5, 15.5, "mm" -> 14.5 to 15.5 mm; the unit where none are set."""
    if least is not None and most is not None:
        return _("%(least)g to %(most)g %(unit)s") % {"least": least, "most": most, "unit": unit}
    if most is not None:
        return _("at most %(most)g %(unit)s") % {"most": most, "unit": unit}
    if least is not None:
        return _("at least %(least)g %(unit)s") % {"least": least, "unit": unit}
    return unit


@register.simple_tag
def reading(value: float, unit: str) -> str:
    """Return a reading as it was typed: 1150.0, "turns a minute" -> 1150 turns a minute."""
    return f"{value:.10g} {unit}"


@register.filter
def pence(amount_pence: int | None) -> str:
    """Return an amount of money: 12000 -> £120.00; the sign is the setting SHOP_CURRENCY."""
    if amount_pence is None:
        return ""
    currency = getattr(settings, "SHOP_CURRENCY", "£")
    pounds, rest = divmod(abs(int(amount_pence)), 100)
    return f"{'−' if amount_pence < 0 else ''}{currency}{pounds:,}.{rest:02d}"


@register.simple_tag
def price_range(least_pence: int, most_pence: int) -> str:
    """Return a usual price: 24400, 31600 -> £244 to £316.

    A range tells no pence where both ends are whole; a sum that is asked for always does.
    """
    ends = [pence(least_pence), pence(most_pence)]
    if least_pence % 100 == most_pence % 100 == 0:
        ends = [end.removesuffix(".00") for end in ends]
    if ends[0] == ends[1]:
        return ends[0]
    return _("%(least)s to %(most)s") % {"least": ends[0], "most": ends[1]}


@register.filter
def breakable(address: str) -> SafeString:
    """Return an address that may go on in the next line after every few signs; copied, it is whole.

    A long address in a mail would widen its page beyond a phone's, and mail programs drop style sheets.
    """
    parts = (address[at : at + BREAK_SIGNS] for at in range(0, len(address), BREAK_SIGNS))
    return format_html_join(mark_safe("<wbr>"), "{}", ((part,) for part in parts))


@register.filter
def job_number(number: object) -> str:
    """Return a job number the way it is written on the slip: 4821093 -> 482 109-3.

    Anything that is not seven digits is returned as it came.
    """
    digits = "".join(sign for sign in str(number) if sign.isdecimal())
    if len(digits) != 7:
        return str(number)
    return f"{digits[:3]}\u00a0{digits[3:6]}-{digits[6]}"
