"""How is a document read on a page: which facts, which tables, in which words?"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from packing.catalogue.fields import FieldShape, Shape
from portal.owner.labels import choice_words, hint_of, label_of
from portal.owner.measures import show
from portal.owner.references import References

LONG_CELL = 60
ENDS = {"first": "last", "opens": "closes"}
"""Fields that begin something, each with the one right behind it that ends it."""
LABELLED_DAYS = frozenset({"read_on", "in_force_from"})


@dataclass(frozen=True, slots=True)
class Fact:
    """One field in words; `value` is empty when the document says nothing there."""

    label: str
    value: str


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a table of rows."""

    words: str
    number: bool


@dataclass(frozen=True, slots=True)
class Reading:
    """One part of a document: facts under a legend, or a table with one line for each row."""

    legend: str
    hint: str = ""
    facts: tuple[Fact, ...] = ()
    columns: tuple[Column, ...] = ()
    rows: tuple[tuple[str, ...], ...] = ()


def read_document(
    document: Mapping[str, Any], *, shapes: Sequence[FieldShape], owner: type, known: References
) -> tuple[Reading, ...]:
    """Return the parts of a plain document as they are read; parts without content are left out."""
    nested = {Shape.GROUP, Shape.ROWS}
    single = [shape for shape in shapes if shape.shape not in nested and shape.name != "slug"]
    parts = [Reading("", facts=_facts(document, shapes=single, owner=owner, known=known))]
    for shape in sorted(shapes, key=lambda shape: shape.shape is Shape.ROWS):
        value = document.get(shape.name)
        legend, hint = label_of(shape, owner=owner), hint_of(shape, owner=owner)
        if shape.shape is Shape.GROUP and value:
            facts = _facts(value, shapes=shape.inner, owner=shape.kind, known=known)
            parts.append(Reading(legend, hint, facts=facts))
        if shape.shape is Shape.ROWS and value:
            parts.append(_table(value, shape=shape, legend=legend, hint=hint, known=known))
    return tuple(part for part in parts if part.facts or part.rows)


def _facts(
    document: Mapping[str, Any], *, shapes: Sequence[FieldShape], owner: type, known: References
) -> tuple[Fact, ...]:
    said = (
        Fact(
            label_of(shape, owner=owner),
            in_words(document.get(shape.name, shape.default), shape=shape, owner=owner, known=known),
        )
        for shape in shapes
    )
    return tuple(fact for fact in said if fact.value)


def _table(
    rows: Sequence[Mapping[str, Any]], *, shape: FieldShape, legend: str, hint: str, known: References
) -> Reading:
    """Return rows as a table without the columns in which no row says anything."""
    cells = [
        [
            in_words(row.get(inner.name, inner.default), shape=inner, owner=shape.kind, known=known)
            for inner in shape.inner
        ]
        for row in rows
    ]
    kept = [at for at, inner in enumerate(shape.inner) if _says(cells, at=at, shape=inner, rows=shape.inner)]
    columns = tuple(
        Column(
            label_of(shape.inner[at], owner=shape.kind), shape.inner[at].shape in {Shape.NUMBER, Shape.WHOLE}
        )
        for at in kept
    )
    return Reading(
        legend, hint, columns=columns, rows=tuple(tuple(line[at] for at in kept) for line in cells)
    )


def _says(cells: list[list[str]], *, at: int, shape: FieldShape, rows: Sequence[FieldShape]) -> bool:
    """Say whether a column tells something: short names do not where the row has a name of its own."""
    if shape.name == "slug" and len(rows) > 1:
        return False
    silent = {"", _("no")} if shape.shape is Shape.TICK else {""}
    return any(line[at] not in silent for line in cells)


def in_words(value: Any, *, shape: FieldShape, owner: type, known: References) -> str:
    """Return any value of a document in words: a scalar, a list, a group or rows."""
    if value is None or (isinstance(value, str | list | tuple) and not value):
        return ""
    match shape.shape:
        case Shape.GROUP:
            return summary(value, shapes=shape.inner, owner=shape.kind, known=known)
        case Shape.ROWS:
            return "\n".join(summary(row, shapes=shape.inner, owner=shape.kind, known=known) for row in value)
        case Shape.LIST:
            return _list_words(value, shape=shape, owner=owner, known=known)
        case Shape.CHOICE:
            words = choice_words(shape.kind(value))
            return words[:1].upper() + words[1:]
    if known.of(owner, shape.name) is not None:
        return known.words(owner, shape.name, value)
    return show(value, shape=shape)


def _list_words(value: Sequence[Any], *, shape: FieldShape, owner: type, known: References) -> str:
    if known.of(owner, shape.name) is not None:
        said = [known.words(owner, shape.name, item) for item in value]
    elif shape.item is Shape.CHOICE:
        said = [choice_words(shape.kind(item)) for item in value]
    else:
        said = [show(item, shape=shape) for item in value]
    is_long = any(len(item) > LONG_CELL or "," in item for item in said)
    return ("\n" if is_long else ", ").join(said)


def summary(row: Mapping[str, Any], *, shapes: Sequence[FieldShape], owner: type, known: References) -> str:
    """Return one row in a line: what names it first, then its other fields with their labels."""
    said: list[str] = []
    ended = {last for first, last in ENDS.items() if row.get(first) and row.get(last)}
    for shape in shapes:
        words = in_words(row.get(shape.name, shape.default), shape=shape, owner=owner, known=known)
        if shape.name in ended:
            if said[-1] != words:
                said[-1] = _("%(first)s to %(last)s") % {"first": said[-1], "last": words}
            continue
        if not words or shape.name == "slug" or (shape.shape is Shape.TICK and not row.get(shape.name)):
            continue
        if shape.shape is Shape.TICK:
            said.append(label_of(shape, owner=owner).lower())
        elif shape.shape in {Shape.NUMBER, Shape.WHOLE} or shape.name in LABELLED_DAYS:
            said.append(f"{label_of(shape, owner=owner).lower()} {words}")
        else:
            said.append(words)
    return ", ".join(said)
