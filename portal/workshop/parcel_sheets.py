"""How does a parcel plan become a drawing on a page of the shop?"""

from packing import selectors as catalogue
from packing.drawing.sections import section_views
from packing.drawing.shapes import DrawingSheet
from packing.errors import PackingError
from packing.parcel.outcome import ParcelPlan
from packing.parcel.unit import pack_unit


def draw_plan(plan: ParcelPlan) -> DrawingSheet | None:
    """Return the two sections of the plan to scale, or None when its unit is not published any more."""
    model = catalogue.catalogue().unit_models.get(plan.unit)
    if model is None:
        return None
    try:
        return section_views(plan, pack_unit(model, leg=plan.leg))
    except PackingError:
        # The model was changed since: a drawing of other projections would be wrong.
        return None
