"""The questions about the person: where the unit goes back to, by when, and up to which sum unasked."""

from datetime import date
from typing import Any

from crispy_forms.layout import Fieldset, Layout, Row
from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from jobs.domain.booking import BookingAnswers
from packing.quantities import UnitChoice
from portal.shared.days import DayField
from portal.shared.forms import SheetForm
from portal.shared.mail_address import MailAddressField
from portal.shared.money import PoundsField
from portal.shared.phone_number import refuse_no_number

POUNDS_MOST = 20_000
MEASURE_WORDS = {
    UnitChoice.METRIC: gettext_lazy("Millimetres and kilograms"),
    UnitChoice.IMPERIAL: gettext_lazy("Inches and pounds"),
}


class AddressFields(SheetForm):
    """The fields a return address is made of, shared by the booking and by later changes."""

    name = forms.CharField(
        label=gettext_lazy("Your name"),
        max_length=120,
        widget=forms.TextInput(attrs={"autocomplete": "name"}),
    )
    phone = forms.CharField(
        label=gettext_lazy("Phone number"),
        help_text=gettext_lazy("The bench rings when a question cannot wait."),
        max_length=40,
        required=False,
        validators=[refuse_no_number],
        widget=forms.TextInput(attrs={"type": "tel", "autocomplete": "tel", "class": "w-24"}),
    )
    address_lines = forms.CharField(
        label=gettext_lazy("Return address"),
        help_text=gettext_lazy("House and street, town, county or state: one line each."),
        max_length=400,
        widget=forms.Textarea(attrs={"rows": 3, "autocomplete": "street-address"}),
    )
    postal_code = forms.CharField(
        label=gettext_lazy("Postal code"),
        max_length=16,
        required=False,
        widget=forms.TextInput(
            attrs={"autocomplete": "postal-code", "class": "w-16", "autocapitalize": "characters"}
        ),
    )
    country = forms.CharField(
        label=gettext_lazy("Country"),
        max_length=60,
        widget=forms.TextInput(attrs={"autocomplete": "country-name", "class": "w-24"}),
    )


class ContactForm(AddressFields):
    """Contact and return address, and the units the customer reads first."""

    field_order = ("name", "email", "phone", "address_lines", "postal_code", "country", "unit_choice")

    email = MailAddressField(
        label=gettext_lazy("Email address"),
        help_text=gettext_lazy("Your private link goes there, and every question from the bench."),
        widget=forms.EmailInput(attrs={"autocomplete": "email", "inputmode": "email", "spellcheck": "false"}),
    )
    unit_choice = forms.ChoiceField(
        label=gettext_lazy("Which measures should come first?"),
        help_text=gettext_lazy("You always see both."),
        choices=[(choice.value, words) for choice, words in MEASURE_WORDS.items()],
        widget=forms.RadioSelect(attrs={"class": "across"}),
    )

    def __init__(self, *args: Any, is_known: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if is_known:
            self.fields["email"].help_text = _(
                "Your private link goes there, and every question from the bench. With another address than "
                "before, this booking gets a page apart from your earlier jobs."
            )
        self.helper.layout = Layout(
            Fieldset(
                _("Where does it go back to?"),
                "name",
                "email",
                "phone",
                "address_lines",
                Row("postal_code", "country"),
                "unit_choice",
                css_class="question",
            )
        )

    def clean_unit_choice(self) -> UnitChoice:
        """Return the choice as the enum."""
        return UnitChoice(self.cleaned_data["unit_choice"])

    @staticmethod
    def initial_from(answers: BookingAnswers) -> dict[str, Any]:
        """Return what was answered before."""
        names = ("name", "email", "phone", "address_lines", "postal_code", "country")
        return {name: getattr(answers, name) for name in names} | {"unit_choice": answers.unit_choice.value}


class WishForm(SheetForm):
    """The day by which the customer would like to have the unit back."""

    wished_on = DayField(
        label=gettext_lazy("Do you need it back by a certain day?"),
        help_text=gettext_lazy(
            "Leave it empty if any day will do; otherwise give the day, like 12 May 2027."
        ),
        required=False,
        error_messages={"invalid": gettext_lazy("Enter the day like 12 May 2027 or 2027-05-12")},
    )
    question_field = "wished_on"

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today

    def clean_wished_on(self) -> date | None:
        """Return the day, which has to lie ahead."""
        wished: date | None = self.cleaned_data["wished_on"]
        if wished is not None and wished <= self.today:
            raise ValidationError(_("Enter a day that is still to come, or leave it empty"))
        return wished


class LimitForm(SheetForm):
    """The sum up to which the shop goes ahead without asking."""

    limit_pounds = PoundsField(
        label=gettext_lazy("Up to which sum may we go on with extra work without asking?"),
        help_text=gettext_lazy(
            "In pounds, on top of the standard price. Type 0 and we ask about every extra; the unit then "
            "waits for you."
        ),
        max_value=POUNDS_MOST,
    )
    question_field = "limit_pounds"
    leading_signs = {"limit_pounds": "£"}
    named = {"limit_pounds": gettext_lazy("the sum")}

    def clean(self) -> dict[str, Any]:
        """Add the sum in pence."""
        given: dict[str, Any] = super().clean() or self.cleaned_data
        if given.get("limit_pounds") is not None:
            given["spend_limit_pence"] = int(given["limit_pounds"] * 100)
        return given


class EmailForm(SheetForm):
    """One email address, for a link."""

    email = MailAddressField(
        label=gettext_lazy("Email address"),
        widget=forms.EmailInput(attrs={"autocomplete": "email", "inputmode": "email", "spellcheck": "false"}),
    )
