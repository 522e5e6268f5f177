"""Which fields does a document have, what may stand in each, and in which unit?

A description of a frozen dataclass, field by field, from its type hints. Whoever builds an editor, a table or
a comparison of two revisions reads this instead of naming every field again. It serves any dataclass that
`packing.plain` can read: catalogue entries as well as the shop's own documents.
"""

import dataclasses
import types
import typing
from dataclasses import dataclass
from datetime import date, time
from enum import Enum, StrEnum
from functools import cache
from typing import Any


class Shape(StrEnum):
    """How a field is written: one value, a list of values, a group of fields, or rows of groups."""

    TEXT = "text"
    TICK = "tick"
    WHOLE = "whole"
    NUMBER = "number"
    DATE = "date"
    TIME = "time"
    CHOICE = "choice"
    LIST = "list"
    GROUP = "group"
    ROWS = "rows"


class Measure(StrEnum):
    """What a number measures, where that decides how it is typed and shown."""

    NONE = "none"
    LENGTH = "length"
    MASS = "mass"
    MONEY = "money"
    SHARE = "share"
    STRESS = "stress"


SCALARS: dict[type, Shape] = {
    str: Shape.TEXT,
    bool: Shape.TICK,
    int: Shape.WHOLE,
    float: Shape.NUMBER,
    date: Shape.DATE,
    time: Shape.TIME,
}
UNIT_WORDS: tuple[tuple[str, str], ...] = (
    ("_cm3_kg", "cm³/kg"),
    ("_kg_m3", "kg/m³"),
    ("_m3_kj", "m³/kJ"),
    ("_g_m2", "g/m²"),
    ("_kn_m", "kN/m"),
    ("_cm3", "cm³"),
    ("_kpa", "kPa"),
    ("_litres", "litres"),
    ("_hours", "hours"),
    ("_days", "days"),
    ("_mm", "mm"),
    ("_kg", "kg"),
    ("_j", "J"),
    ("_g", "times gravity"),
)


@dataclass(frozen=True, slots=True)
class FieldShape:
    """One field: its name, its shape, and the fields inside it.

    `kind` is the scalar type, the enum or the dataclass; of a LIST or ROWS it is that of one item. `required`
    fields have no default; those that `may_be_none` can be left out altogether.
    """

    name: str
    shape: Shape
    kind: type
    required: bool
    may_be_none: bool
    default: Any = None
    item: Shape | None = None
    inner: tuple["FieldShape", ...] = ()

    @property
    def measure(self) -> Measure:
        """What the number measures, told by its name."""
        return measure_of(self.name)

    @property
    def unit(self) -> str:
        """The unit in words, told by the name; empty for none."""
        return next((words for ending, words in UNIT_WORDS if self.name.endswith(ending)), "")


@cache
def describe(cls: type) -> tuple[FieldShape, ...]:
    """Return the description of every field of a dataclass, in its order.

    Raises: TypeError for a type hint that no document can hold.

    >>> from packing.catalogue.schema import Envelope
    >>> [(field.name, field.shape.value, field.unit) for field in describe(Envelope)][0]
    ('length_mm', 'number', 'mm')
    """
    hints = typing.get_type_hints(cls)
    return tuple(_describe_field(field, hint=hints[field.name]) for field in dataclasses.fields(cls))


def measure_of(name: str) -> Measure:
    """Return what a number of this name measures.

    >>> [measure_of(name).value for name in ("mass_most_kg", "board_g_m2", "needed_share")]
    ['mass', 'none', 'share']
    """
    if name.endswith("_mm"):
        return Measure.LENGTH
    if name.endswith("_kg") and not name.endswith("_cm3_kg"):
        return Measure.MASS
    if "pence" in name:
        return Measure.MONEY
    if name.endswith("stress_kpa") or (name.startswith("stress_") and name.endswith("_kpa")):
        return Measure.STRESS
    if name.endswith(("_share", "_effort")):
        return Measure.SHARE
    return Measure.NONE


def _describe_field(field: "dataclasses.Field[Any]", *, hint: Any) -> FieldShape:
    kind, may_be_none = _without_none(hint)
    default = None if field.default is dataclasses.MISSING else field.default
    required = field.default is dataclasses.MISSING and field.default_factory is dataclasses.MISSING
    required = required and not may_be_none
    if typing.get_origin(kind) is tuple:
        inner_kind = typing.get_args(kind)[0]
        item = _scalar_shape(inner_kind)
        if item is None:
            rows = describe(inner_kind)
            return FieldShape(
                field.name, Shape.ROWS, inner_kind, required, may_be_none, default, Shape.GROUP, rows
            )
        return FieldShape(field.name, Shape.LIST, inner_kind, required, may_be_none, default, item)
    scalar = _scalar_shape(kind)
    if scalar is not None:
        return FieldShape(field.name, scalar, kind, required, may_be_none, default)
    return FieldShape(field.name, Shape.GROUP, kind, required, may_be_none, default, None, describe(kind))


def _without_none(hint: Any) -> tuple[Any, bool]:
    if typing.get_origin(hint) in {typing.Union, types.UnionType}:
        kinds = [part for part in typing.get_args(hint) if part is not type(None)]
        return kinds[0], len(kinds) < len(typing.get_args(hint))
    return hint, False


def _scalar_shape(kind: Any) -> Shape | None:
    """Return the shape of a single value, or None for a dataclass."""
    if dataclasses.is_dataclass(kind):
        return None
    if isinstance(kind, type) and issubclass(kind, Enum):
        return Shape.CHOICE
    if kind in SCALARS:
        return SCALARS[kind]
    raise TypeError(f"no document can hold {kind}")
