"""What one or two changes would make a refused parcel pass?"""

import math
from collections.abc import Sequence
from dataclasses import replace

from packing.catalogue.schema import Carrier, Carton, Material, MaterialKind, Wall
from packing.parcel.arrangement import Arrangement, Arranger, box_facts, fit_ratio, needed_inside_mm
from packing.parcel.carriers import carrier_limits
from packing.parcel.checks import mass
from packing.parcel.margins import Margin, board_margins, cushion_margins, holds, material_refusal
from packing.parcel.outcome import Change, Force
from packing.parcel.tables import stock_materials
from packing.parcel.unit import stances
from packing.quantities import UnitChoice, show_size

STEP_MM = 5.0
SIDE_MOST_MM = 1200.0
EASE = {MaterialKind.BALLED_PAPER: 0, MaterialKind.BOARD_PAD: 1, MaterialKind.PLANK: 2}
STRONGER_ECT_KN_M, STRONGER_BURST_KPA, STRONGER_CALIPER_MM = (
    8.41,
    1896.1,
    7.0,
)  # 48 lb/in, 275 lb test, BC flute
ROOM_SLUGS = frozenset(
    {"clearance", "wall_distance", "peak_g", "smallest_face", "stress", "buckling", "material"}
)
BOARD_SLUGS = frozenset({"board_mass", "board_size", "stacking", "certificate", "used_carton"})


def find_changes(
    packed: Arrangement, *, arranger: Arranger, at_hand: Sequence[Material], carrier: Carrier | None
) -> tuple[Change, ...]:
    """Return one or two changes after which every rule holds, the cheapest first.

    In the order material, board, size, service.

    A change of material or size is computed through before it is proposed.
    """
    failed = {margin.slug for margin in _failed(packed, carrier=carrier)}
    changes: list[Change] = []
    carton, board = packed.box.carton, "carton"
    if failed & BOARD_SLUGS:
        carton, board = stronger(carton), "new double-wall carton"
    choices = [*at_hand, *sorted(stock_materials(), key=lambda item: EASE.get(item.kind, 9))]
    choices = [item for item in choices if not material_refusal(packed.unit, material=item)]
    fitting = _material_for(packed, carton=carton, arranger=arranger, choices=choices)
    if failed & ROOM_SLUGS and fitting is None and choices:
        changes.append(_larger(packed, board=board, choices=choices, arranger=arranger))
    else:
        if failed & ROOM_SLUGS and fitting is not None and fitting.slug != packed.material.slug:
            changes.append(
                Change("material", f"Use {fitting.name.lower()} instead: then there is room enough.")
            )
        if failed & BOARD_SLUGS:
            changes.append(Change("board", f"Take a {board} of the same size."))
    if carrier is not None and any(slug.startswith("carrier_") for slug in failed):
        changes.append(Change("carrier", f"Choose another service: {_over(packed, carrier=carrier)}."))
    if not changes:
        changes.append(
            Change("advice", "Ask the shop before packing: it has to be fixed in an inner box first.")
        )
    return tuple(changes)


def stronger(carton: Carton) -> Carton:
    """Return the same size in new double-wall board of 48 lb/in; heavier board is left as it is."""
    return replace(
        carton,
        slug=f"{carton.slug}-double",
        wall=Wall.DOUBLE if carton.wall is Wall.SINGLE else carton.wall,
        ect_kn_m=max(carton.ect_kn_m, STRONGER_ECT_KN_M),
        burst_kpa=max(carton.burst_kpa or 0.0, STRONGER_BURST_KPA),
        caliper_mm=max(carton.caliper_mm, STRONGER_CALIPER_MM),
        puncture_j=None,
        certificate_gross_kg=None,
        used=False,
    )


def _failed(packed: Arrangement, *, carrier: Carrier | None) -> list[Margin]:
    margins = cushion_margins(packed) + board_margins(packed.box, gross_kg=packed.gross_kg, carrier=carrier)
    return [margin for margin in margins if margin.force is Force.MUST and not holds(margin)]


def _material_for(
    packed: Arrangement, *, carton: Carton, arranger: Arranger, choices: Sequence[Material]
) -> Material | None:
    """Return the first material that fits this size in some stance, the one in use before others."""
    box = box_facts(carton)
    for material in choices:
        if material_refusal(packed.unit, material=material):
            continue
        for stance in stances(packed.unit):
            _, height_m = arranger.weigh(stance, box=box, material=material)
            needs = arranger.needs(stance, material=material, drop_height_m=height_m)
            if fit_ratio(stance, box=box, needs=needs) >= 1:
                return material
    return None


def _larger(packed: Arrangement, *, board: str, choices: Sequence[Material], arranger: Arranger) -> Change:
    """Return the request for a carton in which the first material that can carry the unit has its room."""
    for material in choices:
        needs = arranger.needs(packed.stance, material=material, drop_height_m=packed.fall.drop_height_m)
        sides = [math.ceil(side / STEP_MM) * STEP_MM for side in needed_inside_mm(packed.stance, needs=needs)]
        if max(sides) <= SIDE_MOST_MM:
            size = show_size(max(sides[:2]), min(sides[:2]), sides[2], choice=UnitChoice.METRIC)
            sentence = (
                f"Take a {board} of at least {size} inside, with {material.name.lower()} on every side."
            )
            return Change("carton", sentence)
    return Change("advice", "Ask the shop before packing: it has to be fixed in an inner box first.")


def _over(packed: Arrangement, *, carrier: Carrier) -> str:
    parts = []
    for limit in carrier_limits(packed.box.outside, gross_mass_kg=packed.gross_kg, carrier=carrier):
        if limit.actual > limit.most:
            actual = mass(limit.actual) if limit.unit == "kg" else f"{limit.actual:.0f} mm"
            most = mass(limit.most) if limit.unit == "kg" else f"{limit.most:.0f} mm"
            parts.append(f"{limit.name} is {actual}, and it takes {most}")
    return "; ".join(parts)
