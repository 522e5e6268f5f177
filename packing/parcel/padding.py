"""How much room does each side of a unit need for a given material and fall, before any carton is looked at?

Everything here depends on the unit's stance, the material and the drop heights only, so a search over many
cartons
computes it once.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from packing.catalogue.schema import Material, MaterialKind
from packing.parcel.cushion import (
    BUCKLING_SLENDERNESS,
    StressEnergy,
    bearing_area_m2,
    static_stress_kpa,
)
from packing.parcel.fill import CROWN_MOST_MM
from packing.parcel.unit import Stance

WALL_DISTANCE_MM = 50.0  # 2 in between item and wall: UPS and every packing guide read
TIP_RESERVE_MM = 5.0  # left between a tip and the wall at the deepest moment; the shop's judgement
BLOCK_RESERVE_MM = 5.0  # a hanging projection stays this far above the pad; the shop's judgement
SPREADER_MM = 6.0  # two thicknesses of folded B flute board
SPREAD_OVERHANG_MM = 40.0  # how far such a pad carries past the face; estimate
DEEPEST_STRAIN = 0.95
UNREACHABLE_MM = 5000.0

PAD_KINDS = frozenset({MaterialKind.PLANK, MaterialKind.BOARD_PAD})
BASE, TOP = 4, 5


@dataclass(frozen=True, slots=True)
class SideNeed:
    """What one side needs.

    The cushion laid, its pad, the gap to the wall, and the stress it was designed for.
    """

    gap_mm: float
    laid_mm: float
    spreader_mm: float
    block_mm: float
    area_m2: float
    stress_kpa: float


@dataclass(frozen=True, slots=True)
class Fall:
    """The falls a parcel is designed for: the named test for the peak, the hand-thrown one for clearances."""

    drop_height_m: float
    deepest_drop_height_m: float


def curve_of(material: Material) -> StressEnergy:
    """Return the stress-energy constants of a material."""
    return StressEnergy(a_kpa=material.curve_a_kpa, b_m3_kj=material.curve_b_m3_kj)


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


def side_needs(
    stance: Stance, *, material: Material, mass_kg: float, allowed_g: float, fall: Fall
) -> tuple[SideNeed, ...]:
    """Return what each of the six sides needs, in the order of `FACES`.

    The cushion keeps the peak to `allowed_g` after settling; no tip reaches the wall at the deepest
    compression; the
    body stays 50 mm from every wall; projections below the support face hang beside a block.
    """
    task = _Task(material, mass_kg=mass_kg, allowed_g=allowed_g, fall=fall)
    designed: dict[tuple[float, float, float, bool], tuple[SideNeed, ...]] = {}
    needs: list[SideNeed] = []
    for at in range(6):
        bearing_m2, reach_mm = stance.bearings_m2[at], stance.reaches_mm[at]
        sides = stance.support_mm if at == BASE else stance.sides_mm[at]
        key = (bearing_m2, *sides, at == TOP)
        if key not in designed:
            designed[key] = task.variants(sides, bearing_m2=bearing_m2, at=at)
        reaching = [_with_reach(task, need, reach_mm=reach_mm, at=at) for need in designed[key]]
        needs.append(task.chosen(reaching))
    return tuple(needs)


def _with_reach(task: "_Task", need: SideNeed, *, reach_mm: float, at: int) -> SideNeed:
    """Return a side's need with room for what stands out of it: a block below, clearance elsewhere."""
    if reach_mm <= 0:
        return need
    if at != BASE:
        return replace(need, gap_mm=max(need.gap_mm, task.tip_gap_mm(need, reach_mm=reach_mm, at=at)))
    block_mm = reach_mm + BLOCK_RESERVE_MM
    gap_mm = max(need.laid_mm + SPREADER_MM + block_mm, WALL_DISTANCE_MM)
    return replace(need, gap_mm=gap_mm, spreader_mm=SPREADER_MM, block_mm=block_mm)


