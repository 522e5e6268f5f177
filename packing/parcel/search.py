"""Which of all cartons, materials and stances passes with the least billed mass, then the least material?

Least material means: fewest kinds to fetch, then the least mass of them. Exact over the discrete choices. For
one carton, stance and drop height the mass of the padding is the sum of what goes round the sides and what
goes under and over the unit, and both a bill and a board judge the sum only: so a mix is looked at only
where the lightest sides with the lightest ends would bill less than one material everywhere, lightest first.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from heapq import heappop, heappush
from itertools import product

from packing.catalogue.schema import Carrier, Material
from packing.parcel.arrangement import Arranger, Room
from packing.parcel.box_facts import BoxFacts
from packing.parcel.carriers import bill
from packing.parcel.drop import band_starts_kg
from packing.parcel.fill import BOARD_KG_M3
from packing.parcel.margins import board_margins, cushion_margins, holds
from packing.parcel.outcome import Force
from packing.parcel.regions import (
    FIT_SLACK_MM,
    Mix,
    end_fill,
    one_material,
    shared_gaps_mm,
    sides_fill,
)
from packing.parcel.unit import BASE, TOP, Stance

LEAST_KINDS = 2  # of a mix; one material everywhere is looked at before


@dataclass(frozen=True, slots=True)
class Choice:
    """One stance in one carton with its materials; `ratio` tells how well it fits by room alone."""

    stance: Stance
    box: BoxFacts
    mix: Mix
    ratio: float
    billed_kg: float = 0.0
    padding_kg: float = 0.0

    @property
    def cost(self) -> tuple[float, int, float]:
        """Return what is made least: billed mass, then kinds of material, then the mass of the padding."""
        return round(self.billed_kg, 9), len(self.mix.materials), self.padding_kg


def search(
    arranger: Arranger,
    *,
    standing: Sequence[Stance],
    boxes: Sequence[BoxFacts],
    materials: Sequence[Material],
    carrier: Carrier | None,
    kinds_most: int = 3,
) -> list[Choice]:
    """Return the best passing choice and those with which it ties on the bill; none when nothing passes.

    The best comes first, the others by what decides between equal bills: fewer kinds of padding, then less of
    it by mass, then the smaller carton, then the preferred face. Every carton that ties with one material
    everywhere is among them; of mixes only those that were the best for a while. With `kinds_most` of 1 only
    one material everywhere is looked at.

    Cartons are tried in the order of the least they can bill; the search stops when no later one can be
    better.
    """
    floors = sorted(
        ((billed_kg(box, arranger.unit.mass_kg + box.empty_kg, carrier=carrier), box) for box in boxes),
        key=lambda pair: (pair[0], pair[1].inside.volume_cm3),
    )
    found: list[Choice] = []
    for floor_kg, box in floors:
        if found and floor_kg > found[0].billed_kg + 1e-9:
            break
        heights = _heights_m(arranger, box=box)
        for stance in standing:
            for height_m in heights:
                rooms = arranger.rooms(stance, materials=materials, drop_height_m=height_m)
                if not _may_fit(stance, box=box, rooms=rooms):
                    continue
                better, others = _best_of_stance(
                    arranger,
                    stance=stance,
                    box=box,
                    rooms=rooms,
                    height_m=height_m,
                    carrier=carrier,
                    beaten_score=found[0].cost if found else None,
                    kinds_most=kinds_most,
                )
                found += others
                if better is not None:
                    found.insert(0, better)
    ties = [choice for choice in found[1:] if choice.cost[0] == found[0].cost[0]]
    return found[:1] + sorted(ties, key=lambda choice: choice.cost)


def _free_mm(stance: Stance, *, box: BoxFacts) -> tuple[float, float, float]:
    """Return the room beside the body along each direction, a hair of rounding allowed."""
    inside, size = box.inside_mm, stance.size_mm
    return tuple(inside[axis] - size[axis] + FIT_SLACK_MM for axis in range(3))  # type: ignore[return-value]


def _may_fit(stance: Stance, *, box: BoxFacts, rooms: Sequence[Room]) -> bool:
    """Tell whether any mix could have its room: sides by the same material, base and top by any."""
    along, across, upright = _free_mm(stance, box=box)
    if not rooms or min(room.base_mm for room in rooms) + min(room.top_mm for room in rooms) > upright:
        return False
    return any(room.along_mm <= along and room.across_mm <= across for room in rooms)


def _best_of_stance(
    arranger: Arranger,
    *,
    stance: Stance,
    box: BoxFacts,
    rooms: Sequence[Room],
    height_m: float,
    carrier: Carrier | None,
    beaten_score: tuple[float, int, float] | None,
    kinds_most: int,
) -> tuple[Choice | None, list[Choice]]:
    """Return the best mix of a stance in a carton if it beats `beaten_score`, and the others that pass."""
    best: Choice | None = None
    others: list[Choice] = []
    along, across, upright = _free_mm(stance, box=box)
    for room in rooms:
        if room.along_mm <= along and room.across_mm <= across and room.upright_mm <= upright:
            mix = one_material(room.material)
            found = _passing(arranger, stance, box=box, mix=mix, height_m=height_m, carrier=carrier)
            if found is None:
                continue
            if beaten_score is not None and found.cost >= beaten_score:
                others.append(found)
                continue
            others += [best] if best else []
            best, beaten_score = found, found.cost
    if kinds_most < LEAST_KINDS:
        return best, others
    floor_kg = billed_kg(box, arranger.unit.mass_kg + box.empty_kg, carrier=carrier)
    if beaten_score is not None and (round(floor_kg, 9), LEAST_KINDS, 0.0) >= beaten_score:
        return best, others
    for mix, padding_kg in _mixes(stance, box=box, rooms=rooms):
        gross_kg = arranger.unit.mass_kg + box.empty_kg + padding_kg
        least = round(billed_kg(box, gross_kg, carrier=carrier), 9), LEAST_KINDS, padding_kg
        if beaten_score is not None and least >= beaten_score:
            break  # every later mix is as heavy or heavier
        found = _passing(arranger, stance, box=box, mix=mix, height_m=height_m, carrier=carrier)
        if found is not None and (beaten_score is None or found.cost < beaten_score):
            others += [best] if best else []
            best, beaten_score = found, found.cost
    return best, others


def _passing(
    arranger: Arranger,
    stance: Stance,
    *,
    box: BoxFacts,
    mix: Mix,
    height_m: float,
    carrier: Carrier | None,
) -> Choice | None:
    """Return the choice when every rule holds and its gross mass belongs to this drop height."""
    gross_kg, settled_m = arranger.weigh(stance, box=box, mix=mix)
    if settled_m != height_m:
        return None
    if not all(holds(item) for item in board_margins(box, gross_kg=gross_kg, carrier=carrier)):
        return None
    packed = arranger.arrange(stance, box=box, mix=mix)
    if not all(holds(item) for item in cushion_margins(packed)):
        return None
    billed = billed_kg(box, gross_kg, carrier=carrier)
    return Choice(stance, box, mix, 1.0, billed, packed.padding_kg)


def _heights_m(arranger: Arranger, *, box: BoxFacts) -> list[float]:
    """Return the drop heights a parcel in this carton can have, that of its least mass first."""
    least_kg = arranger.unit.mass_kg + box.empty_kg
    most_kg = least_kg + box.inside.volume_cm3 / 1000 * BOARD_KG_M3 / 1000
    heights = [arranger.drop_height_m(least_kg)]
    for start_kg in band_starts_kg():
        if least_kg < start_kg <= most_kg:
            height_m = arranger.drop_height_m(start_kg)
            if height_m not in heights:
                heights.append(height_m)
    return heights


def _mixes(stance: Stance, *, box: BoxFacts, rooms: Sequence[Room]) -> Iterator[tuple[Mix, float]]:
    """Yield every mix of two or three materials that has its room with its padding's mass, lightest first."""
    along, across, upright = _free_mm(stance, box=box)
    round_it: list[tuple[float, int, Material]] = []
    for room in rooms:
        if room.along_mm <= along and room.across_mm <= across:
            fill = sides_fill(stance, box=box, material=room.material, needs=room.needs)
            round_it.append((fill.mass_kg, len(round_it), room.material))
    ends: list[tuple[float, int, Material, Material]] = []
    for low, high in product(rooms, repeat=2):
        if low.base_mm + high.top_mm > upright:
            continue
        gaps = shared_gaps_mm(low.base_mm, high.top_mm, free_mm=upright - FIT_SLACK_MM)
        mass_kg = sum(
            end_fill(stance, box=box, material=room.material, need=room.needs[at], gap_mm=gap, at=at).mass_kg
            for room, gap, at in ((low, gaps[0], BASE), (high, gaps[1], TOP))
        )
        ends.append((mass_kg, len(ends), low.material, high.material))
    if not ends or not round_it:
        return
    round_it.sort(key=lambda row: row[:2])
    ends.sort(key=lambda row: row[:2])
    # A heap over the two sorted lists: the next lightest sum is always one step from those already yielded.
    heap = [(round_it[0][0] + ends[0][0], 0, 0)]
    while heap:
        mass_kg, at_side, at_end = heappop(heap)
        _, _, sides = round_it[at_side]
        _, _, base, top = ends[at_end]
        if not base.slug == sides.slug == top.slug:
            yield Mix(base, sides, top), mass_kg
        if at_end + 1 < len(ends):
            heappush(heap, (round_it[at_side][0] + ends[at_end + 1][0], at_side, at_end + 1))
        if at_end == 0 and at_side + 1 < len(round_it):
            heappush(heap, (round_it[at_side + 1][0] + ends[0][0], at_side + 1, 0))


