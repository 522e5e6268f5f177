"""The demo shop's working documents: the usual starting ones, with three people at the benches.

Three people answer the door and the telephone too, so a step takes them a third longer than its bench hours.
"""

from dataclasses import replace

from jobs.leadtime.routes import BenchStep, Person, Route, WorkCentre
from jobs.leadtime.seed_shop import ShopDocuments, seed_shop

FAMILIES = (
    "carburettor",
    "magneto",
    "distributor",
    "lift_pump",
    "injection_pump",
    "injector",
    "throttle_body",
    "sender",
)
PEOPLE = (
    Person("maren", "Maren Quillfeather", signs_off=FAMILIES),
    Person("tobin", "Tobin Ashgrove", signs_off=FAMILIES),
    Person("wren", "Wren Castlemoor"),
)
AT_CENTRE = {
    "strip_bench": ("wren",),
    "cleaning_tank": ("wren",),
    "machine_corner": ("maren",),
    "fuel_bench": ("tobin",),
    "ignition_bench": ("maren",),
    "pump_room": ("tobin",),
    "test_stand": ("maren", "tobin"),
    "packing_table": ("wren",),
}
LIKE = {"throttle_body": ("lift_pump", "Throttle bodies"), "injector": ("lift_pump", "Injectors")}
"""Families without a starting route of their own, and the one they are worked like."""


SLOWER = 1.35


def demo_documents() -> ShopDocuments:
    """Return hours, benches, people and routes of the demo shop."""
    seeds = seed_shop()
    return replace(
        seeds,
        people=PEOPLE,
        centres=tuple(_centre(centre) for centre in seeds.centres),
        routes=tuple(map(_slower, (*seeds.routes, *_more_routes(seeds.routes)))),
    )


def _centre(centre: WorkCentre) -> WorkCentre:
    return replace(
        centre, benches=1 if centre.batch is None else centre.benches, people=AT_CENTRE[centre.slug]
    )


def _slower(route: Route) -> Route:
    """Return the route with longer steps; the tank takes its time whoever stands beside it."""
    return replace(
        route,
        steps=tuple(
            planned
            if planned.step is BenchStep.CLEAN
            else replace(planned, median_hours=round(planned.median_hours * SLOWER, 2))
            for planned in route.steps
        ),
    )


def _more_routes(routes: tuple[Route, ...]) -> tuple[Route, ...]:
    known = {route.slug: route for route in routes}
    taken = {family for route in routes for family in route.families}
    return tuple(
        replace(known[like], slug=family, name=name, families=(family,))
        for family, (like, name) in LIKE.items()
        if family not in taken
    )
