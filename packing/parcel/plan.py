"""Which carton and material will carry a unit, and is the carton the customer has good enough?"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from packing.catalogue.schema import Carrier, Carton, Material
from packing.errors import OutOfRange
from packing.parcel.arrangement import Arrangement, Arranger, BoxFacts, box_facts, fit_ratio
from packing.parcel.assembly import assemble
from packing.parcel.carriers import bill
from packing.parcel.checks import length
from packing.parcel.drop import DropTest
from packing.parcel.margins import Margin, board_margins, cushion_margins, holds, material_refusal
from packing.parcel.mend import find_changes
from packing.parcel.outcome import Change, Force, ParcelPlan, Verdict
from packing.parcel.padding import BASE
from packing.parcel.unit import PackUnit, Stance, stances
from packing.quantities import lb_in_from_kn_m


@dataclass(frozen=True, slots=True)
class Candidate:
    """One stance in one carton with one material, found by the quick look."""

    stance: Stance
    box: BoxFacts
    material: Material
    ratio: float
    billed_kg: float = 0.0
    padding_kg: float = 0.0


def plan_parcel(
    unit: PackUnit,
    *,
    cartons: Sequence[Carton],
    materials: Sequence[Material],
    carrier: Carrier | None,
    drop_test: DropTest = DropTest.ISTA_1A,
) -> ParcelPlan:
    """Return the parcel with every margin at least 1 that bills least, then takes the least material.

    When nothing keeps every margin: the nearest miss. It is refused with the one or two changes that would
    mend it, or accepted with a change when only cautious board figures are missed.
    Raises: OutOfRange without cartons or materials, or for a carton no parcel can have.
    """
    _require_choice(cartons=cartons, materials=materials)
    arranger = Arranger(unit, drop_test=drop_test)
    standing = stances(unit)
    allowed = [item for item in materials if not material_refusal(unit, material=item)]
    boxes = [box_facts(carton) for carton in cartons]
    best = _search(arranger, standing=standing, boxes=boxes, materials=allowed, carrier=carrier)
    if best is not None:
        packed = arranger.arrange(best.stance, box=best.box, material=best.material)
        return assemble(packed, verdict=Verdict.PASS, carrier=carrier, changes=())
    near = _nearest(
        arranger, standing=standing, boxes=boxes, materials=allowed or list(materials), carrier=carrier
    )
    packed = arranger.arrange(near.stance, box=near.box, material=near.material)
    return _judged(packed, arranger=arranger, materials=materials, carrier=carrier)


def judge_carton(
    unit: PackUnit,
    *,
    carton: Carton,
    materials: Sequence[Material],
    carrier: Carrier | None,
    drop_test: DropTest = DropTest.ISTA_1A,
    base_padding_mm: float | None = None,
) -> ParcelPlan:
    """Return the verdict on a carton the customer has, with the materials at hand.

    PASS: every rule holds with the unit on its preferred face. PASS_WITH_CHANGES: nothing has to be fetched,
    but it
    must be done as told (built up instead of set on `base_padding_mm`, stood on another face), or only the
    cautious
    board figures are missed. NO: the limiting check says what stands against it, the changes what would mend
    it.
    Raises: OutOfRange without materials, or for a carton no parcel can have.
    """
    _require_choice(cartons=[carton], materials=materials)
    arranger, box = Arranger(unit, drop_test=drop_test), box_facts(carton)
    standing = stances(unit)
    preferred = [stance for stance in standing if stance.down is unit.support_faces[0].face]
    allowed = [item for item in materials if not material_refusal(unit, material=item)]
    usable = allowed or list(materials)
    near = _nearest(arranger, standing=preferred, boxes=[box], materials=usable, carrier=carrier)
    built_up = arranger.arrange(near.stance, box=box, material=near.material)
    if base_padding_mm is not None:
        as_found = arranger.arrange(
            near.stance, box=box, material=near.material, base_padding_mm=_checked_padding(base_padding_mm)
        )
        if _keeps(as_found, carrier=carrier, force=Force.MUST):
            return _judged(as_found, arranger=arranger, materials=materials, carrier=carrier)
        if not _keeps(built_up, carrier=carrier, force=Force.MUST):
            return _judged(as_found, arranger=arranger, materials=materials, carrier=carrier)
        return assemble(
            built_up, verdict=Verdict.PASS_WITH_CHANGES, carrier=carrier, changes=(_build_up(built_up),)
        )
    if not _keeps(built_up, carrier=carrier, force=Force.MUST) and len(standing) > len(preferred):
        other = _nearest(arranger, standing=standing, boxes=[box], materials=usable, carrier=carrier)
        turned = arranger.arrange(other.stance, box=box, material=other.material)
        if _keeps(turned, carrier=carrier, force=Force.MUST):
            change = Change("stance", f"Stand the unit on its {other.stance.down.value}: then there is room.")
            return assemble(turned, verdict=Verdict.PASS_WITH_CHANGES, carrier=carrier, changes=(change,))
    return _judged(built_up, arranger=arranger, materials=materials, carrier=carrier)


def _judged(
    packed: Arrangement, *, arranger: Arranger, materials: Sequence[Material], carrier: Carrier | None
) -> ParcelPlan:
    if _keeps(packed, carrier=carrier, force=None):
        return assemble(packed, verdict=Verdict.PASS, carrier=carrier, changes=())
    if _keeps(packed, carrier=carrier, force=Force.MUST):
        ect = packed.box.carton.ect_kn_m
        strength = f"{lb_in_from_kn_m(ect):.0f} lb/in ({ect:.1f} kN/m)"
        sentence = f"Board stronger than {strength} is advised for dense metal."
        change = Change("board", sentence)
        return assemble(packed, verdict=Verdict.PASS_WITH_CHANGES, carrier=carrier, changes=(change,))
    changes = find_changes(packed, arranger=arranger, at_hand=materials, carrier=carrier)
    return assemble(packed, verdict=Verdict.NO, carrier=carrier, changes=changes)


def _keeps(packed: Arrangement, *, carrier: Carrier | None, force: Force | None) -> bool:
    """Tell whether all margins hold, or with `force` all of that force."""
    margins = cushion_margins(packed) + board_margins(packed.box, gross_kg=packed.gross_kg, carrier=carrier)
    return all(holds(margin) for margin in margins if force is None or margin.force is force)


def _search(
    arranger: Arranger,
    *,
    standing: Sequence[Stance],
    boxes: Sequence[BoxFacts],
    materials: Sequence[Material],
    carrier: Carrier | None,
) -> Candidate | None:
    """Return the passing candidate that bills least, then takes the least material and the smallest carton.

    Cartons are tried in the order of the least they can bill; the search stops when no later one can be
    better.
    """
    floors = sorted(
        ((_billed_kg(box, arranger.unit.mass_kg + box.empty_kg, carrier=carrier), box) for box in boxes),
        key=lambda pair: (pair[0], pair[1].inside.volume_cm3),
    )
    best: Candidate | None = None
    for floor_kg, box in floors:
        if best is not None and floor_kg > best.billed_kg:
            break
        for candidate in _candidates(arranger, standing=standing, boxes=[box], materials=materials):
            if candidate.ratio < 1:
                continue
            gross_kg, _ = arranger.weigh(candidate.stance, box=box, material=candidate.material)
            billed_kg = _billed_kg(box, gross_kg, carrier=carrier)
            padding_kg = gross_kg - arranger.unit.mass_kg - box.empty_kg
            if best is not None and (billed_kg, padding_kg) >= (best.billed_kg, best.padding_kg):
                continue
            if not all(holds(margin) for margin in board_margins(box, gross_kg=gross_kg, carrier=carrier)):
                continue
            packed = arranger.arrange(candidate.stance, box=box, material=candidate.material)
            if all(holds(margin) for margin in cushion_margins(packed)):
                best = replace(candidate, billed_kg=billed_kg, padding_kg=padding_kg)
    return best


def _nearest(
    arranger: Arranger,
    *,
    standing: Sequence[Stance],
    boxes: Sequence[BoxFacts],
    materials: Sequence[Material],
    carrier: Carrier | None,
) -> Candidate:
    """Return the candidate whose worst margin is greatest.

    Of equal ones the smallest carton, least material.
    """
    ranked: list[tuple[float, float, float, Candidate]] = []
    found = sorted(
        _candidates(arranger, standing=standing, boxes=boxes, materials=materials),
        key=lambda candidate: -candidate.ratio,
    )
    best_ratio = -1.0
    for candidate in found:
        if min(candidate.ratio, 1.0) < best_ratio:
            break
        gross_kg, _ = arranger.weigh(candidate.stance, box=candidate.box, material=candidate.material)
        margins: list[Margin] = board_margins(candidate.box, gross_kg=gross_kg, carrier=carrier)
        must = min(margin.ratio for margin in margins if margin.force is Force.MUST)
        worst = min(1.0, candidate.ratio, must)
        best_ratio = max(best_ratio, worst)
        ranked.append((-worst, candidate.box.inside.volume_cm3, gross_kg, candidate))
    return min(ranked, key=lambda row: row[:3])[3]


def _candidates(
    arranger: Arranger,
    *,
    standing: Sequence[Stance],
    boxes: Sequence[BoxFacts],
    materials: Sequence[Material],
) -> list[Candidate]:
    """Return every combination with how well it fits, judged by room alone."""
    found = []
    for box in boxes:
        height_m = arranger.drop_height_m(arranger.unit.mass_kg + box.empty_kg)
        for material in materials:
            for stance in standing:
                needs = arranger.needs(stance, material=material, drop_height_m=height_m)
                found.append(Candidate(stance, box, material, fit_ratio(stance, box=box, needs=needs)))
    return found


def _billed_kg(box: BoxFacts, gross_kg: float, *, carrier: Carrier | None) -> float:
    if carrier is None:
        return gross_kg
    return bill(box.outside, gross_mass_kg=gross_kg, carrier=carrier).billed_kg


def _build_up(packed: Arrangement) -> Change:
    base = packed.sides[BASE]
    name = packed.material.name.lower()
    seat_mm = base.gap_mm - base.block_mm - base.spreader_mm
    sentence = f"Build the base up to {length(seat_mm)} of {name} pressed down hard"
    if base.block_mm > 0:
        sentence += f", with a block {length(base.block_mm)} high under the support face"
    return Change("base", sentence + ".")


def _checked_padding(base_padding_mm: float) -> float:
    if not 0 <= base_padding_mm <= 1000:
        raise OutOfRange("base_padding_mm", value=base_padding_mm, least=0, most=1000)
    return base_padding_mm


def _require_choice(*, cartons: Sequence[Carton], materials: Sequence[Material]) -> None:
    if not cartons:
        raise OutOfRange("number of cartons to choose from", value=0, least=1, most="any number")
    if not materials:
        raise OutOfRange("number of materials to choose from", value=0, least=1, most="any number")
