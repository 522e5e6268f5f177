"""What does an owner set up, in which order, and what of it is done?"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from jobs.domain.shop import ShopKind
from packing.selectors import Catalogue


@dataclass(frozen=True, slots=True)
class SetupStep:
    """One thing to set up: what, why, where, and whether it is done."""

    words: str
    why: str
    url: str
    is_done: bool
    done_words: str
    offer_words: str = ""
    offer_url: str = ""


@dataclass(frozen=True, slots=True)
class Missing:
    """What has to be set up before any date can be worked out, and where."""

    words: str
    link_words: str
    url: str


def first_missing(documents: Mapping[ShopKind, dict[str, Any]]) -> Missing | None:
    """Return the first thing without which no date can be worked out; None when all of them are there."""
    if not documents.get(ShopKind.HOURS):
        words = _("No working hours are set yet, and every date is counted in them.")
        return Missing(words, _("Set the working hours"), reverse("owner:edit", args=["hours", "hours"]))
    if not documents.get(ShopKind.WORK_CENTRE):
        words = _("There is no bench yet, so no work can be dated.")
        return Missing(words, _("Set up the benches"), reverse("owner:entries", args=["work_centre"]))
    if not documents.get(ShopKind.ROUTE):
        words = _("There is no route yet, so no work can be dated.")
        return Missing(words, _("Set up the routes"), reverse("owner:entries", args=["route"]))
    return None


def setup_steps(
    published: Catalogue, *, documents: Mapping[ShopKind, dict[str, Any]]
) -> tuple[SetupStep, ...]:
    """Return the steps in the order in which each can be done."""

    def data(kind: str) -> str:
        return reverse("owner:entries", args=[kind])

    def named(kind: ShopKind) -> dict[str, Any]:
        return documents.get(kind, {})

    models, families = len(published.unit_models), len(published.families)
    served = {family for route in named(ShopKind.ROUTE).values() for family in route.families}
    unserved = [family for family in published.families if family not in served]
    return (
        SetupStep(
            _("Name and address of the shop"),
            _("They stand on every page, every mail and every slip."),
            reverse("owner:edit", args=["shop", "shop"]),
            bool(named(ShopKind.SHOP)),
            "".join(each.name for each in named(ShopKind.SHOP).values()),
        ),
        SetupStep(
            _("Working hours"),
            _("Every date is counted in them."),
            reverse("owner:edit", args=["hours", "hours"]),
            bool(named(ShopKind.HOURS)),
            "".join(hours.time_zone for hours in named(ShopKind.HOURS).values()),
        ),
        SetupStep(
            _("Closed days"),
            _("Public holidays of your country can be brought in at once."),
            reverse("owner:closed_days"),
            bool(named(ShopKind.CLOSED_DAY)),
            _count(len(named(ShopKind.CLOSED_DAY))),
        ),
        SetupStep(
            _("Families"),
            _("What is asked about them and taken off them. Withdraw those that you do not rebuild."),
            data("family"),
            bool(families),
            ngettext("%(count)d family", "%(count)d families", families) % {"count": families},
        ),
        SetupStep(
            _("Unit models"),
            _("What you rebuild: how to know it, strip it and pack it. A file of entries can be brought in."),
            data("unit_model"),
            bool(models),
            ngettext("%(count)d model", "%(count)d models", models) % {"count": models},
        ),
        SetupStep(
            _("Cartons, materials and carriers"),
            _("What parcels are planned with. The common ones are there already."),
            data("carton"),
            bool(published.cartons and published.materials and published.carriers),
            _("%(cartons)d cartons, %(materials)d materials, %(carriers)d carriers")
            % {
                "cartons": len(published.cartons),
                "materials": len(published.materials),
                "carriers": len(published.carriers),
            },
        ),
        SetupStep(
            _("People at the benches"),
            _("Who works, and who may sign off what."),
            data("person"),
            bool(named(ShopKind.PERSON)),
            _count(len(named(ShopKind.PERSON))),
        ),
        SetupStep(
            _("Benches"),
            _("How many units can be worked on at once, and by whom."),
            data("work_centre"),
            bool(named(ShopKind.WORK_CENTRE)),
            _count(len(named(ShopKind.WORK_CENTRE))),
            "" if served else _("Take the usual benches and routes, and change them later"),
            reverse("owner:take_usual"),
        ),
        SetupStep(
            _("Routes"),
            _("Which steps each family passes. Without one a family gets no date."),
            data("route"),
            bool(served) and not unserved,
            _("every family has one") if served and not unserved else "",
        ),
    )


def _count(count: int) -> str:
    return str(count) if count else ""
