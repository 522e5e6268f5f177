"""Which hours, work centres and routes does a shop start with before the owner has entered its own?

Every figure is an estimate: hours per step are common practice in the trade (no published table was found),
except that four to five hours for one old single-barrel carburettor restoration were stated by a specialist
in a 2024 magazine. Waits: common practice. The shop's own history replaces them as it grows.
"""

from dataclasses import dataclass
from datetime import time

from jobs.domain.stages import HoldKind
from jobs.leadtime.clock import DaySpan, WorkingHours
from jobs.leadtime.routes import Batch, BenchStep, Person, Route, RouteStep, RouteWait, WorkCentre

ORIGIN = "estimate, common practice, no published source"
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


@dataclass(frozen=True, slots=True)
class ShopDocuments:
    """The owner's documents that a forecast needs."""

    working_hours: WorkingHours
    centres: tuple[WorkCentre, ...]
    people: tuple[Person, ...]
    routes: tuple[Route, ...]
    origin: str = ORIGIN


def usual_shop() -> ShopDocuments:
    """Return the starting documents: eight work centres, a route for each of eight families, and no people.

    Until people are named at a centre, its benches alone limit it.
    """
    return ShopDocuments(_hours(), _centres(), (), _routes())


def _hours() -> WorkingHours:
    long_day = (DaySpan(time(8, 0), time(12, 30)), DaySpan(time(13, 0), time(17, 0)))
    return WorkingHours(
        time_zone="Europe/London",
        monday=long_day,
        tuesday=long_day,
        wednesday=long_day,
        thursday=long_day,
        friday=(DaySpan(time(8, 0), time(13, 0)),),
    )


def _centres() -> tuple[WorkCentre, ...]:
    return (
        WorkCentre("strip_bench", "Strip bench", 2),
        WorkCentre("cleaning_tank", "Cleaning tank", 1, batch=Batch(3, 6, 8.0)),
        WorkCentre("machine_corner", "Lathe and mill", 1),
        WorkCentre("fuel_bench", "Fuel bench", 2),
        WorkCentre("ignition_bench", "Ignition bench", 1),
        WorkCentre("pump_room", "Injection pump room", 1),
        WorkCentre("test_stand", "Test stand", 2),
        WorkCentre("packing_table", "Packing table", 1),
    )


_ANSWER = RouteWait(HoldKind.ANSWER, median_days=2.0, spread_factor=3.0, needed_share=0.6)


def _parts(share: float, median_days: float) -> RouteWait:
    return RouteWait(HoldKind.PARTS, median_days=median_days, spread_factor=2.2, needed_share=share)


def _outside(share: float, median_days: float) -> RouteWait:
    return RouteWait(HoldKind.OUTSIDE, median_days=median_days, spread_factor=1.5, needed_share=share)


def _route(
    family: str,
    name: str,
    *,
    bench: str,
    hours: tuple[float, float, float, float, float, float, float],
    machine_share: float,
    clean_wait: RouteWait,
    machine_waits: tuple[RouteWait, ...] = (),
    rework_share: float = 0.12,
) -> Route:
    strip, clean, machine, assemble, test, sign_off, pack = hours
    return Route(
        slug=family,
        name=name,
        families=(family,),
        steps=(
            RouteStep(BenchStep.STRIP, "strip_bench", strip, waits=(_ANSWER,)),
            RouteStep(BenchStep.CLEAN, "cleaning_tank", clean, 1.3, waits=(clean_wait,)),
            RouteStep(BenchStep.MACHINE, "machine_corner", machine, 1.8, machine_share, machine_waits),
            RouteStep(BenchStep.ASSEMBLE, bench, assemble),
            RouteStep(BenchStep.TEST, "test_stand", test, 1.7),
            RouteStep(BenchStep.SIGN_OFF, "test_stand", sign_off, 1.3),
            RouteStep(BenchStep.PACK, "packing_table", pack, 1.3),
        ),
        rework_share=rework_share,
    )


def _routes() -> tuple[Route, ...]:
    return (
        _route(
            "carburettor",
            "Carburettors",
            bench="fuel_bench",
            hours=(1.0, 0.9, 1.0, 1.0, 0.5, 0.15, 0.25),
            machine_share=0.6,
            clean_wait=_parts(0.35, 8.0),
            machine_waits=(_outside(0.2, 14.0),),
        ),
        _route(
            "magneto",
            "Magnetos",
            bench="ignition_bench",
            hours=(1.1, 0.7, 2.0, 1.0, 0.7, 0.15, 0.25),
            machine_share=0.7,
            clean_wait=_parts(0.3, 10.0),
            machine_waits=(_outside(0.5, 14.0),),
        ),
        _route(
            "distributor",
            "Distributors",
            bench="ignition_bench",
            hours=(1.0, 0.8, 1.0, 0.8, 0.7, 0.15, 0.25),
            machine_share=0.5,
            clean_wait=_parts(0.3, 8.0),
        ),
        _small_route("lift_pump", "Lift pumps"),
        _route(
            "injection_pump",
            "Injection pumps",
            bench="pump_room",
            hours=(1.9, 1.1, 2.0, 1.5, 1.5, 0.25, 0.35),
            machine_share=0.8,
            clean_wait=_parts(0.6, 14.0),
            rework_share=0.2,
        ),
        _small_route("injector", "Injectors"),
        _small_route("throttle_body", "Throttle bodies"),
        _route(
            "sender",
            "Fuel senders",
            bench="ignition_bench",
            hours=(0.4, 0.4, 0.6, 0.4, 0.3, 0.1, 0.1),
            machine_share=0.6,
            clean_wait=_parts(0.2, 6.0),
        ),
    )


def _small_route(family: str, name: str) -> Route:
    """Return the route of what is small and carries fuel."""
    return _route(
        family,
        name,
        bench="fuel_bench",
        hours=(0.5, 0.5, 0.2, 0.4, 0.3, 0.1, 0.2),
        machine_share=0.3,
        clean_wait=_parts(0.25, 6.0),
    )