def nearest(
    arranger: Arranger,
    *,
    standing: Sequence[Stance],
    boxes: Sequence[BoxFacts],
    materials: Sequence[Material],
    carrier: Carrier | None,
) -> Choice:
    """Return the choice whose worst margin is greatest; of equal ones the smallest carton, least material.

    Room is judged axis by axis, so the roomiest mix of a stance is the roomiest of each region.
    """
    found = []
    for box in boxes:
        height_m = arranger.drop_height_m(arranger.unit.mass_kg + box.empty_kg)
        found += [
            _roomiest(arranger, stance, box=box, materials=materials, height_m=height_m)
            for stance in standing
        ]
    found.sort(key=lambda choice: -choice.ratio)
    best_ratio, ranked = -1.0, []
    for choice in found:
        if min(choice.ratio, 1.0) < best_ratio:
            break
        gross_kg, _ = arranger.weigh(choice.stance, box=choice.box, mix=choice.mix)
        margins = board_margins(choice.box, gross_kg=gross_kg, carrier=carrier)
        must = min(margin.ratio_least for margin in margins if margin.force is Force.MUST)
        worst = min(1.0, choice.ratio, must)
        best_ratio = max(best_ratio, worst)
        ranked.append((-worst, choice.box.inside.volume_cm3, gross_kg, choice))
    return min(ranked, key=lambda row: row[:3])[3]


