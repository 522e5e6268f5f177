"""Which input does one field of a document get, and what does it give back?"""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from packing.catalogue.fields import FieldShape, Measure, Shape
from portal.owner.labels import choice_words, hint_of, label_of
from portal.owner.measures import NotReadable, currency, other_unit, read, show
from portal.owner.references import Choice
from portal.owner.typed import is_measured
from portal.shared.days import DayInput

RADIOS_AT_MOST = 3
# Texts that a document has to have, but that may say nothing.
MAY_BE_EMPTY = frozenset(
    {
        "slug", "note", "hint", "strapline", "phone", "hours_sentence", "fitted_to", "where", "unit",
        "intake_note", "prices_include", "curve_source",
    }
)  # fmt: skip
MAY_FOLLOW = frozenset({"curve_a_kpa", "curve_b_m3_kj"})
"""Figures that may be left empty because others in the document give them."""
LONG_TEXTS = frozenset(
    {
        "description", "instruction", "why", "caution", "note", "number_help", "opening", "closing",
        "intake_note",
    }
)  # fmt: skip
WIDE_TEXTS = frozenset(
    {
        "fitted_to", "strapline", "hours_sentence", "subject", "tracking_url", "hint", "where",
        "prices_include", "curve_source", "Source.text", "TraitQuestion.text", "Surcharge.source",
    }
)  # fmt: skip
WIDTHS: dict[Shape, str] = {Shape.DATE: "w-16", Shape.TIME: "w-8", Shape.WHOLE: "w-8", Shape.NUMBER: "w-16"}


class ValueField(forms.CharField):
    """One text that is read as a number, a quantity, a date, a time or words; empty is None, of words ""."""

    def __init__(self, *, shape: FieldShape, **options: Any) -> None:
        super().__init__(**options)
        self.shape = shape
        self.is_one_line = shape.shape is Shape.TEXT and shape.name not in LONG_TEXTS
        self.scalar = shape.item if shape.shape is Shape.LIST and shape.item else shape.shape

    def validate(self, value: Any) -> None:
        """Refuse an empty value where one is needed; whether a list may be empty is for the rules to say."""
        if self.shape.shape is not Shape.LIST:
            super().validate(value)

    def clean(self, value: Any) -> Any:
        """Return the value, refused with a sentence that names the field when it cannot be read."""
        text = super().clean(value)
        if self.shape.shape is Shape.LIST:
            return tuple(self._read(line) for line in str(text).splitlines() if line.strip())
        if self.is_one_line:
            text = " ".join(str(text).split())
        if not text and self.scalar is not Shape.TEXT:
            return None
        return self._read(text)

    def _read(self, text: str) -> Any:
        try:
            return read(text, shape=self.scalar, measure=self.shape.measure)
        except NotReadable as refusal:
            raise ValidationError(
                _("%(label)s: %(sentence)s") % {"label": title_of(self), "sentence": refusal}
            ) from None


class NamesField(forms.MultipleChoiceField):
    """Boxes to tick, each naming another document; whether none may be ticked is for the rules to say."""

    def validate(self, value: Any) -> None:
        """Refuse only what is not among the choices."""
        if value:
            super().validate(value)


def make_field(
    shape: FieldShape, *, owner: type, typed: Any, choices: tuple[Choice, ...] | None, place: str
) -> forms.Field:
    """Return the Django field for one field of the dataclass `owner`.

    `typed` is what stands in it now; `place` says in which row it stands, "" for none. Values that are not
    among the choices any more stay choosable, so that looking at a document never changes it.
    """
    words: dict[str, Any] = {
        "label": _label(shape, owner=owner),
        "help_text": _hint(shape, owner=owner, typed=typed),
        "required": shape.required and shape.name not in MAY_BE_EMPTY | MAY_FOLLOW,
    }
    if shape.shape is Shape.TICK:
        return forms.BooleanField(**{**words, "required": False})
    if shape.shape is Shape.CHOICE:
        options = tuple((str(member.value), choice_words(member)) for member in shape.kind)  # type: ignore[attr-defined]
        return _choice(options, typed=typed, in_row=bool(place), words=words, default=shape.default)
    if shape.shape is Shape.LIST and shape.item is Shape.CHOICE:
        choices = tuple((str(member.value), choice_words(member)) for member in shape.kind)  # type: ignore[attr-defined]
    if choices is not None and shape.shape is Shape.LIST:
        return NamesField(
            **words,
            choices=_with_typed(choices, typed=typed or ()),
            widget=forms.CheckboxSelectMultiple(attrs={"class": "across"}),
        )
    if choices is not None:
        return _choice(choices, typed=typed, in_row=True, words=words, default=None)
    if shape.shape is Shape.LIST:
        rows = min(max(len(typed or ()) + 1, 3), 12)
        return ValueField(shape=shape, **words, widget=forms.Textarea(attrs={"rows": rows}))
    return ValueField(shape=shape, **words, widget=_widget(shape, owner=owner))


