"""Frozen dataclasses to and from plain JSON-like values, with errors that name the key.

One converter serves catalogue documents, event facts, frozen plans and the owner's settings, so that a
wrong value is reported in the same way everywhere. It knows dataclasses, enums, tuples, mappings of
strings, optional values, dates, and the JSON scalars; nothing else is needed.
"""

import dataclasses
import math
import types
import typing
from collections.abc import Mapping
from datetime import date, datetime, time
from enum import Enum
from functools import cache
from typing import Any, TypeVar

from packing.errors import CatalogueError, FieldsRefused

Problem = tuple[str, str]
BROKEN = object()
"""Stands for a value that could not be built at all."""


def to_plain(value: object) -> Any:
    """Return `value` as dicts, lists and scalars that JSON and TOML can hold; `None` fields are left out."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        pairs = ((field.name, getattr(value, field.name)) for field in dataclasses.fields(value))
        return {name: to_plain(item) for name, item in pairs if item is not None}
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, (date, datetime, time)):
        return value.isoformat()
    if isinstance(value, Mapping):
        return {str(key): to_plain(item) for key, item in value.items()}
    if isinstance(value, (tuple, list, frozenset)):
        return [to_plain(item) for item in value]
    return value


T = TypeVar("T")


def from_plain(cls: type[T], data: object) -> T:
    """Return a `cls` built from plain values.

    Raises: CatalogueError with one (key, sentence) pair for every wrong, missing or unknown key.
    """
    built, problems = try_plain(cls, data)
    if built is None or problems:
        raise CatalogueError(problems)
    return built


def try_plain(cls: type[T], data: object) -> tuple[T | None, tuple[Problem, ...]]:
    """Return what plain values can be built into, and a (key, sentence) pair for every wrong key.

    What only its own class refuses is built all the same, so that the rest of it can be looked at too; None
    where a value is missing or of another type.
    """
    problems: list[Problem] = []
    built = _build(cls, data, key="", problems=problems)
    return (None if built is BROKEN else typing.cast(T, built)), tuple(problems)


@cache
def _hints(cls: type) -> dict[str, Any]:
    return typing.get_type_hints(cls)


def _join(key: str, name: str) -> str:
    return f"{key}.{name}" if key else name


def _build(kind: Any, data: object, *, key: str, problems: list[Problem]) -> Any:
    """Return `data` as `kind`, or BROKEN after adding to `problems`."""
    if isinstance(data, kind) if isinstance(kind, type) and dataclasses.is_dataclass(kind) else False:
        return data
    origin = typing.get_origin(kind)
    if origin in (typing.Union, types.UnionType):
        if data is None:
            return None
        inner = [part for part in typing.get_args(kind) if part is not type(None)]
        return _build(inner[0], data, key=key, problems=problems)
    if origin is tuple:
        return _build_tuple(typing.get_args(kind)[0], data, key=key, problems=problems)
    if origin in (dict, Mapping):
        return _build_mapping(typing.get_args(kind)[1], data, key=key, problems=problems)
    if dataclasses.is_dataclass(kind):
        return _build_dataclass(typing.cast(type, kind), data, key=key, problems=problems)
    return _build_scalar(kind, data, key=key, problems=problems)


def _build_tuple(inner: Any, data: object, *, key: str, problems: list[Problem]) -> Any:
    if not isinstance(data, (list, tuple)):
        problems.append((key, "give a list."))
        return BROKEN
    built = tuple(
        _build(inner, item, key=f"{key}[{at}]", problems=problems) for at, item in enumerate(data, 1)
    )
    return BROKEN if any(item is BROKEN for item in built) else built


def _build_mapping(inner: Any, data: object, *, key: str, problems: list[Problem]) -> Any:
    if not isinstance(data, Mapping):
        problems.append((key, "give a table of names and values."))
        return BROKEN
    built = {
        str(name): _build(inner, item, key=_join(key, str(name)), problems=problems)
        for name, item in data.items()
    }
    return BROKEN if any(item is BROKEN for item in built.values()) else built


def _build_dataclass(cls: type, data: object, *, key: str, problems: list[Problem]) -> Any:
    if not isinstance(data, Mapping):
        problems.append((key or "document", "give a table of names and values."))
        return BROKEN
    values = _build_fields(cls, data, key=key, problems=problems)
    if values is None:
        return BROKEN
    try:
        return cls(**values)
    except FieldsRefused as refusal:
        problems += ((_join(key, name), sentence) for name, sentence in refusal.problems)
    except ValueError as refusal:
        problems.append((key or "document", str(refusal)))
    return _unchecked(cls, values)


def _build_fields(
    cls: type, data: Mapping[Any, Any], *, key: str, problems: list[Problem]
) -> dict[str, Any] | None:
    """Return the values given for the fields of `cls`, or None when one is missing, unknown or not built."""
    fields = {field.name: field for field in dataclasses.fields(cls)}
    unknown = [str(name) for name in data if name not in fields]
    known = ", ".join(fields)
    problems += ((_join(key, name), f"this name is not known here; known are {known}.") for name in unknown)
    is_whole = not unknown
    values: dict[str, Any] = {}
    for name, field in fields.items():
        if name in data:
            values[name] = _build(_hints(cls)[name], data[name], key=_join(key, name), problems=problems)
        elif field.default is not dataclasses.MISSING or field.default_factory is not dataclasses.MISSING:
            continue
        elif type(None) in typing.get_args(_hints(cls)[name]):
            values[name] = None
        else:
            problems.append((_join(key, name), "this is missing; add it."))
            is_whole = False
    return values if is_whole and not any(value is BROKEN for value in values.values()) else None


def _unchecked(cls: type, values: Mapping[str, Any]) -> Any:
    """Return an instance with these values that its class was not asked about."""
    built: Any = object.__new__(cls)
    for field in dataclasses.fields(cls):
        value: Any = values.get(field.name, field.default)
        if value is dataclasses.MISSING:
            value = field.default_factory() if callable(field.default_factory) else None
        object.__setattr__(built, field.name, value)
    return built


def _build_scalar(kind: Any, data: object, *, key: str, problems: list[Problem]) -> Any:
    if isinstance(kind, type) and issubclass(kind, Enum):
        try:
            return kind(data)
        except ValueError:
            known = ", ".join(str(member.value) for member in kind)
            problems.append((key, f"“{data}” is not one of {known}."))
            return BROKEN
    if kind in (date, datetime, time):
        return _build_moment(kind, data, key=key, problems=problems)
    if kind is float and isinstance(data, (int, float)) and not isinstance(data, bool):
        if math.isfinite(data):
            return float(data)
        problems.append((key, "give a finite number."))
        return BROKEN
    if isinstance(data, str) and "\0" in data:
        # PostgreSQL keeps it in no text; a file can write it as an escape.
        problems.append((key, "this holds the sign of number 0, which no text has; take it out."))
        return BROKEN
    if kind is Any or (isinstance(data, kind) and not (kind is int and isinstance(data, bool))):
        return data
    wanted = {float: "a number", int: "a whole number", str: "text", bool: "true or false"}.get(
        kind, str(kind)
    )
    problems.append((key, f"“{data}” is not {wanted}."))
    return BROKEN


def _build_moment(kind: Any, data: object, *, key: str, problems: list[Problem]) -> Any:
    if isinstance(data, kind) and not (kind is date and isinstance(data, datetime)):
        return data
    try:
        return kind.fromisoformat(str(data))
    except ValueError:
        wanted = {date: "a date such as 2026-03-31", time: "a time such as 08:30"}.get(
            kind, "a date and time"
        )
        problems.append((key, f"“{data}” is not {wanted}."))
        return BROKEN
