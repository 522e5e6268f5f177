"""What `_plan.html` needs to show one parcel plan to a customer."""

from typing import Any

from django.utils.translation import gettext as _

from packing.drawing.shapes import DrawingSheet
from packing.parcel.outcome import ParcelPlan, Verdict
from portal.customer.pack_steps import needs
from portal.customer.wording import CARTON_TITLES


def plan_context(plan: ParcelPlan | None, *, drawing: DrawingSheet | None, units: str) -> dict[str, Any]:
    """Return the plan with its drawing, what to get for it, and the changes after the first."""
    return {
        "plan": plan,
        "drawing": drawing,
        "units": units,
        "needs": needs(plan, units=units),
        "other_changes": tuple(change.sentence for change in plan.changes[1:]) if plan else (),
    }


def carton_title(plan: ParcelPlan) -> str:
    """Return the verdict on a carton in a few words; where only the board or the filling is wrong, so."""
    if plan.verdict is Verdict.NO and {change.slug for change in plan.changes} == {"material"}:
        return _("No, not packed with that")
    if plan.verdict is Verdict.PASS_WITH_CHANGES and plan.changes[0].slug == "board":
        return _("Yes, but better board is advised for dense metal")
    return str(CARTON_TITLES[plan.verdict])
