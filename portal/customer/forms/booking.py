"""The questions of a booking about the unit: family, number, model, use, symptoms."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from crispy_forms.layout import Fieldset, Layout
from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from jobs.domain.booking import FLAG_LABELS, BookingAnswers, UnitFlag
from packing.catalogue.schema import Family, NumberKind, TraitQuestion, UnitModel
from portal.shared.forms import SheetForm

NONE_OF_THESE = "none"
CANNOT_TELL = "unsure"

# What no shop of this kind may take, or what belongs elsewhere: each leads to a page with the way on.
UNSUITABLE = {
    "aircraft": gettext_lazy("Something from an aircraft"),
    "mercury": gettext_lazy("Something with mercury in it: a glass bulb or tube of silver liquid"),
    "other": gettext_lazy("Something else"),
}

NUMBER_KINDS = {
    NumberKind.LIST.value: gettext_lazy("Stamped by hand or punched: a list or model number"),
    NumberKind.TAG.value: gettext_lazy("On a small tag or plate"),
    NumberKind.CASTING.value: gettext_lazy("Raised figures of the metal itself: a casting number"),
    NumberKind.DATE.value: gettext_lazy("Very short: perhaps a date code"),
    "": gettext_lazy("I am not sure"),
}


class FamilyForm(SheetForm):
    """What kind of unit it is; the last choices are what the shop cannot take."""

    family = forms.ChoiceField(label=gettext_lazy("What do you want to send?"), widget=forms.RadioSelect)
    question_field = "family"
    named = {"family": gettext_lazy("what you want to send")}

    def __init__(self, *args: Any, families: Mapping[str, Family], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choices = [(slug, family.name) for slug, family in families.items()]
        field = self.fields["family"]
        field.choices = [*choices, *UNSUITABLE.items()]  # type: ignore[attr-defined]


class NumberForm(SheetForm):
    """The number as it was read, with where it stands; “I cannot read it” is an answer like any other."""

    named = {"number_as_read": gettext_lazy("the number as you read it")}

    number_as_read = forms.CharField(
        label=gettext_lazy("The number, exactly as you read it"),
        help_text=gettext_lazy(
            "Spaces, dashes and small letters do not matter. Type ? for a character you cannot read. "
            "We never correct it without showing you."
        ),
        max_length=80,
        error_messages={
            "required": gettext_lazy(
                "Enter the number as you read it, or tick “I cannot read it, or there is none”"
            )
        },
        widget=forms.TextInput(
            attrs={
                "class": "w-24 code",
                "autocapitalize": "characters",
                "spellcheck": "false",
                "autocomplete": "off",
            }
        ),
    )
    number_kind = forms.ChoiceField(
        label=gettext_lazy("How is it put on?"),
        choices=NUMBER_KINDS.items(),
        required=False,
        widget=forms.RadioSelect,
    )
    number_where = forms.CharField(
        label=gettext_lazy("Where on the unit does it stand?"),
        help_text=gettext_lazy("Such as: edge of the top cover, flange, tag under a screw."),
        max_length=120,
        required=False,
        widget=forms.TextInput(attrs={"class": "w-24", "autocomplete": "off"}),
    )
    cannot_read = forms.BooleanField(label=gettext_lazy("I cannot read it, or there is none"), required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        asks = Fieldset(
            _("What number is on it?"),
            "number_as_read",
            "cannot_read",
            "number_kind",
            "number_where",
            css_class="question",
        )
        self.helper.layout = Layout(asks)

    def clean(self) -> dict[str, Any]:
        """Take “I cannot read it” for an answer; a number that was typed counts even beside it."""
        given: dict[str, Any] = super().clean() or self.cleaned_data
        if given.get("number_as_read"):
            given["cannot_read"] = False
        elif given.get("cannot_read") and not self.data.get(self.add_prefix("number_as_read"), "").strip():
            self.errors.pop("number_as_read", None)
            given["number_as_read"] = ""
        return given

    @staticmethod
    def initial_from(answers: BookingAnswers) -> dict[str, Any]:
        """Return what was answered before."""
        return {
            "number_as_read": answers.number_as_read,
            "number_kind": answers.number_kind,
            "number_where": answers.number_where,
            "cannot_read": answers.cannot_read,
        }


def trait_form(data: Mapping[str, str] | None, *, question: TraitQuestion) -> SheetForm:
    """Return the form of one question that splits look-alike models, answered by counting or looking."""
    answers = [(answer, answer[:1].upper() + answer[1:]) for answer in question.answers]

    class TraitForm(SheetForm):
        """The question is the field's label, so each question is a form of its own."""

        answer = forms.ChoiceField(
            label=question.text,
            help_text=question.hint,
            choices=[*answers, (CANNOT_TELL, _("I cannot tell"))],
            widget=forms.RadioSelect,
            error_messages={"required": _("Choose an answer, or “I cannot tell”")},
        )
        question_field = "answer"

    return TraitForm(data)


