"""In which parcel does a unit model travel on one leg? Made once for everything it rests on."""

from functools import lru_cache

from packing.catalogue.schema import Carrier, Carton, Material, UnitModel
from packing.parcel.drop import DropTest
from packing.parcel.outcome import ParcelPlan
from packing.parcel.plan import SearchOrder, plan_parcel
from packing.parcel.unit import Leg, pack_unit


@lru_cache(maxsize=256)
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

    The same figures always give the same plan, so the last 256 are kept; hashing what a plan rests on takes a
    three-hundredth of the time of the search. Raises: PackingError, which is never kept.
    """
    return plan_parcel(
        pack_unit(model, leg=leg),
        cartons=cartons,
        materials=materials,
        carrier=carrier,
        drop_test=drop_test,
        order=SearchOrder.EASY_FIRST if leg is Leg.TO_SHOP else SearchOrder.LEAST_BILLED,
    )
