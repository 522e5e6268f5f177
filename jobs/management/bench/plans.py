"""How many parcels a second can be planned, and how does that fall with the stock at hand?"""

from collections.abc import Sequence
from dataclasses import replace
from statistics import median
from typing import TypeVar

from jobs.management.bench.timing import Timing, growth, lay_out, measure
from packing.catalogue.schema import Carton, Material, UnitModel
from packing.parcel.plan import plan_parcel
from packing.parcel.unit import Leg, pack_unit
from packing.services import FirstEntries, first_entries

Item = TypeVar("Item", Carton, Material)
CARTONS, MATERIALS = 60, 12


def bench_plans(*, units: int, repeats: int) -> str:
    """Return the tables: plans of different units with the whole stock, then growth with the stock."""
    entries = first_entries(FirstEntries.DEMO)
    models = [entry for entry in entries if isinstance(entry, UnitModel)][:units]
    cartons = _stock([entry for entry in entries if isinstance(entry, Carton)], count=2 * CARTONS)
    materials = _stock([entry for entry in entries if isinstance(entry, Material)], count=2 * MATERIALS)
    whole = [
        _measure(model, cartons=cartons[:CARTONS], materials=materials[:MATERIALS], repeats=repeats)
        for model in models
    ]
    middle_ms = median(timing.median_ms for timing in whole)
    worst_ms = max(timing.median_ms for timing in whole)
    sizes = [
        (CARTONS // 4, MATERIALS),
        (CARTONS // 2, MATERIALS),
        (CARTONS, MATERIALS),
        (2 * CARTONS, MATERIALS),
        (CARTONS, MATERIALS // 4),
        (CARTONS, MATERIALS // 2),
        (CARTONS, 2 * MATERIALS),
    ]
    return "\n".join(
        (
            f"{len(models)} units, {CARTONS} cartons, {MATERIALS} materials: median {middle_ms:.1f} ms, "
            f"slowest unit {worst_ms:.1f} ms, {1000 / middle_ms:.0f} plans a second on one core.",
            "",
            _growth_table(models, sizes=sizes, cartons=cartons, materials=materials, repeats=repeats),
        )
    )


def _growth_table(
    models: Sequence[UnitModel],
    *,
    sizes: Sequence[tuple[int, int]],
    cartons: Sequence[Carton],
    materials: Sequence[Material],
    repeats: int,
) -> str:
    middles_ms = {}
    for cartons_count, materials_count in sizes:
        timings = [
            _measure(
                model,
                cartons=cartons[:cartons_count],
                materials=materials[:materials_count],
                repeats=repeats,
            )
            for model in models
        ]
        middles_ms[(cartons_count, materials_count)] = median(timing.median_ms for timing in timings)
    usual_ms = middles_ms[(CARTONS, MATERIALS)]
    rows = [
        (str(size[0]), str(size[1]), f"{middle:.1f}", growth(middle, first=usual_ms))
        for size, middle in middles_ms.items()
    ]
    return lay_out(("cartons", "materials", "median ms", f"of {CARTONS} and {MATERIALS}"), rows=rows)


def _measure(
    model: UnitModel, *, cartons: Sequence[Carton], materials: Sequence[Material], repeats: int
) -> Timing:
    unit = pack_unit(model, leg=Leg.TO_SHOP)
    return measure(
        lambda: plan_parcel(unit, cartons=cartons, materials=materials, carrier=None), repeats=repeats
    )


def _stock(items: Sequence[Item], *, count: int) -> list[Item]:
    """Return so many items: those of the shop's files, then the same again under other slugs."""
    return [
        item if at < len(items) else replace(item, slug=f"{item.slug}-{at}")
        for at, item in ((at, items[at % len(items)]) for at in range(count))
    ]
