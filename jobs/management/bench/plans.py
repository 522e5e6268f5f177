"""How many parcels a second can be planned, and how does that fall with the stock at hand?"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial
from statistics import median
from time import process_time
from typing import TypeVar

from jobs.management.bench.timing import growth, lay_out, measure
from packing.catalogue.schema import Carrier, Carton, Material, UnitModel
from packing.parcel.plan import SearchOrder, plan_parcel
from packing.parcel.unit import Leg, pack_unit
from packing.services import FirstEntries, first_entries

Item = TypeVar("Item", Carton, Material)
CARTONS, MATERIALS, CARRIER = 60, 12, "ups-ground"


@dataclass(frozen=True, slots=True)
class _Way:
    """One way a parcel is asked for: what comes first, and who carries it."""

    order: SearchOrder
    carrier: Carrier | None

    @property
    def words(self) -> str:
        first = "easy materials first" if self.order is SearchOrder.EASY_FIRST else "least billed first"
        return f"{first}, {self.carrier.slug if self.carrier else 'no carrier'}"


def bench_plans(*, units: int, repeats: int) -> str:
    """Return the tables: plans of many units with the whole stock each way, then growth with the stock."""
    entries = first_entries(FirstEntries.DEMO)
    models = [entry for entry in entries if isinstance(entry, UnitModel)][:units]
    cartons = _stock([entry for entry in entries if isinstance(entry, Carton)], count=2 * CARTONS)
    materials = _stock([entry for entry in entries if isinstance(entry, Material)], count=2 * MATERIALS)
    carrier = next(entry for entry in entries if isinstance(entry, Carrier) and entry.slug == CARRIER)
    ways = [_Way(order, each) for order in SearchOrder for each in (None, carrier)]
    return "\n".join(
        (
            f"{len(models)} units, {CARTONS} cartons, {MATERIALS} materials; processor time, one core.",
            "",
            _ways_table(models, ways=ways, cartons=cartons, materials=materials, repeats=repeats),
            "",
            f"How it grows, {ways[0].words}:",
            "",
            _growth_table(models, way=ways[0], cartons=cartons, materials=materials, repeats=repeats),
        )
    )


def _ways_table(
    models: Sequence[UnitModel],
    *,
    ways: Sequence[_Way],
    cartons: Sequence[Carton],
    materials: Sequence[Material],
    repeats: int,
) -> str:
    rows = []
    for way in ways:
        medians_ms = _medians_ms(
            models, way=way, cartons=cartons[:CARTONS], materials=materials[:MATERIALS], repeats=repeats
        )
        middle_ms = median(medians_ms)
        rows.append((way.words, f"{middle_ms:.1f}", f"{max(medians_ms):.1f}", f"{1000 / middle_ms:.0f}"))
    return lay_out(("way", "median ms", "slowest unit ms", "plans a second"), rows=rows)


def _growth_table(
    models: Sequence[UnitModel],
    *,
    way: _Way,
    cartons: Sequence[Carton],
    materials: Sequence[Material],
    repeats: int,
) -> str:
    sizes = [(count, MATERIALS) for count in (CARTONS // 4, CARTONS // 2, CARTONS, 2 * CARTONS)]
    sizes += [(CARTONS, count) for count in (MATERIALS // 4, MATERIALS // 2, 2 * MATERIALS)]
    middles_ms = {
        (some, kinds): median(
            _medians_ms(models, way=way, cartons=cartons[:some], materials=materials[:kinds], repeats=repeats)
        )
        for some, kinds in sizes
    }
    usual_ms = middles_ms[(CARTONS, MATERIALS)]
    rows = [
        (str(size[0]), str(size[1]), f"{middle:.1f}", growth(middle, first=usual_ms))
        for size, middle in middles_ms.items()
    ]
    return lay_out(("cartons", "materials", "median ms", f"of {CARTONS} and {MATERIALS}"), rows=rows)


def _medians_ms(
    models: Sequence[UnitModel],
    *,
    way: _Way,
    cartons: Sequence[Carton],
    materials: Sequence[Material],
    repeats: int,
) -> list[float]:
    """Return the median of each unit by processor time."""
    found = []
    for model in models:
        plan = partial(
            plan_parcel,
            pack_unit(model, leg=Leg.TO_SHOP),
            cartons=cartons,
            materials=materials,
            carrier=way.carrier,
            order=way.order,
        )
        found.append(measure(plan, repeats=repeats, clock=process_time).median_ms)
    return found


def _stock(items: Sequence[Item], *, count: int) -> list[Item]:
    """Return so many items: those of the shop's files, then the same again under other slugs."""
    return [
        item if at < len(items) else replace(item, slug=f"{item.slug}-{at}")
        for at, item in ((at, items[at % len(items)]) for at in range(count))
    ]
