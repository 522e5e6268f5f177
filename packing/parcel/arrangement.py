"""How does one unit sit in one carton with its materials, and what does the parcel weigh?"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from packing.catalogue.schema import Material
from packing.parcel.box_facts import BoxFacts, box_facts
from packing.parcel.cushion import peak_g, static_stress_kpa
from packing.parcel.drop import DropHeight, DropTest, drop_height, smallest_face_drop_height_m
from packing.parcel.fill import settle_gross_mass_kg
from packing.parcel.laid import curve_of, deepest_mm, layers_within_mm, left_mm
from packing.parcel.outcome import BlockKind
from packing.parcel.padding import CushionTask, Fall, SideNeed
from packing.parcel.regions import Mix, RegionFill, end_fill, side_gaps_mm, sides_fill
from packing.parcel.unit import BASE, TOP, PackUnit, Stance, Turn, stand

__all__ = ["NO_CUSHION_G", "Arrangement", "Arranger", "BoxFacts", "PackedSide", "box_facts", "pack_side"]

NO_CUSHION_G = 10_000.0


@dataclass(frozen=True, slots=True)
class PackedSide:
    """One side as packed: the gap to the wall and what fills it, with its peak and its deepest movement.

    `peak_g` and `deepest_nominal_mm` are by the middle of the material's curve, `peak_g_most` and
    `deepest_mm` at the bad end of its uncertainty.
    """

    gap_mm: float
    laid_mm: float
    spreader_mm: float
    block_mm: float
    packed_out_mm: float
    area_m2: float
    stress_kpa: float
    peak_g: float
    peak_g_most: float
    deepest_mm: float
    deepest_nominal_mm: float
    block: BlockKind | None = None

    @property
    def flat_mm(self) -> float:
        """Return the height of the layer that lies flat under block and pad."""
        return max(0.0, self.gap_mm - self.block_mm - self.spreader_mm)


@dataclass(frozen=True, slots=True)
class Arrangement:
    """One unit in one carton with its materials, and the masses and falls that go with it."""

    unit: PackUnit
    stance: Stance
    box: BoxFacts
    mix: Mix
    drop: DropHeight
    fall: Fall
    needs: tuple[SideNeed, ...]
    sides: tuple[PackedSide, ...]
    gross_kg: float

    @property
    def padding_kg(self) -> float:
        """Return the mass of cushion, fill, pads and block."""
        return self.gross_kg - self.unit.mass_kg - self.box.empty_kg

    @property
    def fills(self) -> tuple[RegionFill, ...]:
        """Return what each region takes: base, sides, top."""
        base, top = self.sides[BASE], self.sides[TOP]
        return (
            end_fill(
                self.stance,
                box=self.box,
                material=self.mix.base,
                need=self.needs[BASE],
                gap_mm=base.gap_mm,
                at=BASE,
            ),
            sides_fill(self.stance, box=self.box, material=self.mix.sides, needs=self.needs),
            end_fill(
                self.stance,
                box=self.box,
                material=self.mix.top,
                need=self.needs[TOP],
                gap_mm=top.gap_mm,
                at=TOP,
            ),
        )


@dataclass(frozen=True, slots=True)
class Room:
    """What one material needs round a unit that stands one way: the sums along, across and upright."""

    material: Material
    needs: tuple[SideNeed, ...]
    along_mm: float
    across_mm: float
    base_mm: float
    top_mm: float

    @property
    def upright_mm(self) -> float:
        """Return what base and top need together."""
        return self.base_mm + self.top_mm


class Weighed(NamedTuple):
    """The gross mass of a choice and the drop height that goes with it."""

    gross_kg: float
    drop_height_m: float


class Arranger:
    """Arranges one unit again and again, and remembers what a stance, material and fall need."""

    def __init__(self, unit: PackUnit, *, drop_test: DropTest) -> None:
        self.unit, self.drop_test = unit, drop_test
        self._tasks: dict[tuple[str, float], CushionTask] = {}
        self._needs: dict[tuple[str, str, str, float], tuple[SideNeed, ...]] = {}
        self._rooms: dict[tuple[str, str, float, tuple[str, ...]], tuple[Room, ...]] = {}

    def drop_height_m(self, gross_kg: float) -> float:
        """Return the design drop height at a gross mass."""
        return drop_height(gross_kg, test=self.drop_test).drop_height_m

    def fall(self, drop_height_m: float) -> Fall:
        """Return the design fall with its deeper, hand-thrown fall."""
        deepest_m = smallest_face_drop_height_m(self.unit.mass_kg, design_drop_height_m=drop_height_m)
        return Fall(drop_height_m, deepest_m)

    def needs(self, stance: Stance, *, material: Material, drop_height_m: float) -> tuple[SideNeed, ...]:
        """Return what the six sides need of one material, computed once for each stance and height."""
        key = (stance.down, stance.turn, material.slug, drop_height_m)
        found = self._needs.get(key)
        if found is None:
            if stance.turn is Turn.ACROSS:
                along = stand(self.unit, down=stance.down, turn=Turn.ALONG)
                low_x, high_x, low_y, high_y, base, top = self.needs(
                    along, material=material, drop_height_m=drop_height_m
                )
                # A quarter turn brings the back to the left and the left to the front.
                found = (high_y, low_y, low_x, high_x, base, top)
            else:
                found = self._task(material, drop_height_m=drop_height_m).needs(stance)
            self._needs[key] = found
        return found

    def _task(self, material: Material, *, drop_height_m: float) -> CushionTask:
        key = (material.slug, drop_height_m)
        if key not in self._tasks:
            self._tasks[key] = CushionTask(
                material,
                mass_kg=self.unit.mass_kg,
                allowed_g=self.unit.fragility_g,
                fall=self.fall(drop_height_m),
            )
        return self._tasks[key]

    def rooms(
        self, stance: Stance, *, materials: Sequence[Material], drop_height_m: float
    ) -> tuple[Room, ...]:
        """Return what each material needs in one stance, in their order, computed once for each list."""
        key = (stance.down, stance.turn, drop_height_m, tuple(item.slug for item in materials))
        found = self._rooms.get(key)
        if found is None:
            rows = []
            for material in materials:
                needs = self.needs(stance, material=material, drop_height_m=drop_height_m)
                along, across = (needs[at].gap_mm + needs[at + 1].gap_mm for at in (0, 2))
                rows.append(Room(material, needs, along, across, needs[BASE].gap_mm, needs[TOP].gap_mm))
            found = self._rooms[key] = tuple(rows)
        return found

    def mixed_needs(self, stance: Stance, *, mix: Mix, drop_height_m: float) -> tuple[SideNeed, ...]:
        """Return what the six sides need, each of its region's material."""
        base, sides, top = (
            self.needs(stance, material=material, drop_height_m=drop_height_m)
            for material in (mix.base, mix.sides, mix.top)
        )
        return (*sides[:BASE], base[BASE], top[TOP])

    def padded_kg(self, stance: Stance, *, box: BoxFacts, mix: Mix, drop_height_m: float) -> float:
        """Return the gross mass of the parcel packed for one drop height."""
        needs = self.mixed_needs(stance, mix=mix, drop_height_m=drop_height_m)
        gaps = side_gaps_mm(stance, box=box, needs=needs)
        padding_kg = sides_fill(stance, box=box, material=mix.sides, needs=needs).mass_kg
        for at, material in ((BASE, mix.base), (TOP, mix.top)):
            padding_kg += end_fill(
                stance, box=box, material=material, need=needs[at], gap_mm=gaps[at], at=at
            ).mass_kg
        return self.unit.mass_kg + box.empty_kg + padding_kg

    def weigh(self, stance: Stance, *, box: BoxFacts, mix: Mix) -> Weighed:
        """Return gross mass and drop height that agree with each other."""
        gross_kg, drop_height_m = settle_gross_mass_kg(
            self.unit.mass_kg + box.empty_kg,
            drop_height_for=self.drop_height_m,
            gross_mass_for=lambda height_m: self.padded_kg(stance, box=box, mix=mix, drop_height_m=height_m),
        )
        return Weighed(gross_kg, drop_height_m)

    def arrange(
        self,
        stance: Stance,
        *,
        box: BoxFacts,
        mix: Mix,
        base_padding_mm: float | None = None,
        weighed: Weighed | None = None,
    ) -> Arrangement:
        """Return the unit placed: slack shared evenly, or set on `base_padding_mm` of material as found.

        `weighed` is what `weigh` said of the same choice, where it was asked before.
        """
        gross_kg, height_m = weighed or self.weigh(stance, box=box, mix=mix)
        needs = self.mixed_needs(stance, mix=mix, drop_height_m=height_m)
        gaps = side_gaps_mm(stance, box=box, needs=needs)
        if base_padding_mm is not None:
            needs = (*needs[:BASE], as_set(stance, self.unit.mass_kg, base_padding_mm), needs[TOP])
            free_mm = box.inside_mm[2] - stance.size_mm[2]
            gaps = (*gaps[:BASE], min(base_padding_mm, free_mm), max(0.0, free_mm - base_padding_mm))
        fall = self.fall(height_m)
        sides = tuple(
            pack_side(need, gap, material=mix.at(at), fall=fall, at=at)
            for at, (need, gap) in enumerate(zip(needs, gaps, strict=True))
        )
        return Arrangement(
            unit=self.unit,
            stance=stance,
            box=box,
            mix=mix,
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


def pack_side(need: SideNeed, gap_mm: float, *, material: Material, fall: Fall, at: int) -> PackedSide:
    """Return one side packed into the gap it got: whole layers of stock, or as much as the gap takes."""
    block_mm = min(need.block_mm, gap_mm)
    spreader_mm = min(need.spreader_mm, gap_mm - block_mm)
    room_mm = gap_mm - spreader_mm - (block_mm if need.block is BlockKind.RIGID else 0.0)
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
    deep = (
        deepest_mm(
            laid_mm,
            material=material,
            stress_kpa=need.stress_kpa,
            drop_height_m=fall.deepest_drop_height_m,
            at=at,
            uncertainty_share=share,
        )
        for share in (material.uncertainty_share, 0.0)
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
        peak_g_most=min(NO_CUSHION_G, peak * (1 + material.uncertainty_share)),
        deepest_mm=next(deep),
        deepest_nominal_mm=next(deep),
        block=need.block,
    )
