"""Does the bare unit go into a carton at all, and were centimetres perhaps typed for millimetres?"""

from packing.catalogue.schema import Carton
from packing.parcel.unit import PackUnit
from packing.quantities import UnitChoice, show_size

CARTON_SIDE_MOST_MM = 2000.0


def describe_misfit(unit: PackUnit, *, carton: Carton, choice: UnitChoice) -> str:
    """Return that the body of `unit` does not go into `carton` however it is turned, or an empty string.

    The sides are compared in the order of their length, without cushion and without what sticks out, so a
    carton that passes may still be too small. Where ten times the size would do and the reader counts in
    millimetres, the sentence asks whether centimetres were meant.
    """
    inside_mm = (carton.length_mm, carton.width_mm, carton.height_mm)
    if _goes_in(unit, inside_mm=inside_mm):
        return ""
    body = show_size(unit.length_mm, unit.width_mm, unit.height_mm, choice=choice)
    words = (
        f"The unit does not fit into {show_size(*inside_mm, choice=choice)}: it measures {body} by itself, "
        "without any cushion."
    )
    ten_times_mm = tuple(side_mm * 10 for side_mm in inside_mm)
    would_do = max(ten_times_mm) <= CARTON_SIDE_MOST_MM and _goes_in(unit, inside_mm=ten_times_mm)
    if choice is UnitChoice.METRIC and would_do:
        in_mm = " × ".join(f"{side_mm:.0f}" for side_mm in ten_times_mm)
        in_cm = " × ".join(f"{side_mm:g}" for side_mm in inside_mm)
        words += f" Did you mean {in_mm} mm ({in_cm} cm)?"
    return words


def _goes_in(unit: PackUnit, *, inside_mm: tuple[float, ...]) -> bool:
    body_mm = sorted((unit.length_mm, unit.width_mm, unit.height_mm))
    return all(side <= room for side, room in zip(body_mm, sorted(inside_mm), strict=True))
