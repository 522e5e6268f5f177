"""The counter's fields: the scan, the filters of the list, a box nobody announced."""

from typing import Any
from uuid import UUID, uuid4

from crispy_forms.layout import Fieldset, Layout
from django import forms
from django.http import QueryDict
from django.utils.translation import gettext_lazy as _

from jobs.domain.condition import CartonState, PackingFound
from jobs.domain.facts import BoxRecorded
from jobs.domain.stages import HOLD_LABELS, STAGE_LABELS
from jobs.selectors.queue import JobFilter, family_choices
from portal.shared.forms import SheetForm
from portal.workshop.forms.staff import offer_choices

CODE = {"spellcheck": "false", "autocapitalize": "characters", "autocomplete": "off"}
SCAN_MOST = 300


class ScanForm(SheetForm):
    """One field for whatever is scanned or typed; a GET form, because a scan changes nothing."""

    named = {"q": _("what is on the box")}

    q = forms.CharField(
        label=_("Scan the slip, or type what is on the box"),
        help_text=_(
            "Job number, parcel number, name, mail address, end of a phone number, number on the unit."
        ),
        max_length=SCAN_MOST,
        widget=forms.TextInput(
            attrs={"autofocus": True, "data-scan": True, "enterkeyhint": "search", **CODE},
        ),
    )


class JobFilterForm(SheetForm):
    """What the list of all jobs is narrowed to; everything is optional and stands in the address."""

    named = {"text": _("what you look for")}

    text = forms.CharField(label=_("Words or number"), required=False, max_length=120)
    stage = forms.ChoiceField(label=_("Stage"), required=False)
    family = forms.ChoiceField(label=_("Family"), required=False)
    hold = forms.ChoiceField(label=_("Hold"), required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        every = ("", _("All"))
        stages = [(stage.value, words) for stage, words in STAGE_LABELS.items()]
        holds = [(hold.value, words) for hold, words in HOLD_LABELS.items()]
        offer_choices(self, name="stage", choices=[every, *stages])
        offer_choices(self, name="family", choices=[every, *family_choices()])
        offer_choices(self, name="hold", choices=[every, ("any", _("Any hold")), *holds])

    def narrowed(self) -> JobFilter:
        """Return the filter; a value that is not offered narrows nothing."""
        asked = {name: self.cleaned_data.get(name, "") for name in self.fields} if self.is_valid() else {}
        return JobFilter(**asked)


def label_choices(words: type[CartonState] | type[PackingFound]) -> list[tuple[str, str]]:
    """Return the values of an arrival state with their words; smell is a question of its own."""
    return [(each.value, each.label) for each in words if each is not CartonState.SMELLS_OF_FUEL]


def smell_question() -> forms.ChoiceField:
    """Return the question every box is asked: it has to be answered, for silence is no nose."""
    return forms.ChoiceField(
        label=_("Does it smell of fuel?"),
        choices=[("no", _("No smell")), ("yes", _("It smells: the box stands outdoors now"))],
        widget=forms.RadioSelect(attrs={"class": "across"}),
    )


class BoxForm(SheetForm):
    """A box that came without a booking."""

    key = forms.UUIDField(widget=forms.HiddenInput)
    sender_on_box = forms.CharField(label=_("Name or address on the box"), required=False, max_length=120)
    parcel_number = forms.CharField(
        label=_("Parcel number"),
        required=False,
        max_length=60,
        widget=forms.TextInput(attrs={"class": "code", **CODE}),
    )
    carton_state = forms.ChoiceField(
        label=_("The carton"),
        choices=label_choices(CartonState),
        widget=forms.RadioSelect(attrs={"class": "across"}),
    )
    packing_found = forms.ChoiceField(
        label=_("The packing"), choices=label_choices(PackingFound), widget=forms.RadioSelect
    )
    smells = smell_question()
    family = forms.ChoiceField(label=_("What kind of unit is it?"))
    number_found = forms.CharField(
        label=_("Number on the unit"),
        required=False,
        max_length=120,
        widget=forms.TextInput(attrs={"class": "code", **CODE}),
    )
    note = forms.CharField(
        label=_("Note"), required=False, max_length=300, widget=forms.Textarea(attrs={"rows": 2})
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs["initial"] = {"key": uuid4(), **(kwargs.get("initial") or {})}
        super().__init__(*args, **kwargs)
        offer_choices(self, name="family", choices=[("", _("Choose one")), *family_choices()])
        self.order_fields(["key", "smells"])
        self.helper.layout = Layout(
            "key",
            Fieldset(
                _("The box"), "smells", "sender_on_box", "parcel_number", "carton_state", "packing_found"
            ),
            Fieldset(_("The unit"), "family", "number_found", "note"),
        )

    def box(self) -> BoxRecorded:
        """Return the facts."""
        given = self.cleaned_data
        return BoxRecorded(
            sender_on_box=given["sender_on_box"],
            parcel_number=given["parcel_number"],
            carton_state=given["carton_state"],
            packing_found=given["packing_found"],
            smells_of_fuel=given["smells"] == "yes",
            note=given["note"],
        )

    def submission_key(self) -> UUID:
        """Return the key that makes the same form sent twice one job."""
        found: UUID = self.cleaned_data["key"]
        return found

    def take_new_key(self) -> None:
        """Keep everything typed for another record: what was refused under the old key would be so again."""
        if isinstance(self.data, QueryDict):
            data = self.data.copy()
            data["key"] = str(uuid4())
            self.data = data
