"""The shop's yes to a booking: which unit it is, and a line to the customer."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.selectors.answering import BookingSeen
from portal.workshop.forms.staff import JobForm, offer_choices

OTHER = "other"
NOT_LISTED = "none"


class ClearForm(JobForm):
    """Which unit model it is: a candidate, another from the catalogue, or none."""

    named = {"other": _("the other model"), "note": _("the line to the customer")}

    choice = forms.ChoiceField(label=_("Which unit is it?"), widget=forms.RadioSelect)
    other = forms.ChoiceField(label=_("Another model from the catalogue"), required=False)
    note = forms.CharField(
        label=_("A line to the customer"),
        required=False,
        max_length=300,
        widget=forms.Textarea(attrs={"rows": 2}),
    )

    def __init__(
        self, *args: Any, seen_booking: BookingSeen, others: tuple[tuple[str, str], ...], **kwargs: Any
    ) -> None:
        first = seen_booking.first_choice or NOT_LISTED
        kwargs["initial"] = {"choice": first, **(kwargs.get("initial") or {})}
        super().__init__(*args, **kwargs)
        offered = [(choice.slug, choice.name) for choice in seen_booking.choices]
        offer_choices(
            self,
            name="choice",
            choices=[
                *offered,
                (OTHER, _("Another model, chosen below")),
                (NOT_LISTED, _("Not in the catalogue")),
            ],
        )
        offer_choices(self, name="other", choices=[("", _("Choose one")), *others])
        hints: dict[str, str] = {}
        for choice in seen_booking.choices:
            own = str(_("The customer chose it.")) if choice.chosen_by_customer else ""
            against = [f"{but[:1].upper()}{but[1:]}." for but in choice.against]
            hints[choice.slug] = " ".join(part for part in (own, choice.reason, *against) if part)
        hints[NOT_LISTED] = str(_("The customer gets the family's general list, and no drawn parcel."))
        self.option_hints = {"choice": hints}

    def clean(self) -> dict[str, Any]:
        """Ask for the other model where that is what was chosen."""
        given: dict[str, Any] = super().clean() or {}
        if given.get("choice") == OTHER and not given.get("other"):
            self.add_error("other", _("Choose the other model, or one of the answers above"))
        return given

    def unit_model(self) -> str:
        """Return the slug of the model, empty when it is not in the catalogue."""
        choice = self.cleaned_data["choice"]
        if choice == OTHER:
            return str(self.cleaned_data["other"])
        return "" if choice == NOT_LISTED else str(choice)
