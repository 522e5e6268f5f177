"""What would somebody say who describes the drawing to a person who cannot see it?"""

from packing.drawing.hatches import BLOCK, CORNERS, PAD, WORDS, hatch_of
from packing.drawing.layout import Measure
from packing.drawing.shapes import Dimension, HatchKey, LegendRow
from packing.parcel.outcome import BlockKind, Clearance, CushionFace, ParcelPlan
from packing.parcel.reader import hold_together
from packing.quantities import UnitChoice, show_length, show_mass, show_size


def summarise(plan: ParcelPlan, *, choice: UnitChoice = UnitChoice.METRIC) -> str:
    """Return the drawing in two or three sentences; the legend and the facts say the rest."""
    carton, stand = plan.carton, plan.orientation
    size = show_size(carton.length_mm, carton.width_mm, carton.height_mm, choice=choice)
    least = min(plan.clearances, key=lambda item: item.at_rest_mm)
    return hold_together(
        f"Two sections of a carton, inside {size}. {stand.sentence} The least distance to a wall is "
        f"{show_length(max(0.0, least.at_rest_mm), choice=choice)}: {least.name}."
    )


def describe(plan: ParcelPlan, *, choice: UnitChoice = UnitChoice.METRIC) -> tuple[str, ...]:
    """Return the facts of the drawing as short sentences, in the order in which the parcel is packed."""
    carton, stand = plan.carton, plan.orientation
    sentences = [
        f"Carton {carton.name}, inside {_size(carton.length_mm, carton.width_mm, carton.height_mm, choice)}.",
        f"{plan.unit_name}, {_size(stand.length_mm, stand.width_mm, stand.height_mm, choice)} as it stands.",
        stand.sentence,
    ]
    if plan.block is not None:
        kind = "a block" if plan.block.kind is BlockKind.RIGID else "a built-up block"
        sentences.append(
            f"Under its support face is {kind} {show_length(plan.block.height_mm, choice=choice)} high with "
            f"a board pad {show_length(plan.block.pad_thickness_mm, choice=choice)} thick."
        )
    sentences += [_cushion(cushion, choice) for cushion in plan.cushions]
    sentences += [_clearance(item, choice) for item in plan.clearances if item.projection]
    sentences += [
        f"Layer {layer.name}: from {show_length(layer.from_mm, choice=choice)} to "
        f"{show_length(layer.to_mm, choice=choice)} above the floor."
        for layer in plan.layers
    ]
    sentences += [
        f"The lid bulges by about {show_length(plan.crown_mm, choice=choice)} when it is closed.",
        f"The parcel weighs {show_mass(plan.gross_mass_kg, choice=choice)}.",
    ]
    return tuple(sentences)


def legend_row(measure: Measure, dimension: Dimension) -> LegendRow:
    """Return the legend of one numbered dimension."""
    metric, imperial = both_units(measure.value_mm)
    deepest = ""
    if measure.deepest_mm is not None:
        deepest = _in_both(max(0.0, measure.deepest_mm))
    words = measure.words[:1].upper() + measure.words[1:]
    return LegendRow(dimension.ring.text, words, metric, imperial, deepest)


def layer_rows(plan: ParcelPlan, dimensions: list[Dimension]) -> tuple[LegendRow, ...]:
    """Return the legend of the layers: letter, name, height of its top above the floor, from the floor up."""
    marks = {dimension.slug: dimension.ring.text for dimension in dimensions}
    return tuple(
        LegendRow(
            marks[f"layer-{layer.slug}"],
            layer.name[:1].upper() + layer.name[1:],
            *both_units(layer.to_mm),
            _in_both(layer.to_mm - layer.from_mm),
        )
        for layer in plan.layers
        if f"layer-{layer.slug}" in marks
    )


def hatch_keys(plan: ParcelPlan) -> tuple[HatchKey, ...]:
    """Return each pattern of the sheet with what it stands for."""
    keys = {hatch_of(cushion.kind): cushion.name for cushion in plan.cushions if cushion.thickness_mm > 0}
    if plan.block is not None and plan.block.kind is BlockKind.RIGID:
        keys[BLOCK] = WORDS[BLOCK].capitalize()
    if any(cushion.spreader_mm > 0 or cushion.packed_out_mm > 0 for cushion in plan.cushions):
        keys[PAD] = "Folded board"
    if any(cushion.cut_to_size for cushion in plan.cushions):
        keys[CORNERS] = WORDS[CORNERS].capitalize()
    return tuple(HatchKey(f"{plan.unit}-{plan.leg.value}-key", hatch, words) for hatch, words in keys.items())


def both_units(value_mm: float) -> tuple[str, str]:
    """Return a length as figures: millimetres, and inches to the nearest eighth."""
    metric, _, imperial = show_length(value_mm, choice=UnitChoice.METRIC).partition(" (")
    return metric.removesuffix(" mm"), imperial.removesuffix(")").removesuffix(" in")


def _in_both(value_mm: float) -> str:
    metric, imperial = both_units(value_mm)
    return hold_together(f"{metric} ({imperial})")


def _size(length_mm: float, width_mm: float, height_mm: float, choice: UnitChoice) -> str:
    return show_size(length_mm, width_mm, height_mm, choice=choice)


def _cushion(cushion: CushionFace, choice: UnitChoice) -> str:
    gap = show_length(cushion.gap_mm, choice=choice)
    text = f"{cushion.face.value.capitalize()}: {gap} between body and carton"
    if abs(cushion.gap_mm - cushion.thickness_mm) > 0.05:
        text += f", of which {show_length(cushion.thickness_mm, choice=choice)} is {cushion.name.lower()}"
    else:
        text += f", all {cushion.name.lower()}"
    return f"{text}."


def _clearance(item: Clearance, choice: UnitChoice) -> str:
    deepest = show_length(max(0.0, item.at_deepest_mm), choice=choice)
    return (
        f"{item.name.capitalize()}: {show_length(max(0.0, item.at_rest_mm), choice=choice)} from the "
        "carton at "
        f"the {item.face.value}, {deepest} at the deepest moment of a fall."
    )
