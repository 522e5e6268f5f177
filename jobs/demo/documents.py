"""The demo shop's working documents: the usual starting ones, with three people at the benches.

Three people answer the door and the telephone too, so a step takes them a third longer than its bench hours.
"""

from dataclasses import replace
from datetime import date, timedelta

from jobs.leadtime.routes import Absence, BenchStep, Person, Route, WorkCentre
from jobs.leadtime.usual_shop import FAMILIES, ShopDocuments, usual_shop

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
SLOWER = 1.35
AWAY = "tobin"


def demo_documents(*, today: date) -> ShopDocuments:
    """Return hours, benches, people and routes of the demo shop; one person has a week off ahead."""
    usual = usual_shop()
    return replace(
        usual,
        people=tuple(_with_week_off(person, today=today) for person in PEOPLE),
        centres=tuple(_centre(centre) for centre in usual.centres),
        routes=tuple(map(_slower, usual.routes)),
    )


def _centre(centre: WorkCentre) -> WorkCentre:
    return replace(
        centre, benches=1 if centre.batch is None else centre.benches, people=AT_CENTRE[centre.slug]
    )


def _with_week_off(person: Person, *, today: date) -> Person:
    if person.slug != AWAY:
        return person
    monday = today + timedelta(weeks=5, days=-today.weekday())
    return replace(person, absences=(Absence(monday, monday + timedelta(days=4), "a week off"),))


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
