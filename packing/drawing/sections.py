"""How does a parcel plan look in section, to scale, with every clearance and thickness dimensioned?"""

from packing.drawing.geometry import (
    Frame,
    crown_strokes,
    cushion_areas,
    flutes,
    inside_mm,
    support_strokes,
    unit_areas,
    wall_areas,
)
from packing.drawing.layout import Lanes, Measure, letters
from packing.drawing.measures import level_measures, upright_measures
from packing.drawing.packing_figures import packing_figures
from packing.drawing.shapes import (
    LINE_HEIGHT,
    PRINT_WIDTH_MM,
    RING_RADIUS,
    SHEET_WIDTH,
    Dimension,
    DrawingSheet,
    LegendRow,
    Plate,
    View,
    make_label,
)
from packing.drawing.title_block import MARGIN, REFUSED, draw_scale_bars, draw_title_block, scale_text
from packing.drawing.words import describe, hatch_keys, layer_rows, legend_row, summarise
from packing.parcel.outcome import ParcelPlan, Verdict
from packing.parcel.unit import PackUnit, Stance, stand
from packing.quantities import UnitChoice

# Close enough to each other that little of the sheet stays blank: 1, 2 and 5 by ISO 5455, the others go with
# inches to the foot (common practice), or lie between; the bars below the sections tell the scale as well.
SCALES = (2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 10.0, 12.0, 16.0, 20.0, 25.0, 40.0)
RATIOS = tuple(SHEET_WIDTH / PRINT_WIDTH_MM / scale for scale in SCALES)  # sheet units a millimetre
LEFT_ROOM = 27.0
HEIGHT_MOST = 500.0  # 125 mm of paper, half a page, and about one screen of a phone


def section_views(
    plan: ParcelPlan, unit: PackUnit, *, choice: UnitChoice = UnitChoice.METRIC
) -> DrawingSheet:
    """Return the sheet of a plan: two sections at one ratio, dimensions, legend, scale bars, title block.

    Every distance on the sheet is the plan's distance times `ratio`, to a thousandth of a unit. The ratio is
    the largest drawing scale at which each section fits half a page. A refused plan says so at every
    section and in the title block, and has no sequence of packing. `unit` has to be the one the plan was
    made for. Raises: OutOfRange when it cannot stand as the plan says.
    """
    stance = stand(unit, down=plan.orientation.down, turn=plan.orientation.turn)
    widest_mm = max(plan.outside_length_mm, plan.outside_width_mm)
    room = SHEET_WIDTH - LEFT_ROOM
    fitting = [ratio for ratio in RATIOS if widest_mm * ratio <= room] or [RATIOS[-1]]
    for ratio in fitting:
        sheet = _sheet(plan, unit, stance, ratio=ratio, choice=choice)
        highest = max(plate.height_units for plate in sheet.plates)
        if highest <= HEIGHT_MOST and _right_end(sheet) <= SHEET_WIDTH:
            return sheet
    return sheet


def _right_end(sheet: DrawingSheet) -> float:
    """Return the right edge of the last ring or text."""
    return max(label.x + label.width_units for label in sheet.labels)


