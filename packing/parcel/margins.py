"""By how much does an arrangement keep each rule? Figures only; `checks` puts them into sentences.

Every margin is a ratio, 1 is just enough, and comes three times: by the middle of the estimates behind it and
at both ends of their uncertainty. A rule is kept when the bad end keeps it.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from packing.catalogue.schema import Carrier, Material, MaterialKind
from packing.errors import OutOfRange
from packing.parcel.arrangement import NO_CUSHION_G, Arrangement, BoxFacts
from packing.parcel.board import meets_burst, postal_requirement, used_ceiling_kg, wall_puncture_j
from packing.parcel.carriers import carrier_limits
from packing.parcel.compression import MCKEE_UNCERTAINTY_SHARE
from packing.parcel.cushion import Impact, buckling_area_m2, oblique_peak_g, projected_area_share
from packing.parcel.drop import drop_energy_j
from packing.parcel.laid import (
    DEEPEST_STRAIN,
    absorbed_j,
    curve_of,
    is_cut_to_size,
    left_mm,
    strain_with_band,
)
from packing.parcel.margin import MARGIN_MOST, Margin, at_least, at_most
from packing.parcel.outcome import Force
from packing.parcel.padding import TIP_RESERVE_MM, WALL_DISTANCE_MM
from packing.parcel.unit import HEAVY_OVER_KG, PackUnit
from packing.quantities import GRAVITY_M_S2

STACK_MM = 1500.0  # equal parcels on top up to this height; the shop's judgement
ALL_SIDES = tuple(range(6))


def material_refusal(unit: PackUnit, *, material: Material) -> str:
    """Return why a material may not cushion this unit on its own, or an empty string.

    Bubble, pillows, loose fill and flat newspaper are refused for dense metal above 2 kg and, above 1 kg, for
    anything with parts that must not be touched (common practice; UPS says the same of loose fill). Air
    pillows fill space and cushion nothing. Paper is advised to 7 kg by its supplier.
    """
    if material.kind is MaterialKind.AIR_PILLOW:
        return f"{material.name} alone will not do as a cushion. {material.note}"
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
        at_most("stacking", actual=stacked, most=box.working_n, unit="N", band_share=MCKEE_UNCERTAINTY_SHARE),
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


def each_cushion_margin(packed: Arrangement, *, sides: Sequence[int] = ALL_SIDES) -> Iterator[Margin]:
    """Yield the margins of cushion, clearance and material, the worst side of each, computed when asked for.

    With `sides` only these sides of `FACES` are looked at, with the materials of their regions.
    """
    yield from _worst_of(_clearances(packed, sides=sides))
    yield _worst([wall_margin(packed, at=at) for at in sides])
    yield _worst([_material(packed.unit, material=packed.mix.at(at)) for at in sides])
    yield _worst([_peak(packed, at=at) for at in sides])
    yield _worst([_stress(packed, at=at) for at in sides])
    yield _worst([_edge_corner(packed, at=at) for at in sides])
    yield from _worst_of(_smallest_face(packed, sides=sides))
    yield from _worst_of(_puncture(packed, sides=sides))
    yield from _worst_of(_buckling(packed, sides=sides))


def _peak(packed: Arrangement, *, at: int) -> Margin:
    return at_most(
        "peak_g",
        actual=packed.sides[at].peak_g,
        most=packed.unit.fragility_g,
        unit="G",
        side=at,
        band_share=packed.mix.at(at).uncertainty_share,
    )


def _stress(packed: Arrangement, *, at: int) -> Margin:
    most_kpa = packed.mix.at(at).stress_most_kpa
    return at_most("stress", actual=packed.sides[at].stress_kpa, most=most_kpa, unit="kPa", side=at)


def clearance_margin(packed: Arrangement) -> Margin:
    """Return the worst ratio of clearance at rest to what the deepest compression and the reserve take."""
    return _worst(_clearances(packed, sides=ALL_SIDES))


def _clearances(packed: Arrangement, *, sides: Sequence[int]) -> list[Margin]:
    """Return the clearance of the tips on some sides, of the body where nothing stands out of the unit."""
    reaches = packed.stance.reaches_mm
    out = any(reach > 0 for reach in reaches)
    return [_clearance(packed, at=at, reach_mm=reaches[at]) for at in sides if reaches[at] > 0 or not out]


def _clearance(packed: Arrangement, *, at: int, reach_mm: float) -> Margin:
    side, share = packed.sides[at], packed.mix.at(at).uncertainty_share
    actual = side.gap_mm - reach_mm
    worst = at_least("clearance", actual=actual, least=side.deepest_mm + TIP_RESERVE_MM, unit="mm", side=at)
    middle = at_least("clearance", actual=actual, least=side.deepest_nominal_mm + TIP_RESERVE_MM, unit="mm")
    best = side.deepest_nominal_mm * (1 - share) + TIP_RESERVE_MM
    return replace(
        worst,
        ratio=middle.ratio,
        ratio_least=worst.ratio,
        ratio_most=min(MARGIN_MOST, max(0.0, actual) / best),
        band_share=share,
    )


def required_clearance_mm(packed: Arrangement, *, at: int) -> float:
    """Return the clearance at rest that a tip on one side has to have: the deepest movement plus 5 mm."""
    return packed.sides[at].deepest_mm + TIP_RESERVE_MM


def wall_margin(packed: Arrangement, *, at: int) -> Margin:
    """Return the margin of the published 50 mm between the body and a wall."""
    return at_least(
        "wall_distance", actual=packed.sides[at].gap_mm, least=WALL_DISTANCE_MM, unit="mm", side=at
    )


def _material(unit: PackUnit, *, material: Material) -> Margin:
    refused = bool(material_refusal(unit, material=material))
    most = material.mass_most_kg
    if refused and (most is None or unit.mass_kg <= most or not material.heavy_allowed):
        return Margin("material", 0.0, HEAVY_OVER_KG, unit.mass_kg, "kg")
    if most is None:
        return Margin("material", MARGIN_MOST, 0.0, unit.mass_kg, "kg")
    return at_most("material", actual=unit.mass_kg, most=most, unit="kg")


def _smallest_face(packed: Arrangement, *, sides: Sequence[int]) -> list[Margin]:
    """Return the margins of the 36 in fall onto the smallest face: the cushion there must not bottom out."""
    outside = packed.box.outside
    length, width, height = outside.length_mm, outside.width_mm, outside.height_mm
    areas = (width * height, width * height, length * height, length * height, length * width, length * width)
    smallest = min(areas) * (1 + 1e-9)
    found = []
    for at in sides:
        if areas[at] > smallest:
            continue
        side, material = packed.sides[at], packed.mix.at(at)
        strain = strain_with_band(
            max(left_mm(side.laid_mm, material=material, at=at), 0.1),
            material=material,
            stress_kpa=side.stress_kpa,
            drop_height_m=packed.fall.deepest_drop_height_m,
            uncertainty_share=0.0,
        )
        margin = at_most(
            "smallest_face",
            actual=100 * strain,
            most=100 * DEEPEST_STRAIN,
            unit="%",
            side=at,
            band_share=material.uncertainty_share,
        )
        found.append(margin)
    return found


def _edge_corner(packed: Arrangement, *, at: int) -> Margin:
    """Return the margin of falls on edges and corners at one side: what stops the unit against that face.

    Fragility is stated against a face, so the share of each face is held against it: 1/sqrt(n) of the peak
    along the fall (see `cushion.oblique_peak_g`). A side without cushion stops nothing softly. Most impacts
    of parcels are on edges and corners (93 % of 2394 events, Singh and Cheema 1996).
    """
    worst = max(
        oblique_g(packed, at=at, impact=impact) / projected_area_share(impact)
        for impact in (Impact.EDGE, Impact.CORNER)
    )
    return at_most(
        "edge_corner",
        actual=worst,
        most=packed.unit.fragility_g,
        unit="G",
        side=at,
        band_share=packed.mix.at(at).uncertainty_share,
    )


def oblique_g(packed: Arrangement, *, at: int, impact: Impact) -> float:
    """Return the nominal peak along a fall on an edge or corner at one side, 10000 without a cushion."""
    side, material = packed.sides[at], packed.mix.at(at)
    after_mm = left_mm(side.laid_mm, material=material, at=at)
    if after_mm < 1.0:
        return NO_CUSHION_G
    return oblique_peak_g(
        curve_of(material),
        stress_kpa=side.stress_kpa,
        drop_height_m=packed.fall.drop_height_m,
        thickness_m=after_mm / 1000,
        impact=impact,
    )


def _puncture(packed: Arrangement, *, sides: Sequence[int]) -> list[Margin]:
    """Return the margins of the board against the energy left behind a tip when it meets the wall.

    The cushion takes energy until the tip arrives; what is left of m g h is what the tip brings. Nothing is
    left where the unit stops before. Of a wall whose piercing energy is unknown there is no margin.
    """
    wall_j = wall_puncture_j(packed.box.carton)
    if wall_j is None:
        return []
    energy_j = drop_energy_j(packed.unit.mass_kg, drop_height_m=packed.fall.drop_height_m)
    found = []
    for at in sides:
        reach = packed.stance.reaches_mm[at]
        if reach <= 0:
            continue
        side, material = packed.sides[at], packed.mix.at(at)
        taken = absorbed_j(
            side.gap_mm - reach, laid_mm=side.laid_mm, area_m2=side.area_m2, material=material, at=at
        )
        left_j = max(0.0, energy_j - taken)
        found.append(at_most("puncture", actual=left_j, most=wall_j, unit="J", side=at))
    return found


def _buckling(packed: Arrangement, *, sides: Sequence[int]) -> list[Margin]:
    found = []
    for at in sides:
        side = packed.sides[at]
        if is_cut_to_size(packed.mix.at(at)):
            least_cm2 = buckling_area_m2(max(side.laid_mm, 1.0) / 1000) * 1e4
            found.append(
                at_least("buckling", actual=side.area_m2 * 1e4, least=least_cm2, unit="cm²", side=at)
            )
    return found


def all_margins(packed: Arrangement, *, carrier: Carrier | None) -> list[Margin]:
    """Return every margin of an arrangement, in the order a packer would ask them."""
    of_board = board_margins(packed.box, gross_kg=packed.gross_kg, carrier=carrier)
    return [*each_cushion_margin(packed), *of_board]


def _worst(found: Sequence[Margin]) -> Margin:
    return min(found, key=lambda margin: margin.ratio_least)


def _worst_of(found: Sequence[Margin]) -> list[Margin]:
    """Return the worst of what there is, as a list: nothing where the rule meets no side."""
    return [_worst(found)] if found else []
