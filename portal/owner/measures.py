"""How is a value of a document typed by the owner, and how is it shown?

Every value has one exact written form, so that a document which nobody changed is read back unchanged.
Lengths and masses are read in both systems of units; a bare number is millimetres or kilograms.
"""

import math
import re
from datetime import date, time
from decimal import Decimal, InvalidOperation
from enum import Enum
from typing import Any

from django.conf import settings
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from packing.catalogue.fields import FieldShape, Measure, Shape
from packing.errors import PackingError
from packing.quantities import (
    CALIPER_BELOW_MM,
    KG_PER_LB,
    KG_PER_OZ,
    KPA_PER_PSI,
    MM_PER_IN,
    UnitChoice,
    lb_in_from_kn_m,
    parse_length_mm,
    parse_mass_kg,
    psi_from_kpa,
    show_length,
    show_mass,
    show_offset,
    show_thickness,
)
from portal.shared.days import EXAMPLE, NoDay, read_day

# One number and one unit, read without the limits that hold for a unit or a parcel: a document may say 4.2 m
# of length and girth, 0 mm of offset, or an offset to the left.
SINGLE = re.compile(r"(?P<sign>[-−+]?)\s*(?P<number>\d+(?:[.,]\d+)?|[.,]\d+)\s*(?P<unit>[a-z\"″]*)\.?")
LENGTHS_MM = {"": 1.0, "mm": 1.0, "cm": 10.0, "m": 1000.0, "in": MM_PER_IN, '"': MM_PER_IN, "″": MM_PER_IN}
MASSES_KG = {"": 1.0, "kg": 1.0, "g": 0.001, "lb": KG_PER_LB, "lbs": KG_PER_LB, "oz": KG_PER_OZ}
OUNCES = re.compile(r"oz|ounce")
COARSE_FROM_KG = 0.1

STRESSES_KPA = {"": 1.0, "kpa": 1.0, "psi": KPA_PER_PSI}


class NotReadable(ValueError):
    """What was typed cannot be read; the sentence says how to type it."""


def write(value: Any, *, shape: Shape, measure: Measure = Measure.NONE) -> str:
    """Return the one form in which a value stands in its input.

    >>> write(152.4, shape=Shape.NUMBER, measure=Measure.LENGTH)
    '152.4 mm'
    >>> write(0.07, shape=Shape.NUMBER, measure=Measure.SHARE)
    '7'
    """
    if value is None or value == "":
        return ""
    if isinstance(value, Enum):
        return str(value.value)
    if isinstance(value, bool):
        return "on" if value else ""
    if isinstance(value, time):
        return value.isoformat("minutes") if value.second == 0 else value.isoformat()
    if shape is Shape.TIME:
        return write(time.fromisoformat(str(value)), shape=shape)
    if isinstance(value, int | float):
        return _write_number(value, measure=measure)
    return str(value)


def _write_number(value: float, *, measure: Measure) -> str:
    match measure:
        case Measure.LENGTH:
            return f"{_plain(value)} mm"
        case Measure.MASS:
            return f"{_plain(value)} kg"
        case Measure.MONEY:
            return f"{Decimal(int(value)) / 100:.2f}"
        case Measure.STRESS:
            return f"{_plain(value)} kPa"
        case Measure.SHARE:
            return _plain(Decimal(repr(float(value))) * 100)
    return _plain(value)


def _plain(value: float | Decimal) -> str:
    """Return a number without an exponent and without zeros at its end."""
    return f"{(value if isinstance(value, Decimal) else Decimal(repr(value))).normalize():f}"


def read(text: str, *, shape: Shape, measure: Measure = Measure.NONE) -> Any:
    """Return the value that was typed.

    Raises: NotReadable with a sentence that says how to type it.
    """
    text = text.strip()
    match shape:
        case Shape.WHOLE if measure is Measure.MONEY:
            return _read_money(text)
        case Shape.WHOLE:
            return _read_whole(text)
        case Shape.NUMBER:
            number = _read_number(text, measure=measure)
            if not math.isfinite(number):
                raise _far_too_large(text)
            return number
        case Shape.DATE:
            return _read_date(text)
        case Shape.TIME:
            return _read_time(text)
    return text


DIGITS_MOST = 15
"""Digits before the point: a figure with more is a slip, and Python writes none with thousands of them."""


def _read_number(text: str, *, measure: Measure) -> float:
    match measure:
        case Measure.LENGTH:
            return _read_quantity(text, units=LENGTHS_MM, is_length=True)
        case Measure.MASS:
            return _read_quantity(text, units=MASSES_KG, is_length=False)
        case Measure.STRESS:
            return _read_stress(text)
        case Measure.SHARE:
            return float(_read_decimal(text.rstrip("% "), example="7.5") / 100)
    return float(_read_decimal(text, example="2.5"))


def _read_quantity(text: str, *, units: dict[str, float], is_length: bool) -> float:
    found = SINGLE.fullmatch(text.lower())
    if found and found["unit"] in units:
        amount = float(found["number"].replace(",", ".")) * units[found["unit"]]
        amount = round(amount, 9) if is_length else _weighed(amount, text=text)
        return -amount if found["sign"] in {"-", "−"} else amount
    try:
        if is_length:
            return parse_length_mm(text, choice=UnitChoice.METRIC)
        return _weighed(parse_mass_kg(text, choice=UnitChoice.METRIC), text=text)
    except PackingError as refusal:
        raise NotReadable(str(refusal)) from refusal


