"""What has to be got together before a parcel is packed, counted over the whole of it?"""

import math
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from packing.catalogue.schema import Face
from packing.parcel.box import BoxSize, tape_length_mm
from packing.parcel.fill import PACK_OUT_LEAST_MM
from packing.parcel.outcome import BlockKind, ParcelPlan
from packing.parcel.tables import load_table
from packing.parcel.unit import Leg
from packing.quantities import MM_PER_IN, UnitChoice, show_length, show_size

MM_PER_FT = 12 * MM_PER_IN
TAPED_BAG = "in a taped bag"  # as the steps say of a block of balled fill


@dataclass(frozen=True, slots=True)
class Need:
    """One thing to get: how much of it, and what it is."""

    slug: str
    amount: str
    name: str


def things_to_get(plan: ParcelPlan, *, choice: UnitChoice) -> tuple[Need, ...]:
    """Return the carton, the materials by count, the tape and the small things a plan's steps ask for.

    The same material under, round and on top of the unit is counted together. A plan without counts (made
    before they were kept) names its materials by region.
    """
    return (
        *_carton(plan, choice=choice),
        *_materials(plan),
        *_board(plan, choice=choice),
        *_small_things(plan),
        _tape(plan, choice=choice),
    )


def _carton(plan: ParcelPlan, *, choice: UnitChoice) -> tuple[Need, ...]:
    carton = plan.carton
    inside = show_size(carton.length_mm, carton.width_mm, carton.height_mm, choice=choice)
    return (Need("carton", "1 carton", f"{carton.wall.value}-wall, inside {inside}"),)


def _materials(plan: ParcelPlan) -> tuple[Need, ...]:
    if any(fill.count and not fill.counted for fill in plan.fills):
        return tuple(Need(f"fill-{fill.region}", "", f"{fill.name}: {fill.sentence}") for fill in plan.fills)
    found: dict[str, Need] = {}
    for fill in plan.fills:
        if fill.count:
            count = sum(other.count for other in plan.fills if other.material == fill.material)
            is_cut = any(side.cut_to_size for side in plan.cushions if side.material == fill.material)
            amount = f"{count} {fill.counted}" if is_cut else f"about {count} {fill.counted}"
            found[fill.material] = Need(fill.material, amount, f"({fill.name.lower()})" if is_cut else "")
    balls = sum(fill.loose_balls for fill in plan.fills)
    if balls:
        words = "loose ball of paper" if balls == 1 else "loose balls of paper"
        found["loose-paper"] = Need("loose-paper", f"about {balls} {words}", "for the corners")
    return tuple(found.values())


def _board(plan: ParcelPlan, *, choice: UnitChoice) -> tuple[Need, ...]:
    needs: list[Need] = []
    if plan.block is not None:
        block = plan.block
        if block.kind is BlockKind.RIGID:
            size = show_size(block.length_mm, block.width_mm, block.height_mm, choice=choice)
            needs.append(Need("block", "1 block", f"of glued board, {size}"))
    for at, ((length_mm, width_mm, thick_mm), count) in enumerate(Counter(_board_pads_mm(plan)).items()):
        slug, amount = f"pad-{at}" if at else "pad", f"{count} pad{'s' if count > 1 else ''}"
        size = show_size(length_mm, width_mm, thick_mm, choice=choice)
        needs.append(Need(slug, amount, f"of folded board, {size}"))
    if any(side.packed_out_mm >= PACK_OUT_LEAST_MM for side in plan.cushions):
        needs.append(Need("board", "folded board", "to pack out behind the cushion, as the steps say"))
    return tuple(needs)


def _board_pads_mm(plan: ParcelPlan) -> Iterator[tuple[float, float, float]]:
    """Yield the pads of folded board between cushion and unit, that of the block or under the unit first."""
    if plan.block is not None:
        yield plan.block.pad_length_mm, plan.block.pad_width_mm, plan.block.pad_thickness_mm
    for side in sorted(plan.cushions, key=lambda side: side.face is not Face.BASE):
        if side.spreader_mm > 0 and not (plan.block is not None and side.face is Face.BASE):
            yield side.pad_length_mm, side.pad_width_mm, side.spreader_mm


def _small_things(plan: ParcelPlan) -> tuple[Need, ...]:
    # Plans that were frozen earlier have a step for each tube, "cap_" and the slug of the part.
    tubes = sum(step.count for step in plan.steps if step.slug == "tubes" or step.slug.startswith("cap_"))
    splints = sum(step.slug.startswith("splint_") for step in plan.steps)
    slip = "the slip" if plan.leg is Leg.TO_SHOP else "the job sheet"
    needs = (
        Need("tubes", f"{tubes} card tube{'s' if tubes > 1 else ''}", "to slip over what stands out"),
        Need("splints", f"{splints} strip{'s' if splints > 1 else ''}", "of stiff card, and string"),
    )
    counted = tuple(need for need, count in zip(needs, (tubes, splints), strict=True) if count)
    bags, rest = "2 plastic bags", f"– one for the unit, one for {slip}"
    if any(TAPED_BAG in step.instruction for step in plan.steps):
        bags, rest = "3 plastic bags", f"{rest}, one for the block"
    return (*counted, Need("bags", bags, rest))


def _tape(plan: ParcelPlan, *, choice: UnitChoice) -> Need:
    """Return the tape of an H on the lid and on the floor: whole metres, and the feet that make as much."""
    outside = BoxSize(plan.outside_length_mm, plan.outside_width_mm, plan.outside_height_mm)
    length_mm = tape_length_mm(outside)
    whole_m = math.ceil(length_mm / 1000)
    metric, imperial = f"{whole_m} m", f"{math.ceil(whole_m * 1000 / MM_PER_FT)} ft"
    first, second = (metric, imperial) if choice is UnitChoice.METRIC else (imperial, metric)
    width = show_length(load_table("handling")["tape"]["width_least_in"] * MM_PER_IN, choice=choice)
    return Need("tape", f"{first} ({second})", f"of plastic tape, {width} or wider")
