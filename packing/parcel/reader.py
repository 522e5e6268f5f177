"""How does a frozen plan read for somebody who counts in inches, on a line that may break anywhere?

Sentences of a plan are kept with millimetres and kilograms first, each with its other unit in brackets, as
`packing.quantities` writes them. For a reader of inches the two change places; no figure is computed anew.
"""

import re
from collections.abc import Mapping
from dataclasses import fields, is_dataclass, replace
from enum import Enum
from typing import Any, cast

from packing.parcel.outcome import ParcelPlan
from packing.quantities import UnitChoice

NO_BREAK = "\u00a0"
_METRIC = r"(?:under )?\d[\d.]*(?: × \d[\d.]*)* (?:mm|kg|g|m)"
_IMPERIAL = r"(?:under )?\d[\d /.×]* (?:in|ft|lb|oz)(?: \d+ oz)?"
_BOTH = re.compile(rf"(?<![\d.×] )(?<![\w.])({_METRIC}) \(({_IMPERIAL})\)")
# Between a whole number and its fraction, and between a figure and its unit.
_INSIDE_A_MEASURE = re.compile(r"(?<=\d) (?=\d+/\d|(?:mm|cm²|kPa|kg|lb|oz|ft|in|m|g|G|J|N|%)(?![\w/]))")
_SIGN = re.compile(r"(?<=\d) x (?=\d)")


def told_in(plan: ParcelPlan, *, choice: UnitChoice) -> ParcelPlan:
    """Return the plan with every sentence in the reader's unit first, and no measure broken across lines."""
    return cast(ParcelPlan, _told(plan, choice=choice))


def tell(text: str, *, choice: UnitChoice) -> str:
    """Return one sentence with the reader's unit first, and its measures held together.

    >>> tell("Lay 89 mm (3 1/2 in) of foam.", choice=UnitChoice.IMPERIAL).replace(NO_BREAK, " ")
    'Lay 3 1/2 in (89 mm) of foam.'
    """
    ordered = _BOTH.sub(r"\2 (\1)", text) if choice is UnitChoice.IMPERIAL else text
    return hold_together(_SIGN.sub(" × ", ordered))


def hold_together(text: str) -> str:
    """Return a text in which no line ends inside a measure."""
    return _INSIDE_A_MEASURE.sub(NO_BREAK, text)


def _told(value: Any, *, choice: UnitChoice) -> Any:
    if isinstance(value, Enum) or value is None:
        return value
    if isinstance(value, str):
        return tell(value, choice=choice)
    if isinstance(value, tuple):
        return tuple(_told(item, choice=choice) for item in value)
    if is_dataclass(value) and not isinstance(value, type):
        changed: Mapping[str, Any] = {
            field.name: _told(getattr(value, field.name), choice=choice) for field in fields(value)
        }
        return replace(value, **changed)
    return value
