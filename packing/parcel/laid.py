"""How does a material behave once it is laid: how thick is it, what settles, and how far does it give?"""

import math
from functools import lru_cache

from packing.catalogue.schema import Material, MaterialKind
from packing.parcel.cushion import StressEnergy
from packing.parcel.fill import CROWN_MOST_MM
from packing.parcel.unit import TOP

DEEPEST_STRAIN = 0.95
PAD_KINDS = frozenset({MaterialKind.PLANK, MaterialKind.BOARD_PAD})


def curve_of(material: Material) -> StressEnergy:
    """Return the stress-energy constants of a material."""
    return _curve(material.curve_a_kpa, material.curve_b_m3_kj)


@lru_cache(maxsize=256)
def _curve(a_kpa: float, b_m3_kj: float) -> StressEnergy:
    return StressEnergy(a_kpa=a_kpa, b_m3_kj=b_m3_kj)


def is_cut_to_size(material: Material) -> bool:
    """Tell whether the material comes as pads cut to an area; other materials surround the whole side."""
    return material.kind in PAD_KINDS


def laid_in_layers_mm(thickness_mm: float, *, material: Material) -> float:
    """Return the thickness rounded up to whole layers of the thinnest stock; paper as it is."""
    if not material.thicknesses_mm:
        return thickness_mm
    layer_mm = min(material.thicknesses_mm)
    return math.ceil(thickness_mm / layer_mm - 1e-9) * layer_mm


def layer_count(laid_mm: float, *, material: Material) -> int:
    """Return how many pieces of stock make up a cushion, the thickest first; 1 for paper and fill.

    Raises nothing: what the stock cannot make up exactly counts as one thinnest piece more.
    """
    if not material.thicknesses_mm:
        return 1
    count, rest_mm = 0, laid_mm + 1e-6
    for piece_mm in sorted(material.thicknesses_mm, reverse=True):
        pieces = int(rest_mm // piece_mm)
        count, rest_mm = count + pieces, rest_mm - pieces * piece_mm
    return count + (1 if rest_mm > 0.01 else 0)


def layers_within_mm(room_mm: float, *, material: Material) -> float:
    """Return the thickest cushion of whole layers that goes into a room, at least 0."""
    if not material.thicknesses_mm:
        return max(0.0, room_mm)
    layer_mm = min(material.thicknesses_mm)
    return max(0.0, math.floor(room_mm / layer_mm + 1e-9) * layer_mm)


def left_mm(laid_mm: float, *, material: Material, at: int) -> float:
    """Return what is left of a cushion on the side `at` after settling.

    On top the crown makes up for 15 mm.
    """
    loss_mm = laid_mm * material.settles_share
    return laid_mm - (max(0.0, loss_mm - CROWN_MOST_MM) if at == TOP else loss_mm)


def laid_for_mm(wanted_mm: float, *, material: Material, at: int) -> float:
    """Return what has to be laid on the side `at` so that `wanted_mm` is left: the inverse of `left_mm`."""
    if at != TOP:
        return wanted_mm / (1 - material.settles_share)
    if wanted_mm * material.settles_share <= CROWN_MOST_MM:
        return wanted_mm
    return (wanted_mm - CROWN_MOST_MM) / (1 - material.settles_share)


def deepest_mm(
    laid_mm: float,
    *,
    material: Material,
    stress_kpa: float,
    drop_height_m: float,
    at: int,
    uncertainty_share: float | None = None,
) -> float:
    """Return how far the unit can come towards the wall: settling plus the deepest compression with its band.

    The strain of the stress-energy form (see `cushion.deepest_strain`), raised by the material's uncertainty
    (or the one given), at most 95 % of what settling left. 0 for no cushion.
    """
    after_mm = left_mm(laid_mm, material=material, at=at)
    if after_mm <= 0:
        return 0.0
    strain = strain_with_band(
        after_mm,
        material=material,
        stress_kpa=stress_kpa,
        drop_height_m=drop_height_m,
        uncertainty_share=uncertainty_share,
    )
    return laid_mm - after_mm + min(DEEPEST_STRAIN, strain) * after_mm


def strain_with_band(
    left_mm: float,
    *,
    material: Material,
    stress_kpa: float,
    drop_height_m: float,
    uncertainty_share: float | None = None,
) -> float:
    """Return the strain of the stress-energy form with the material's uncertainty (or the one given).

    Above 0.95 it bottoms out.
    """
    band = material.uncertainty_share if uncertainty_share is None else uncertainty_share
    bend = material.curve_b_m3_kj * stress_kpa * drop_height_m / (left_mm / 1000)
    strain = (1 - math.exp(-min(bend, 50.0))) / (material.curve_a_kpa * material.curve_b_m3_kj)
    return strain * (1 + band)


def absorbed_j(travel_mm: float, *, laid_mm: float, area_m2: float, material: Material, at: int) -> float:
    """Return the energy a cushion has taken when the unit has come `travel_mm` nearer the wall, in joules.

    The inverse of the strain of the stress-energy form: E = -ln(1 - a b x) / b in every unit of volume, x the
    strain at the soft end of the material's uncertainty. Settling takes none. Beyond a b x = 1 the cushion is
    solid and takes whatever comes (infinite).
    """
    after_mm = left_mm(laid_mm, material=material, at=at)
    squeezed_mm = travel_mm - (laid_mm - after_mm)
    if after_mm <= 0 or squeezed_mm <= 0:
        return 0.0
    bend = (
        material.curve_a_kpa
        * material.curve_b_m3_kj
        * min(1.0, squeezed_mm / after_mm)
        / (1 + material.uncertainty_share)
    )
    if bend >= 1:
        return math.inf
    return -math.log(1 - bend) / material.curve_b_m3_kj * area_m2 * after_mm