class ModelForm(SheetForm):
    """Which of the candidates it is; none of them is an answer too."""

    unit_model = forms.ChoiceField(label=gettext_lazy("Your choice"), widget=forms.RadioSelect)
    named = {"unit_model": gettext_lazy("which one it is")}

    def __init__(
        self,
        *args: Any,
        candidates: Sequence[tuple[UnitModel, str]],
        others: Iterable[UnitModel],
        elsewhere: Mapping[str, str],
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        hints = {model.slug: f"{_numbers(model)}. {reason}" for model, reason in candidates}
        # A unit of another family than was said first must not be taken for one of that family.
        for slug, name in elsewhere.items():
            kind = _("%(name)s, not the kind you chose first.") % {"name": name}
            hints[slug] = f"{kind} {hints[slug]}"
        hints |= {model.slug: f"{_numbers(model)}. {model.fitted_to}" for model in others}
        hints[NONE_OF_THESE] = _("The shop works it out from your photos and asks you if it has to.")
        self.option_hints = {"unit_model": hints}
        models = (*(model for model, _reason in candidates), *others)
        self.fields["unit_model"].choices = [  # type: ignore[attr-defined]
            *((model.slug, model.name) for model in models),
            (NONE_OF_THESE, _("None of these, or I do not know")),
        ]


class FittedToForm(SheetForm):
    """What the unit sits on."""

    fitted_to = forms.CharField(
        label=gettext_lazy("What is it fitted to?"),
        help_text=gettext_lazy(
            "Boat, tractor, stationary engine or vehicle, with the engine and the year if you know them. "
            "“I am not sure” is an answer."
        ),
        max_length=200,
        required=False,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    question_field = "fitted_to"


class SymptomsForm(SheetForm):
    """What is wrong: the family's own list, the state of the unit, and the customer's own words."""

    named = {"own_words": gettext_lazy("what you say in your own words")}

    symptoms = forms.MultipleChoiceField(
        label=gettext_lazy("What does it do, or not do?"), required=False, widget=forms.CheckboxSelectMultiple
    )
    flags = forms.MultipleChoiceField(
        label=gettext_lazy("What state is it in?"),
        choices=[(flag.value, FLAG_LABELS[flag]) for flag in UnitFlag],
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    own_words = forms.CharField(
        label=gettext_lazy("In your own words"),
        help_text=gettext_lazy(
            "What happened, what was tried, since when, in up to 2,000 characters. Leave names and addresses "
            "out."
        ),
        max_length=2000,
        required=False,
        error_messages={
            "max_length": gettext_lazy(
                "Shorten what you say in your own words to %(limit_value)d characters; "
                "it has %(show_value)d now"
            )
        },
        widget=forms.Textarea(attrs={"rows": 4}),
    )

    def __init__(self, *args: Any, family: Family | None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        listed = family.symptoms if family else ()
        self.fields["symptoms"].choices = [(each.slug, each.label) for each in listed]  # type: ignore[attr-defined]
        asks = Fieldset(_("What is wrong with it?"), "symptoms", "flags", "own_words", css_class="question")
        self.helper.layout = Layout(asks)


def _numbers(model: UnitModel) -> str:
    return ", ".join(number.text for number in model.numbers if number.kind is not NumberKind.DATE)
