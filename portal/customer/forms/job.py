"""What a customer sends to a job: an answer, a decision, a reason, the draining, the posting."""

from datetime import date, datetime, timedelta
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from packing.catalogue.schema import Carrier
from portal.customer.forms.contact import AddressFields
from portal.customer.wording import day_words
from portal.shared.carrier_name import refuse_number
from portal.shared.days import DayField
from portal.shared.forms import SheetForm

DRAINED_DAYS_USUAL = 60


def _carrier_field() -> forms.CharField:
    return forms.CharField(
        label=gettext_lazy("Which carrier?"),
        max_length=60,
        required=False,
        validators=[refuse_number],
        widget=forms.TextInput(attrs={"class": "w-24", "autocomplete": "off", "list": "carriers"}),
    )


class AnswerForm(SheetForm):
    """The answer to the shop's question."""

    text = forms.CharField(
        label=gettext_lazy("Your answer"), max_length=2000, widget=forms.Textarea(attrs={"rows": 4})
    )


class CancelForm(SheetForm):
    """Why a booking is cancelled."""

    reason = forms.CharField(
        label=gettext_lazy("Why do you cancel it?"),
        help_text=gettext_lazy("A word or two is enough; it helps us."),
        max_length=500,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    named = {"reason": gettext_lazy("your reason")}


class DecisionForm(SheetForm):
    """A note with the yes or no to extra work."""

    note = forms.CharField(
        label=gettext_lazy("Anything the bench should know?"),
        max_length=300,
        required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
    )


class DetailsForm(AddressFields):
    """Contact and return address of a job; the email address is the way in: only the shop changes it."""


class DrainedForm(SheetForm):
    """When the unit was drained and set out in the air."""

    drained_on = DayField(
        label=gettext_lazy("Day"),
        error_messages={"invalid": gettext_lazy("Enter the day like 12 May 2027 or 2027-05-12")},
    )
    drained_time = forms.TimeField(
        label=gettext_lazy("Time"),
        input_formats=["%H:%M", "%H:%M:%S", "%H.%M", "%I:%M %p", "%I %p"],
        widget=forms.TimeInput(format="%H:%M", attrs={"type": "time", "class": "w-8"}),
        error_messages={"invalid": gettext_lazy("Enter the time like 17:30")},
    )
    sure = forms.BooleanField(
        label=gettext_lazy("Yes, I drained it on that day, and it has stood open to the air since"),
        required=False,
    )
    named = {
        "drained_on": gettext_lazy("the day on which you drained it"),
        "drained_time": gettext_lazy("the time at which you drained it"),
    }

    def __init__(self, *args: Any, booked_on: date, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.booked_on, self.today = booked_on, today
        self.asks_sure = False

    def clean(self) -> dict[str, Any]:
        """Ask once more about a day that is unlikely: it is declared on the slip as it stands here."""
        given: dict[str, Any] = super().clean() or self.cleaned_data
        drained_on: date | None = given.get("drained_on")
        why = self._why_unlikely(drained_on) if drained_on else ""
        self.asks_sure = bool(why)
        if why and drained_on and not given.get("sure"):
            told = {"day": day_words(drained_on), "why": why}
            self.add_error(
                "drained_on",
                _("%(day)s %(why)s. Correct the day, or tick below that it is right") % told,
            )
        return given

    def _why_unlikely(self, drained_on: date) -> str:
        if drained_on < self.today - timedelta(days=DRAINED_DAYS_USUAL):
            return _("is more than %(days)d days ago") % {"days": DRAINED_DAYS_USUAL}
        if drained_on < self.booked_on:
            return _("is before the day you booked, %(booked)s") % {"booked": day_words(self.booked_on)}
        return ""

    def drained_at(self) -> datetime:
        """Return the moment in the site's zone, which the page names."""
        moment = datetime.combine(self.cleaned_data["drained_on"], self.cleaned_data["drained_time"])
        return timezone.make_aware(moment)


class SmellForm(SheetForm):
    """The nose's answer, on the day of posting."""

    smells = forms.ChoiceField(
        label=gettext_lazy("Does it smell of fuel at its ports?"),
        choices=[
            ("no", gettext_lazy("No smell at all")),
            ("yes", gettext_lazy("Yes, or I am not certain")),
        ],
        widget=forms.RadioSelect,
    )
    named = {"smells": gettext_lazy("whether it smells of fuel")}

    def it_smells(self) -> bool:
        """Return the answer."""
        return bool(self.cleaned_data["smells"] == "yes")


class PostedForm(SheetForm):
    """When and with whom the parcel was handed over."""

    posted_on = DayField(
        label=gettext_lazy("When did you hand it over?"),
        error_messages={"invalid": gettext_lazy("Enter the day like 12 May 2027 or 2027-05-12")},
    )
    carrier = _carrier_field()
    tracking_number = forms.CharField(
        label=gettext_lazy("Tracking number"),
        help_text=gettext_lazy("It is on the receipt. Spaces do not matter; you can add it later."),
        max_length=60,
        required=False,
        widget=forms.TextInput(
            attrs={
                "class": "w-24 code",
                "autocapitalize": "characters",
                "spellcheck": "false",
                "autocomplete": "off",
            }
        ),
    )

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today

    def clean_posted_on(self) -> date:
        """Return the day, which cannot lie ahead."""
        posted: date = self.cleaned_data["posted_on"]
        if posted > self.today:
            raise ValidationError(
                _("Enter today or an earlier day: the slip is signed for a parcel that is gone")
            )
        return posted


class TrackingForm(SheetForm):
    """The tracking number, when it comes later."""

    carrier = _carrier_field()
    tracking_number = forms.CharField(
        label=gettext_lazy("Tracking number"),
        help_text=gettext_lazy("It is on the receipt. Spaces do not matter."),
        max_length=60,
        widget=forms.TextInput(
            attrs={
                "class": "w-24 code",
                "autocapitalize": "characters",
                "spellcheck": "false",
                "autocomplete": "off",
            }
        ),
    )


def carrier_names(carriers: tuple[Carrier, ...]) -> tuple[str, ...]:
    """Return the carriers' names once each, to choose from; any other may be typed."""
    return tuple(dict.fromkeys(carrier.name for carrier in carriers))
