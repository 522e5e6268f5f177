"""Could some cartons or one material take the place of a plan that was made without them?

Asked before a changed catalogue entry is published: most plans never meet it, and to know that takes a small
part of the time of a whole plan.
"""

import math
from collections.abc import Sequence

from packing.catalogue.schema import Carrier, Carton, Material
from packing.parcel.arrangement import Arranger
from packing.parcel.box_facts import box_facts
from packing.parcel.drop import DropTest
from packing.parcel.margins import material_refusal
from packing.parcel.outcome import ParcelPlan, Verdict
from packing.parcel.plan import EASY_MOST_TIMES, MOST_KINDS, SearchOrder
from packing.parcel.search import Cost, search
from packing.parcel.unit import PackUnit, stances

SAME_PADDING_KG = 1e-6  # plans whose padding differs by less are looked at as equal


def may_be_beaten(
    plan: ParcelPlan,
    *,
    unit: PackUnit,
    cartons: Sequence[Carton],
    materials: Sequence[Material],
    carrier: Carrier | None,
    order: SearchOrder,
    drop_test: DropTest = DropTest.ISTA_1A,
    using: str = "",
) -> bool:
    """Return whether a choice among these cartons and materials could take the place of a plan.

    The plan is one that uses none of what changed; `using` names the material that every choice to be looked
    at has to use, none for all. False is certain, True is only a reason to plan again: it is given for every
    plan that is not a plain pass, and for one of several easy materials.

    A plan of LEAST_BILLED is beaten by what costs less. One of EASY_FIRST that took an easy material is
    beaten by an easy one that costs less, or by anything billed so little that the plan is over twice as
    much; one that took another, because no easy one is billed at most twice as much, also by an easy one that
    is.
    Raises: OutOfRange for a carton no parcel can have.
    """
    if plan.verdict is not Verdict.PASS:
        return True
    allowed = [item for item in materials if not material_refusal(unit, material=item)]
    if using and using not in {item.slug for item in allowed}:
        allowed = []
    easy = [item for item in allowed if item.easy_to_get]
    arranger, standing = Arranger(unit, drop_test=drop_test), stances(unit)
    boxes = [box_facts(carton) for carton in cartons]
    used = {cushion.material for cushion in plan.cushions}

    def beats(among: Sequence[Material], *, cost: Cost, kinds_most: int = MOST_KINDS) -> bool:
        return bool(among) and bool(
            search(
                arranger,
                standing=standing,
                boxes=boxes,
                materials=among,
                carrier=carrier,
                kinds_most=kinds_most,
                better_than=cost,
                using=using,
            )
        )

    own_cost = _cost_of(plan)
    if order is SearchOrder.LEAST_BILLED:
        return beats(allowed, cost=own_cost)
    known_easy = {item.slug for item in materials if item.easy_to_get}
    if not used <= known_easy:
        twice_kg = EASY_MOST_TIMES * plan.billed_mass_kg
        return beats(allowed, cost=own_cost) or beats(easy, cost=(twice_kg, MOST_KINDS, math.inf))
    if len(used) > 1:
        return True
    half_kg = plan.billed_mass_kg / EASY_MOST_TIMES
    return beats(allowed, cost=(half_kg, 0, 0.0)) or beats(easy, cost=own_cost, kinds_most=1)


def _cost_of(plan: ParcelPlan) -> Cost:
    padding_kg = plan.gross_mass_kg - plan.unit_mass_kg - box_facts(plan.carton).empty_kg
    kinds = len({cushion.material for cushion in plan.cushions})
    return round(plan.billed_mass_kg, 9), kinds, padding_kg + SAME_PADDING_KG
