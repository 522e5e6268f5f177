"""How would a unit model travel, with what is published or with what is typed, and what differs?"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _t

from jobs.selectors.parcel_plans import Stock, plan_for
from packing.catalogue.schema import Carrier, Carton, Material, UnitModel
from packing.drawing.sections import section_views
from packing.drawing.shapes import DrawingSheet
from packing.errors import PackingError
from packing.parcel.journey import order_of
from packing.parcel.outcome import ParcelPlan, Verdict
from packing.parcel.rivals import may_be_beaten
from packing.parcel.unit import Leg, pack_unit
from packing.quantities import UnitChoice, show_mass, show_size
from portal.owner.changes import Change
from portal.shared.plan_figures import margin_words

LEG_WORDS = {Leg.TO_SHOP: _t("to the shop"), Leg.TO_CUSTOMER: _t("back to the customer")}
VERDICT_WORDS = {
    Verdict.PASS: _t("travels safely"),
    Verdict.PASS_WITH_CHANGES: _t("travels with a change"),
    Verdict.NO: _t("does not travel like this"),
}

Entry = Material | Carton | Carrier
"""What every model's parcel is planned with."""


@dataclass(frozen=True, slots=True)
class Parcel:
    """One plan with its drawing, or the sentence that says why there is none."""

    leg_words: str
    plan: ParcelPlan | None
    sheet: DrawingSheet | None
    refusal: str
    changes: tuple[Change, ...]


def may_change(model: UnitModel, *, leg: Leg, stock: Stock, after: Stock, entry: Entry) -> bool:
    """Say whether publishing this entry could change the parcel at all; False is certain.

    A carton or material that the plan does not use changes it only where a choice with it is better, and to
    look for such a choice takes a small part of the time of a whole plan. A carrier matters to its own way.
    """
    if isinstance(entry, Carrier):
        return stock.carrier(leg) != after.carrier(leg)
    try:
        plan = plan_for(model, leg=leg, stock=stock)
        if entry.slug in {plan.carton.slug, *(cushion.material for cushion in plan.cushions)}:
            return True
        return may_be_beaten(
            plan,
            unit=pack_unit(model, leg=leg),
            cartons=(entry,) if isinstance(entry, Carton) else after.cartons,
            materials=after.materials,
            carrier=after.carrier(leg),
            order=order_of(leg),
            drop_test=after.drop_test,
            using="" if isinstance(entry, Carton) else entry.slug,
        )
    except PackingError:
        return True


def with_entry(stock: Stock, *, entry: Entry) -> Stock:
    """Return the stock as it would be with this entry published."""
    published = stock.published
    match entry:
        case Material():
            changed = replace(published, materials={**published.materials, entry.slug: entry})
        case Carton():
            changed = replace(published, cartons={**published.cartons, entry.slug: entry})
        case Carrier():
            changed = replace(published, carriers={**published.carriers, entry.slug: entry})
    return replace(stock, published=changed)


def compare_parcels(
    was: UnitModel | None, now: UnitModel, *, before: Stock, after: Stock
) -> Iterable[Parcel]:
    """Yield both parcels of a model as they would be, each with what changes in it (`was` None: new)."""
    for leg in Leg:
        try:
            plan = plan_for(now, leg=leg, stock=after)
        except PackingError as refusal:
            yield Parcel(str(LEG_WORDS[leg]), None, None, str(refusal), ())
            continue
        # Two drawings on one page need two names for their hatchings.
        sheet = section_views(plan, pack_unit(now, leg=leg), choice=UnitChoice.METRIC)
        sheet = replace(sheet, slug=f"{sheet.slug}-{leg.value}")
        changes = _plan_changes(was, plan, leg=leg, stock=before)
        yield Parcel(str(LEG_WORDS[leg]), plan, sheet, "", changes)


def _plan_changes(before: Any, plan: ParcelPlan, *, leg: Leg, stock: Stock) -> tuple[Change, ...]:
    if before is None:
        return ()
    try:
        old = plan_for(before, leg=leg, stock=stock)
    except PackingError as refusal:
        return (Change(_("Parcel"), str(refusal), plan.headline),)
    pairs = zip(_plan_facts(old), _plan_facts(plan), strict=True)
    return tuple(Change(label, was, now) for (label, was), (_label, now) in pairs if was != now)


def _plan_facts(plan: ParcelPlan) -> tuple[tuple[str, str], ...]:
    """Return what a reader compares two plans by."""
    limiting = plan.limiting
    outside_mm = (plan.outside_length_mm, plan.outside_width_mm, plan.outside_height_mm)
    return (
        (_("Verdict"), str(VERDICT_WORDS[plan.verdict])),
        (_("Carton"), plan.carton.name),
        (_("Outside"), show_size(*outside_mm, choice=UnitChoice.METRIC)),
        (_("Stands"), plan.orientation.sentence),
        (_("Gross mass"), show_mass(plan.gross_mass_kg, choice=UnitChoice.METRIC)),
        (_("Billed mass"), show_mass(plan.billed_mass_kg, choice=UnitChoice.METRIC)),
        (_("Least margin"), f"{margin_words(limiting.margin_ratio_least)}: {limiting.sentence}"),
    )  # fmt: skip
