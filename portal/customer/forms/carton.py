"""What a customer can tell of a carton they have: its inside, its board, and what they can pack with."""

from collections.abc import Callable, Sequence
from typing import Any

from crispy_forms.layout import HTML, Div, Fieldset, Layout
from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from jobs.domain.own_carton import SIDE_LEAST_MM, SIDE_MOST_MM, OwnCarton, flutes_of
from jobs.selectors.own_carton import ChosenCarton
from packing.catalogue.schema import Material, Wall
from packing.parcel.tables import flutes
from packing.quantities import (
    NotAQuantity,
    UnitChoice,
    parse_length_mm,
    parse_mass_kg,
    show_length,
    show_mass,
    show_thickness,
)
from portal.shared.forms import SheetForm

NEW, USED = "new", "used"
SIDES = ("length", "width", "height")


def _side(label: str | Any) -> forms.CharField:
    return forms.CharField(
        label=label,
        max_length=40,
        widget=forms.TextInput(attrs={"class": "code", "autocomplete": "off", "spellcheck": "false"}),
    )


class CartonForm(SheetForm):
    """A carton at home; whatever of its board is not known is taken as the commonest of its wall."""

    length = _side(gettext_lazy("Length"))
    width = _side(gettext_lazy("Width"))
    height = _side(gettext_lazy("Height"))
    wall = forms.ChoiceField(
        label=gettext_lazy("How many layers has its board?"),
        help_text=gettext_lazy("Look at a cut edge of a flap and count the rows of waves."),
        choices=[
            (Wall.SINGLE.value, gettext_lazy("One row: single-wall")),
            (Wall.DOUBLE.value, gettext_lazy("Two rows: double-wall")),
            (Wall.TRIPLE.value, gettext_lazy("Three rows: triple-wall")),
        ],
        widget=forms.RadioSelect,
    )
    state = forms.ChoiceField(
        label=gettext_lazy("Has it travelled before?"),
        choices=[(NEW, gettext_lazy("No, it is new")), (USED, gettext_lazy("Yes, it is used"))],
        widget=forms.RadioSelect(attrs={"class": "across"}),
    )
    flute = forms.ChoiceField(
        label=gettext_lazy("Which flute is the board?"),
        help_text=gettext_lazy("Box makers print the letter on a flap. Most people do not know it."),
        required=False,
        widget=forms.Select(attrs={"class": "w-24"}),
    )
    certificate = forms.CharField(
        label=gettext_lazy("Gross weight limit on the box maker's certificate"),
        help_text=gettext_lazy("The round stamp on a bottom flap, such as 65 lb or 29 kg."),
        max_length=40,
        required=False,
        widget=forms.TextInput(attrs={"class": "w-8 code", "autocomplete": "off", "spellcheck": "false"}),
    )
    materials = forms.MultipleChoiceField(
        label=gettext_lazy("What can you pack with?"), widget=forms.CheckboxSelectMultiple
    )
    named = {
        "length": gettext_lazy("the inside length"),
        "width": gettext_lazy("the inside width"),
        "height": gettext_lazy("the inside height"),
        "wall": gettext_lazy("how many layers its board has"),
        "state": gettext_lazy("whether it has travelled before"),
        "flute": gettext_lazy("the flute"),
        "certificate": gettext_lazy("the limit on the certificate"),
    }

    def __init__(self, *args: Any, materials: Sequence[Material], units: UnitChoice, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.units = units
        measures = _("Measure inside, and type it like 400 mm or 15 3/4 in. Without a unit it is %(unit)s.")
        hint = measures % {"unit": _("mm") if units is UnitChoice.METRIC else _("inches")}
        known = [("", _("I do not know"))]
        known += [
            (one.name, f"{one.name}: {show_thickness(one.caliper_mm, choice=units)}") for one in flutes()
        ]
        self.fields["flute"].choices = known  # type: ignore[attr-defined]
        self.fields["materials"].choices = [(one.slug, one.name) for one in materials]  # type: ignore[attr-defined]
        self.fields["materials"].error_messages["required"] = _("Tick at least one thing you can pack with")
        self.option_hints = {"materials": {one.slug: one.note for one in materials if one.note}}
        self.helper.layout = Layout(
            Fieldset(
                _("Inside measurements"), HTML(f'<p class="hint">{hint}</p>'), Div(*SIDES, css_class="sides")
            ),
            "wall",
            "state",
            "flute",
            "certificate",
            "materials",
        )

    def clean_length(self) -> float:
        """Return the inside length in mm."""
        return self._side_mm("length")

    def clean_width(self) -> float:
        """Return the inside width in mm."""
        return self._side_mm("width")

    def clean_height(self) -> float:
        """Return the inside height in mm."""
        return self._side_mm("height")

    def clean_certificate(self) -> float | None:
        """Return the limit in kg, None where there is no certificate."""
        typed: str = self.cleaned_data["certificate"]
        return self._read(typed, parse=parse_mass_kg) if typed.strip() else None

    def clean(self) -> dict[str, Any] | None:
        """Refuse a flute that board of this wall is not made with."""
        given = self.cleaned_data
        if given.get("flute") and given.get("wall"):
            fitting = flutes_of(Wall(given["wall"]))
            if given["flute"] not in fitting:
                self.add_error("flute", _flute_words(fitting))
        return given

    def own_carton(self) -> OwnCarton:
        """Return the carton as it was described."""
        given = self.cleaned_data
        return OwnCarton(
            length_mm=given["length"],
            width_mm=given["width"],
            height_mm=given["height"],
            wall=Wall(given["wall"]),
            flute=given["flute"],
            used=given["state"] == USED,
            certificate_gross_kg=given["certificate"],
        )

    def _side_mm(self, name: str) -> float:
        side_mm = self._read(self.cleaned_data[name], parse=parse_length_mm)
        if not SIDE_LEAST_MM <= side_mm <= SIDE_MOST_MM:
            least = show_length(SIDE_LEAST_MM, choice=self.units)
            most = show_length(SIDE_MOST_MM, choice=self.units)
            raise ValidationError(
                _(
                    "Measure %(named)s again: it was read as %(read)s, and a parcel's side is between "
                    "%(least)s and %(most)s. Type the unit with it, like 400 mm or 15 3/4 in"
                )
                % {
                    "named": self.named[name],
                    "read": show_length(side_mm, choice=self.units),
                    "least": least,
                    "most": most,
                }
            )
        return side_mm

    def _read(self, typed: str, *, parse: Callable[..., float]) -> float:
        try:
            return parse(typed, choice=self.units)
        except NotAQuantity as refusal:
            raise ValidationError(str(refusal)) from refusal


def typed_again(chosen: ChosenCarton | None, *, units: UnitChoice) -> dict[str, Any]:
    """Return a chosen carton as it would be typed into the form; nothing where none was chosen."""
    if chosen is None:
        return {}
    own = chosen.carton
    limit = own.certificate_gross_kg
    return {
        "length": show_length(own.length_mm, choice=units),
        "width": show_length(own.width_mm, choice=units),
        "height": show_length(own.height_mm, choice=units),
        "wall": own.wall.value,
        "state": USED if own.used else NEW,
        "flute": own.flute,
        "certificate": "" if limit is None else show_mass(limit, choice=units),
        "materials": list(chosen.materials),
    }


def _flute_words(fitting: tuple[str, ...]) -> str:
    if not fitting:
        return _("Leave the flute open: triple-wall board has three of them")
    return _("Choose %(flutes)s for this wall, or leave it open") % {"flutes": _(" or ").join(fitting)}