def deepest_mm(
    laid_mm: float, *, material: Material, stress_kpa: float, drop_height_m: float, at: int
) -> float:
    """Return how far the unit can come towards the wall: settling plus the deepest compression with its band.

    The strain of the stress-energy form (see `cushion.deepest_strain`), raised by the material's
    uncertainty, at
    most 95 % of what settling left. 0 for no cushion.
    """
    after_mm = left_mm(laid_mm, material=material, at=at)
    if after_mm <= 0:
        return 0.0
    strain = strain_with_band(after_mm, material=material, stress_kpa=stress_kpa, drop_height_m=drop_height_m)
    return laid_mm - after_mm + min(DEEPEST_STRAIN, strain) * after_mm


def strain_with_band(left_mm: float, *, material: Material, stress_kpa: float, drop_height_m: float) -> float:
    """Return the strain of the stress-energy form with the material's uncertainty.

    Above 0.95 it bottoms out.
    """
    bend = material.curve_b_m3_kj * stress_kpa * drop_height_m / (left_mm / 1000)
    strain = (1 - math.exp(-min(bend, 50.0))) / (material.curve_a_kpa * material.curve_b_m3_kj)
    return strain * (1 + material.uncertainty_share)


class _Task:
    """One unit on one material under one fall: designs the cushion of each side."""

    def __init__(self, material: Material, *, mass_kg: float, allowed_g: float, fall: Fall) -> None:
        self.material, self.mass_kg, self.allowed_g, self.fall = material, mass_kg, allowed_g, fall

    def variants(self, sides_mm: tuple[float, float], *, bearing_m2: float, at: int) -> tuple[SideNeed, ...]:
        """Return the cushion without a spreader pad and, where one could help, the cushion with it."""
        spread_m2 = math.prod(side + 2 * SPREAD_OVERHANG_MM for side in sides_mm) / 1e6
        plain = self._side(bearing_m2, bearing_m2=bearing_m2, at=at)
        if spread_m2 <= bearing_m2 * 1.001:
            return (plain,)
        return plain, self._side(spread_m2, bearing_m2=bearing_m2, at=at)

    def chosen(self, variants: Sequence[SideNeed]) -> SideNeed:
        """Return the variant that takes the least room; an overloaded one only when there is no other."""
        limit_kpa = self.material.stress_most_kpa * 1.000001
        sound = [need for need in variants if need.stress_kpa <= limit_kpa]
        return min(sound or variants[-1:], key=lambda need: round(need.gap_mm, 1))

    def _side(self, most_m2: float, *, bearing_m2: float, at: int) -> SideNeed:
        thickness_m, stress_kpa = self._thickness_m(most_m2, bearing_m2=bearing_m2, at=at)
        area_m2 = bearing_area_m2(self.mass_kg, stress_kpa=stress_kpa)
        laid_mm = laid_for_mm(1000 * thickness_m, material=self.material, at=at)
        laid_mm = laid_in_layers_mm(min(laid_mm, UNREACHABLE_MM), material=self.material)
        spreader_mm = SPREADER_MM if area_m2 > bearing_m2 * 1.001 else 0.0
        if not self.material.thicknesses_mm:
            laid_mm = max(laid_mm, WALL_DISTANCE_MM - spreader_mm)
        gap_mm = max(laid_mm + spreader_mm, WALL_DISTANCE_MM)
        return SideNeed(gap_mm, laid_mm, spreader_mm, 0.0, area_m2, stress_kpa)

    def _thickness_m(self, most_m2: float, *, bearing_m2: float, at: int) -> tuple[float, float]:
        """Return the thickness after settling (m) and the static stress (kPa) that keep both limits."""
        material, height_m = self.material, self.fall.drop_height_m
        # At the optimum C = a b e; where the deepest fall caps the stress at a share c of it, a b exp(c) / c.
        share = min(1.0, self._unbottomed_energy() * height_m / self.fall.deepest_drop_height_m)
        factor = material.curve_a_kpa * material.curve_b_m3_kj * math.exp(share) / share
        thickness_m = factor * height_m / self.allowed_g
        stress_kpa = 0.0
        for _ in range(5):
            stress_kpa = self._stress_kpa(thickness_m, bearing_m2=bearing_m2, most_m2=most_m2, at=at)
            ratio = self.allowed_g * stress_kpa / material.curve_a_kpa
            if ratio <= 1.001:
                return UNREACHABLE_MM / 1000, stress_kpa
            needed_m = material.curve_b_m3_kj * stress_kpa * height_m / math.log(ratio)
            needed_m = max(needed_m, self._unbottomed_m(stress_kpa))
            if needed_m <= thickness_m + 1e-5:
                return max(needed_m, thickness_m) if needed_m > thickness_m - 1e-5 else needed_m, stress_kpa
            thickness_m = needed_m
        return thickness_m, stress_kpa

    def _unbottomed_energy(self) -> float:
        """Return the most b E (no unit) at which the cushion does not bottom out, band included."""
        material = self.material
        strain = (
            DEEPEST_STRAIN * material.curve_a_kpa * material.curve_b_m3_kj / (1 + material.uncertainty_share)
        )
        return 50.0 if strain >= 1 else -math.log(1 - strain)

    def _unbottomed_m(self, stress_kpa: float) -> float:
        """Return the thickness that does not bottom out in the deepest fall."""
        energy = self.material.curve_b_m3_kj * stress_kpa * self.fall.deepest_drop_height_m
        return energy / self._unbottomed_energy()

    def _stress_kpa(self, thickness_m: float, *, bearing_m2: float, most_m2: float, at: int) -> float:
        """Return the static stress nearest to the optimum that the side's areas and the material allow."""
        material = self.material
        best_kpa = thickness_m / (material.curve_b_m3_kj * self.fall.drop_height_m)
        deep_m = self.fall.deepest_drop_height_m
        best_kpa = min(best_kpa, self._unbottomed_energy() * thickness_m / (material.curve_b_m3_kj * deep_m))
        least_m2 = min(bearing_m2, most_m2)
        if is_cut_to_size(material):
            laid_mm = laid_for_mm(1000 * thickness_m, material=material, at=at)
            pad_mm = laid_in_layers_mm(laid_mm, material=material)
            least_m2 = min(most_m2, (BUCKLING_SLENDERNESS * pad_mm / 1000) ** 2)
        lowest_kpa = static_stress_kpa(self.mass_kg, area_m2=max(most_m2, 1e-6))
        highest_kpa = static_stress_kpa(self.mass_kg, area_m2=max(least_m2, 1e-6))
        return max(lowest_kpa, min(best_kpa, highest_kpa, material.stress_most_kpa))

    def tip_gap_mm(self, need: SideNeed, *, reach_mm: float, at: int) -> float:
        """Return the gap that keeps a tip off the wall at the deepest moment.

        Pads keep their thickness and are packed out behind; paper fills the gap, so its thickness grows with
        it (a
        contraction, solved by repetition).
        """
        if need.laid_mm >= UNREACHABLE_MM:
            return UNREACHABLE_MM
        free_mm = reach_mm + TIP_RESERVE_MM
        if self.material.thicknesses_mm:
            return free_mm + self._deepest_mm(need.laid_mm, need.stress_kpa, at=at)
        gap_mm = need.gap_mm
        for _ in range(40):
            laid_mm = max(gap_mm - need.spreader_mm, 1.0)
            wanted_mm = free_mm + self._deepest_mm(laid_mm, need.stress_kpa, at=at)
            if wanted_mm <= gap_mm + 0.01:
                return gap_mm + 0.02
            gap_mm = wanted_mm
        return gap_mm + 0.1

    def _deepest_mm(self, laid_mm: float, stress_kpa: float, *, at: int) -> float:
        height_m = self.fall.deepest_drop_height_m
        return deepest_mm(
            laid_mm, material=self.material, stress_kpa=stress_kpa, drop_height_m=height_m, at=at
        )
