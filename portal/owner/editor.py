"""How is a whole document edited in one form, with groups and repeatable rows, without any script?

`DocumentForm` has one Django field for every input of a typed tree. `parts` is the same tree for the page:
fields, groups and rows in the order in which they are drawn.
"""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.core.exceptions import NON_FIELD_ERRORS
from django.forms.boundfield import BoundField
from django.utils.translation import gettext as _

from jobs.leadtime.clock import Weekday
from packing.catalogue.fields import FieldShape, Shape
from packing.catalogue.schema import EntryKind
from packing.plain import Problem
from portal.owner import kinds, typed
from portal.owner.inputs import LONG_TEXTS, make_field, title_of, with_place
from portal.owner.kinds import DocumentKind
from portal.owner.labels import add_words, first_words, hint_of, label_of, one_of, words_in_sentence
from portal.owner.references import References, references
from portal.owner.standins import look_over
from portal.owner.typed import Typed, join
from portal.shared.days import day_words
from portal.shared.forms import SheetForm, words_for

SLUG = "slug"
WEEKDAYS = frozenset(day.value for day in Weekday)
OF_ANOTHER = re.compile(r"(?P<kind>unit_model) “(?P<slug>[^”]*)” ?(?P<rest>.*)")
# The input at which a document is told that it does not go together with the routes, benches and people.
TOGETHER_AT = {"person": "signs_off", "work_centre": "people", "route": "families"}
INLINE_AT_MOST = 3
INLINE_NUMBERS_AT_MOST = 4


@dataclass(frozen=True, slots=True)
class Row:
    """One row on the page: what it is called, whether it stands open, and its parts."""

    path: str
    words: str
    is_open: bool
    parts: tuple["Part", ...]


@dataclass(frozen=True, slots=True)
class Part:
    """One part of the page: fields side by side, a group under a legend, or rows that can be added to."""

    shape: str
    path: str
    legend: str = ""
    hint: str = ""
    fields: tuple[BoundField, ...] = ()
    parts: tuple["Part", ...] = ()
    rows: tuple[Row, ...] = ()
    add_words: str = ""
    first_words: str = ""
    place: str = ""
    is_inline: bool = False

    @property
    def rows_count(self) -> int:
        """How many rows there are."""
        return len(self.rows)


