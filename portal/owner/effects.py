"""What else changes when a document is published: which parcels, which families, which routes?"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import product
from typing import Any

from django.utils.translation import gettext as _

from jobs.domain.shop import ClosedDay, ShopIdentity
from jobs.leadtime.clock import WorkingHours, hours_per_week
from jobs.leadtime.routes import Person, Route, WorkCentre
from jobs.selectors import shop
from jobs.selectors.parcel_plans import Stock, plan_for, stock_on
from packing.catalogue.schema import Carrier, Carton, Family, Material, UnitModel
from packing.errors import PackingError
from packing.parcel.outcome import Verdict
from packing.parcel.unit import Leg
from packing.quantities import UnitChoice, show_mass
from packing.selectors import Catalogue
from portal.owner.parcel_plans import (
    LEG_WORDS,
    Parcel,
    compare_parcels,
    may_change,
    with_entry,
)

MOST_NAMED = 12
MODELS_AT_ONCE = 4  # two parcels each before and after: at most some 250 ms of processor time


@dataclass(frozen=True, slots=True)
class ModelChange:
    """One unit model whose parcel would change, one way."""

    name: str
    leg_words: str
    before: str
    after: str
    has_new_verdict: bool


@dataclass(frozen=True, slots=True)
class ModelRange:
    """Which of all unit models, in the order of their names, were looked at, counted from 1."""

    first: int
    last: int
    count: int

    @property
    def following(self) -> int:
        """Return how many models come before the next range, 0 after the last one."""
        return self.last if self.last < self.count else 0


@dataclass(frozen=True, slots=True)
class Effects:
    """Everything a preview shows beside the changed fields."""

    parcels: tuple[Parcel, ...] = ()
    models: tuple[ModelChange, ...] = ()
    looked_at: ModelRange | None = None
    sentences: tuple[str, ...] = ()


def find_effects(
    before: Any, after: Any, *, published: Catalogue, today: date, models_before: int = 0
) -> Effects:
    """Return what publishing `after` in place of `before` (None: new) would change elsewhere.

    Parcels are planned again for a few unit models at once, those after the first `models_before`, so that
    an answer takes a fraction of a second however many models there are.
    """
    match after:
        case UnitModel():
            stock = stock_on(today, published=published)
            return Effects(parcels=tuple(compare_parcels(before, after, before=stock, after=stock)))
        case Material() | Carton() | Carrier():
            stock = stock_on(today, published=published)
            return _model_changes(after, stock=stock, models_before=models_before)
        case ShopIdentity():
            return Effects(sentences=(_("Pages, mails and slips show it from the next one on."),))
        case Family():
            return Effects(sentences=tuple(_family_sentences(after, published=published)))
        case _:
            return Effects(sentences=tuple(_shop_sentences(before, after, published=published)))


# --- parcels -------------------------------------------------------------------------------------------


def _model_changes(after: Material | Carton | Carrier, *, stock: Stock, models_before: int) -> Effects:
    """Return the models whose parcel changes when a material, carton or carrier is published."""
    changed = with_entry(stock, entry=after)
    models = sorted(stock.published.unit_models.values(), key=lambda model: model.name)
    start = models_before if 0 <= models_before < len(models) else 0
    shown = models[start : start + MODELS_AT_ONCE]
    rows: list[ModelChange] = []
    for model, leg in product(shown, Leg):
        if not may_change(model, leg=leg, stock=stock, after=changed, entry=after):
            continue
        (verdict_was, was), (verdict_now, now) = (
            _in_short(model, leg=leg, stock=each) for each in (stock, changed)
        )
        if was != now:
            row = ModelChange(model.name, str(LEG_WORDS[leg]), was, now, verdict_was is not verdict_now)
            rows.append(row)
    rows.sort(key=lambda row: not row.has_new_verdict)
    if not models:
        return Effects()
    return Effects(models=tuple(rows), looked_at=ModelRange(start + 1, start + len(shown), len(models)))


def _in_short(model: UnitModel, *, leg: Leg, stock: Stock) -> tuple[Verdict | None, str]:
    try:
        plan = plan_for(model, leg=leg, stock=stock)
    except PackingError as refusal:
        return None, str(refusal)
    billed = show_mass(plan.billed_mass_kg, choice=UnitChoice.METRIC)
    headline = plan.headline.rstrip(".") + "."
    return plan.verdict, _("%(headline)s Billed as %(billed)s.") % {"headline": headline, "billed": billed}


# --- families and routes -------------------------------------------------------------------------------


def _family_sentences(family: Family, *, published: Catalogue) -> Iterable[str]:
    models = [model.name for model in published.unit_models.values() if model.family == family.slug]
    yield _("%(count)d unit models belong to it: %(names)s.") % {
        "count": len(models), "names": _names(models) or _("none yet"),
    }  # fmt: skip
    yield _("Jobs that are under way keep the strip list they were given.")


def _shop_sentences(before: Any, after: Any, *, published: Catalogue) -> Iterable[str]:
    match after:
        case Route():
            yield from _route_sentences(before, after, published=published)
        case WorkCentre():
            yield _passing([after.slug], at=_("this bench"))
        case Person():
            benches = [centre for centre in shop.work_centres() if after.slug in centre.people]
            at = _names([centre.name for centre in benches]) or _("no bench")
            yield _("Works at: %(benches)s.") % {"benches": at}
            yield _passing([centre.slug for centre in benches], at=_("these benches"))
        case WorkingHours():
            was = f"{hours_per_week(before):g}" if isinstance(before, WorkingHours) else "0"
            said = {"now": f"{hours_per_week(after):g}", "was": was}
            if said["now"] == said["was"]:
                yield _("An ordinary week has %(now)s hours, as before.") % said
            else:
                yield _("An ordinary week has %(now)s hours (before: %(was)s).") % said
            yield _all_routes()
        case ClosedDay():
            yield _all_routes()
        case _:
            yield _("It holds from the next mail on.")
            return
    yield _(
        "Dates are counted again in the next forecast; a promise that moves by days is told to its customer."
    )


def _route_sentences(before: Any, after: Route, *, published: Catalogue) -> Iterable[str]:
    old = set(before.families) if isinstance(before, Route) else set()
    for words, families in (
        (_("Serves: %(names)s."), after.families),
        (_("New on this route: %(names)s."), [each for each in after.families if each not in old and before]),
        (
            _("No longer on this route: %(names)s."),
            [each for each in sorted(old) if each not in after.families],
        ),
    ):
        if families:
            names = [
                published.families[each].plural if each in published.families else each for each in families
            ]
            yield words % {"names": _names(names)}


def _passing(centres: Sequence[str], *, at: str) -> str:
    routes = [route for route in shop.routes() if any(step.work_centre in centres for step in route.steps)]
    if not routes:
        return _("No route passes %(place)s.") % {"place": at}
    return _("Routes that pass %(place)s: %(names)s.") % {
        "place": at, "names": _names([route.name for route in routes]),
    }  # fmt: skip


def _all_routes() -> str:
    names = _names([route.name for route in shop.routes()])
    if not names:
        return _("No route is counted in it yet.")
    return _("All routes are counted in it: %(names)s.") % {"names": names}


def _names(names: Sequence[str]) -> str:
    more = len(names) - MOST_NAMED
    said = ", ".join(names[:MOST_NAMED])
    return _("%(names)s and %(count)d more") % {"names": said, "count": more} if more > 0 else said
