"""In which order is the parcel packed, layer by layer and step by step, and why?"""

import math

from packing.parcel.arrangement import Arrangement
from packing.parcel.checks import length, side_name
from packing.parcel.fill import (
    SHEET_FILL_KG_M3,
    count_sentence,
    crown_mm,
    fill_count,
    fill_mass_kg,
    voids,
)
from packing.parcel.outcome import Fill, Layer, PackStep
from packing.parcel.padding import BASE, SPREAD_OVERHANG_MM, TOP, is_cut_to_size, layer_count
from packing.parcel.tables import load_table
from packing.parcel.unit import Leg

REGION_NAMES = {
    "base": "under the unit",
    "block": "round the block",
    "sides": "round the sides",
    "top": "on top",
}


def fills_of(packed: Arrangement) -> tuple[Fill, ...]:
    """Return what goes into each region, counted.

    Cut pads are counted by volume and the rest is loose kraft.
    """
    base = packed.sides[BASE]
    block_litres = packed.stance.support_mm[0] * packed.stance.support_mm[1] * base.block_mm / 1e6
    regions = voids(
        packed.box.inside_mm,
        body_mm=packed.stance.size_mm,
        below_mm=base.gap_mm,
        block_litres=block_litres,
        block_mm=base.block_mm,
    )
    material = packed.material
    if not is_cut_to_size(material):
        found = []
        for void in regions:
            count = fill_count(void.litres, material=material)
            found.append(
                Fill(
                    region=void.region,
                    material=material.slug,
                    name=material.name,
                    litres=void.litres,
                    count=count,
                    mass_kg=fill_mass_kg(void.litres, density_kg_m3=material.density_kg_m3),
                    sentence=f"{count_sentence(count, material=material)} {REGION_NAMES[void.region]}",
                )
            )
        return tuple(found)
    pad_litres = {
        "base": base.area_m2 * base.laid_mm,
        "top": packed.sides[TOP].area_m2 * packed.sides[TOP].laid_mm,
    }
    pad_litres["sides"] = sum(side.area_m2 * side.laid_mm for side in packed.sides[:BASE])
    return tuple(
        _pads_and_rest(
            packed, region=void.region, litres=void.litres, pad_litres=pad_litres.get(void.region, 0.0)
        )
        for void in regions
    )


def _pads_and_rest(packed: Arrangement, *, region: str, litres: float, pad_litres: float) -> Fill:
    """Return one region of a parcel on cut pads: the pads by number, the corners with balled kraft."""
    sides = {"base": packed.sides[BASE:TOP], "top": packed.sides[TOP:], "sides": packed.sides[:BASE]}
    count = sum(layer_count(side.laid_mm, material=packed.material) for side in sides.get(region, ()))
    pad_litres = min(pad_litres, litres)
    mass_kg = fill_mass_kg(pad_litres, density_kg_m3=packed.material.density_kg_m3)
    mass_kg += fill_mass_kg(litres - pad_litres, density_kg_m3=SHEET_FILL_KG_M3)
    what = f"{count} cut layers {REGION_NAMES[region]}" if count else REGION_NAMES[region]
    return Fill(
        region=region,
        material=packed.material.slug,
        name=packed.material.name,
        litres=litres,
        count=count,
        mass_kg=mass_kg,
        sentence=f"{what}, balled paper into the corners",
    )


def layers_of(packed: Arrangement) -> tuple[Layer, ...]:
    """Return the layers from the carton floor up, without gaps.

    Base, seat, sides, top; each with its heights.
    """
    base, top = packed.sides[BASE], packed.sides[TOP]
    name = packed.material.name.lower()
    height_mm = packed.box.inside.height_mm
    seat_mm = base.gap_mm - base.block_mm - base.spreader_mm
    body_top_mm = min(height_mm, base.gap_mm + packed.stance.size_mm[2])
    rows = [
        Layer(
            "base", f"base of {name}", 0.0, seat_mm, f"Press {name} down hard to {length(seat_mm)} all over."
        ),
    ]
    if base.spreader_mm + base.block_mm > 0:
        rows.append(Layer("seat", _seat_name(packed), seat_mm, base.gap_mm, _seat_instruction(packed)))
    middle_mm = (base.gap_mm + body_top_mm) / 2
    rows += [
        Layer(
            "sides",
            "sides",
            base.gap_mm,
            middle_mm,
            f"Set the unit down and press {name} in on all four sides.",
        ),
        Layer(
            "projections",
            "round the projections",
            middle_mm,
            body_top_mm,
            "Bring the fill up round every part that stands out; nothing may press on it."
            if packed.unit.sharp
            else f"Bring the {name} up level with the top of the unit.",
        ),
        Layer(
            "top",
            f"top of {name}",
            body_top_mm,
            height_mm,
            f"Cover the unit with {length(top.gap_mm)} of {name}.",
        ),
    ]
    return tuple(row for row in rows if row.to_mm - row.from_mm > 1e-6)