class DocumentForm(SheetForm):
    """Every input of one document; bound, it reads the document and asks the rules, unbound it only shows."""

    def __init__(
        self, kind: DocumentKind, *, tree: Typed, fixed_slug: str, is_sent: bool, open_row: str = ""
    ) -> None:
        self.kind, self.tree, self.fixed_slug, self.open_row = kind, tree, fixed_slug, open_row
        self.entry: Any = None
        fields = dict(_fields(kind.shapes, tree=tree, owner=kind.cls, known=references(), path="", place=""))
        if fixed_slug or kind.key == "closed_day":
            fields.pop(SLUG, None)  # a short name is a document's address and never changes
        # Django copies the fields of the class; here each form has its own.
        self.base_fields = fields  # type: ignore[misc]
        self.named = {name: _named(field) for name, field in fields.items()}
        texts = dict(_texts(tree, shapes=kind.shapes, fields=fields))
        super().__init__(data=texts if is_sent else None, initial=texts)

    def clean(self) -> dict[str, Any]:
        """Read the document and put every problem of its rules beside the field that it is about."""
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        unread = frozenset(self.errors)
        document = _document(self.kind.shapes, tree=self.tree, cleaned=cleaned, path="")
        self.entry, found = look_over(self.kind, document, unread=unread, slug=self.fixed_slug)
        for problem in found:
            self._place(problem, unread=unread)
        return cleaned

    def _place(self, problem: Problem, *, unread: frozenset[str]) -> None:
        """Put a problem beside its input, once; what speaks of a value that cannot be read waits for it."""
        slug = self.fixed_slug or str(self.tree.get(SLUG, ""))
        path = typed.place_problem(problem, typed=self.tree, shapes=self.kind.shapes, slug=slug)
        path = path or self._place_together(problem)
        inside = [name for name in self.fields if path and name.startswith(f"{path}{typed.JOIN}")]
        if path in unread or any(self._names(name) for name in unread.intersection(inside)):
            return
        # A row's short name stands behind its other fields, and is hardly ever what is wrong with the row.
        spoken = [name for name in inside if name.rpartition(typed.JOIN)[2] != SLUG]
        name = path if path in self.fields else next(iter(spoken or inside), None)
        sentence = self._sentence(problem, path=path)
        if sentence not in self.errors.get(name or NON_FIELD_ERRORS, ()):
            self.add_error(name, sentence)

    def _names(self, name: str) -> bool:
        """Say whether an input tells rows apart, by words or a choice; figures and dates do not."""
        return getattr(self.fields[name], "scalar", Shape.TEXT) is Shape.TEXT

    def _place_together(self, problem: Problem) -> str:
        """Return the input by which this document stands against others, "" for none."""
        is_catalogue = isinstance(self.kind.kind, EntryKind)
        return "" if is_catalogue or problem[0] == SLUG else TOGETHER_AT.get(self.kind.key, "")

    def _sentence(self, problem: Problem, *, path: str) -> str:
        """Return a problem with the words of what it is about: an input, a row, rows, or another document."""
        key, sentence = problem
        if path in self.fields:
            key = title_of(self.fields[path])
        elif path.rpartition(typed.JOIN)[2].isdecimal():
            key = self._row_title(path)
        elif path:
            key = label_of(typed.shape_at(self.kind.shapes, path=path), owner=self.kind.cls)
        elif other := OF_ANOTHER.match(key):
            key = _of_another(other["kind"], slug=other["slug"], rest=other["rest"])
        return f"{key}: {sentence}"

    def _row_title(self, path: str) -> str:
        fields = (field for name, field in self.fields.items() if name.startswith(f"{path}{typed.JOIN}"))
        place = str(getattr(next(fields, None), "place", ""))
        return place[:1].upper() + place[1:]

    def parts(self) -> tuple[Part, ...]:
        """Return the page's parts: what stands side by side first, then groups, then rows."""
        return tuple(self._parts(self.kind.shapes, owner=self.kind.cls, tree=self.tree, path=""))

    def _parts(self, shapes: Sequence[FieldShape], *, owner: type, tree: Typed, path: str) -> Iterable[Part]:
        single = [shape for shape in shapes if shape.shape not in {Shape.GROUP, Shape.ROWS}]
        if path:
            single.sort(key=lambda shape: shape.name == SLUG)
        names = [join(path, shape.name) for shape in single]
        yield Part("fields", path, fields=tuple(self[name] for name in names if name in self.fields))
        for shape in sorted(shapes, key=lambda shape: shape.shape is Shape.ROWS):
            name = join(path, shape.name)
            legend, hint = label_of(shape, owner=owner), hint_of(shape, owner=owner)
            if shape.shape is Shape.GROUP:
                inner = self._parts(shape.inner, owner=shape.kind, tree=tree.get(shape.name) or {}, path=name)
                yield Part("group", name, legend, hint, parts=tuple(inner))
            if shape.shape is Shape.ROWS:
                rows = tuple(
                    self._row(shape, tree=row, path=join(name, str(at)), number=at + 1)
                    for at, row in enumerate(tree.get(shape.name) or [])
                )
                yield Part(
                    "rows",
                    name,
                    legend,
                    hint,
                    rows=rows,
                    add_words=add_words(shape.name),
                    first_words=first_words(shape.name),
                    place=_place_words(name, legend=legend),
                    is_inline=_is_short(shape),
                )

    def _row(self, shape: FieldShape, *, tree: Typed, path: str, number: int) -> Row:
        parts = tuple(self._parts(shape.inner, owner=shape.kind, tree=tree, path=path))
        wrong = any(name == path or name.startswith(f"{path}{typed.JOIN}") for name in self.errors)
        blank = typed.is_blank(tree, shapes=shape.inner)
        opened = self.open_row == path or self.open_row.startswith(f"{path}{typed.JOIN}")
        return Row(path, row_words(shape, tree=tree, number=number), wrong or blank or opened, parts)


def _is_short(shape: FieldShape) -> bool:
    """Say whether a row is short enough to stand open in a line."""
    lines = {Shape.GROUP, Shape.ROWS, Shape.LIST}
    short = all(inner.shape not in lines and inner.name not in LONG_TEXTS for inner in shape.inner)
    numbers = all(inner.shape in {Shape.NUMBER, Shape.WHOLE} for inner in shape.inner)
    return short and len(shape.inner) <= (INLINE_NUMBERS_AT_MOST if numbers else INLINE_AT_MOST)


def _place_words(path: str, *, legend: str) -> str:
    """Return what sets a button apart from others with the same words, for those who hear the page."""
    rows = [str(int(part) + 1) for part in path.split(typed.JOIN) if part.isdecimal()]
    return ", ".join((legend, *rows))


def row_words(shape: FieldShape, *, tree: Typed, number: int) -> str:
    """Return what a row is called: what it says itself, else its number."""
    names = ("name", "label", "title", "part", "text", "question", "step", "kind", "face", "opens")
    said = [str(tree.get(name) or "").replace("_", " ") for name in names]
    said += [day_words(str(tree.get(name) or "")) for name in ("on", "first")]
    words = next((each for each in said if each), "")
    ends = day_words(str(tree.get("last") or "")) or tree.get("closes")
    if ends and ends != words:
        words = _("%(from)s to %(until)s") % {"from": words or "…", "until": ends}
    row = one_of(shape.name)
    named = f"{row[:1].upper()}{row[1:]} {number}"
    return f"{named}: {words}" if words else named


