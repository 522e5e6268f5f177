"""Where nothing keeps every margin: which carton and materials come nearest to it?"""

from collections.abc import Sequence

from packing.catalogue.schema import Carrier, Material
from packing.parcel.arrangement import Arranger, Room
from packing.parcel.box_facts import BoxFacts
from packing.parcel.margins import board_margins
from packing.parcel.outcome import Force
from packing.parcel.regions import Mix, one_material
from packing.parcel.search import Choice, free_mm
from packing.parcel.unit import Stance


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
    along, across, upright = (max(0.0, side) for side in free_mm(stance, box=box))
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
