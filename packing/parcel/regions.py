"""Which materials go where in one carton, how much of each, and what does the padding weigh?"""

from dataclasses import dataclass

from packing.catalogue.schema import Material
from packing.parcel.box_facts import BoxFacts
from packing.parcel.fill import BOARD_KG_M3, SHEET_FILL_KG_M3
from packing.parcel.laid import is_cut_to_size
from packing.parcel.outcome import BlockKind
from packing.parcel.padding import SideNeed
from packing.parcel.unit import BASE, TOP, Stance

FIT_SLACK_MM = 1e-6


@dataclass(frozen=True, slots=True)
class Mix:
    """The material of each region: under the unit, round its four sides, on top."""

    base: Material
    sides: Material
    top: Material

    def at(self, side: int) -> Material:
        """Return the material of one side of `FACES`."""
        return self.base if side == BASE else self.top if side == TOP else self.sides

    @property
    def materials(self) -> tuple[Material, ...]:
        """Return the different materials, those of the base first."""
        found: list[Material] = []
        for material in (self.base, self.sides, self.top):
            if material not in found:
                found.append(material)
        return tuple(found)

    @property
    def words(self) -> str:
        """Return the materials by name, such as "balled kraft paper and folded corrugated pads"."""
        return " and ".join(material.name.lower() for material in self.materials)


def one_material(material: Material) -> Mix:
    """Return the mix that has one material everywhere."""
    return Mix(material, material, material)


@dataclass(frozen=True, slots=True)
class RegionFill:
    """What one region takes: its volume, how much of it are cut pads, the board, and the mass of it all."""

    region: str
    litres: float
    pad_litres: float
    board_litres: float
    mass_kg: float
    board_kg: float


def sides_fill(
    stance: Stance, *, box: BoxFacts, material: Material, needs: tuple[SideNeed, ...]
) -> RegionFill:
    """Return the fill round the four sides, as high as the body."""
    length_mm, width_mm, height_mm = box.inside_mm
    body = stance.size_mm
    high_mm = min(body[2], height_mm)
    litres = max(0.0, (length_mm * width_mm - body[0] * body[1]) * high_mm / 1e6)
    board = sum(need.area_m2 * need.spreader_mm for need in needs[:BASE])
    pads = sum(need.area_m2 * need.laid_mm for need in needs[:BASE])
    return _fill("sides", litres, material=material, board_litres=board, pad_litres=pads)


def end_fill(
    stance: Stance, *, box: BoxFacts, material: Material, need: SideNeed, gap_mm: float, at: int
) -> RegionFill:
    """Return the fill under the unit or on top of it over the whole floor, `gap_mm` high."""
    length_mm, width_mm, _ = box.inside_mm
    litres = length_mm * width_mm * gap_mm / 1e6
    board = need.area_m2 * need.spreader_mm
    if need.block is BlockKind.RIGID:
        support_m2 = stance.support_mm[0] * stance.support_mm[1] / 1e6 - stance.opening_m2
        board += support_m2 * min(need.block_mm, gap_mm)
    name = "base" if at == BASE else "top"
    pads = need.area_m2 * need.laid_mm
    return _fill(name, litres, material=material, board_litres=board, pad_litres=pads)


def _fill(
    region: str, litres: float, *, material: Material, board_litres: float, pad_litres: float
) -> RegionFill:
    board_litres = min(board_litres, litres)
    free = litres - board_litres
    board_kg = board_litres * BOARD_KG_M3 / 1000
    if not is_cut_to_size(material):
        mass_kg = free * material.density_kg_m3 / 1000
        return RegionFill(region, free, 0.0, board_litres, board_kg + mass_kg, board_kg)
    pads = min(pad_litres, free)
    mass_kg = (pads * material.density_kg_m3 + (free - pads) * SHEET_FILL_KG_M3) / 1000
    return RegionFill(region, free, pads, board_litres, board_kg + mass_kg, board_kg)


def needed_inside_mm(stance: Stance, *, needs: tuple[SideNeed, ...]) -> tuple[float, float, float]:
    """Return the smallest inside size in which every side has what it needs."""
    length_mm, width_mm, height_mm = (
        side + needs[2 * axis].gap_mm + needs[2 * axis + 1].gap_mm for axis, side in enumerate(stance.size_mm)
    )
    return length_mm, width_mm, height_mm


def shared_gaps_mm(low_mm: float, high_mm: float, *, free_mm: float) -> tuple[float, float]:
    """Return the two gaps of one direction: each gets its need and half the slack, or its share of a lack."""
    slack_mm = free_mm - low_mm - high_mm
    if slack_mm >= 0:
        return low_mm + slack_mm / 2, high_mm + slack_mm / 2
    share = max(0.0, free_mm) / (low_mm + high_mm)
    return low_mm * share, high_mm * share


def side_gaps_mm(stance: Stance, *, box: BoxFacts, needs: tuple[SideNeed, ...]) -> tuple[float, ...]:
    """Return the six gaps between body and carton."""
    gaps: list[float] = []
    for axis, (inside, side) in enumerate(zip(box.inside_mm, stance.size_mm, strict=True)):
        low, high = needs[2 * axis].gap_mm, needs[2 * axis + 1].gap_mm
        gaps += shared_gaps_mm(low, high, free_mm=inside - side)
    return tuple(gaps)