def _fields(
    shapes: Sequence[FieldShape], *, tree: Typed, owner: type, known: References, path: str, place: str
) -> Iterable[tuple[str, forms.Field]]:
    for shape in shapes:
        name, value = join(path, shape.name), tree.get(shape.name)
        if shape.shape is Shape.GROUP:
            yield from _group_fields(shape, tree=value or {}, known=known, name=name, place=place)
        elif shape.shape is Shape.ROWS:
            for at, row in enumerate(value or []):
                outer = label_of(shape, owner=owner) if shape.name in WEEKDAYS else place
                where = _("%(row)s %(number)d") % {"row": one_of(shape.name), "number": at + 1}
                yield from _fields(
                    shape.inner,
                    tree=row,
                    owner=shape.kind,
                    known=known,
                    path=join(name, str(at)),
                    place=", ".join(filter(None, (outer, where))),
                )
        else:
            choices = known.of(owner, shape.name)
            field = make_field(shape, owner=owner, typed=value, choices=choices, place=place)
            field.place = place  # type: ignore[attr-defined]
            field.in_sentence = words_in_sentence(shape)  # type: ignore[attr-defined]
            yield name, field


def _group_fields(
    shape: FieldShape, *, tree: Typed, known: References, name: str, place: str
) -> Iterable[tuple[str, forms.Field]]:
    """Yield the fields of a group; in one that may be left out nothing is needed until something is typed."""
    left_out = shape.may_be_none and typed.is_blank(tree, shapes=shape.inner)
    for path, field in _fields(shape.inner, tree=tree, owner=shape.kind, known=known, path=name, place=place):
        field.required = field.required and not left_out
        yield path, field


def _named(field: forms.Field) -> str:
    """Return the field's name inside a sentence, with its row."""
    words = getattr(field, "in_sentence", "") or words_for(field.label)
    return with_place(words, place=getattr(field, "place", ""))


def _of_another(kind: str, *, slug: str, rest: str) -> str:
    """Return the words of a field of another document, which the change of this one would put wrong."""
    other = kinds.BY_KEY[kind]
    entry = kinds.published(other).get(slug)
    one, name = str(other.one), kinds.name_of(other, entry) if entry is not None else slug
    shape = next((shape for shape in other.shapes if rest.startswith(shape.name)), None)
    part = f", {label_of(shape, owner=other.cls).lower()}" if shape else ""
    return f"{one[:1].upper()}{one[1:]} “{name}”{part}"


def _texts(tree: Typed, *, shapes: Sequence[FieldShape], fields: dict[str, forms.Field]) -> Iterable[Any]:
    """Yield what each input holds: a list for boxes to tick, one text with a line each for other lists."""
    for name, value in typed.flatten(tree, shapes=shapes):
        field = fields.get(name)
        is_lines = isinstance(value, list) and not isinstance(field, forms.MultipleChoiceField)
        yield name, "\n".join(value) if is_lines else value


def _document(
    shapes: Sequence[FieldShape], *, tree: Typed, cleaned: dict[str, Any], path: str
) -> dict[str, Any]:
    """Return the plain document that the inputs add up to; empty values are left to their defaults."""
    document: dict[str, Any] = {}
    for shape in shapes:
        name, value = join(path, shape.name), tree.get(shape.name)
        if shape.shape is Shape.GROUP:
            if not (shape.may_be_none and typed.is_blank(value or {}, shapes=shape.inner)):
                document[shape.name] = _document(shape.inner, tree=value or {}, cleaned=cleaned, path=name)
        elif shape.shape is Shape.ROWS:
            document[shape.name] = [
                _document(shape.inner, tree=row, cleaned=cleaned, path=join(name, str(at)))
                for at, row in enumerate(value or [])
            ]
        elif name in cleaned and cleaned[name] is not None:
            document[shape.name] = cleaned[name]
    return document


def without_blank_rows(tree: Typed, *, shapes: Sequence[FieldShape]) -> Typed:
    """Return the tree without rows into which nothing was typed."""
    kept: Typed = {}
    for shape in shapes:
        value = tree.get(shape.name)
        if shape.shape is Shape.GROUP:
            kept[shape.name] = without_blank_rows(value or {}, shapes=shape.inner)
        elif shape.shape is Shape.ROWS:
            kept[shape.name] = [
                without_blank_rows(row, shapes=shape.inner)
                for row in value or []
                if not typed.is_blank(row, shapes=shape.inner)
            ]
        else:
            kept[shape.name] = value
    return kept
