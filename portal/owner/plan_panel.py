"""What does the owner see of the plan while typing: which model's parcels, and the curve of a material?"""

from dataclasses import dataclass
from datetime import date
from typing import Any

from jobs.selectors.commonest import commonest_model
from jobs.selectors.parcel_plans import stock_on
from packing.catalogue.schema import Carton, Material, UnitModel
from packing.selectors import Catalogue
from portal.owner.curve_chart import CurveShown, show_curve
from portal.owner.parcel_plans import Parcel, compare_parcels, with_entry

SHOWN_KINDS = frozenset({"unit_model", "material", "carton"})
CHOOSING_KINDS = frozenset({"material", "carton"})
"""Kinds that touch the parcels of all models; while typing, those of one chosen model are shown."""


@dataclass(frozen=True, slots=True)
class PlanPanel:
    """Both parcels of one unit model as they would be, each with what changes in it."""

    model_name: str
    parcels: tuple[Parcel, ...]
    curve: CurveShown | None
    is_new: bool


def find_panel(before: Any, after: Any, *, model_slug: str, published: Catalogue, today: date) -> PlanPanel:
    """Return the panel for an entry as it is typed; `model_slug` is the model to show it with."""
    stock = stock_on(today, published=published)
    if isinstance(after, UnitModel):
        parcels = compare_parcels(before, after, before=stock, after=stock)
        return PlanPanel(after.name, tuple(parcels), None, before is None)
    curve = show_curve(after) if isinstance(after, Material) else None
    model = published.unit_models.get(model_slug)
    if model is None or not isinstance(after, Material | Carton):
        return PlanPanel("", (), curve, is_new=False)
    parcels = compare_parcels(model, model, before=stock, after=with_entry(stock, entry=after))
    return PlanPanel(model.name, tuple(parcels), curve, is_new=False)


def choose_model(asked: str, *, using: str, published: Catalogue) -> str:
    """Return the model asked for, else the one most sent in: of those `using` the entry, or of all."""
    models = published.unit_models
    for slug in (asked, commonest_model(using=using) if using else "", commonest_model()):
        if slug in models:
            return slug
    return next(iter(models), "")
