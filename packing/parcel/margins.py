"""By how much does an arrangement keep each rule? Figures only; `checks` puts them into sentences."""

from dataclasses import dataclass

from packing.catalogue.schema import Carrier, Material
from packing.errors import OutOfRange
from packing.parcel.arrangement import Arrangement, BoxFacts
from packing.parcel.board import meets_burst, postal_requirement, used_ceiling_kg
from packing.parcel.carriers import carrier_limits
from packing.parcel.cushion import buckling_area_m2
from packing.parcel.outcome import Force
from packing.parcel.padding import (
    DEEPEST_STRAIN,
    TIP_RESERVE_MM,
    WALL_DISTANCE_MM,
    is_cut_to_size,
    left_mm,
    strain_with_band,
)
from packing.parcel.unit import HEAVY_OVER_KG, PackUnit
from packing.quantities import GRAVITY_M_S2

STACK_MM = 1500.0  # equal parcels on top up to this height; the shop's judgement
MARGIN_MOST = 99.0


@dataclass(frozen=True, slots=True)
class Margin:
    """One rule.

    What it requires, what there is, and their ratio (1 is just enough). `side` indexes FACES or -1.
    """

    slug: str
    ratio: float
    required: float
    actual: float
    unit: str
    force: Force = Force.MUST
    side: int = -1


def at_most(slug: str, *, actual: float, most: float, unit: str, force: Force = Force.MUST) -> Margin:
    """Return the margin of a figure that may not exceed `most`."""
    ratio = MARGIN_MOST if actual <= 0 else min(MARGIN_MOST, most / actual)
    return Margin(slug, ratio, most, actual, unit, force)


def at_least(slug: str, *, actual: float, least: float, unit: str, side: int = -1) -> Margin:
    """Return the margin of a figure that has to reach `least`."""
    ratio = MARGIN_MOST if least <= 0 else min(MARGIN_MOST, max(0.0, actual) / least)
    return Margin(slug, ratio, least, actual, unit, Force.MUST, side)


def material_refusal(unit: PackUnit, *, material: Material) -> str:
    """Return why a material may not cushion this unit on its own, or an empty string.

    Bubble, pillows, loose fill and flat newspaper are refused for dense metal above 2 kg and for anything
    with parts
    that must not be touched (common practice; UPS says the same of loose fill). Paper is advised to 7 kg by
    its
    supplier.
    """
    if unit.heavy and not material.heavy_allowed:
        what = f"a dense unit above {HEAVY_OVER_KG:.0f} kg"
        return f"{material.name} alone will not do for {what}. {material.note}"
    if unit.sharp and not material.sharp_allowed:
        return f"{material.name} alone will not do round parts that stick out. {material.note}"
    if material.mass_most_kg is not None and unit.mass_kg > material.mass_most_kg:
        return f"{material.name} will do up to {material.mass_most_kg:g} kg only; the unit is heavier."
    return ""


def board_margins(box: BoxFacts, *, gross_kg: float, carrier: Carrier | None) -> list[Margin]:
    """Return the margins that depend on the carton, the gross mass and the carrier only."""
    limits, carton = box.limits, box.carton
    stacked = max(0.0, STACK_MM / box.outside.height_mm - 1) * gross_kg * GRAVITY_M_S2
    found = [
        at_most("board_mass", actual=gross_kg, most=limits.gross_mass_kg if limits else 0.0, unit="kg"),
        at_most(
            "board_size", actual=box.outside.united_mm, most=limits.united_mm if limits else 0.0, unit="mm"
        ),
        at_most("advised_mass", actual=gross_kg, most=box.advised_kg or 0.0, unit="kg", force=Force.ADVISED),
        at_most("stacking", actual=stacked, most=box.working_n, unit="N"),
        _dense_goods(box, gross_kg=gross_kg),
    ]
    if carton.certificate_gross_kg is not None:
        found.append(at_most("certificate", actual=gross_kg, most=carton.certificate_gross_kg, unit="kg"))
    if carton.used:
        found.append(at_most("used_carton", actual=gross_kg, most=used_ceiling_kg(), unit="kg"))
    if carrier is not None:
        for limit in carrier_limits(box.outside, gross_mass_kg=gross_kg, carrier=carrier):
            found.append(
                at_most(f"carrier_{limit.slug}", actual=limit.actual, most=limit.most, unit=limit.unit)
            )
    return found


def _dense_goods(box: BoxFacts, *, gross_kg: float) -> Margin:
    """Return the advised margin of the post's board rule for dense goods, 0 above its range."""
    try:
        row = postal_requirement(gross_kg)
    except OutOfRange:
        return Margin("dense_goods", MARGIN_MOST, 0.0, 0.0, "psi", Force.ADVISED)
    ratio = min(MARGIN_MOST, meets_burst(box.carton, burst_psi=row.burst_psi))
    return Margin("dense_goods", ratio, row.burst_psi, ratio * row.burst_psi, "psi", Force.ADVISED)


