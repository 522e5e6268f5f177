"""How is the parcel packed once the changes that mend a refused plan are made?"""

from collections.abc import Sequence
from dataclasses import replace

from packing.catalogue.schema import Carrier, Carton, Material, Origin, Source
from packing.parcel.drop import DropTest
from packing.parcel.outcome import ParcelPlan, Verdict
from packing.parcel.plan import judge_carton
from packing.parcel.tables import stock_materials
from packing.parcel.unit import PackUnit
from packing.quantities import UnitChoice, show_size

TO_GET = Source("a carton still to get; its board is as this plan assumes it", Origin.ESTIMATE)


def mended_plan(
    plan: ParcelPlan,
    *,
    unit: PackUnit,
    at_hand: Sequence[Material],
    carrier: Carrier | None,
    drop_test: DropTest = DropTest.ISTA_1A,
) -> ParcelPlan | None:
    """Return the plan with all told changes made, where it keeps every rule that must hold; else None.

    None too for a plan that is not refused, and where a change needs a person: another service, a part off, a
    question to the shop. Of alternatives in one sentence the first is made. Raises: OutOfRange, as
    `judge_carton`.
    """
    if plan.verdict is not Verdict.NO:
        return None
    carton, materials = plan.carton, list(at_hand)
    for change in plan.changes:
        if change.carton is None and not change.materials:
            return None
        carton = change.carton or carton
        if change.materials:
            known = {item.slug: item for item in (*stock_materials(), *at_hand)}
            materials = [known[slug] for slug in change.materials]
    if not materials or (carton is plan.carton and not any(change.materials for change in plan.changes)):
        return None
    if carton is not plan.carton:
        carton = replace(carton, slug="to-get", name=_name(carton), source=TO_GET)
    found = judge_carton(unit, carton=carton, materials=materials, carrier=carrier, drop_test=drop_test)
    return found if found.verdict is not Verdict.NO else None


def _name(carton: Carton) -> str:
    size = show_size(carton.length_mm, carton.width_mm, carton.height_mm, choice=UnitChoice.METRIC)
    return f"{size} {carton.wall.value}-wall{', used' if carton.used else ''}"