def _roomiest(
    arranger: Arranger, stance: Stance, *, box: BoxFacts, materials: Sequence[Material], height_m: float
) -> Choice:
    """Return the mix that has most of the room it needs; one material if that is enough."""
    rooms = arranger.rooms(stance, materials=materials, drop_height_m=height_m)
    along, across, upright = (max(0.0, side) for side in _free_mm(stance, box=box))
    ratios = [min(along / room.along_mm, across / room.across_mm) for room in rooms]
    sides = max(range(len(rooms)), key=ratios.__getitem__)
    base, top = min(rooms, key=_base_mm), min(rooms, key=_top_mm)
    ratio = min(ratios[sides], upright / (base.base_mm + top.top_mm))
    alone = [min(side, upright / room.upright_mm) for side, room in zip(ratios, rooms, strict=True)]
    most = max(range(len(rooms)), key=alone.__getitem__)
    if alone[most] >= min(ratio, 1.0) - 1e-9:
        return Choice(stance, box, one_material(rooms[most].material), alone[most])
    return Choice(stance, box, Mix(base.material, rooms[sides].material, top.material), ratio)


def _base_mm(room: Room) -> float:
    return room.base_mm


def _top_mm(room: Room) -> float:
    return room.top_mm


def billed_kg(box: BoxFacts, gross_kg: float, *, carrier: Carrier | None) -> float:
    """Return what a carrier bills for this carton at a gross mass; without a carrier the gross mass."""
    if carrier is None:
        return gross_kg
    return bill(box.outside, gross_mass_kg=gross_kg, carrier=carrier).billed_kg
