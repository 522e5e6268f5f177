"""What goes into each region of the carton, counted in things a person can count?"""

from packing.catalogue.schema import Material, MaterialKind
from packing.parcel.arrangement import Arrangement
from packing.parcel.fill import SHEET_FILL_KG_M3, count_sentence, fill_count
from packing.parcel.laid import is_cut_to_size, layer_count
from packing.parcel.outcome import Fill
from packing.parcel.regions import RegionFill
from packing.parcel.unit import BASE, TOP

REGION_NAMES = {"base": "under the unit", "sides": "round the sides", "top": "on top"}
PIECES = {MaterialKind.PLANK: ("piece of foam", "pieces of foam"), MaterialKind.BOARD_PAD: ("pad", "pads")}


def fills_of(packed: Arrangement) -> tuple[Fill, ...]:
    """Return what goes into each region: things counted, or cut pieces by number and what fills the corners.

    A piece is one layer of stock; the corners of a region on cut pads take loosely balled paper.
    """
    return tuple(_fill(packed, region) for region in packed.fills if region.litres > 1e-9)


def _fill(packed: Arrangement, region: RegionFill) -> Fill:
    material = {"base": packed.mix.base, "sides": packed.mix.sides, "top": packed.mix.top}[region.region]
    where = REGION_NAMES[region.region]
    loose_balls = 0
    if is_cut_to_size(material):
        count = piece_count(packed, region=region.region)
        sentence = f"{_pieces(count, material=material)} {where}"
        rest = balls_of_paper(region.litres - region.pad_litres)
        loose_balls = ball_count(region.litres - region.pad_litres)
        if rest:
            sentence += f", and {rest} of paper into the corners"
    else:
        count = fill_count(region.litres, material=material)
        sentence = f"{count_sentence(count, material=material)} {where}"
    return Fill(
        region=region.region,
        material=material.slug,
        name=material.name,
        litres=region.litres,
        count=count,
        mass_kg=region.mass_kg - region.board_kg,
        sentence=sentence,
        counted=material.count_name,
        loose_balls=loose_balls,
    )


def piece_count(packed: Arrangement, *, region: str) -> int:
    """Return how many pieces of stock one region takes."""
    sides = {"base": (BASE,), "top": (TOP,), "sides": range(BASE)}[region]
    return sum(layer_count(packed.sides[at].laid_mm, material=packed.mix.at(at)) for at in sides)


def ball_count(litres: float) -> int:
    """Return how many loose balls of paper fill a volume; none below half a litre.

    A loose ball of a kraft sheet fills about 3 litres at 10 kg/m3 (0.75 x 0.65 m, 70 g/m2; weak, from
    memory).
    """
    ball_litres = 0.75 * 0.65 * 0.070 / SHEET_FILL_KG_M3 * 1000
    return 0 if litres < 0.5 else round(litres / ball_litres)


def balls_of_paper(litres: float) -> str:
    """Return a volume of loose fill as balls, such as "about 6 loose balls"; nothing below half a litre."""
    count = ball_count(litres)
    return "" if count < 1 else f"about {count} loose ball{'s' if count > 1 else ''}"


def _pieces(count: int, *, material: Material) -> str:
    one, more = PIECES[material.kind]
    return f"{count} {one if count == 1 else more}"
