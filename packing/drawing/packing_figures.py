"""How does the carton look after each step of packing, as small pictures from the front?"""

from packing.drawing.geometry import (
    Frame,
    body_of,
    crown_strokes,
    cushion_areas,
    support_strokes,
    unit_areas,
    wall_areas,
)
from packing.drawing.shapes import Area, Outline, PackingFigure, Stroke
from packing.parcel.outcome import Layer, ParcelPlan
from packing.parcel.reader import hold_together
from packing.parcel.unit import PackUnit, Stance
from packing.quantities import UnitChoice, show_length

FIGURE_WIDTH = 150.0
SIDE_ROOM = 26.0
TITLES = {"base": "Base", "seat": "Seat", "sides": "Sides", "projections": "Round it", "top": "Top"}


def packing_figures(
    plan: ParcelPlan, unit: PackUnit, stance: Stance, *, choice: UnitChoice
) -> tuple[PackingFigure, ...]:
    """Return a picture for each layer of the plan with the carton open, and one of the closed carton."""
    ratio = (FIGURE_WIDTH - 2 * SIDE_ROOM) / plan.outside_length_mm
    head = 22.0 + plan.crown_mm * ratio
    caliper = plan.carton.caliper_mm
    floor = round(head + (plan.carton.height_mm + 2 * caliper) * ratio, 3)
    frame = Frame(0, SIDE_ROOM + caliper * ratio, floor, ratio)
    height = round(floor + 2 * caliper * ratio + 4, 1)
    found = []
    for number, layer in enumerate(plan.layers, 1):
        areas, strokes = _packed_up_to(plan, unit, stance, frame, layer=layer)
        found.append(
            PackingFigure(
                slug=layer.slug,
                number=number,
                title=TITLES.get(layer.slug, layer.name.capitalize()),
                words=hold_together(f"{layer.instruction} Up to {show_length(layer.to_mm, choice=choice)}."),
                width_units=FIGURE_WIDTH,
                height_units=height,
                areas=areas,
                strokes=strokes,
                outlines=_open_flaps(plan, frame),
            )
        )
    body, centre_lines = unit_areas(plan, unit, stance, frame)
    closed = (*cushion_areas(plan, frame, stance.projections), *wall_areas(plan, frame), *body)
    crown = hold_together(show_length(plan.crown_mm, choice=choice))
    return (
        *found,
        PackingFigure(
            slug="close",
            number=len(found) + 1,
            title="Close",
            words=f"Slight bulge of about {crown}. Tape as an H. Push on the lid: it must push back.",
            width_units=FIGURE_WIDTH,
            height_units=height,
            areas=closed,
            strokes=(*centre_lines, *support_strokes(plan, frame), *crown_strokes(plan, frame)),
            outlines=_tape(plan, frame),
        ),
    )


def _packed_up_to(
    plan: ParcelPlan, unit: PackUnit, stance: Stance, frame: Frame, *, layer: Layer
) -> tuple[tuple[Area, ...], tuple[Stroke, ...]]:
    """Return everything that is in the carton once a layer is done, cut off at its height."""
    limit = frame.up(layer.to_mm)
    walls = tuple(wall for wall in wall_areas(plan, frame) if wall.slug != "lid")
    filled = [
        cut
        for cut in (_cut_at(item, limit) for item in cushion_areas(plan, frame, stance.projections))
        if cut
    ]
    base_mm = body_of(plan, axis=0).base_mm
    if layer.to_mm <= base_mm + 1e-6:
        return (*filled, *walls), ()
    body, centre_lines = unit_areas(plan, unit, stance, frame)
    return (*filled, *walls, *body), (*centre_lines, *support_strokes(plan, frame))


def _cut_at(item: Area, limit: float) -> Area | None:
    """Return the part of a rectangle below a height of the sheet, or None when nothing is."""
    top = max(item.y, limit)
    high = item.y + item.height_units - top
    if high <= 0.05:
        return None
    return Area(item.kind, item.slug, item.x, round(top, 3), item.width_units, round(high, 3), item.hatch)


def _open_flaps(plan: ParcelPlan, frame: Frame) -> tuple[Outline, ...]:
    """Return the two long flaps, standing open."""
    inside, thick, height = plan.carton.length_mm, plan.carton.caliper_mm, plan.carton.height_mm
    y = frame.up(height)
    low, high = frame.across(-thick / 2), frame.across(inside + thick / 2)
    return (
        Outline("flap", f"M{low:.2f} {y:.2f} L{low - 14:.2f} {y - 16:.2f}"),
        Outline("flap", f"M{high:.2f} {y:.2f} L{high + 14:.2f} {y - 16:.2f}"),
    )


def _tape(plan: ParcelPlan, frame: Frame) -> tuple[Outline, ...]:
    """Return the tape that runs over the two ends."""
    inside, thick, height = plan.carton.length_mm, plan.carton.caliper_mm, plan.carton.height_mm
    top, under = frame.up(height + 2 * thick), frame.up(height - 60)
    low, high = frame.across(-thick), frame.across(inside + thick)
    middle, peak = (low + high) / 2, frame.up(height + 2 * thick + plan.crown_mm)
    return (
        Outline(
            "tape",
            f"M{low - 1:.2f} {under:.2f} L{low - 1:.2f} {top - 1:.2f} L{middle:.2f} {peak - 1:.2f} "
            f"L{high + 1:.2f} {top - 1:.2f} L{high + 1:.2f} {under:.2f}",
        ),
    )
