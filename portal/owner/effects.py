"""What else changes when a document is published: which parcels, which families, which routes?"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

from django.utils.translation import gettext as _

from jobs.domain.shop import ClosedDay, ShopIdentity
from jobs.leadtime.clock import WorkingHours, hours_per_week
from jobs.leadtime.routes import Person, Route, WorkCentre
from jobs.selectors import shop
from packing.catalogue.schema import Carrier, Carton, Family, Material, UnitModel
from packing.drawing.sections import section_views
from packing.drawing.shapes import DrawingSheet
from packing.errors import PackingError
from packing.parcel.drop import DropTest
from packing.parcel.outcome import ParcelPlan, Verdict
from packing.parcel.plan import SearchOrder, plan_parcel
from packing.parcel.unit import Leg, pack_unit
from packing.quantities import UnitChoice, show_mass, show_size
from packing.selectors import Catalogue
from portal.owner.changes import Change

LEG_WORDS = {Leg.TO_SHOP: "to the shop", Leg.TO_CUSTOMER: "back to the customer"}
VERDICT_WORDS = {
    Verdict.PASS: "travels safely",
    Verdict.PASS_WITH_CHANGES: "travels with a change",
    Verdict.NO: "does not travel like this",
}
MOST_NAMED = 12


@dataclass(frozen=True, slots=True)
class Parcel:
    """One plan with its drawing, or the sentence that says why there is none."""

    leg_words: str
    plan: ParcelPlan | None
    sheet: DrawingSheet | None
    refusal: str
    changes: tuple[Change, ...]


@dataclass(frozen=True, slots=True)
class ModelChange:
    """One unit model whose parcel would change, one way."""

    name: str
    leg_words: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class Effects:
    """Everything a preview shows beside the changed fields."""

    parcels: tuple[Parcel, ...] = ()
    models: tuple[ModelChange, ...] = ()
    models_looked_at: int = 0
    sentences: tuple[str, ...] = ()


def find_effects(before: Any, after: Any, *, published: Catalogue) -> Effects:
    """Return what publishing `after` in place of `before` (None: new) would change elsewhere."""
    match after:
        case UnitModel():
            return Effects(parcels=tuple(_parcels(before, after, stock=_stock(published))))
        case Material() | Carton() | Carrier():
            return _model_changes(after, stock=_stock(published))
        case ShopIdentity():
            return Effects(sentences=("Pages, mails and slips show it from the next one on.",))
        case Family():
            return Effects(sentences=tuple(_family_sentences(after, published=published)))
        case _:
            return Effects(sentences=tuple(_shop_sentences(before, after, published=published)))


# --- parcels -------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Stock:
    """What parcels are planned with: the catalogue, and the shop's carriers and test level."""

    published: Catalogue
    identity: ShopIdentity


def _stock(published: Catalogue) -> Stock:
    return Stock(published, shop.identity())


def _plan(model: UnitModel, *, leg: Leg, stock: Stock) -> ParcelPlan:
    """Return the plan as a job would be given it. Raises: PackingError."""
    published, identity = stock.published, stock.identity
    carrier = identity.carrier_in if leg is Leg.TO_SHOP else identity.carrier_back
    return _planned(
        model,
        leg,
        tuple(published.cartons.values()),
        tuple(published.materials.values()),
        published.carriers.get(carrier),
        DropTest(identity.test_level),
    )


@lru_cache(maxsize=256)
def _planned(
    model: UnitModel,
    leg: Leg,
    cartons: tuple[Carton, ...],
    materials: tuple[Material, ...],
    carrier: Carrier | None,
    drop_test: DropTest,
) -> ParcelPlan:
    """Return a plan, kept by everything it rests on: a preview compares all models with what is published."""
    return plan_parcel(
        pack_unit(model, leg=leg),
        cartons=cartons,
        materials=materials,
        carrier=carrier,
        drop_test=drop_test,
        order=SearchOrder.EASY_FIRST if leg is Leg.TO_SHOP else SearchOrder.LEAST_BILLED,
    )