def _weighed(mass_kg: float, *, text: str) -> float:
    """Return a mass as finely as it was weighed: to 1 g where ounces were given, below 100 g to 1 mg.

    Whole pounds and kilograms stay exact: they are a carrier's published limits.
    """
    if not OUNCES.search(text.lower()):
        return round(mass_kg, 9)
    return round(mass_kg, 3 if mass_kg >= COARSE_FROM_KG else 6)


def _read_stress(text: str) -> float:
    found = SINGLE.fullmatch(text.lower())
    if found and found["unit"] in STRESSES_KPA:
        amount = float(found["number"].replace(",", ".")) * STRESSES_KPA[found["unit"]]
        return -round(amount, 9) if found["sign"] in {"-", "−"} else round(amount, 9)
    sentence = _("“%(text)s” is not a stress; type it like %(example)s.") % _with(text, _("5 kPa or 0.7 psi"))
    raise NotReadable(sentence)


def _read_decimal(text: str, *, example: str) -> Decimal:
    try:
        value = Decimal(text.replace(",", ".").replace("−", "-"))
    except InvalidOperation:
        value = Decimal("nan")
    if not value.is_finite():
        raise NotReadable(_("“%(text)s” is not a number; type it like %(example)s.") % _with(text, example))
    if value.adjusted() >= DIGITS_MOST:
        raise _far_too_large(text)
    return value


def _far_too_large(text: str) -> NotReadable:
    return NotReadable(_("“%(text)s” is far too large; check it.") % {"text": text[:30]})


def _read_whole(text: str) -> int:
    value = _read_decimal(text, example="12")
    if value != value.to_integral_value():
        raise NotReadable(_("“%(text)s” is not a whole number; type it like 12.") % {"text": text[:30]})
    return int(value)


def _read_money(text: str) -> int:
    value = _read_decimal(text.lstrip(currency()).strip(), example="120.00") * 100
    if value != value.to_integral_value() or value < 0:
        raise NotReadable(_("“%(text)s” is not an amount; type it like 120.00.") % {"text": text[:30]})
    return int(value)


def _read_date(text: str) -> date:
    try:
        return read_day(text)
    except NoDay:
        sentence = _("“%(text)s” cannot be read as a date; type it like %(example)s.")
        raise NotReadable(sentence % _with(text, EXAMPLE)) from None


def _read_time(text: str) -> time:
    try:
        return time.fromisoformat(text.zfill(5))
    except ValueError:
        sentence = _("“%(text)s” cannot be read; type it like %(example)s.") % _with(text, "08:30")
        raise NotReadable(sentence) from None


def _with(text: str, example: str) -> dict[str, str]:
    return {"text": text[:30], "example": example}


def currency() -> str:
    """Return the sign of the shop's money."""
    return str(getattr(settings, "SHOP_CURRENCY", "£"))


# --- shown ---------------------------------------------------------------------------------------------


def show(value: Any, *, shape: FieldShape) -> str:
    """Return a value in words for a page, lengths and masses in both units; empty for nothing."""
    if value is None or value == "":
        return ""
    if isinstance(value, bool):
        return _("yes") if value else _("no")
    kind = shape.item if shape.shape is Shape.LIST else shape.shape
    if kind is Shape.DATE:
        return date_format(value if isinstance(value, date) else date.fromisoformat(value), "l j F Y")
    if isinstance(value, int | float):
        return _show_number(value, shape=shape)
    return write(value, shape=kind or Shape.TEXT)


def _show_number(value: float, *, shape: FieldShape) -> str:
    match shape.measure:
        case Measure.STRESS:
            return f"{_plain(round(value, 3))} kPa ({_plain(round(psi_from_kpa(value), 3))} psi)"
        case Measure.LENGTH:
            return show_offset(value, choice=UnitChoice.METRIC) if value < 0 else both_lengths(value)
        case Measure.MASS if value >= 0:
            return show_mass(value, choice=UnitChoice.METRIC)
        case Measure.MONEY:
            return f"{currency()}{Decimal(int(value)) / 100:,.2f}"
        case Measure.SHARE:
            return f"{_write_number(value, measure=Measure.SHARE)} %"
    words = f"{_plain(value)} {shape.unit}".strip()
    other = other_unit(value, name=shape.name)
    return f"{words} ({other})" if other else words


def both_lengths(length_mm: float) -> str:
    """Return a length in both units; what is measured with a caliper, finer."""
    if length_mm < CALIPER_BELOW_MM:
        return show_thickness(length_mm, choice=UnitChoice.METRIC)
    if length_mm >= 20 or length_mm == int(length_mm):
        return show_length(length_mm, choice=UnitChoice.METRIC)
    shown = show_length(length_mm, choice=UnitChoice.METRIC)
    return f"{_plain(round(length_mm, 2))} mm {shown[shown.index('(') :]}"


def other_unit(value: float, *, name: str) -> str:
    """Return a board or pressure figure in the units of the older tables; empty for every other figure."""
    if name.endswith("_kn_m"):
        return f"{lb_in_from_kn_m(value):.0f} lb/in"
    if name.endswith("burst_kpa"):
        return f"{psi_from_kpa(value):.0f} psi"
    return ""
