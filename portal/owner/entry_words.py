"""What tells one document of a kind from the others, in a line of a list?"""

from collections.abc import Callable
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from jobs.domain.shop import MessageText
from jobs.leadtime.routes import Person, Route, WorkCentre
from packing.catalogue.schema import Carrier, Carton, Family, Material, UnitModel
from packing.quantities import UnitChoice, show_mass, show_size
from portal.owner.labels import choice_words

METRIC = UnitChoice.METRIC


def line_words(entry: Any) -> str:
    """Return the facts by which an owner looks for a document."""
    words = next((say for kind, say in SAYINGS if isinstance(entry, kind)), None)
    return words(entry) if words else ""


def _model_words(model: UnitModel) -> str:
    numbers = ", ".join(number.text for number in model.numbers[:3])
    return f"{model.family.replace('_', ' ')}, {show_mass(model.mass_kg, choice=METRIC)}; {numbers}"


def _carton_words(carton: Carton) -> str:
    size = show_size(carton.length_mm, carton.width_mm, carton.height_mm, choice=METRIC)
    return _("%(size)s, %(wall)s wall") % {"size": size, "wall": choice_words(carton.wall)}


def _carrier_words(carrier: Carrier) -> str:
    mass = show_mass(carrier.mass_most_kg, choice=METRIC)
    return _("%(service)s, up to %(mass)s") % {"service": carrier.service, "mass": mass}


def _route_words(route: Route) -> str:
    words = ngettext("%(count)d step; %(names)s", "%(count)d steps; %(names)s", len(route.steps))
    return words % {"count": len(route.steps), "names": _spaced(route.families)}


def _person_words(person: Person) -> str:
    return _("signs off %(names)s") % {"names": _spaced(person.signs_off)} if person.signs_off else ""


def _family_words(family: Family) -> str:
    facts = (
        (family.holds_fuel, _("holds fuel, airs %(hours)g hours") % {"hours": family.air_hours}),
        (family.magnetised, _("magnetised")),
        (family.ports_capped, _("every port capped")),
    )
    return ", ".join(words for holds, words in facts if holds)


def _centre_words(centre: WorkCentre) -> str:
    benches = ngettext("%(count)d bench", "%(count)d benches", centre.benches) % {"count": centre.benches}
    people = _("worked by %(people)s") % {"people": _spaced(centre.people)} if centre.people else ""
    runs = _("in runs of up to %(most)d") % {"most": centre.batch.most_jobs} if centre.batch else ""
    return ", ".join(part for part in (benches, people, runs) if part)


def _spaced(slugs: tuple[str, ...]) -> str:
    return ", ".join(slug.replace("_", " ") for slug in slugs)


SAYINGS: tuple[tuple[type, Callable[[Any], str]], ...] = (
    (UnitModel, _model_words),
    (Carton, _carton_words),
    (Material, lambda material: choice_words(material.kind)),
    (Carrier, _carrier_words),
    (Family, _family_words),
    (Route, _route_words),
    (WorkCentre, _centre_words),
    (Person, _person_words),
    (MessageText, lambda text: str(text.subject)),
)
