"""Which carton and materials will carry a unit, and is the carton the customer has good enough?"""

from collections.abc import Sequence
from dataclasses import replace
from enum import StrEnum

from packing.catalogue.schema import Carrier, Carton, Material
from packing.errors import OutOfRange
from packing.parcel.arrangement import Arrangement, Arranger
from packing.parcel.assembly import assemble
from packing.parcel.best import safest
from packing.parcel.box_facts import BoxFacts, box_facts
from packing.parcel.checks import length, mass
from packing.parcel.drop import DropTest
from packing.parcel.entries import require_material
from packing.parcel.margin import holds
from packing.parcel.margins import all_margins, material_refusal
from packing.parcel.mend import find_changes
from packing.parcel.nearest import nearest
from packing.parcel.outcome import BlockKind, Change, Force, ParcelPlan, Verdict
from packing.parcel.ranges import require_between
from packing.parcel.search import Choice, search
from packing.parcel.unit import BASE, PackUnit, Stance, stances
from packing.quantities import lb_in_from_kn_m

MOST_KINDS = 3  # one material each for base, sides and top
EASY_MOST_TIMES = 2.0  # what a customer may pay more for not having to buy foam; the shop's judgement


class SearchOrder(StrEnum):
    """What is made least first.

    LEAST_BILLED: the billed mass, then the material. EASY_FIRST: the same, but among materials that a kitchen
    or a supermarket has, one kind of them if that will do, as long as such a plan is billed at most twice
    the least.
    """

    LEAST_BILLED = "least_billed"
    EASY_FIRST = "easy_first"


def plan_parcel(
    unit: PackUnit,
    *,
    cartons: Sequence[Carton],
    materials: Sequence[Material],
    carrier: Carrier | None,
    drop_test: DropTest = DropTest.ISTA_1A,
    order: SearchOrder = SearchOrder.LEAST_BILLED,
) -> ParcelPlan:
    """Return the parcel with every margin at least 1 that bills least, then takes the least material.

    Every margin is kept at the bad end of its uncertainty. Base, sides and top may differ in material. Least
    material means fewest kinds, then the least mass. When nothing keeps every margin: the nearest miss. It is
    refused with the one or two changes that would mend it, or accepted with a change when only cautious board
    figures are missed. Raises: OutOfRange without cartons or materials, or for one whose
    figures are impossible.
    """
    _require_choice(cartons=cartons, materials=materials)
    arranger = Arranger(unit, drop_test=drop_test)
    standing = stances(unit)
    allowed = [item for item in materials if not material_refusal(unit, material=item)]
    boxes = [box_facts(carton) for carton in cartons]
    found = search(arranger, standing=standing, boxes=boxes, materials=allowed, carrier=carrier)
    if found and order is SearchOrder.EASY_FIRST:
        found = _easy_first(
            found, arranger=arranger, standing=standing, boxes=boxes, materials=allowed, carrier=carrier
        )
    if found:
        packed = _arrange(arranger, found[0])
        notes = _tie_notes(found, carrier=carrier)
        return assemble(packed, verdict=Verdict.PASS, carrier=carrier, changes=(), notes=notes)
    near = nearest(
        arranger, standing=standing, boxes=boxes, materials=allowed or list(materials), carrier=carrier
    )
    return _judged(_arrange(arranger, near), arranger=arranger, materials=materials, carrier=carrier)


