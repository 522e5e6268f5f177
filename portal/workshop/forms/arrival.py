"""The forms of the receiving table: the box as it came, and the unit that was in it."""

from collections.abc import Iterable
from typing import Any

from crispy_forms.layout import Fieldset, Layout
from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.domain.condition import ArrivalGrade, CartonState, PackingFound
from jobs.domain.facts import Arrived
from jobs.selectors.receiving import ExpectedPart
from packing.catalogue.schema import StripAction
from portal.workshop.forms.counter import CODE, label_choices, smell_question
from portal.workshop.forms.staff import JobForm, offer_choices


class ArrivalForm(JobForm):
    """The box as it was received."""

    carton_state = forms.ChoiceField(
        label=_("The carton"),
        help_text=_("The worst of what you see."),
        choices=label_choices(CartonState),
        widget=forms.RadioSelect(attrs={"class": "across"}),
    )
    packing_found = forms.ChoiceField(
        label=_("The packing"), choices=label_choices(PackingFound), widget=forms.RadioSelect
    )
    smells = smell_question()
    bagged = forms.BooleanField(label=_("The unit was in a bag"), required=False)
    nameless = forms.BooleanField(label=_("There was no name or slip inside"), required=False)
    parcel_number = forms.CharField(
        label=_("Parcel number"),
        required=False,
        max_length=60,
        widget=forms.TextInput(attrs={"class": "code", **CODE}),
    )
    note = forms.CharField(
        label=_("Note"), required=False, max_length=300, widget=forms.Textarea(attrs={"rows": 2})
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.order_fields(["seen", "smells"])
        self.helper.layout = Layout(
            "seen", "smells", "carton_state", "packing_found", "bagged", "nameless", "parcel_number", "note"
        )

    def arrived(self) -> Arrived:
        """Return the facts."""
        given = self.cleaned_data
        return Arrived(
            carton_state=given["carton_state"],
            packing_found=given["packing_found"],
            smells_of_fuel=given["smells"] == "yes",
            parcel_number=given["parcel_number"],
            bagged=given["bagged"],
            name_inside=not given["nameless"],
            note=given["note"],
        )


class InspectionForm(JobForm):
    """The unit as it was found: its number read again, what came along, the whole in one line."""

    named = {
        "number_read": _("the number as you read it"),
        "grade": _("the whole in one line"),
        "extra": _("what should have stayed at home"),
    }

    number_read = forms.CharField(
        label=_("The number, read again on the unit"),
        required=False,
        max_length=120,
        help_text=_("As struck. A question mark for a sign that cannot be read; empty if there is none."),
        widget=forms.TextInput(attrs={"class": "code w-24", **CODE}),
    )
    unit_model = forms.ChoiceField(label=_("Which unit is it?"), required=False)
    sure = forms.BooleanField(
        label=_("I looked twice: it is the model chosen here, whatever the number is nearest to"),
        required=False,
    )
    found = forms.MultipleChoiceField(
        label=_("What came along?"),
        help_text=_("Tick what is here. What stays without a tick is recorded as missing."),
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    extra = forms.MultipleChoiceField(
        label=_("Came along, though it should have stayed at home"),
        required=False,
        widget=forms.CheckboxSelectMultiple(attrs={"class": "across"}),
    )
    grade = forms.ChoiceField(
        label=_("The whole in one line"),
        choices=[(grade.value, grade.label) for grade in ArrivalGrade],
        widget=forms.RadioSelect,
    )
    note = forms.CharField(
        label=_("Note"),
        required=False,
        max_length=300,
        help_text=_("The customer reads this."),
        widget=forms.Textarea(attrs={"rows": 2}),
    )

    def __init__(
        self,
        *args: Any,
        parts: tuple[ExpectedPart, ...],
        at_home: tuple[ExpectedPart, ...],
        models: Iterable[tuple[str, str]],
        **kwargs: Any,
    ) -> None:
        self.parts, self.at_home = parts, at_home
        super().__init__(*args, **kwargs)
        left_on, sent = _("left on the unit"), _("sent along")
        offer_choices(
            self,
            name="found",
            choices=[
                (
                    part.slug,
                    _found_label(part, words=left_on if part.action is StripAction.LEAVE_ON else sent),
                )
                for part in parts
            ],
        )
        offer_choices(self, name="extra", choices=[(part.slug, part.words) for part in at_home])
        if not at_home:
            del self.fields["extra"]
        offer_choices(self, name="unit_model", choices=[("", _("Not in the catalogue")), *models])
        self.helper.one_of_these = ("unit_model", "found")
        self.helper.layout = Layout(
            "seen",
            Fieldset(_("What is it?"), "number_read", "unit_model", "sure"),
            Fieldset(_("What is here?"), "found", *(["extra"] if at_home else []), "grade", "note"),
        )

    def contents_found(self) -> tuple[str, ...]:
        """Return the parts that are here, those that should have stayed at home marked as such."""
        ticked, extra = self.cleaned_data["found"], self.cleaned_data.get("extra", [])
        here = [part.words for part in self.parts if part.slug in ticked]
        return (
            *here,
            *(
                _("%(part)s (should have stayed at home)") % {"part": part.words}
                for part in self.at_home
                if part.slug in extra
            ),
        )

    def contents_missing(self) -> tuple[str, ...]:
        """Return the parts that should be here and are not."""
        ticked = self.cleaned_data["found"]
        return tuple(part.words for part in self.parts if part.slug not in ticked)


def _found_label(part: ExpectedPart, *, words: object) -> str:
    return part.words[:1].upper() + part.words[1:] + ("" if part.slug == "unit" else f" ({words})")
