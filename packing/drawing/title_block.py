"""What stands at the foot of a drawing sheet: the scale bars and the title block."""

import re

from packing.drawing.shapes import (
    PRINT_WIDTH_MM,
    SHEET_WIDTH,
    Bar,
    Label,
    Stroke,
    make_label,
    wrap,
)
from packing.parcel.drop import show_drop_height
from packing.parcel.outcome import ParcelPlan, Verdict
from packing.parcel.reader import hold_together
from packing.quantities import MM_PER_IN, UnitChoice, show_mass, show_size

MARGIN = 6.0
REFUSED = "DOES NOT PASS. Do not pack by this drawing."
NAMES_A_SIZE = re.compile(r"\d ?[x×] ?\d")  # such a name would tell the size twice
BARS = (("scale-bar-mm", 100.0, "100 mm"), ("scale-bar-in", 4 * MM_PER_IN, "4 in"))


def scale_text(ratio: float) -> str:
    """Return the scale as printed, such as "1 : 5", for a section printed 86 mm wide."""
    return f"1 : {SHEET_WIDTH / PRINT_WIDTH_MM / ratio:g}"


def draw_scale_bars(y: float, *, ratio: float) -> tuple[tuple[Bar, ...], float]:
    """Return a bar of 100 mm above one of 4 in, and the height at which the next thing may begin."""
    found = []
    for slug, value_mm, words in BARS:
        end = round(MARGIN + value_mm * ratio, 3)
        label = make_label("scale", lines=(words,), x=end + 8, y=y)
        middle = round(y + label.height_units / 2, 3)
        found.append(Bar(slug, value_mm, (MARGIN, middle), (end, middle), label))
        y += label.height_units + 2
    return tuple(found), y + 6


def draw_title_block(
    plan: ParcelPlan, *, y: float, ratio: float, choice: UnitChoice
) -> tuple[tuple[Label, ...], tuple[Stroke, ...], float]:
    """Return the texts and rules at the foot of the sheet, a refusal first, and its lower edge."""
    carton = plan.carton
    size = show_size(carton.length_mm, carton.width_mm, carton.height_mm, choice=choice)
    name = f" “{carton.name}”" if carton.name and not NAMES_A_SIZE.search(carton.name) else ""
    leg = "way to the shop" if plan.leg.value == "to_shop" else "way back"
    refused = (REFUSED,) if plan.verdict is Verdict.NO else ()
    rows = (
        *refused,
        f"{plan.unit_name}, {leg}",
        f"{carton.wall.value.capitalize()}-wall carton{name}, inside {size}",
        f"Gross {show_mass(plan.gross_mass_kg, choice=choice)}. Made for falls of "
        f"{show_drop_height(plan.drop.drop_height_m, choice=choice)}",
        f"Scale {scale_text(ratio)}, sections printed {PRINT_WIDTH_MM:.0f} mm wide",
    )
    labels: list[Label] = []
    strokes = [Stroke("frame", (MARGIN, y), (SHEET_WIDTH - MARGIN, y))]
    top = y
    for at, text in enumerate(rows):
        label = make_label(
            "title-name" if at == 0 else "title",
            lines=wrap(hold_together(text), room_units=SHEET_WIDTH - 2 * MARGIN - 12),
            x=MARGIN + 6,
            y=y + 3,
        )
        labels.append(label)
        y = label.y + label.height_units + 3
        kind = "frame" if at == len(rows) - 1 else "rule"
        strokes.append(Stroke(kind, (MARGIN, y), (SHEET_WIDTH - MARGIN, y)))
    strokes += [
        Stroke("frame", (MARGIN, top), (MARGIN, y)),
        Stroke("frame", (SHEET_WIDTH - MARGIN, top), (SHEET_WIDTH - MARGIN, y)),
    ]
    return tuple(labels), tuple(strokes), y + MARGIN
