"""How would a unit model travel, with what is published or with what is typed, and what differs?"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

from django.utils.translation import gettext as _

from jobs.domain.shop import ShopIdentity
from jobs.selectors import shop
from packing.catalogue.schema import Carrier, Carton, Material, UnitModel
from packing.drawing.sections import section_views
from packing.drawing.shapes import DrawingSheet
from packing.errors import PackingError
from packing.parcel.drop import DropTest
from packing.parcel.journey import plan_journey
from packing.parcel.outcome import ParcelPlan, Verdict
from packing.parcel.plan import EASY_MOST_TIMES, least_billed_kg
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

SAME_BILL_KG = 0.001


@dataclass(frozen=True, slots=True)
class Parcel:
    """One plan with its drawing, or the sentence that says why there is none."""

    leg_words: str
    plan: ParcelPlan | None
    sheet: DrawingSheet | None
    refusal: str
    changes: tuple[Change, ...]


@dataclass(frozen=True, slots=True)
class Stock:
    """What parcels are planned with: the catalogue, and the shop's carriers and test level."""

    published: Catalogue
    identity: ShopIdentity


def stock_of(published: Catalogue) -> Stock:
    """Return the stock as it is published now."""
    return Stock(published, shop.identity())


def plan_of(model: UnitModel, *, leg: Leg, stock: Stock) -> ParcelPlan:
    """Return the plan as a job would be given it. Raises: PackingError."""
    published = stock.published
    return plan_journey(
        model,
        leg=leg,
        cartons=tuple(published.cartons.values()),
        materials=tuple(published.materials.values()),
        carrier=_carrier(stock, leg=leg),
        drop_test=DropTest(stock.identity.test_level),
    )


def may_change(model: UnitModel, *, leg: Leg, stock: Stock, entry: Material | Carton | Carrier) -> bool:
    """Say whether publishing this entry could change the parcel at all.

    A carton that the plan does not use, and that alone would be billed more or fail, cannot; looking at one
    carton takes a small part of the time of a whole plan. Of all else the plan has to be made to know. On the
    way to the shop a carton that is billed more is taken all the same where easier materials do in it.
    """
    if not isinstance(entry, Carton):
        return True
    try:
        plan = plan_of(model, leg=leg, stock=stock)
        if plan.verdict is not Verdict.PASS or plan.carton.slug == entry.slug:
            return True
        alone_kg = least_billed_kg(
            pack_unit(model, leg=leg),
            carton=entry,
            materials=tuple(stock.published.materials.values()),
            carrier=_carrier(stock, leg=leg),
            drop_test=DropTest(stock.identity.test_level),
        )
    except PackingError:
        return True
    most_times = EASY_MOST_TIMES if leg is Leg.TO_SHOP else 1.0
    return alone_kg is not None and alone_kg <= most_times * plan.billed_mass_kg + SAME_BILL_KG


def _carrier(stock: Stock, *, leg: Leg) -> Carrier | None:
    identity = stock.identity
    slug = identity.carrier_in if leg is Leg.TO_SHOP else identity.carrier_back
    return stock.published.carriers.get(slug)


def with_entry(stock: Stock, *, entry: Material | Carton | Carrier) -> Stock:
    """Return the stock as it would be with this entry published."""
    published = stock.published
    match entry:
        case Material():
            changed = replace(published, materials={**published.materials, entry.slug: entry})
        case Carton():
            changed = replace(published, cartons={**published.cartons, entry.slug: entry})
        case Carrier():
            changed = replace(published, carriers={**published.carriers, entry.slug: entry})
    return Stock(changed, stock.identity)


def compare_parcels(
    was: UnitModel | None, now: UnitModel, *, before: Stock, after: Stock
) -> Iterable[Parcel]:
    """Yield both parcels of a model as they would be, each with what changes in it (`was` None: new)."""
    for leg in Leg:
        try:
            plan = plan_of(now, leg=leg, stock=after)
        except PackingError as refusal:
            yield Parcel(LEG_WORDS[leg], None, None, str(refusal), ())
            continue
        # Two drawings on one page need two names for their hatchings.
        sheet = section_views(plan, pack_unit(now, leg=leg), choice=UnitChoice.METRIC)
        sheet = replace(sheet, slug=f"{sheet.slug}-{leg.value}")
        changes = _plan_changes(was, plan, leg=leg, stock=before)
        yield Parcel(LEG_WORDS[leg], plan, sheet, "", changes)


def _plan_changes(before: Any, plan: ParcelPlan, *, leg: Leg, stock: Stock) -> tuple[Change, ...]:
    if before is None:
        return ()
    try:
        old = plan_of(before, leg=leg, stock=stock)
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
