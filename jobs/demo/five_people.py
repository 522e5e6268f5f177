"""A larger invented shop than the demo's: the usual documents with five people, for measures and tests."""

from dataclasses import replace

from jobs.leadtime.routes import Person
from jobs.leadtime.usual_shop import FAMILIES as USUAL_FAMILIES
from jobs.leadtime.usual_shop import ShopDocuments, usual_shop

FAMILIES = tuple(family for family in USUAL_FAMILIES if family not in {"injector", "throttle_body"})
PEOPLE = (
    Person("maren", "Maren Quillfeather", signs_off=FAMILIES),
    Person("tobin", "Tobin Ashgrove", signs_off=("carburettor", "lift_pump", "sender")),
    Person("isolde", "Isolde Varnham", signs_off=("magneto", "distributor")),
    Person("piers", "Piers Holloway", signs_off=("injection_pump", "lift_pump")),
    Person("wren", "Wren Castlemoor"),
)
AT_CENTRE = {
    "strip_bench": ("wren", "tobin"),
    "cleaning_tank": ("wren",),
    "machine_corner": ("piers", "maren"),
    "fuel_bench": ("tobin", "maren"),
    "ignition_bench": ("isolde",),
    "pump_room": ("piers",),
    "test_stand": ("maren", "tobin", "isolde", "piers"),
    "packing_table": ("wren", "maren", "tobin"),
}


def five_people_shop() -> ShopDocuments:
    """Return hours, work centres and routes as usual, for six families, with five people at the benches."""
    usual = usual_shop()
    return replace(
        usual,
        people=PEOPLE,
        centres=tuple(replace(centre, people=AT_CENTRE[centre.slug]) for centre in usual.centres),
        routes=tuple(route for route in usual.routes if route.slug in FAMILIES),
    )
