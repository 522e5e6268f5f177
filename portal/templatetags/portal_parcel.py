"""What a template shows of a parcel plan: the figures behind it."""

from typing import Any

from django import template

from packing.parcel.outcome import ParcelPlan
from packing.quantities import UnitChoice
from portal.shared.plan_figures import figures_shown, margin_words

register = template.Library()
register.filter("margin", margin_words)


@register.inclusion_tag("drawing/plan_figures.html")
def plan_figures(plan: ParcelPlan, units: object = UnitChoice.METRIC) -> dict[str, Any]:
    """Draw the figures behind a plan, folded away until they are asked for."""
    shown = figures_shown(plan, units=UnitChoice(str(units or UnitChoice.METRIC)))
    return {"checks": shown.checks, "sources": shown.sources, "influences": plan.influences}
