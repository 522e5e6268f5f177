"""How much room does each side of a unit need for a given material and fall, before any carton is looked at?

Everything here depends on the unit's stance, the material and the drop heights only, so a search over many
cartons computes it once. Every side is designed at the bad end of the material's uncertainty: the peak for a
curve that much harder, the deepest movement for a strain that much larger. Settling is counted once, as the
share a material loses on the way; creep is part of that share and not added again.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from packing.catalogue.schema import Material
from packing.parcel.cushion import (
    BUCKLING_SLENDERNESS,
    bearing_area_m2,
    static_stress_kpa,
)
from packing.parcel.laid import (
    DEEPEST_STRAIN,
    deepest_mm,
    is_cut_to_size,
    laid_for_mm,
    laid_in_layers_mm,
)
from packing.parcel.outcome import BlockKind
from packing.parcel.ranges import require_between
from packing.parcel.unit import BASE, SPREAD_OVERHANG_MM, TOP, Stance

WALL_DISTANCE_MM = 50.0  # 2 in between item and wall: UPS and every packing guide read
TIP_RESERVE_MM = 5.0  # left between a tip and the wall at the deepest moment: covers cartons 1/8 in small
BLOCK_RESERVE_MM = 5.0  # a hanging projection stays this far above the pad; the shop's judgement
SPREADER_MM = 6.0  # two thicknesses of folded B flute board
BUILT_UP_MOST_MM = 60.0  # a soft block for longer parts would lean over; the shop's judgement
BLOCK_MOST_MM = 200.0  # a glued block for longer parts is a stool, not a block; the shop's judgement
FLAT_LEAST_MM = 20.0  # of a built-up base lies flat on the floor, below what hangs; the shop's judgement
UNREACHABLE_MM = 5000.0


@dataclass(frozen=True, slots=True)
class SideNeed:
    """What one side needs: the cushion laid, its pad, the gap to the wall, the stress it was designed for.

    `block_mm` is the height of what raises the support face, `block` its kind. A built-up block is part of
    the cushion that is laid; a rigid one stands between the cushion's pad and the support face.
    """

    gap_mm: float
    laid_mm: float
    spreader_mm: float
    block_mm: float
    area_m2: float
    stress_kpa: float
    block: BlockKind | None = None


@dataclass(frozen=True, slots=True)
class Fall:
    """The falls a parcel is designed for: the named test for the peak, the hand-thrown one for clearances.

    Range: 0.01 to 4 m each. Raises: OutOfRange.
    """

    drop_height_m: float
    deepest_drop_height_m: float

    def __post_init__(self) -> None:
        """Refuse heights no parcel falls from. Raises: OutOfRange."""
        for name in ("drop_height_m", "deepest_drop_height_m"):
            require_between(name, value=getattr(self, name), least=0.01, most=4.0)


def side_needs(
    stance: Stance, *, material: Material, mass_kg: float, allowed_g: float, fall: Fall
) -> tuple[SideNeed, ...]:
    """Return what each of the six sides needs, in the order of `FACES`.

    The cushion keeps the peak to `allowed_g` after settling, at the bad end of the material's uncertainty; no
    tip reaches the wall at the deepest compression; the body stays 50 mm from every wall; what hangs below
    the support face hangs beside a block, rigid or built up of the cushion itself, whichever takes less room.

    Range: mass 0.02 to 60 kg, peak 1 to 1000 G. Raises: OutOfRange. A harder fall or a lower peak never
    shrinks a side without a tip; a thicker and so softer cushion may bring a tip a little nearer to its wall,
    and a pad that spreads the load takes its 6 mm from the cushion. Formulas and sources: `cushion`.
    """
    return CushionTask(material, mass_kg=mass_kg, allowed_g=allowed_g, fall=fall).needs(stance)


def _with_reach(task: "CushionTask", need: SideNeed, *, reach_mm: float, at: int) -> SideNeed:
    """Return a side's need with room for what stands out of it."""
    if reach_mm <= 0:
        return need
    gap_mm = task.tip_gap_mm(need, reach_mm=reach_mm, at=at)
    return need if gap_mm <= need.gap_mm else replace(need, gap_mm=gap_mm)


def _on_block(need: SideNeed, *, reach_mm: float) -> SideNeed:
    """Return the base with a rigid block on its pad, above which what hangs stays 5 mm."""
    block_mm = reach_mm + BLOCK_RESERVE_MM
    if block_mm > BLOCK_MOST_MM:
        return replace(need, gap_mm=UNREACHABLE_MM, spreader_mm=SPREADER_MM)
    gap_mm = max(need.laid_mm + SPREADER_MM + block_mm, WALL_DISTANCE_MM)
    return replace(need, gap_mm=gap_mm, spreader_mm=SPREADER_MM, block_mm=block_mm, block=BlockKind.RIGID)


