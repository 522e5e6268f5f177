"""Which of all cartons, materials and stances passes with the least billed mass, then the least material?

Least material means: fewest kinds to fetch, then the least mass of them. Exact over the discrete choices. For
one carton, stance and drop height the mass of the padding is the sum of what goes round the sides and what
goes under and over the unit, and both a bill and a board judge the sum only: so a mix is looked at only
where the lightest sides with the lightest ends would bill less than one material everywhere, lightest first.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from heapq import heappop, heappush
from itertools import product

from packing.catalogue.schema import Carrier, Material
from packing.parcel.arrangement import Arranger, Room
from packing.parcel.box_facts import BoxFacts
from packing.parcel.carriers import bill
from packing.parcel.drop import band_starts_kg
from packing.parcel.fill import BOARD_KG_M3, SHEET_FILL_KG_M3
from packing.parcel.margin import holds
from packing.parcel.margins import board_margins, each_cushion_margin
from packing.parcel.regions import (
    FIT_SLACK_MM,
    Mix,
    end_fill,
    one_material,
    shared_gaps_mm,
    sides_fill,
)
from packing.parcel.unit import BASE, TOP, PackUnit, Stance

LEAST_KINDS = 2  # of a mix; one material everywhere is looked at before
SAME_BILL_KG = 1e-9  # bills that differ by less are one bill, computed in another order
ROUNDING_SHARE = 1e-9  # a bound stays below what it bounds, however its parts are added up


Cost = tuple[float, int, float]
"""What is made least, in this order: billed mass (kg), kinds of material, mass of the padding (kg)."""


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
    def cost(self) -> Cost:
        """Return what is made least: billed mass, then kinds of material, then the mass of the padding."""
        return round(self.billed_kg, 9), len(self.mix.materials), self.padding_kg


class _Tally:
    """The best choice so far, those that pass as well, and the bill beyond which nothing matters any more."""

    def __init__(self, *, limit_kg: float, beaten: Cost | None) -> None:
        self.best: Choice | None = None
        self.others: list[Choice] = []
        self.limit_kg = limit_kg if beaten is None else min(limit_kg, beaten[0] + SAME_BILL_KG)
        self.beaten = beaten

    def is_beaten_by(self, cost: Cost) -> bool:
        """Tell whether a choice of this cost would be the best so far."""
        return self.beaten is None or cost < self.beaten

    def add(self, choice: Choice) -> None:
        """Keep a choice that passes."""
        if not self.is_beaten_by(choice.cost):
            self.others.append(choice)
            return
        if self.best is not None:
            self.others.append(self.best)
        self.best, self.beaten = choice, choice.cost
        self.limit_kg = min(self.limit_kg, choice.billed_kg + SAME_BILL_KG)

    @property
    def ranked(self) -> list[Choice]:
        """Return the best and those billed alike, in the order of what decides between equal bills."""
        if self.best is None:
            return []
        ties = [choice for choice in self.others if choice.cost[0] == self.best.cost[0]]
        return [self.best, *sorted(ties, key=lambda choice: choice.cost)]


def search(
    arranger: Arranger,
    *,
    standing: Sequence[Stance],
    boxes: Sequence[BoxFacts],
    materials: Sequence[Material],
    carrier: Carrier | None,
    kinds_most: int = 3,
    billed_most_kg: float = math.inf,
    better_than: Cost | None = None,
    using: str = "",
) -> list[Choice]:
    """Return the best passing choice and those with which it ties on the bill; none when nothing passes.

    The best comes first, the others by what decides between equal bills: fewer kinds of padding, then less of
    it by mass, then the smaller carton, then the preferred face. Every carton that ties with one material
    everywhere is among them; of mixes only those that were looked at. With `kinds_most` of 1 only one
    material everywhere is looked at. What would be billed more than `billed_most_kg`, or costs no less than
    `better_than`, is passed over, as is what does not use the material of the slug `using`.

    Cartons are tried in the order of the least they can bill, their room filled with the lightest material;
    the search stops when no later one can be better.
    """
    floors = []
    for box in boxes:
        least_kg = _least_gross_kg(arranger.unit, box=box, materials=materials)
        floors.append((billed_kg(box, least_kg, carrier=carrier), box))
    floors.sort(key=lambda pair: (pair[0], pair[1].inside.volume_cm3))
    tally = _Tally(limit_kg=billed_most_kg, beaten=better_than)
    for floor_kg, box in floors:
        if floor_kg > tally.limit_kg:
            break
        for stance, height_m in product(standing, drop_heights_m(arranger, box=box)):
            rooms = arranger.rooms(stance, materials=materials, drop_height_m=height_m)
            if not _may_fit(stance, box=box, rooms=rooms):
                continue
            case = _Case(arranger, stance, box, rooms, height_m, carrier, using)
            _try_alone(case, tally=tally)
            if kinds_most >= LEAST_KINDS and tally.is_beaten_by((round(floor_kg, 9), LEAST_KINDS, 0.0)):
                _try_mixes(case, tally=tally)
    return tally.ranked


def _least_gross_kg(unit: PackUnit, *, box: BoxFacts, materials: Sequence[Material]) -> float:
    """Return what a parcel in this carton weighs at least: its room filled with the lightest of everything.

    All room about the unit is filled with one of the materials, with loose sheets about cut pads, or board.
    """
    densities = [item.density_kg_m3 for item in materials]
    lightest = min([*densities, SHEET_FILL_KG_M3, BOARD_KG_M3])
    body_cm3 = unit.length_mm * unit.width_mm * unit.height_mm / 1000
    void_litres = max(0.0, box.inside.volume_cm3 - body_cm3) / 1000
    return unit.mass_kg + box.empty_kg + void_litres * lightest / 1000 * (1 - ROUNDING_SHARE)


def free_mm(stance: Stance, *, box: BoxFacts) -> tuple[float, float, float]:
    """Return the room beside the body along each direction, a hair of rounding allowed."""
    inside, size = box.inside_mm, stance.size_mm
    return tuple(inside[axis] - size[axis] + FIT_SLACK_MM for axis in range(3))  # type: ignore[return-value]


def _may_fit(stance: Stance, *, box: BoxFacts, rooms: Sequence[Room]) -> bool:
    """Tell whether any mix could have its room: sides by the same material, base and top by any."""
    along, across, upright = free_mm(stance, box=box)
    if not rooms or min(room.base_mm for room in rooms) + min(room.top_mm for room in rooms) > upright:
        return False
    return any(room.along_mm <= along and room.across_mm <= across for room in rooms)


@dataclass(frozen=True, slots=True)
class _Case:
    """One stance in one carton under one fall, with what each material needs."""

    arranger: Arranger
    stance: Stance
    box: BoxFacts
    rooms: Sequence[Room]
    height_m: float
    carrier: Carrier | None
    using: str


def _try_alone(case: _Case, *, tally: _Tally) -> None:
    """Add every one material everywhere that passes."""
    along, across, upright = free_mm(case.stance, box=case.box)
    for room in case.rooms:
        if case.using not in ("", room.material.slug):
            continue
        if room.along_mm <= along and room.across_mm <= across and room.upright_mm <= upright:
            found = _passing(case, mix=one_material(room.material), limit_kg=tally.limit_kg)
            if found is not None:
                tally.add(found)


def _try_mixes(case: _Case, *, tally: _Tally) -> None:
    """Add the mixes that pass, lightest first, until no heavier one can be the best."""
    for mix, padding_kg in mixes(case.stance, box=case.box, rooms=case.rooms):
        gross_kg = case.arranger.unit.mass_kg + case.box.empty_kg + padding_kg
        least_kg = billed_kg(case.box, gross_kg, carrier=case.carrier)
        if not tally.is_beaten_by((round(least_kg, 9), LEAST_KINDS, padding_kg)):
            break  # every later mix is as heavy or heavier
        if case.using and all(material.slug != case.using for material in mix.materials):
            continue
        found = _passing(case, mix=mix, limit_kg=tally.limit_kg)
        if found is not None:
            tally.add(found)


def _passing(case: _Case, *, mix: Mix, limit_kg: float) -> Choice | None:
    """Return the choice when every rule holds, its mass belongs to this fall and its bill is in the limit."""
    arranger, stance, box = case.arranger, case.stance, case.box
    weighed = gross_kg, settled_m = arranger.weigh(stance, box=box, mix=mix)
    if settled_m != case.height_m:
        return None
    billed = billed_kg(box, gross_kg, carrier=case.carrier)
    if billed > limit_kg:
        return None
    if not all(holds(item) for item in board_margins(box, gross_kg=gross_kg, carrier=case.carrier)):
        return None
    packed = arranger.arrange(stance, box=box, mix=mix, weighed=weighed)
    if not all(holds(item) for item in each_cushion_margin(packed)):
        return None
    return Choice(stance, box, mix, 1.0, billed, packed.padding_kg)


def drop_heights_m(arranger: Arranger, *, box: BoxFacts) -> list[float]:
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


def mixes(stance: Stance, *, box: BoxFacts, rooms: Sequence[Room]) -> Iterator[tuple[Mix, float]]:
    """Yield every mix of two or three materials that has its room with its padding's mass, lightest first."""
    along, across, upright = free_mm(stance, box=box)
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


def billed_kg(box: BoxFacts, gross_kg: float, *, carrier: Carrier | None) -> float:
    """Return what a carrier bills for this carton at a gross mass; without a carrier the gross mass."""
    if carrier is None:
        return gross_kg
    return bill(box.outside, gross_mass_kg=gross_kg, carrier=carrier).billed_kg
