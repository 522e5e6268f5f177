"""What `_plan.html` needs to show one parcel plan to a customer."""

from typing import Any

from packing.drawing.shapes import DrawingSheet
from packing.parcel.outcome import ParcelPlan
from portal.customer.pack_steps import needs


def plan_context(plan: ParcelPlan | None, *, drawing: DrawingSheet | None, units: str) -> dict[str, Any]:
    """Return the plan with its drawing, what to get for it, and the changes after the first."""
    return {
        "plan": plan,
        "drawing": drawing,
        "units": units,
        "needs": needs(plan, units=units),
        "other_changes": tuple(change.sentence for change in plan.changes[1:]) if plan else (),
    }
