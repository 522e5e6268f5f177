"""By which formula was a check computed, and from which numbers?"""

from packing.catalogue.schema import Origin
from packing.parcel.arrangement import Arrangement
from packing.parcel.cushion import Impact
from packing.parcel.laid import left_mm
from packing.parcel.margin import Margin
from packing.parcel.margins import oblique_g
from packing.parcel.outcome import Figure
from packing.parcel.padding import TIP_RESERVE_MM
from packing.parcel.unit import BASE

FALL = "fall h"
_FORMULAS = {
    "clearance": "clearance at rest ≥ settling + strain × t + 5 mm; strain = (1 − exp(−b s h / t)) / (a b)",
    "wall_distance": "gap between body and wall ≥ 50 mm (2 in)",
    "material": "kind of material against mass and parts that stand out",
    "peak_g": "G = (a / s) × exp(b s h / t); s = m g / A; t after settling",
    "edge_corner": "against each face (a / s) × exp(b s h / (n t)), n = 2 on an edge, 3 on a corner",
    "stress": "s = m g / A ≤ the most the material works at",
    "buckling": "A ≥ (1.33 t)²",
    "smallest_face": "strain = (1 − exp(−b s h / t)) / (a b) ≤ 95 % in a fall of 36 in",
    "puncture": "m g h − energy the cushion takes before the tip arrives ≤ piercing energy of the board",
    "board_mass": "gross mass ≤ the row of Item 222 that the board reaches by burst or by edge crush",
    "board_size": "outside length + width + height ≤ the same row of Item 222",
    "advised_mass": "gross mass ≤ the cautious shipper's figure for this edge crush",
    "dense_goods": "burst test, or its edge crush pair, ≥ the post's figure for dense goods of this mass",
    "stacking": "parcels above × gross mass × g ≤ 5.87 × ECT × √(h Z) × time × damp × handling",
    "certificate": "gross mass ≤ gross mass on the box maker's certificate",
    "used_carton": "gross mass ≤ 20 lb in a used carton",
}


def formula_of(margin: Margin) -> str:
    """Return the formula of a check in symbols; its figures name them."""
    if margin.slug.startswith("carrier_"):
        return "figure of the parcel ≤ limit of the service"
    return _FORMULAS[margin.slug]


def figures_of(margin: Margin, *, packed: Arrangement) -> tuple[Figure, ...]:
    """Return the numbers that went into a check, each with its unit and how sure it is."""
    if margin.slug in (
        "clearance",
        "peak_g",
        "edge_corner",
        "stress",
        "smallest_face",
        "puncture",
        "buckling",
    ):
        return _cushion_figures(margin, packed=packed)
    if margin.slug == "stacking":
        return _stack_figures(packed)
    if margin.slug in ("board_mass", "board_size", "advised_mass", "dense_goods"):
        return (
            Figure("gross mass", packed.gross_kg, "kg", Origin.ESTIMATE),
            Figure("edge crush ECT", packed.box.carton.ect_kn_m, "kN/m", packed.box.carton.source.origin),
            Figure("outside length + width + height", packed.box.outside.united_mm, "mm", Origin.PUBLISHED),
        )
    if margin.slug == "wall_distance":
        return (Figure("gap", margin.actual, "mm", Origin.MEASURED),)
    return (Figure("gross mass", packed.gross_kg, "kg", Origin.ESTIMATE),)


def _cushion_figures(margin: Margin, *, packed: Arrangement) -> tuple[Figure, ...]:
    at = margin.side if margin.side >= 0 else BASE
    side, material = packed.sides[at], packed.mix.at(at)
    design = margin.slug in ("peak_g", "edge_corner", "stress", "puncture")
    height_m = packed.fall.drop_height_m if design else packed.fall.deepest_drop_height_m
    sure = material.source.origin
    figures = [
        Figure("mass m", packed.unit.mass_kg, "kg", Origin.ESTIMATE),
        Figure("bearing area A", side.area_m2 * 1e4, "cm²", Origin.ESTIMATE),
        Figure("static stress s", side.stress_kpa, "kPa", Origin.ESTIMATE),
        Figure(FALL, height_m * 1000, "mm", packed.drop.origin),
        Figure("laid", side.laid_mm, "mm", Origin.MEASURED),
        Figure("t after settling", left_mm(side.laid_mm, material=material, at=at), "mm", sure),
        Figure("a", material.curve_a_kpa, "kPa", sure),
        Figure("b", material.curve_b_m3_kj, "m³/kJ", sure),
        Figure("uncertainty of the curve", 100 * material.uncertainty_share, "%", Origin.ESTIMATE),
    ]
    if margin.slug == "edge_corner":
        for name, impact in (("along a fall on an edge", Impact.EDGE), ("on a corner", Impact.CORNER)):
            figures.append(Figure(name, oblique_g(packed, at=at, impact=impact), "G", sure))
    if margin.slug in ("peak_g", "edge_corner"):
        figures.append(Figure("allowed G", packed.unit.fragility_g, "G", Origin.ESTIMATE))
    if margin.slug == "clearance":
        figures.append(Figure("reserve", TIP_RESERVE_MM, "mm", Origin.ESTIMATE))
    return tuple(figures)


def _stack_figures(packed: Arrangement) -> tuple[Figure, ...]:
    carton, outside = packed.box.carton, packed.box.outside
    return (
        Figure("edge crush ECT", carton.ect_kn_m, "kN/m", carton.source.origin),
        Figure("board thickness h", carton.caliper_mm, "mm", carton.source.origin),
        Figure("perimeter Z", 2 * (carton.length_mm + carton.width_mm), "mm", Origin.PUBLISHED),
        Figure("strength when new", packed.box.new_n, "N", Origin.ESTIMATE),
        Figure("share left", 100 * packed.box.working_n / packed.box.new_n, "%", Origin.PUBLISHED),
        Figure("stack", max(0.0, 1500 / outside.height_mm - 1), "parcels", Origin.ESTIMATE),
        Figure("gross mass", packed.gross_kg, "kg", Origin.ESTIMATE),
    )
