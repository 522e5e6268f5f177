"""What tells one document of a kind from the others, in a line of a list?"""

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
    match entry:
        case UnitModel():
            numbers = ", ".join(number.text for number in entry.numbers[:3])
            return f"{entry.family.replace('_', ' ')}, {show_mass(entry.mass_kg, choice=METRIC)}; {numbers}"
        case Carton():
            size = show_size(entry.length_mm, entry.width_mm, entry.height_mm, choice=METRIC)
            return f"{size}, {choice_words(entry.wall)} wall"
        case Material():
            return choice_words(entry.kind)
        case Carrier():
            return _("%(service)s, up to %(mass)s") % {
                "service": entry.service, "mass": show_mass(entry.mass_most_kg, choice=METRIC),
            }  # fmt: skip
        case Family():
            return _family_words(entry)
        case Route():
            return _("%(count)d steps; %(families)s") % {
                "count": len(entry.steps), "families": _spaced(entry.families),
            }  # fmt: skip
        case WorkCentre():
            return _centre_words(entry)
        case Person():
            return (
                _("signs off %(families)s") % {"families": _spaced(entry.signs_off)}
                if entry.signs_off
                else ""
            )
        case MessageText():
            return entry.subject
    return ""


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
