"""What a form says when an answer is missing or cannot be read, and how its errors are listed.

Django's own sentences ("This field is required.") name neither the field nor the remedy. `SheetForm`
replaces each of them by one built from the field's label; a sentence written on the field itself wins.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django import forms
from django.forms.boundfield import BoundField
from django.forms.utils import pretty_name
from django.utils.functional import Promise
from django.utils.translation import gettext as _

from portal.shared.crispy import SheetHelper
from portal.shared.money import POUND_SIGN, PoundsField

DETERMINERS = (
    "your ",
    "the ",
    "a ",
    "an ",
    "its ",
    "their ",
    "our ",
    "this ",
    "any ",
    "at least ",
    "how ",
    "where ",
    "when ",
    "who ",
)
QUESTION_WORDS = (
    "what", "which", "where", "when", "who", "how", "why", "is", "are", "do", "does", "did", "has", "have",
    "can", "will", "was", "were", "should", "may",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class SummaryError:
    """One line of the error summary: what to do, and the id of the control it is about ("" if none)."""

    target_id: str
    message: str


class SheetForm(forms.Form):
    """A form whose errors say what to do, drawn by the pack `sheet`, validated on the server only.

    `named` gives the words for a field inside a sentence when its label does not fit ("stamp": "the number on
    the stamp"). `question_field` names the field whose label is the page's heading. `option_hints` adds a
    line under single options: field name -> option value -> words. `leading_signs` draws one before a field,
    such as the currency of a sum; the label or the hint says it in words.
    """

    use_required_attribute = False
    named: Mapping[str, str | Promise] = {}
    question_field: str = ""
    option_hints: Mapping[str, Mapping[str, str | Promise]] = {}
    leading_signs: Mapping[str, str] = {}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("label_suffix", "")
        super().__init__(*args, **kwargs)
        for name, field in self.fields.items() if self.is_bound else ():  # an empty form has no errors to say
            # Not of the bound field, which keeps the hint of now and loses what a subclass sets later.
            label = str(pretty_name(name) if field.label is None else field.label)
            reword(field, named=str(self.named.get(name, "")) or words_for(label), label=label)
        for field in self.fields.values():
            if isinstance(field.widget, forms.Textarea):
                # A browser cuts what is pasted at this length without a word; the form says it in words.
                field.widget.attrs.pop("maxlength", None)
        self.helper = SheetHelper(question_field=self.question_field)

    def summary_errors(self) -> tuple[SummaryError, ...]:
        """Return every error once, form-wide ones first, each with the id of the control to go to."""
        first_id = next((first_control_id(bound) for bound in self.visible_fields()), "")
        listed = [SummaryError(first_id, str(message)) for message in self.non_field_errors()]
        for bound in self:
            target_id = "" if bound.is_hidden else first_control_id(bound)
            listed += [SummaryError(target_id, str(message)) for message in bound.errors]
        return tuple(listed)


def first_control_id(bound: BoundField) -> str:
    """Return the id of the first control of a field; of a group of options, the id of the first option.

    `BoundField.id_for_label` is empty for groups, which would make the summary's link lead nowhere.
    """
    if isinstance(bound.field.widget, forms.RadioSelect | forms.CheckboxSelectMultiple):
        return next((str(option.id_for_label) for option in bound.subwidgets), bound.auto_id)
    return bound.id_for_label or bound.auto_id


def words_for(label: object) -> str:
    """Return the label as words inside a sentence.

    >>> words_for("Email address"), words_for("Your phone number")
    ('the email address', 'your phone number')
    >>> words_for("VAT number"), words_for("What is broken?")
    ('the VAT number', '“What is broken?”')
    """
    text = str(label).strip()
    first, *rest = text.split(maxsplit=1) or [""]
    if text.endswith("?") or (first.lower() in QUESTION_WORDS and rest):
        return f"“{text}”"
    if len(first) == 1 or not first[1:].isupper():
        text = text[:1].lower() + text[1:]
    return text if text.startswith(DETERMINERS) else f"the {text}"


def reword(field: forms.Field, *, named: str, label: str) -> None:
    """Put our sentences in place of Django's on `field`; sentences set by the form's author stay."""
    defaults: dict[str, Any] = {}
    for base in reversed(type(field).__mro__):
        defaults.update(getattr(base, "default_error_messages", {}))
    for code, sentence in _sentences(field, named=named, label=label).items():
        written = field.error_messages.get(code)
        if written is None or written == defaults.get(code):
            field.error_messages[code] = sentence


def _sentences(field: forms.Field, *, named: str, label: str) -> dict[str, str]:
    words = {"named": named, "Named": named[:1].upper() + named[1:], "label": label}
    # Django puts figures into these sentences afterwards, so a percent sign of our own is doubled.
    counted = {name: text.replace("%", "%%") for name, text in words.items()}
    sentences = {
        "required": _required(field, words=words),
        "invalid": _unreadable(field, words=words),
        "max_length": _("%(Named)s has to be %%(limit_value)d characters or fewer") % counted,
        "min_length": _("%(Named)s has to be %%(limit_value)d characters or more") % counted,
        "max_value": _("%(Named)s has to be %%(limit_value)s or less") % counted,
        "min_value": _("%(Named)s has to be %%(limit_value)s or more") % counted,
        "step_size": _("%(Named)s has to be a multiple of %%(limit_value)s") % counted,
        "max_digits": _("%(Named)s has to have %%(max)s digits or fewer") % counted,
        "max_decimal_places": _("%(Named)s has to have %%(max)s decimal places or fewer") % counted,
        "max_whole_digits": _("%(Named)s has to have %%(max)s digits or fewer before the point") % counted,
        "invalid_choice": _listed(named) % counted,
        "invalid_list": _listed(named) % words,
        "incomplete": _("Fill in every part of %(named)s") % words,
        "null_characters_not_allowed": _("Type %(named)s again: it holds a character that cannot be stored")
        % counted,
    }
    if isinstance(field, PoundsField):
        sentences |= _of_money(field, words=words, counted=counted)
    if isinstance(field, forms.FileField):
        sentences |= {
            "missing": _("The file for %(named)s did not arrive: choose it again") % words,
            "empty": _("The chosen file is empty: choose another one"),
            "max_length": _("The file's name is too long: give it a name of %(max)d characters or fewer"),
            "invalid_image": _(
                "The chosen file is not a photo this site can read: choose a JPEG, PNG, WebP or HEIC photo"
            ),
            "contradiction": _("Either choose a file or tick the box to remove the old one, not both"),
        }
    return sentences


def _of_money(field: PoundsField, *, words: dict[str, str], counted: dict[str, str]) -> dict[str, str]:
    """Return the sentences of a sum, whose limits are sums too."""
    sentences = {
        "invalid": _("Enter %(named)s in pounds, like 25 or 1,250.50") % words,
        "max_decimal_places": _("Enter %(named)s in pounds and pence, like 25 or 1,250.50") % counted,
    }
    if field.max_value is not None:
        most = {"most": f"{POUND_SIGN}{field.max_value:,}"}
        sentences["max_value"] = _("%(Named)s has to be %(most)s or less") % (counted | most)
    if field.min_value is not None:
        least = {"least": f"{POUND_SIGN}{field.min_value:,}"}
        sentences["min_value"] = _("%(Named)s has to be %(least)s or more") % (counted | least)
    return sentences


def _listed(named: str) -> str:
    if named.startswith("“"):
        return _("Choose an answer to %(named)s from the list")
    return _("Choose %(named)s from the list")


def _required(field: forms.Field, *, words: Mapping[str, str]) -> str:
    if isinstance(field, forms.FileField):
        return _("Choose a file: %(named)s") % words
    if isinstance(field.widget, forms.CheckboxInput):
        return _("Tick the box “%(label)s” to go on") % words
    if isinstance(field, forms.MultipleChoiceField | forms.ModelMultipleChoiceField):
        return _("Choose at least one answer to %(named)s") % words
    if words["named"].startswith("“"):
        is_question = words["named"].endswith("?”")
        return (_("Answer the question %(named)s") if is_question else _("Fill in %(named)s")) % words
    if isinstance(field, forms.ChoiceField | forms.ModelChoiceField):
        return _("Choose %(named)s") % words
    return _("Enter %(named)s") % words


def _unreadable(field: forms.Field, *, words: Mapping[str, str]) -> str:
    examples: tuple[tuple[type[forms.Field], str], ...] = (
        (forms.EmailField, _("Enter %(named)s in full, like name@example.com")),
        (forms.URLField, _("Enter %(named)s in full, like https://example.com")),
        (forms.DateTimeField, _("Enter %(named)s as a date and a time, like 2026-05-12 14:30")),
        (forms.DateField, _("Enter %(named)s as a date, like 12 May 2027")),
        (forms.TimeField, _("Enter %(named)s as a time, like 14:30")),
        (forms.FileField, _("The file for %(named)s did not arrive: choose it again")),
        (forms.DecimalField, _("%(Named)s has to be a number, like 2.5")),
        (forms.FloatField, _("%(Named)s has to be a number, like 2.5")),
        (forms.IntegerField, _("%(Named)s has to be a whole number, like 12")),
    )
    # A float or decimal field is also an integer field to Django, so the order above decides.
    for kind, sentence in examples:
        if isinstance(field, kind):
            return sentence % words
    return _("Check %(named)s: it does not have the form that is asked for") % words
