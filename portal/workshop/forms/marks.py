"""One piece of damage as it is entered, with the evidence that says where it was made."""

from collections.abc import Iterable
from typing import Any

from crispy_forms.layout import Layout, Row
from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.domain.attribution import Attribution, BreakFace, DamageEvidence, PhotoBefore, attribute
from jobs.domain.condition import CartonState, DamageKind, PackingFound, Severity
from jobs.services.arrivals import MarkEntry
from portal.shared.forms import SheetForm
from portal.workshop.forms.staff import offer_choices

SIGNS = (
    ("piece_or_dust_in_box", _("The piece, or fresh dust, lies in the box")),
    ("carton_mark_lines_up", _("A mark on the carton lines up with it")),
    ("declared_by_customer", _("The customer declared it")),
    ("sealant_over_it", _("Old sealant lies over it")),
    ("worn_with_age", _("It is wear that fits its age")),
    ("sound_in_arrival_photos", _("Our arrival photos show this place sound")),
    ("second_person", _("A second person looked at it")),
)
PHOTO_BEFORE = (
    (PhotoBefore.NONE.value, _("There is none of this place")),
    (PhotoBefore.UNCLEAR.value, _("It is not clear")),
    (PhotoBefore.SHOWS_DAMAGE.value, _("It shows the damage")),
    (PhotoBefore.SHOWS_SOUND.value, _("It shows this place sound")),
)
BREAK_FACE = (
    (BreakFace.NOT_SEEN.value, _("Cannot be seen")),
    (BreakFace.BRIGHT.value, _("Clean and bright")),
    (BreakFace.DULL.value, _("Dirty or oxidised")),
)
PERCENT = {"class": "w-4", "inputmode": "decimal"}


class MarkForm(SheetForm):
    """One piece of damage, or an untouched row; x and y are percent of the photo, from its left and top."""

    named = {
        "zone": _("where the damage is"),
        "damage_kind": _("what kind of damage it is"),
        "severity": _("how bad it is"),
        "note": _("the description of the damage"),
        "photo": _("the photo"),
        "x": _("the distance from the left"),
        "y": _("the distance from the top"),
        "signs": _("what else speaks about it"),
    }

    zone = forms.ChoiceField(label=_("Where"))
    damage_kind = forms.ChoiceField(
        label=_("What"),
        choices=[("", _("Choose one")), *((kind.value, kind.label) for kind in DamageKind)],
    )
    severity = forms.TypedChoiceField(
        label=_("How bad"),
        coerce=int,
        empty_value=None,
        choices=[("", _("Choose one")), *((level.value, level.label) for level in Severity if level.value)],
    )
    note = forms.CharField(
        label=_("What exactly, and how big"),
        required=False,
        max_length=300,
        help_text=_("The customer reads this."),
    )
    photo = forms.TypedChoiceField(label=_("On photo"), required=False, coerce=int, empty_value=None)
    x = forms.DecimalField(
        label=_("From the left, %"),
        required=False,
        min_value=0,
        max_value=100,
        widget=forms.TextInput(attrs=PERCENT),
    )
    y = forms.DecimalField(
        label=_("From the top, %"),
        required=False,
        min_value=0,
        max_value=100,
        widget=forms.TextInput(attrs=PERCENT),
    )
    photo_before = forms.ChoiceField(
        label=_("The customer's photo from before posting"),
        required=False,
        choices=PHOTO_BEFORE,
        initial=PhotoBefore.NONE.value,
    )
    break_face = forms.ChoiceField(
        label=_("The face of the break"), required=False, choices=BREAK_FACE, initial=BreakFace.NOT_SEEN.value
    )
    signs = forms.MultipleChoiceField(
        label=_("What else speaks about it"),
        required=False,
        choices=SIGNS,
        widget=forms.CheckboxSelectMultiple(attrs={"class": "across"}),
    )

    def __init__(
        self, *args: Any, zones: Iterable[str], photos: Iterable[tuple[int, str]], **kwargs: Any
    ) -> None:
        super().__init__(*args, empty_permitted=True, **kwargs)
        offer_choices(self, name="zone", choices=[("", _("Choose one")), *((zone, zone) for zone in zones)])
        offer_choices(self, name="photo", choices=[("", _("No photo")), *photos])
        self.helper.layout = Layout(
            Row("zone", "damage_kind", "severity"),
            "note",
            Row("photo", "x", "y"),
            Row("photo_before", "break_face"),
            "signs",
        )

    def clean(self) -> dict[str, Any]:
        """Ask for both distances or neither."""
        given: dict[str, Any] = super().clean() or {}
        if (given.get("x") is None) != (given.get("y") is None):
            self.add_error("x", _("Give both distances, from the left and from the top, or neither"))
        return given

    def is_blank(self) -> bool:
        """Return whether nothing was entered in this row, so that it is no mark."""
        return not self.has_changed()

    def judge(self, *, carton: str, packing: str) -> Attribution:
        """Return where the damage was made, as far as the evidence carries."""
        given = self.cleaned_data
        signs = set(given["signs"])
        flags = {name: name in signs for name, _words in SIGNS if name != "second_person"}
        return attribute(
            DamageEvidence(
                severity=Severity(given["severity"]),
                carton=CartonState(carton),
                packing=PackingFound(packing),
                photo_before=PhotoBefore(given["photo_before"] or PhotoBefore.NONE.value),
                break_face=BreakFace(given["break_face"] or BreakFace.NOT_SEEN.value),
                people=2 if "second_person" in signs else 1,
                **flags,
            )
        )

    def entry(self, *, carton: str, packing: str) -> MarkEntry:
        """Return the mark as the inspection records it."""
        given = self.cleaned_data
        return MarkEntry(
            zone=given["zone"],
            damage_kind=given["damage_kind"],
            severity=given["severity"],
            origin=self.judge(carton=carton, packing=packing).cause.value,
            note=given["note"],
            photo_id=given["photo"],
            x_share=float(given["x"]) / 100 if given["x"] is not None else None,
            y_share=float(given["y"]) / 100 if given["y"] is not None else None,
        )