def title_of(field: forms.Field) -> str:
    """Return a field's label, with the row it stands in: what a sentence about it begins with."""
    return with_place(str(field.label), place=getattr(field, "place", ""))


def with_place(words: str, *, place: str) -> str:
    """Return words for a field with the row it stands in.

    >>> with_place("Length", place="support face 1"), with_place("Length", place="")
    ('Length (support face 1)', 'Length')
    """
    return _("%(field)s (%(place)s)") % {"field": words, "place": place} if place else words


def _label(shape: FieldShape, *, owner: type) -> str:
    words = label_of(shape, owner=owner)
    return f"{words} ({currency()})" if shape.measure is Measure.MONEY else words


def _widget(shape: FieldShape, *, owner: type) -> forms.Widget:
    if shape.name in LONG_TEXTS:
        return forms.Textarea(attrs={"rows": 2})
    if not WIDE_TEXTS.isdisjoint({shape.name, f"{owner.__name__}.{shape.name}"}):
        return forms.Textarea(attrs={"rows": 1, "class": "wide"})
    attrs: dict[str, str] = {}
    if shape.shape in WIDTHS:
        attrs["class"] = WIDTHS[shape.shape]
    if shape.name == "slug":
        attrs |= {"class": "code w-24", "spellcheck": "false", "autocapitalize": "none"}
    if shape.shape in {Shape.NUMBER, Shape.WHOLE} and not is_measured(shape):
        attrs["inputmode"] = "decimal"
    if shape.shape is Shape.DATE:
        return DayInput(attrs=attrs)
    if shape.name == "email":
        return forms.EmailInput(attrs=attrs | {"class": "wide", "autocomplete": "off"})
    return forms.TextInput(attrs=attrs | {"autocomplete": "off"})


def _choice(
    options: tuple[Choice, ...], *, typed: Any, in_row: bool, words: dict[str, Any], default: Any
) -> forms.Field:
    options = _with_typed(options, typed=(typed,) if typed else ())
    if not in_row and len(options) <= RADIOS_AT_MOST and words["required"]:
        return forms.ChoiceField(
            **words, choices=options, widget=forms.RadioSelect(attrs={"class": "across"})
        )
    if default is None:
        options = (("", _("Choose") if words["required"] else _("none")), *options)
    return forms.ChoiceField(**words, choices=options)


def _with_typed(options: tuple[Choice, ...], *, typed: Sequence[str]) -> tuple[Choice, ...]:
    """Return what is chosen, in its order, then what else could be."""
    known = dict(options)
    chosen = tuple(
        (value, known.get(value, _("%(name)s (not published)") % {"name": value})) for value in typed
    )
    if all(value in known for value in typed) and len(typed) < 2:
        return options
    return (*chosen, *(option for option in options if option[0] not in typed))


def _hint(shape: FieldShape, *, owner: type, typed: Any) -> str:
    """Return the hint, and the value in the other units where it has any."""
    hint = hint_of(shape, owner=owner)
    if not isinstance(typed, str) or not typed or shape.shape is not Shape.NUMBER:
        return hint
    try:
        value = read(typed, shape=shape.shape, measure=shape.measure)
    except NotReadable:
        return hint
    if is_measured(shape) and value:
        return " ".join(part for part in (hint, show(value, shape=shape)) if part)
    return " ".join(part for part in (hint, other_unit(value, name=shape.name)) if part)
