"""In which parcel does a unit model travel on one leg? Made once for everything it rests on."""

from functools import lru_cache

from packing.catalogue.schema import Carrier, Carton, Material, UnitModel
from packing.errors import PackingError
from packing.parcel.drop import DropTest
from packing.parcel.outcome import ParcelPlan
from packing.parcel.plan import SearchOrder, plan_parcel
from packing.parcel.unit import Leg, pack_unit

PLANS_KEPT = 1024


def order_of(leg: Leg) -> SearchOrder:
    """Return what comes first on a leg: what a customer has in the kitchen, or the shop's least bill."""
    return SearchOrder.EASY_FIRST if leg is Leg.TO_SHOP else SearchOrder.LEAST_BILLED


def plan_journey(
    model: UnitModel,
    *,
    leg: Leg,
    cartons: tuple[Carton, ...],
    materials: tuple[Material, ...],
    carrier: Carrier | None,
    drop_test: DropTest,
) -> ParcelPlan:
    """Return the plan of one leg: of easy materials first on the way in, of the least bill on the way back.

    The same figures always give the same plan or refusal, so the last 1024 are kept; hashing what a plan
    rests on takes a small part of the time of the search. Raises: PackingError.
    """
    found = _planned(model, leg, cartons, materials, carrier=carrier, drop_test=drop_test)
    if isinstance(found, PackingError):
        raise found.with_traceback(None)
    return found


@lru_cache(maxsize=PLANS_KEPT)
def _planned(
    model: UnitModel,
    leg: Leg,
    cartons: tuple[Carton, ...],
    materials: tuple[Material, ...],
    *,
    carrier: Carrier | None,
    drop_test: DropTest,
) -> ParcelPlan | PackingError:
    try:
        return plan_parcel(
            pack_unit(model, leg=leg),
            cartons=cartons,
            materials=materials,
            carrier=carrier,
            drop_test=drop_test,
            order=order_of(leg),
        )
    except PackingError as refusal:
        return refusal