def _seat_name(packed: Arrangement) -> str:
    return "block on its pad" if packed.sides[BASE].block_mm > 0 else "spreader pad"


def _seat_instruction(packed: Arrangement) -> str:
    base = packed.sides[BASE]
    pad = f"Lay a folded board pad {length(base.spreader_mm)} thick"
    if base.block_mm <= 0:
        return f"{pad} under the support face."
    return f"{pad} and on it a block {length(base.block_mm)} high, no larger than the support face."


def crown_of(packed: Arrangement) -> float:
    """Return how far the top fill stands above the walls before closing, in mm."""
    return crown_mm(packed.sides[TOP].laid_mm, settles_share=packed.material.settles_share)


def pad_size_mm(packed: Arrangement, *, at: int) -> tuple[float, float]:
    """Return the two sides of the pad of one face: the face's own proportions at the designed area."""
    first, second = packed.stance.support_mm if at == BASE else packed.stance.sides_mm[at]
    scale = math.sqrt(packed.sides[at].area_m2 * 1e6 / (first * second))
    if scale <= 1:
        return first * scale, second * scale
    # The overhang is the same all round, as a board pad is cut.
    half_sum, missing = (first + second) / 2, packed.sides[at].area_m2 * 1e6 - first * second
    overhang_mm = min(SPREAD_OVERHANG_MM, (-half_sum + math.sqrt(half_sum**2 + missing)) / 2)
    return first + 2 * overhang_mm, second + 2 * overhang_mm


def steps_of(packed: Arrangement) -> tuple[PackStep, ...]:
    """Return the packer's steps, each with its reason."""
    tape, base = load_table("handling")["tape"], packed.sides[BASE]
    carton, name = packed.box.carton, packed.material.name.lower()
    slip = "the slip with the job number" if packed.unit.leg is Leg.TO_SHOP else "the job sheet"
    steps = [
        PackStep(
            "wrap",
            f"Put the unit into a plastic bag with {slip} in a second bag beside it.",
            "Paper dust stays out of the ports, and a parcel without a label still has a name in it.",
        )
    ]
    for item in packed.stance.projections:
        if not item.may_be_touched:
            steps.append(
                PackStep(
                    f"cap_{item.slug}",
                    f"Slip a cap of card tube over the {item.name} that bears on the body, not on the "
                    f"{item.name}.",
                    "The load then goes round it.",
                )
            )
    if is_cut_to_size(packed.material):
        steps.append(
            PackStep("cut", _cutting(packed), "A pad larger than told is too hard, a smaller one goes flat.")
        )
    steps += [
        PackStep(
            "carton",
            f"Take the carton {carton.name}; tape the bottom in the shape of an H with plastic tape at least "
            f"{tape['width_least_in']:g} in (50 mm) wide.",
            "Most falls are on edges and corners, and there the tape holds the box together.",
        ),
        PackStep(
            "base",
            f"Build the base up: {length(base.gap_mm - base.block_mm - base.spreader_mm)} of {name}, "
            f"pressed down hard.",
            "A loose base goes flat on the way and the unit ends on the carton floor.",
        ),
    ]
    if base.block_mm > 0:
        steps.append(
            PackStep(
                "block",
                f"Set a block of glued board, {length(base.block_mm)} high and no larger than the support "
                f"face, on "
                f"its pad; stand the unit on it.",
                "What hangs below the support face then hangs free instead of carrying the unit.",
            )
        )
    elif base.spreader_mm > 0:
        steps.append(
            PackStep(
                "pad",
                "Lay a folded board pad under the support face, standing out all round.",
                "The support face alone is too small: it would sink into the cushion.",
            )
        )
    steps += [
        PackStep(
            "cushion",
            f"Fill the sides with {name}, small handfuls, each pressed in; then cover the top.",
            "The unit must not move when the carton is shaken: what moves, travels to the wall.",
        ),
        PackStep(
            "close",
            f"Fill until it stands about {length(crown_of(packed))} over the edge, close, and tape the top "
            f"as an H.",
            "The fill settles; a slight bulge now is no hollow later.",
        ),
        PackStep(
            "push_test",
            "Push on the closed lid with a flat hand, then shake the carton gently.",
            "A lid that can be pushed down, or anything that is heard or felt to move, means more fill.",
        ),
    ]
    return tuple(steps)


def _cutting(packed: Arrangement) -> str:
    """Return the cutting list of the pads: sides and thickness for each wall."""
    pads = []
    for at, side in enumerate(packed.sides):
        first, second = pad_size_mm(packed, at=at)
        pads.append(f"{side_name(at)} {length(first)} by {length(second)}, {length(side.laid_mm)} thick")
    return f"Cut pads of {packed.material.name.lower()}: {'; '.join(pads)}."