class CushionTask:
    """One unit on one material under one fall: designs the cushion of each side."""

    def __init__(self, material: Material, *, mass_kg: float, allowed_g: float, fall: Fall) -> None:
        require_between("mass_kg", value=mass_kg, least=0.02, most=60.0)
        require_between("allowed_g", value=allowed_g, least=1.0, most=1000.0)
        self.material, self.mass_kg, self.allowed_g, self.fall = material, mass_kg, allowed_g, fall
        self.hard_a_kpa = material.curve_a_kpa * (1 + material.uncertainty_share)
        self._designed: dict[tuple[float, float, float, bool], tuple[SideNeed, ...]] = {}

    def needs(self, stance: Stance) -> tuple[SideNeed, ...]:
        """Return what each of the six sides of a stance needs, in the order of `FACES`."""
        found: list[SideNeed] = []
        for at in range(6):
            bearing_m2, reach_mm = stance.bearings_m2[at], stance.reaches_mm[at]
            sides = stance.support_mm if at == BASE else stance.sides_mm[at]
            key = (bearing_m2, min(sides), max(sides), at == TOP)
            if key not in self._designed:
                self._designed[key] = self.variants(sides, bearing_m2=bearing_m2, at=at)
            if at == BASE and reach_mm > 0:
                variants = [_on_block(need, reach_mm=reach_mm) for need in self._designed[key]]
                variants += self.built_up(stance, reach_mm=reach_mm)
            else:
                variants = [_with_reach(self, need, reach_mm=reach_mm, at=at) for need in self._designed[key]]
            found.append(self.chosen(variants))
        return tuple(found)

    def variants(self, sides_mm: tuple[float, float], *, bearing_m2: float, at: int) -> tuple[SideNeed, ...]:
        """Return the cushion without a spreader pad and, where one could help, the cushion with it."""
        spread_m2 = math.prod(side + 2 * SPREAD_OVERHANG_MM for side in sides_mm) / 1e6
        plain = self._side(bearing_m2, bearing_m2=bearing_m2, at=at)
        if spread_m2 <= bearing_m2 * 1.001:
            return (plain,)
        return plain, self._side(spread_m2, bearing_m2=bearing_m2, at=at)

    def built_up(self, stance: Stance, *, reach_mm: float) -> list[SideNeed]:
        """Return the base built up of the cushion itself under a pad, where what hangs leaves room for it.

        The pad bears on the support face and on the seat about it that nothing hangs over, so that the whole
        height from floor to pad is cushion. What hangs has a hollow beside the built-up part; its tip keeps
        off the floor as any other tip keeps off a wall, and 20 mm of base lie flat below it.
        """
        if reach_mm > BUILT_UP_MOST_MM:
            return []
        bearing_m2 = stance.bearings_m2[BASE]
        seat_m2 = stance.seat_mm[0] * stance.seat_mm[1] / 1e6 - stance.opening_m2
        found = []
        for most_m2 in {bearing_m2, max(bearing_m2, seat_m2)}:
            need = self._side(most_m2, bearing_m2=bearing_m2, at=BASE)
            if need.laid_mm >= UNREACHABLE_MM:
                continue
            block_mm = reach_mm + BLOCK_RESERVE_MM
            least_mm = max(need.laid_mm, block_mm + FLAT_LEAST_MM) + SPREADER_MM
            need = replace(need, gap_mm=max(least_mm, WALL_DISTANCE_MM), spreader_mm=SPREADER_MM)
            gap_mm = max(need.gap_mm, self.tip_gap_mm(need, reach_mm=reach_mm, at=BASE))
            found.append(replace(need, gap_mm=gap_mm, block_mm=block_mm, block=BlockKind.BUILT_UP))
        return found

    def chosen(self, variants: Sequence[SideNeed]) -> SideNeed:
        """Return the variant that takes the least room; an overloaded one only when there is no other."""
        limit_kpa = self.material.stress_most_kpa * 1.000001
        sound = [need for need in variants if need.stress_kpa <= limit_kpa]
        return min(sound or variants[-1:], key=lambda need: (round(need.gap_mm, 1), need.laid_mm))

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
        factor = self.hard_a_kpa * material.curve_b_m3_kj * math.exp(share) / share
        thickness_m = factor * height_m / self.allowed_g
        stress_kpa = 0.0
        for _ in range(5):
            stress_kpa = self._stress_kpa(thickness_m, bearing_m2=bearing_m2, most_m2=most_m2, at=at)
            ratio = self.allowed_g * stress_kpa / self.hard_a_kpa
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
