"""What `_plan.html` needs to show one parcel plan to a customer."""

from typing import Any

from packing.drawing.shapes import DrawingSheet
from packing.parcel.outcome import ParcelPlan


def plan_context(plan: ParcelPlan | None, *, drawing: DrawingSheet | None, units: str) -> dict[str, Any]:
    """Return the plan with its drawing, the changes after the first, and its fall as a length."""
    return {
        "plan": plan,
        "drawing": drawing,
        "units": units,
        "other_changes": tuple(change.sentence for change in plan.changes[1:]) if plan else (),
        "drop_height_mm": plan.drop.drop_height_m * 1000 if plan else 0.0,
    }
