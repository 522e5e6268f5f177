"""How does one unit, standing one way, sit in one carton with one material.

And what does the parcel weigh?
"""

from dataclasses import dataclass
from functools import lru_cache

from packing.catalogue.schema import Carton, Material
from packing.parcel.board import BoxLimits, advised_gross_kg, box_limits
from packing.parcel.box import BoxSize, carton_mass_kg, inside_size, outside_size, tape_mass_kg
from packing.parcel.compression import compression_strength_n, parcel_working_share
from packing.parcel.cushion import peak_g, static_stress_kpa
from packing.parcel.drop import DropHeight, DropTest, drop_height, smallest_face_drop_height_m
from packing.parcel.fill import BOARD_KG_M3, SHEET_FILL_KG_M3, box_litres, fill_mass_kg, settle_gross_mass_kg
from packing.parcel.padding import (
    BASE,
    TOP,
    Fall,
    SideNeed,
    curve_of,
    deepest_mm,
    is_cut_to_size,
    layers_within_mm,
    left_mm,
    side_needs,
)
from packing.parcel.unit import PackUnit, Stance

NO_CUSHION_G = 10_000.0
FIT_SLACK_MM = 1e-6


@dataclass(frozen=True, slots=True)
class BoxFacts:
    """Everything about a carton that does not depend on what is in it."""

    carton: Carton
    inside: BoxSize
    outside: BoxSize
    empty_kg: float
    limits: BoxLimits | None
    advised_kg: float | None
    working_n: float

    @property
    def inside_mm(self) -> tuple[float, float, float]:
        """Return the inside sides along x, y, z."""
        return self.inside.length_mm, self.inside.width_mm, self.inside.height_mm


@lru_cache(maxsize=1024)
def box_facts(carton: Carton) -> BoxFacts:
    """Return the carton's outside size, empty mass with tape, limits and working strength.

    Raises: OutOfRange.
    """
    inside = inside_size(carton)
    outside = outside_size(inside, caliper_mm=carton.caliper_mm)
    new_n = compression_strength_n(
        carton.ect_kn_m, caliper_mm=carton.caliper_mm, length_mm=carton.length_mm, width_mm=carton.width_mm
    )
    return BoxFacts(
        carton=carton,
        inside=inside,
        outside=outside,
        empty_kg=carton_mass_kg(carton) + tape_mass_kg(outside),
        limits=box_limits(carton),
        advised_kg=advised_gross_kg(carton),
        working_n=new_n * parcel_working_share(),
    )


@dataclass(frozen=True, slots=True)
class PackedSide:
    """One side as packed: the gap to the wall and what fills it, with its peak and its deepest movement."""

    gap_mm: float
    laid_mm: float
    spreader_mm: float
    block_mm: float
    packed_out_mm: float
    area_m2: float
    stress_kpa: float
    peak_g: float
    deepest_mm: float


@dataclass(frozen=True, slots=True)
class Arrangement:
    """One unit in one carton with one material, and the masses and falls that go with it."""

    unit: PackUnit
    stance: Stance
    box: BoxFacts
    material: Material
    drop: DropHeight
    fall: Fall
    needs: tuple[SideNeed, ...]
    sides: tuple[PackedSide, ...]
    gross_kg: float


class Arranger:
    """Arranges one unit, remembering what each stance, material and fall needs from carton to carton."""

    def __init__(self, unit: PackUnit, *, drop_test: DropTest) -> None:
        self.unit, self.drop_test = unit, drop_test
        self._needs: dict[tuple[str, str, str, float], tuple[SideNeed, ...]] = {}
        self._falls: dict[float, Fall] = {}

    def drop_height_m(self, gross_kg: float) -> float:
        """Return the design drop height at a gross mass."""
        return drop_height(gross_kg, test=self.drop_test).drop_height_m

    def fall(self, drop_height_m: float) -> Fall:
        """Return the design fall with its deeper, hand-thrown fall."""
        if drop_height_m not in self._falls:
            deepest_m = smallest_face_drop_height_m(self.unit.mass_kg, design_drop_height_m=drop_height_m)
            self._falls[drop_height_m] = Fall(drop_height_m, deepest_m)
        return self._falls[drop_height_m]

    def needs(self, stance: Stance, *, material: Material, drop_height_m: float) -> tuple[SideNeed, ...]:
        """Return what the six sides need, computed once for each stance, material and height."""
        key = (stance.down, stance.turn, material.slug, drop_height_m)
        if key not in self._needs:
            self._needs[key] = side_needs(
                stance,
                material=material,
                mass_kg=self.unit.mass_kg,
                allowed_g=self.unit.fragility_g,
                fall=self.fall(drop_height_m),
            )
        return self._needs[key]

    def weigh(self, stance: Stance, *, box: BoxFacts, material: Material) -> tuple[float, float]:
        """Return gross mass (kg) and drop height (m) that agree with each other."""
        return settle_gross_mass_kg(
            self.unit.mass_kg + box.empty_kg,
            drop_height_for=self.drop_height_m,
            gross_mass_for=lambda height_m: (
                self.unit.mass_kg
                + box.empty_kg
                + padding_mass_kg(
                    stance,
                    box=box,
                    material=material,
                    needs=self.needs(stance, material=material, drop_height_m=height_m),
                )
            ),
        )

    def arrange(
        self, stance: Stance, *, box: BoxFacts, material: Material, base_padding_mm: float | None = None
    ) -> Arrangement:
        """Return the unit placed.

        Slack shared evenly, or set on `base_padding_mm` of material as it was found.
        """
        gross_kg, height_m = self.weigh(stance, box=box, material=material)
        needs = self.needs(stance, material=material, drop_height_m=height_m)
        gaps = side_gaps_mm(stance, box=box, needs=needs)
        if base_padding_mm is not None:
            needs = (*needs[:BASE], as_set(stance, self.unit.mass_kg, base_padding_mm), needs[TOP])
            free_mm = box.inside_mm[2] - stance.size_mm[2]
            gaps = (*gaps[:BASE], min(base_padding_mm, free_mm), max(0.0, free_mm - base_padding_mm))
        fall = self.fall(height_m)
        sides = tuple(
            _pack_side(need, gap, material=material, fall=fall, at=at)
            for at, (need, gap) in enumerate(zip(needs, gaps, strict=True))
        )
        return Arrangement(
            unit=self.unit,
            stance=stance,
            box=box,
            material=material,
            drop=drop_height(gross_kg, test=self.drop_test),
            fall=fall,
            needs=needs,
            sides=sides,
            gross_kg=gross_kg,
        )