def _easy_first(
    found: list[Choice],
    *,
    arranger: Arranger,
    standing: Sequence[Stance],
    boxes: Sequence[BoxFacts],
    materials: Sequence[Material],
    carrier: Carrier | None,
) -> list[Choice]:
    """Return the best choice of easy materials and its ties, `found` of all materials where none will do.

    The best of all is the best of the easy ones where it is easy itself; no search is needed then.
    """
    easy = [item for item in materials if item.easy_to_get]
    for kinds_most in (1, MOST_KINDS):
        easily = [
            choice
            for choice in found
            if len(choice.mix.materials) <= kinds_most
            and all(material.easy_to_get for material in choice.mix.materials)
        ]
        if not easily or easily[0] is not found[0]:
            easily = search(
                arranger,
                standing=standing,
                boxes=boxes,
                materials=easy,
                carrier=carrier,
                kinds_most=kinds_most,
                billed_most_kg=EASY_MOST_TIMES * found[0].billed_kg,
            )
        if easily:
            return easily
    return found


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
    but it must be done as told (built up instead of set on `base_padding_mm`, stood on another face), or only
    the cautious board figures are missed. NO: the limiting check says what stands against it, the changes
    what would mend it. Of what passes the safest is taken (see `best.safest`), since all of it is at hand:
    one more material never gives a worse verdict, nor the same one with a thinner least margin. Raises:
    OutOfRange without materials, or for a carton or material with figures none can have.
    """
    _require_choice(cartons=[carton], materials=materials)
    arranger, box = Arranger(unit, drop_test=drop_test), box_facts(carton)
    standing = stances(unit)
    preferred = [stance for stance in standing if stance.down is unit.support_faces[0].face]
    allowed = [item for item in materials if not material_refusal(unit, material=item)]
    near = safest(arranger, standing=preferred, box=box, materials=allowed, carrier=carrier)
    if near is None and base_padding_mm is None and len(standing) > len(preferred):
        other = safest(arranger, standing=standing, box=box, materials=allowed, carrier=carrier)
        if other is not None:
            change = Change("stance", f"Stand the unit on its {other.stance.down.value}: then there is room.")
            turned = _arrange(arranger, other)
            return assemble(
                turned, verdict=Verdict.PASS_WITH_CHANGES, carrier=carrier, changes=(change,), notes=()
            )
    near = near or nearest(
        arranger, standing=preferred, boxes=[box], materials=allowed or list(materials), carrier=carrier
    )
    built_up = _arrange(arranger, near)
    if base_padding_mm is not None:
        require_between("base_padding_mm", value=base_padding_mm, least=0, most=1000)
        as_found = arranger.arrange(near.stance, box=box, mix=near.mix, base_padding_mm=base_padding_mm)
        keeps = [_keeps(packed, carrier=carrier, force=Force.MUST) for packed in (as_found, built_up)]
        if keeps[0] or not keeps[1]:
            return _judged(as_found, arranger=arranger, materials=materials, carrier=carrier)
        change = _build_up(built_up)
        return assemble(
            built_up, verdict=Verdict.PASS_WITH_CHANGES, carrier=carrier, changes=(change,), notes=()
        )
    return _judged(built_up, arranger=arranger, materials=materials, carrier=carrier)


def _arrange(arranger: Arranger, choice: Choice) -> Arrangement:
    return arranger.arrange(choice.stance, box=choice.box, mix=choice.mix)


def _judged(
    packed: Arrangement, *, arranger: Arranger, materials: Sequence[Material], carrier: Carrier | None
) -> ParcelPlan:
    if _keeps(packed, carrier=carrier, force=None):
        return assemble(packed, verdict=Verdict.PASS, carrier=carrier, changes=(), notes=())
    if _keeps(packed, carrier=carrier, force=Force.MUST):
        change = Change("board", _advised_board(packed, arranger=arranger, carrier=carrier))
        return assemble(
            packed, verdict=Verdict.PASS_WITH_CHANGES, carrier=carrier, changes=(change,), notes=()
        )
    changes = find_changes(packed, arranger=arranger, at_hand=materials, carrier=carrier)
    return assemble(packed, verdict=Verdict.NO, carrier=carrier, changes=changes, notes=())


def _keeps(packed: Arrangement, *, carrier: Carrier | None, force: Force | None) -> bool:
    """Tell whether all margins hold, or with `force` all of that force."""
    margins = all_margins(packed, carrier=carrier)
    return all(holds(margin) for margin in margins if force is None or margin.force is force)


def _advised_board(packed: Arrangement, *, arranger: Arranger, carrier: Carrier | None) -> str:
    """Return what would keep the cautious board figures too: a new carton alone, or stronger board."""
    ect = packed.box.carton.ect_kn_m
    strength = f"stronger than {lb_in_from_kn_m(ect):.0f} lb/in ({ect:.1f} kN/m)"
    if packed.box.carton.used:
        box = box_facts(replace(packed.box.carton, used=False))
        anew = arranger.arrange(packed.stance, box=box, mix=packed.mix)
        if _keeps(anew, carrier=carrier, force=None):
            return "It will do; for dense metal a new carton of the same board is advised."
        return f"It will do; for dense metal a new carton of board {strength} is advised."
    return f"It will do; for dense metal board {strength} is advised."


def _tie_notes(found: Sequence[Choice], *, carrier: Carrier | None) -> tuple[str, ...]:
    """Return why the first of equally billed cartons was taken; nothing where no other was as cheap."""
    best = found[0]
    other = next((tied for tied in found[1:] if tied.box.carton != best.box.carton), None)
    if other is None:
        return ()
    billed = f"is billed {mass(best.billed_kg)} as well" if carrier else "weighs as much"
    more_kg = other.padding_kg - best.padding_kg
    if other.cost[1] > best.cost[1]:
        why = "takes more kinds of padding"
    elif more_kg > 0:
        why = f"takes {mass(more_kg)} more padding"
    elif other.box.inside.volume_cm3 > best.box.inside.volume_cm3:
        why = "is larger"
    else:
        why = "comes later in the list"
    return (f"The carton {other.box.carton.name} {billed}, but {why}.",)


def _build_up(packed: Arrangement) -> Change:
    base, name = packed.sides[BASE], packed.mix.base.name.lower()
    sentence = f"Build the base up to {length(base.flat_mm)} of {name} pressed down hard"
    if base.block is BlockKind.RIGID:
        sentence += f", with a block {length(base.block_mm)} high under the support face"
    elif base.block is BlockKind.BUILT_UP:
        sentence += f", and a block of the same {length(base.block_mm)} higher under the support face"
    return Change("base", sentence + ".")


def _require_choice(*, cartons: Sequence[Carton], materials: Sequence[Material]) -> None:
    if not cartons:
        raise OutOfRange("number of cartons to choose from", value=0, least=1, most="any number")
    if not materials:
        raise OutOfRange("number of materials to choose from", value=0, least=1, most="any number")
    for material in materials:
        require_material(material)
