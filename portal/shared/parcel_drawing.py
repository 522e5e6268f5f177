"""The drawing of a parcel plan for a page, to scale."""

from jobs.models import Job
from packing import selectors as catalogue
from packing.catalogue.schema import EntryKind, UnitModel
from packing.drawing.sections import section_views
from packing.drawing.shapes import DrawingSheet
from packing.errors import PackingError
from packing.parcel.outcome import ParcelPlan
from packing.parcel.unit import pack_unit
from packing.quantities import UnitChoice


def draw_frozen_plan(job: Job, *, plan: ParcelPlan, units: str) -> DrawingSheet | None:
    """Return the two sections of a job's plan, drawn with the model's revision that the plan was made for.

    None where its unit can no longer be drawn, and words must do.
    """
    if job.unit_model_revision is None:
        return None
    try:
        model = catalogue.entry_at(EntryKind.UNIT_MODEL, job.unit_model, revision=job.unit_model_revision)
    except PackingError:
        return None
    return draw_plan(plan, model=model, units=units) if isinstance(model, UnitModel) else None


def draw_plan(plan: ParcelPlan, *, model: UnitModel, units: str) -> DrawingSheet | None:
    """Return the two sections of a plan for this model; None when it was not made for it."""
    try:
        return section_views(plan, pack_unit(model, leg=plan.leg), choice=UnitChoice(units))
    except PackingError:
        return None
