"""Which layers does the packed carton have, from floor to lid?"""

import math

from packing.parcel.arrangement import Arrangement
from packing.parcel.checks import length
from packing.parcel.fill import PACK_OUT_LEAST_MM, crown_mm
from packing.parcel.laid import is_cut_to_size
from packing.parcel.outcome import BlockKind, Layer
from packing.parcel.unit import BASE, SPREAD_OVERHANG_MM, TOP


def crown_of(packed: Arrangement) -> float:
    """Return how far the top fill stands above the walls before closing, in mm."""
    return crown_mm(packed.sides[TOP].laid_mm, settles_share=packed.mix.top.settles_share)


def pad_size_mm(packed: Arrangement, *, at: int) -> tuple[float, float]:
    """Return the two sides of the pad of one face: the face's own proportions at the designed area."""
    first, second = packed.stance.support_mm if at == BASE else packed.stance.sides_mm[at]
    area_mm2 = packed.sides[at].area_m2 * 1e6
    scale = math.sqrt(area_mm2 / (first * second))
    if scale <= 1:
        return first * scale, second * scale
    # The overhang is the same all round, as a board pad is cut.
    half_sum, missing = (first + second) / 2, area_mm2 - first * second
    overhang_mm = min(SPREAD_OVERHANG_MM, (-half_sum + math.sqrt(half_sum**2 + missing)) / 2)
    return first + 2 * overhang_mm, second + 2 * overhang_mm


def block_pad_mm(packed: Arrangement) -> tuple[float, float]:
    """Return the two sides of the pad of the block: at least as large as the block it carries or covers."""
    first, second = pad_size_mm(packed, at=BASE)
    return max(first, packed.stance.support_mm[0]), max(second, packed.stance.support_mm[1])


def layers_of(packed: Arrangement) -> tuple[Layer, ...]:
    """Return the layers from the carton floor up without gaps: base, seat, sides, projections, top."""
    base = packed.sides[BASE]
    height_mm = packed.box.inside.height_mm
    body_top_mm = min(height_mm, base.gap_mm + packed.stance.size_mm[2])
    middle_mm = (base.gap_mm + body_top_mm) / 2
    under, round_it, over = (
        item.name.lower() for item in (packed.mix.base, packed.mix.sides, packed.mix.top)
    )
    stacked = base.block is BlockKind.BUILT_UP and is_cut_to_size(packed.mix.base)
    flat_mm = base.gap_mm - base.spreader_mm - (0.0 if stacked else base.block_mm)
    rows = [Layer("base", f"base of {under}", 0.0, flat_mm, _base_instruction(packed, flat_mm=flat_mm))]
    if base.spreader_mm + base.block_mm > 0:
        rows.append(Layer("seat", _seat_name(packed), flat_mm, base.gap_mm, _seat_instruction(packed)))
    rows += [
        Layer("sides", "sides", base.gap_mm, middle_mm, f"Unit set down; {round_it} on all four sides."),
        Layer(
            "projections",
            "round the projections" if packed.stance.projections else "upper half of the sides",
            middle_mm,
            body_top_mm,
            "Fill round every part that stands out; nothing may press on it."
            if packed.stance.projections
            else f"{round_it.capitalize()} up level with the top of the unit.",
        ),
        Layer("top", f"top of {over}", body_top_mm, height_mm, _top_instruction(packed)),
    ]
    return tuple(row for row in rows if row.to_mm - row.from_mm > 1e-6)


def _top_instruction(packed: Arrangement) -> str:
    name, top = packed.mix.top.name.lower(), packed.sides[TOP]
    if not is_cut_to_size(packed.mix.top) or top.packed_out_mm < PACK_OUT_LEAST_MM:
        return f"{length(top.gap_mm)} of {name} over the unit."
    return (
        f"{length(top.laid_mm)} of {name} over the unit, {length(top.packed_out_mm)} of folded board behind."
    )


def _base_instruction(packed: Arrangement, *, flat_mm: float) -> str:
    name = packed.mix.base.name.lower()
    if is_cut_to_size(packed.mix.base):
        return f"{length(packed.sides[BASE].laid_mm)} of {name} in the middle."
    return f"{length(flat_mm)} of {name}, pressed down hard."


def _seat_name(packed: Arrangement) -> str:
    kind = packed.sides[BASE].block
    if kind is BlockKind.RIGID:
        return "block on its pad"
    if kind is BlockKind.BUILT_UP and not is_cut_to_size(packed.mix.base):
        return "built-up block under its pad"
    return "spreader pad"


def _seat_instruction(packed: Arrangement) -> str:
    base = packed.sides[BASE]
    pad = f"a folded board pad {length(base.spreader_mm)} thick"
    if base.block is BlockKind.RIGID:
        return f"Lay {pad} and on it a block {length(base.block_mm)} high."
    if base.block is BlockKind.BUILT_UP and not is_cut_to_size(packed.mix.base):
        return f"Build the cushion {length(base.block_mm)} higher in the middle; {pad} on it."
    return f"Lay {pad} under the support face."