def _parcels(before: Any, after: UnitModel, *, stock: Stock) -> Iterable[Parcel]:
    for leg in Leg:
        try:
            plan = _plan(after, leg=leg, stock=stock)
        except PackingError as refusal:
            yield Parcel(LEG_WORDS[leg], None, None, str(refusal), ())
            continue
        # Two drawings on one page need two names for their hatchings.
        sheet = section_views(plan, pack_unit(after, leg=leg), choice=UnitChoice.METRIC)
        sheet = replace(sheet, slug=f"{sheet.slug}-{leg.value}")
        yield Parcel(LEG_WORDS[leg], plan, sheet, "", _plan_changes(before, plan, leg=leg, stock=stock))


def _plan_changes(before: Any, plan: ParcelPlan, *, leg: Leg, stock: Stock) -> tuple[Change, ...]:
    if before is None:
        return ()
    try:
        old = _plan(before, leg=leg, stock=stock)
    except PackingError as refusal:
        return (Change(_("Parcel"), str(refusal), plan.headline),)
    pairs = zip(_plan_facts(old), _plan_facts(plan), strict=True)
    return tuple(Change(label, was, now) for (label, was), (_label, now) in pairs if was != now)


def _plan_facts(plan: ParcelPlan) -> tuple[tuple[str, str], ...]:
    """Return what a reader compares two plans by."""
    limiting = plan.limiting
    outside_mm = (plan.outside_length_mm, plan.outside_width_mm, plan.outside_height_mm)
    return (
        (_("Verdict"), VERDICT_WORDS[plan.verdict]),
        (_("Carton"), plan.carton.name),
        (_("Outside"), show_size(*outside_mm, choice=UnitChoice.METRIC)),
        (_("Stands"), plan.orientation.sentence),
        (_("Gross mass"), show_mass(plan.gross_mass_kg, choice=UnitChoice.METRIC)),
        (_("Billed mass"), show_mass(plan.billed_mass_kg, choice=UnitChoice.METRIC)),
        (_("Least margin"), f"{limiting.margin_ratio:.2f}: {limiting.sentence}"),
    )  # fmt: skip


def _model_changes(after: Any, *, stock: Stock) -> Effects:
    """Return the models whose parcel changes when a material, carton or carrier is published."""
    published = stock.published
    changed = Stock(_with(published, entry=after), stock.identity)
    rows: list[ModelChange] = []
    for model in published.unit_models.values():
        for leg in Leg:
            was, now = (_in_short(model, leg=leg, stock=each) for each in (stock, changed))
            if was != now:
                rows.append(ModelChange(model.name, LEG_WORDS[leg], was, now))
    return Effects(models=tuple(rows), models_looked_at=len(published.unit_models))


def _with(published: Catalogue, *, entry: Any) -> Catalogue:
    match entry:
        case Material():
            return replace(published, materials={**published.materials, entry.slug: entry})
        case Carton():
            return replace(published, cartons={**published.cartons, entry.slug: entry})
        case _:
            return replace(published, carriers={**published.carriers, entry.slug: entry})


def _in_short(model: UnitModel, *, leg: Leg, stock: Stock) -> str:
    try:
        plan = _plan(model, leg=leg, stock=stock)
    except PackingError as refusal:
        return str(refusal)
    billed = show_mass(plan.billed_mass_kg, choice=UnitChoice.METRIC)
    return _("%(headline)s Billed as %(billed)s.") % {
        "headline": plan.headline.rstrip(".") + ".",
        "billed": billed,
    }


# --- families and routes -------------------------------------------------------------------------------


def _family_sentences(family: Family, *, published: Catalogue) -> Iterable[str]:
    models = [model.name for model in published.unit_models.values() if model.family == family.slug]
    yield _("%(count)d unit models belong to it: %(names)s.") % {
        "count": len(models), "names": _names(models) or "none yet",
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
    names = _names([route.name for route in shop.routes()]) or _("none yet")
    return _("All routes are counted in it: %(names)s.") % {"names": names}


def _names(names: Sequence[str]) -> str:
    more = len(names) - MOST_NAMED
    said = ", ".join(names[:MOST_NAMED])
    return _("%(names)s and %(count)d more") % {"names": said, "count": more} if more > 0 else said
