"""What would publishing change, field by field: before and after, in words?"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from packing.catalogue.fields import FieldShape, Shape
from portal.owner.labels import label_of
from portal.owner.measures import write
from portal.owner.reading import in_words, summary
from portal.owner.references import References
from portal.shared.days import day_words

NAMING = ("slug", "step", "question", "face", "on", "first", "text")


@dataclass(frozen=True, slots=True)
class Change:
    """One field that would change: where it stands, and what it says before and after, "" for nothing."""

    where: str
    before: str
    after: str


def find_changes(
    before: Mapping[str, Any],
    after: Mapping[str, Any],
    *,
    shapes: Sequence[FieldShape],
    owner: type,
    known: References,
) -> tuple[Change, ...]:
    """Return the differences between two plain documents, in the order of their fields.

    Rows are matched by what names them, so that a new row in the middle is one change and not many.
    """
    found: list[Change] = []
    for shape in shapes:
        old, new = before.get(shape.name, shape.default), after.get(shape.name, shape.default)
        label = label_of(shape, owner=owner)
        if shape.shape is Shape.GROUP:
            found += _group_changes(old, new, shape=shape, label=label, known=known)
        elif shape.shape is Shape.ROWS:
            found += _row_changes(old or [], new or [], shape=shape, label=label, known=known)
        elif _plain(old) != _plain(new):
            words = [in_words(value, shape=shape, owner=owner, known=known) for value in (old, new)]
            if words[0] == words[1] != "":  # finer than what is shown
                words = [write(value, shape=shape.shape, measure=shape.measure) for value in (old, new)]
            if words[0] != words[1]:
                found.append(Change(label, words[0], words[1]))
    return tuple(found)


def _plain(value: Any) -> Any:
    return list(value) if isinstance(value, tuple) else value


def _group_changes(old: Any, new: Any, *, shape: FieldShape, label: str, known: References) -> list[Change]:
    if not old or not new:
        words = [
            summary(value, shapes=shape.inner, owner=shape.kind, known=known) if value else ""
            for value in (old, new)
        ]
        return [Change(label, words[0], words[1])] if words[0] != words[1] else []
    inner = find_changes(old, new, shapes=shape.inner, owner=shape.kind, known=known)
    return [Change(f"{label}: {change.where}", change.before, change.after) for change in inner]


def _row_changes(
    old: Sequence[Any], new: Sequence[Any], *, shape: FieldShape, label: str, known: References
) -> list[Change]:
    olds, news = _by_name(old), _by_name(new)
    if olds is None or news is None:
        olds, news = _by_number(old), _by_number(new)
        if len(old) != len(new):
            news = _numbered_as(olds, rows=new)
    found: list[Change] = []
    for name in dict.fromkeys((*olds, *news)):
        before, after = olds.get(name), news.get(name)
        if before is not None and after is not None:
            where = f"{label}, {_row_name(after, name=name)}"
            inner = find_changes(before, after, shapes=shape.inner, owner=shape.kind, known=known)
            found += [Change(f"{where}: {change.where}", change.before, change.after) for change in inner]
            continue
        words = [
            summary(row, shapes=shape.inner, owner=shape.kind, known=known) if row is not None else ""
            for row in (before, after)
        ]
        where = f"{label}, {_row_name(after or before or {}, name=name)}"
        if after is None:
            where = _("Removed: %(what)s") % {"what": where}
        found.append(Change(where, words[0], words[1]))
    kept_before, kept_after = (
        [name for name in names if name in olds and name in news] for names in (olds, news)
    )
    if kept_before != kept_after:
        order = [
            ", ".join(_row_name(news[name], name=name) for name in names)
            for names in (kept_before, kept_after)
        ]
        found.append(Change(_("%(rows)s: order") % {"rows": label}, order[0], order[1]))
    return found


def _by_name(rows: Sequence[Mapping[str, Any]]) -> dict[str, Mapping[str, Any]] | None:
    """Return the rows by what names each, or None when they cannot be told apart by name."""
    named = {next((str(row[name]) for name in NAMING if row.get(name)), ""): row for row in rows}
    return named if len(named) == len(rows) and "" not in named else None


def _by_number(rows: Sequence[Mapping[str, Any]]) -> dict[str, Mapping[str, Any]]:
    return {str(number): row for number, row in enumerate(rows, 1)}


def _numbered_as(
    olds: Mapping[str, Mapping[str, Any]], *, rows: Sequence[Mapping[str, Any]]
) -> dict[str, Mapping[str, Any]]:
    """Return rows by the number each had among the old ones; new ones get the numbers behind those."""
    left = dict(olds)
    numbered: dict[str, Mapping[str, Any]] = {}
    for row in rows:
        number = next((number for number, old in left.items() if old == row), None)
        numbered[number or str(len(olds) + len(numbered) + 1)] = row
        left.pop(number or "", None)
    return numbered


def _row_name(row: Mapping[str, Any], *, name: str) -> str:
    said = next(
        (str(row[each]) for each in ("name", "label", "title", "part", "text") if row.get(each)), name
    )
    if said != name:
        return said
    return day_words(name) if name in {row.get("on"), row.get("first")} else name.replace("_", " ")