def cushion_margins(packed: Arrangement) -> list[Margin]:
    """Return the margins of cushion, clearance and material, worst side of each."""
    return [
        clearance_margin(packed),
        _worst([wall_margin(packed, at=at) for at in range(6)]),
        _material(packed),
        _worst(
            [
                _with_side(at_most("peak_g", actual=side.peak_g, most=packed.unit.fragility_g, unit="G"), at)
                for at, side in enumerate(packed.sides)
            ]
        ),
        _worst(
            [
                _with_side(
                    at_most(
                        "stress", actual=side.stress_kpa, most=packed.material.stress_most_kpa, unit="kPa"
                    ),
                    at,
                )
                for at, side in enumerate(packed.sides)
            ]
        ),
        _smallest_face(packed),
        *_buckling(packed),
    ]


def tip_reserves(packed: Arrangement) -> list[tuple[int, float]]:
    """Return (side, reach) for every side on which something stands out."""
    return [(at, reach) for at, reach in enumerate(packed.stance.reaches_mm) if reach > 0]


def clearance_margin(packed: Arrangement) -> Margin:
    """Return the worst ratio of clearance at rest to what the deepest compression and the reserve take."""
    found = [
        at_least(
            "clearance",
            actual=packed.sides[at].gap_mm - reach,
            least=required_clearance_mm(packed, at=at),
            unit="mm",
            side=at,
        )
        for at, reach in tip_reserves(packed)
    ]
    if found:
        return _worst(found)
    return _worst(
        [
            at_least(
                "clearance",
                actual=side.gap_mm,
                least=required_clearance_mm(packed, at=at),
                unit="mm",
                side=at,
            )
            for at, side in enumerate(packed.sides)
        ]
    )


def required_clearance_mm(packed: Arrangement, *, at: int) -> float:
    """Return the clearance at rest that a tip on one side has to have: the deepest movement plus 5 mm."""
    return packed.sides[at].deepest_mm + TIP_RESERVE_MM


def wall_margin(packed: Arrangement, *, at: int) -> Margin:
    """Return the margin of the published 50 mm between the body and a wall."""
    return at_least(
        "wall_distance", actual=packed.sides[at].gap_mm, least=WALL_DISTANCE_MM, unit="mm", side=at
    )


def _material(packed: Arrangement) -> Margin:
    refused = bool(material_refusal(packed.unit, material=packed.material))
    most = packed.material.mass_most_kg
    if refused and (most is None or packed.unit.mass_kg <= most or not packed.material.heavy_allowed):
        return Margin("material", 0.0, HEAVY_OVER_KG, packed.unit.mass_kg, "kg")
    if most is None:
        return Margin("material", MARGIN_MOST, 0.0, packed.unit.mass_kg, "kg")
    return at_most("material", actual=packed.unit.mass_kg, most=most, unit="kg")


def _smallest_face(packed: Arrangement) -> Margin:
    """Return the margin of the 36 in fall onto the smallest face: the cushion there must not bottom out."""
    length, width, height = (
        packed.box.outside.length_mm,
        packed.box.outside.width_mm,
        packed.box.outside.height_mm,
    )
    areas = (width * height, width * height, length * height, length * height, length * width, length * width)
    smallest = min(areas)
    found = []
    for at, side in enumerate(packed.sides):
        if areas[at] <= smallest * (1 + 1e-9):
            strain = strain_with_band(
                max(left_mm(side.laid_mm, material=packed.material, at=at), 0.1),
                material=packed.material,
                stress_kpa=side.stress_kpa,
                drop_height_m=packed.fall.deepest_drop_height_m,
            )
            margin = at_most("smallest_face", actual=100 * strain, most=100 * DEEPEST_STRAIN, unit="%")
            found.append(_with_side(margin, at))
    return _worst(found)


def _buckling(packed: Arrangement) -> list[Margin]:
    if not is_cut_to_size(packed.material):
        return []
    found = []
    for at, side in enumerate(packed.sides):
        least_cm2 = buckling_area_m2(max(side.laid_mm, 1.0) / 1000) * 1e4
        found.append(at_least("buckling", actual=side.area_m2 * 1e4, least=least_cm2, unit="cm²", side=at))
    return [_worst(found)]


def _with_side(margin: Margin, at: int) -> Margin:
    return Margin(
        margin.slug, margin.ratio, margin.required, margin.actual, margin.unit, margin.force, side=at
    )


def _worst(found: list[Margin]) -> Margin:
    return min(found, key=lambda margin: margin.ratio)


def holds(margin: Margin) -> bool:
    """Tell whether a margin is kept, a hair of rounding allowed."""
    return margin.ratio >= 1 - 1e-6
