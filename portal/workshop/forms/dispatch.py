"""The forms of the way back: the smell of bench fluid, packing, handing over."""

from datetime import date
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from packing.parcel.outcome import ParcelPlan
from portal.shared.carrier_name import refuse_number
from portal.shared.days import DayField
from portal.workshop.forms.counter import CODE
from portal.workshop.forms.staff import JobForm, offer_choices


class BenchFluidForm(JobForm):
    """Drained, aired, smelled: the answer of the nose."""

    drained = forms.BooleanField(
        label=_("I drained it, turned it in every direction, and nothing runs out any more")
    )
    smells = forms.ChoiceField(
        label=_("Hold it to your nose at the open ports. Does it smell?"),
        choices=[("no", _("No smell")), ("yes", _("It smells"))],
        widget=forms.RadioSelect(attrs={"class": "across"}),
    )


class PackForm(JobForm):
    """Packed by the plan, step by step."""

    named = {"steps": _("the steps")}

    steps = forms.MultipleChoiceField(
        label=_("Packed by the plan"),
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    note = forms.CharField(label=_("Note"), required=False, max_length=300)

    def __init__(self, *args: Any, plan: ParcelPlan | None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.plan = plan
        if plan is None:
            del self.fields["steps"]
            return
        offer_choices(self, name="steps", choices=[(step.slug, step.instruction) for step in plan.steps])
        self.helper.one_of_these = ("steps",)
        self.option_hints = {"steps": {step.slug: step.why for step in plan.steps}}

    def clean(self) -> dict[str, Any]:
        """Ask for every step of the plan, or for the reason why one was done otherwise."""
        given: dict[str, Any] = super().clean() or {}
        if self.plan is not None and not given.get("note"):
            left = [step for step in self.plan.steps if step.slug not in given.get("steps", [])]
            if left:
                self.add_error(
                    "steps", _("Tick every step once it is done, or write in the note what you did instead")
                )
        return given


class SentForm(JobForm):
    """A parcel handed to a carrier."""

    named = {"on": _("the day on which it was handed over")}

    on = DayField(
        label=_("Handed over on"),
    )
    carrier = forms.CharField(label=_("Carrier"), required=False, max_length=60, validators=[refuse_number])
    tracking_number = forms.CharField(
        label=_("Parcel number"),
        required=False,
        max_length=60,
        help_text=_("Scan or type it. A number that looks wrong is kept, with a note."),
        widget=forms.TextInput(attrs={"class": "code w-24", **CODE}),
    )

    def __init__(self, *args: Any, arrived_on: date, today: date, **kwargs: Any) -> None:
        self.arrived_on, self.today = arrived_on, today
        super().__init__(*args, **kwargs)

    def clean_on(self) -> date:
        """Return the day, which lies between the unit's arrival and today: the customer is told it."""
        handed_over: date = self.cleaned_data["on"]
        if not self.arrived_on <= handed_over <= self.today:
            raise forms.ValidationError(
                _("Enter the day on which the carrier took it: not before it came here, and not ahead")
            )
        return handed_over


class UnrepairedForm(SentForm):
    """The unit goes back without the repair, with the reason."""

    named = {**SentForm.named, "reason": _("the reason")}
    field_order = ("seen", "reason", "on", "carrier", "tracking_number", "sure")

    reason = forms.CharField(
        label=_("The reason, as the customer will read it"),
        help_text=_("It stands on their page and in their mail."),
        max_length=600,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    sure = forms.BooleanField(label=_("The customer knows that it comes back unrepaired"))
