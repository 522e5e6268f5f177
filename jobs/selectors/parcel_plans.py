"""How does a unit model travel with what the catalogue has, by one day's rules? Every planner asks here."""

from dataclasses import dataclass
from datetime import date

from jobs.domain.shop import ShopIdentity
from jobs.selectors import shop
from packing import selectors as catalogue
from packing.catalogue.schema import Carrier, Carton, Material, UnitModel
from packing.parcel.carriers import carrier_on
from packing.parcel.drop import DropTest
from packing.parcel.journey import plan_journey
from packing.parcel.outcome import ParcelPlan
from packing.parcel.unit import Leg
from packing.selectors import Catalogue


@dataclass(frozen=True, slots=True)
class Stock:
    """What parcels are planned with: the catalogue, the shop's carriers and test level, and the day."""

    published: Catalogue
    identity: ShopIdentity
    today: date

    @property
    def cartons(self) -> tuple[Carton, ...]:
        """Return the published cartons."""
        return tuple(self.published.cartons.values())

    @property
    def materials(self) -> tuple[Material, ...]:
        """Return the published materials."""
        return tuple(self.published.materials.values())

    @property
    def drop_test(self) -> DropTest:
        """Return the test level that the owner chose."""
        return DropTest(self.identity.test_level)

    def carrier(self, leg: Leg) -> Carrier | None:
        """Return the carrier of one way with its rules as they stand on the day; None where none is named."""
        slug = self.identity.carrier_in if leg is Leg.TO_SHOP else self.identity.carrier_back
        found = self.published.carriers.get(slug)
        return carrier_on(found, day=self.today) if found else None


def stock_on(today: date, *, published: Catalogue | None = None) -> Stock:
    """Return the stock of one day, with what is published now or with another catalogue."""
    return Stock(published or catalogue.catalogue(), shop.identity(), today)


def plan_for(model: UnitModel, *, leg: Leg, stock: Stock) -> ParcelPlan:
    """Return the parcel that a job of this model is given. Raises: PackingError."""
    return plan_journey(
        model,
        leg=leg,
        cartons=stock.cartons,
        materials=stock.materials,
        carrier=stock.carrier(leg),
        drop_test=stock.drop_test,
    )