def as_set(stance: Stance, mass_kg: float, padding_mm: float) -> SideNeed:
    """Return the base of a unit that was simply set on some padding: no block, no spreader."""
    area_m2 = stance.bearings_m2[BASE]
    return SideNeed(
        padding_mm, padding_mm, 0.0, 0.0, area_m2, static_stress_kpa(mass_kg, area_m2=max(area_m2, 1e-6))
    )


def needed_inside_mm(stance: Stance, *, needs: tuple[SideNeed, ...]) -> tuple[float, float, float]:
    """Return the smallest inside size in which every side has what it needs."""
    length_mm, width_mm, height_mm = (
        side + needs[2 * axis].gap_mm + needs[2 * axis + 1].gap_mm for axis, side in enumerate(stance.size_mm)
    )
    return length_mm, width_mm, height_mm


def fit_ratio(stance: Stance, *, box: BoxFacts, needs: tuple[SideNeed, ...]) -> float:
    """Return how much of the room it needs the tightest direction has: 1 is just enough."""
    worst = 99.0
    for axis, (inside, side) in enumerate(zip(box.inside_mm, stance.size_mm, strict=True)):
        needed = needs[2 * axis].gap_mm + needs[2 * axis + 1].gap_mm
        worst = min(worst, (inside - side + FIT_SLACK_MM) / needed)
    return max(0.0, worst)


def side_gaps_mm(stance: Stance, *, box: BoxFacts, needs: tuple[SideNeed, ...]) -> tuple[float, ...]:
    """Return the six gaps: each side gets its need and half the slack; a shortage is shared in proportion."""
    gaps: list[float] = []
    for axis, (inside, side) in enumerate(zip(box.inside_mm, stance.size_mm, strict=True)):
        low, high = needs[2 * axis].gap_mm, needs[2 * axis + 1].gap_mm
        free_mm = inside - side
        slack_mm = free_mm - low - high
        if slack_mm >= 0:
            gaps += [low + slack_mm / 2, high + slack_mm / 2]
        else:
            share = max(0.0, free_mm) / (low + high)
            gaps += [low * share, high * share]
    return tuple(gaps)


def padding_mass_kg(
    stance: Stance, *, box: BoxFacts, material: Material, needs: tuple[SideNeed, ...]
) -> float:
    """Return the mass of cushion, fill, spreader pads and block in one carton."""
    inside = box.inside_mm
    body_litres = box_litres(stance.size_mm[0], width_mm=stance.size_mm[1], height_mm=stance.size_mm[2])
    free_litres = max(0.0, box_litres(inside[0], width_mm=inside[1], height_mm=inside[2]) - body_litres)
    board_litres = sum(need.area_m2 * need.spreader_mm for need in needs)
    board_litres += box_litres(
        stance.support_mm[0], width_mm=stance.support_mm[1], height_mm=needs[BASE].block_mm
    )
    board_litres = min(board_litres, free_litres)
    free_litres -= board_litres
    board_kg = fill_mass_kg(board_litres, density_kg_m3=BOARD_KG_M3)
    if not is_cut_to_size(material):
        return board_kg + fill_mass_kg(free_litres, density_kg_m3=material.density_kg_m3)
    pad_litres = min(free_litres, sum(need.area_m2 * need.laid_mm for need in needs))
    pads_kg = fill_mass_kg(pad_litres, density_kg_m3=material.density_kg_m3)
    return board_kg + pads_kg + fill_mass_kg(free_litres - pad_litres, density_kg_m3=SHEET_FILL_KG_M3)


def _pack_side(need: SideNeed, gap_mm: float, *, material: Material, fall: Fall, at: int) -> PackedSide:
    block_mm = min(need.block_mm, gap_mm)
    spreader_mm = min(need.spreader_mm, gap_mm - block_mm)
    room_mm = gap_mm - block_mm - spreader_mm
    laid_mm = room_mm
    if material.thicknesses_mm:
        laid_mm = need.laid_mm if room_mm >= need.laid_mm else layers_within_mm(room_mm, material=material)
    after_mm = left_mm(laid_mm, material=material, at=at)
    peak = NO_CUSHION_G
    if after_mm >= 1.0:
        peak = peak_g(
            curve_of(material),
            stress_kpa=need.stress_kpa,
            drop_height_m=fall.drop_height_m,
            thickness_m=after_mm / 1000,
        )
    return PackedSide(
        gap_mm=gap_mm,
        laid_mm=laid_mm,
        spreader_mm=spreader_mm,
        block_mm=block_mm,
        packed_out_mm=room_mm - laid_mm,
        area_m2=need.area_m2,
        stress_kpa=need.stress_kpa,
        peak_g=peak,
        deepest_mm=deepest_mm(
            laid_mm,
            material=material,
            stress_kpa=need.stress_kpa,
            drop_height_m=fall.deepest_drop_height_m,
            at=at,
        ),
    )
