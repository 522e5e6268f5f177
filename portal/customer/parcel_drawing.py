"""The drawing of a parcel plan for a page: the model as it was when the plan was frozen, to scale."""

from jobs.models import Job
from packing import selectors as catalogue
from packing.catalogue.schema import EntryKind, UnitModel
from packing.drawing.sections import section_views
from packing.drawing.shapes import DrawingSheet
from packing.errors import PackingError
from packing.parcel.outcome import ParcelPlan
from packing.parcel.unit import Leg, pack_unit
from packing.quantities import UnitChoice


def draw_parcel(job: Job, *, plan: ParcelPlan, units: str) -> DrawingSheet | None:
    """Return the two sections of the plan; None where its unit can no longer be drawn, and words must do."""
    if job.unit_model_revision is None:
        return None
    try:
        model = catalogue.entry_at(EntryKind.UNIT_MODEL, job.unit_model, revision=job.unit_model_revision)
        if not isinstance(model, UnitModel):
            return None
        return section_views(plan, pack_unit(model, leg=Leg.TO_SHOP), choice=UnitChoice(units))
    except PackingError:
        return None
