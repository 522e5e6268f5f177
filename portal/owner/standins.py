"""What is wrong with a document of which some values cannot be read yet?

Whoever types several wrong things is told all of them at once, so the rules are asked although a value is
missing. Two values far apart stand in for it in turn; what is refused with both is wrong whatever it will be.
"""

from collections.abc import Collection, Mapping, Sequence
from datetime import date, time
from enum import StrEnum
from typing import Any

from packing.catalogue.fields import FieldShape, Shape
from packing.plain import Problem
from portal.owner import kinds
from portal.owner.kinds import DocumentKind
from portal.owner.typed import join, name_slugs


class StandIn(StrEnum):
    """Which of the two values stands in."""

    LOW = "low"
    HIGH = "high"


VALUES: Mapping[StandIn, Mapping[Shape, Any]] = {
    StandIn.LOW: {
        Shape.TEXT: "a",
        Shape.WHOLE: 1,
        Shape.NUMBER: 0.001,
        Shape.DATE: date(1900, 1, 1),
        Shape.TIME: time(0, 1),
    },
    StandIn.HIGH: {
        Shape.TEXT: "z",
        Shape.WHOLE: 1_000_000,
        Shape.NUMBER: 1_000_000.0,
        Shape.DATE: date(2199, 12, 31),
        Shape.TIME: time(23, 59),
    },
}


def look_over(
    kind: DocumentKind, document: dict[str, Any], *, unread: Collection[str], slug: str
) -> tuple[Any, tuple[Problem, ...]]:
    """Return the entry a plain document describes, None while it has none, and what stands against it.

    `unread` are the paths of inputs whose value is missing from the document.
    """
    tried = []
    for by in StandIn:
        filled = _filled(document, shapes=kind.shapes, unread=unread, by=by, path="")
        tried.append(kinds.look_over(kind, _with_slug(kind, filled, slug=slug)))
        if not unread:
            break
    entry, found = tried[0]
    same = dict.fromkeys(problem for problem in found if all(problem in others for _entry, others in tried))
    return (None if unread or same else entry), tuple(same)


def _with_slug(kind: DocumentKind, document: dict[str, Any], *, slug: str) -> dict[str, Any]:
    """Return the document with its short name: the one it has already, its day, or one made from its name."""
    named = name_slugs(document)
    if not any(shape.name == "slug" for shape in kind.shapes):
        return named
    if kind.key == "closed_day" and not slug:
        return {**named, "slug": named["on"].isoformat() if named.get("on") else ""}
    return {**named, "slug": slug or named.get("slug", "")}


def _filled(
    document: Mapping[str, Any],
    *,
    shapes: Sequence[FieldShape],
    unread: Collection[str],
    by: StandIn,
    path: str,
) -> dict[str, Any]:
    """Return the document with a value in place of each that could not be read."""
    filled = dict(document)
    for shape in shapes:
        name, value = join(path, shape.name), document.get(shape.name)
        if shape.shape is Shape.GROUP and value is not None:
            filled[shape.name] = _filled(value, shapes=shape.inner, unread=unread, by=by, path=name)
        elif shape.shape is Shape.ROWS and value is not None:
            filled[shape.name] = [
                _filled(row, shapes=shape.inner, unread=unread, by=by, path=join(name, str(at)))
                for at, row in enumerate(value)
            ]
        elif name in unread and not (shape.may_be_none or shape.shape is Shape.TICK):
            filled[shape.name] = _value(shape, by=by)
    return filled


def _value(shape: FieldShape, *, by: StandIn) -> Any:
    if shape.shape is Shape.LIST:
        return ()
    if shape.shape is Shape.CHOICE:
        members = tuple(shape.kind)  # type: ignore[var-annotated, arg-type]
        return members[0 if by is StandIn.LOW else -1].value
    return VALUES[by][shape.shape]
