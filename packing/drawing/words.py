"""What would somebody say who describes the drawing to a person who cannot see it?"""

from packing.parcel.outcome import Clearance, CushionFace, ParcelPlan
from packing.quantities import UnitChoice, show_length, show_mass, show_size


def describe(plan: ParcelPlan, *, choice: UnitChoice = UnitChoice.METRIC) -> tuple[str, ...]:
    """Return the facts of the drawing as sentences, in the order in which the parcel is packed."""
    carton, stand = plan.carton, plan.orientation
    sentences = [
        f"Carton {carton.name}, inside {_size(carton.length_mm, carton.width_mm, carton.height_mm, choice)}.",
        f"{plan.unit_name}, {_size(stand.length_mm, stand.width_mm, stand.height_mm, choice)} as it stands. "
        f"{stand.sentence}",
    ]
    if plan.block is not None:
        sentences.append(
            f"Under its support face is a block {show_length(plan.block.height_mm, choice=choice)} high on "
            f"a board pad "
            f"{show_length(plan.block.pad_thickness_mm, choice=choice)} thick."
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
        f"carton at the "
        f"{item.face.value}, {deepest} at the deepest moment of a fall."
    )