def _sheet(
    plan: ParcelPlan, unit: PackUnit, stance: Stance, *, ratio: float, choice: UnitChoice
) -> DrawingSheet:
    refused = plan.verdict is Verdict.NO
    title = f"{f'{REFUSED} ' if refused else ''}{plan.unit_name} in the carton {plan.carton.name}"
    views: list[View] = []
    rows: list[LegendRow] = []
    y, mark = MARGIN, 1
    tops = []
    for axis, slug, view_title in (
        (0, "front", "Section from the front"),
        (1, "side", "Section from the right side"),
    ):
        tops.append(y - MARGIN)
        view, measured, y = _view(
            plan,
            unit,
            stance,
            axis=axis,
            names=(slug, f"{view_title}: does not pass" if refused else view_title),
            y=y,
            ratio=ratio,
            mark=mark,
        )
        views.append(view)
        mark += len(measured)
        rows += [legend_row(measure, dimension) for measure, dimension in measured]
    foot = round(y - MARGIN, 3)
    bars, y = draw_scale_bars(y, ratio=ratio)
    block, frame, bottom = draw_title_block(plan, y=y, ratio=ratio, choice=choice)
    layers = [dimension for dimension in views[0].dimensions if dimension.kind == "layer"]
    keys = hatch_keys(plan)
    ends = (*tops[1:], foot)
    plates = tuple(
        Plate(view.slug, view.title.lines[0].text, round(top, 3), round(end - top, 3), view)
        for view, top, end in zip(views, tops, ends, strict=True)
    )
    return DrawingSheet(
        slug=plan.unit or "unit",
        width_units=SHEET_WIDTH,
        height_units=round(bottom, 1),
        ratio=ratio,
        scale=scale_text(ratio),
        title=f"{title}, in section",
        description=summarise(plan, choice=choice),
        views=tuple(views),
        scale_bars=bars,
        title_block=block,
        frame=frame,
        hatches=tuple(key.hatch for key in keys),
        legend=tuple(rows),
        layers=layer_rows(plan, layers),
        keys=keys,
        figures=() if refused else packing_figures(plan, unit, stance, choice=choice),
        facts=describe(plan, choice=choice),
        plates=(*plates, Plate("foot", "Scale and title block", foot, round(bottom - foot, 3))),
    )


def _view(
    plan: ParcelPlan,
    unit: PackUnit,
    stance: Stance,
    *,
    axis: int,
    names: tuple[str, str],
    y: float,
    ratio: float,
    mark: int,
) -> tuple[View, list[tuple[Measure, Dimension]], float]:
    """Return one section, its measures with their dimensions, and where the next thing may begin."""
    heading = make_label("view", lines=(names[1],), x=MARGIN, y=y)
    caliper_mm = plan.carton.caliper_mm
    wall_top = y + LINE_HEIGHT + 6 + plan.crown_mm * ratio
    floor = round(wall_top + (2 * caliper_mm + plan.carton.height_mm) * ratio, 3)
    frame = Frame(axis, LEFT_ROOM + caliper_mm * ratio, floor, ratio)
    walls = wall_areas(plan, frame)
    body, centre_lines = unit_areas(plan, unit, stance, frame)
    areas = (*cushion_areas(plan, frame, stance.projections), *walls, *body)
    strokes = (*centre_lines, *support_strokes(plan, frame), *crown_strokes(plan, frame))
    right = frame.across(inside_mm(plan, axis=axis) + caliper_mm)
    bottom = floor + 2 * caliper_mm * ratio
    marks = _layer_marks(plan, frame, top=wall_top + 2) if axis == 0 else []
    columns = Lanes(
        first=right + RING_RADIUS + 4, edges=(y + LINE_HEIGHT, floor + 4 * RING_RADIUS), start_mark=mark
    )
    upright = columns.columns(upright_measures(plan, frame), from_x=right)
    lowest = max([bottom, *(ring_end(dimension) for _, dimension in upright), *map(ring_end, marks)])
    lanes = Lanes(
        first=lowest + RING_RADIUS + 5, edges=(MARGIN, SHEET_WIDTH - MARGIN), start_mark=columns.mark
    )
    level = lanes.rows(level_measures(plan, frame), from_y=bottom)
    measured = [*upright, *level]
    view = View(
        slug=names[0],
        title=heading,
        areas=areas,
        strokes=strokes,
        outlines=tuple(flutes(walls)),
        dimensions=(*(dimension for _, dimension in measured), *marks),
    )
    return view, measured, lanes.end + 8


def ring_end(dimension: Dimension) -> float:
    """Return the lower edge of a dimension's ring."""
    return dimension.ring.y + RING_RADIUS


def _layer_marks(plan: ParcelPlan, frame: Frame, *, top: float) -> list[Dimension]:
    """Return the letters of the layers at their heights, left of the section."""
    heights = [(layer.slug, frame.up(layer.to_mm), layer.to_mm) for layer in plan.layers]
    edge = frame.across(-plan.carton.caliper_mm)
    if not heights:
        return []
    return letters(heights, x=RING_RADIUS + 2, from_x=edge, top=top - RING_RADIUS, floor=frame.floor_units)
