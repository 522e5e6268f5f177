"""What stands at the foot of a drawing sheet: the scale bar and the title block."""

from packing.drawing.shapes import (
    PRINT_WIDTH_MM,
    SHEET_WIDTH,
    Dimension,
    Label,
    Stroke,
    make_label,
    wrap,
)
from packing.parcel.outcome import ParcelPlan
from packing.quantities import UnitChoice, show_length, show_mass, show_size

MARGIN = 8.0
BAR_MM = 100.0


def scale_text(ratio: float) -> str:
    """Return the scale as printed, such as "1 : 5", for a sheet printed 195 mm wide."""
    return f"1 : {SHEET_WIDTH / PRINT_WIDTH_MM / ratio:g}"


def draw_scale_bar(y: float, *, ratio: float, choice: UnitChoice) -> tuple[Dimension, float]:
    """Return the scale bar and the height at which the next thing may begin."""
    y += 8
    end = round(MARGIN + BAR_MM * ratio, 3)
    bar_length = show_length(BAR_MM, choice=choice)
    text = f"{bar_length}, scale {scale_text(ratio)} printed {PRINT_WIDTH_MM:.0f} mm wide"
    below = end + 6 + 200 > SHEET_WIDTH
    lines = wrap(text, room_units=SHEET_WIDTH - 2 * MARGIN if below else SHEET_WIDTH - end - 8 - MARGIN)
    label = make_label("scale", lines=lines, x=MARGIN if below else end + 8, y=y + 6 if below else y - 7)
    bar = Dimension("scale-bar", "scale", BAR_MM, (MARGIN, y), (end, y), (), label)
    return bar, max(label.y + label.height_units, y) + 10


def draw_title_block(
    plan: ParcelPlan, *, y: float, ratio: float, choice: UnitChoice
) -> tuple[tuple[Label, ...], tuple[Stroke, ...], float]:
    """Return the texts and rules at the foot of the sheet, and its lower edge."""
    carton = plan.carton
    size = show_size(carton.length_mm, carton.width_mm, carton.height_mm, choice=choice)
    rows = (
        plan.unit_name,
        f"Carton {carton.name}: inside {size}",
        f"{plan.cushions[0].name}. {plan.orientation.sentence}",
        f"Gross {show_mass(plan.gross_mass_kg, choice=choice)}. Fall of "
        f"{show_length(plan.drop.drop_height_m * 1000, choice=choice)}. Scale {scale_text(ratio)}",
    )
    labels: list[Label] = []
    strokes = [Stroke("rule", (MARGIN, y), (SHEET_WIDTH - MARGIN, y))]
    top = y
    for text in rows:
        label = make_label(
            "title", lines=wrap(text, room_units=SHEET_WIDTH - 2 * MARGIN - 8), x=MARGIN + 4, y=y + 3
        )
        labels.append(label)
        y = label.y + label.height_units + 3
        strokes.append(Stroke("rule", (MARGIN, y), (SHEET_WIDTH - MARGIN, y)))
    strokes += [
        Stroke("rule", (MARGIN, top), (MARGIN, y)),
        Stroke("rule", (SHEET_WIDTH - MARGIN, top), (SHEET_WIDTH - MARGIN, y)),
    ]
    return tuple(labels), tuple(strokes), y + MARGIN
