"""Small shops for the tests of forecasts."""

from dataclasses import replace
from datetime import UTC, datetime, time

from jobs.demo.five_people import FAMILIES, five_people_shop
from jobs.leadtime.clock import DaySpan, WorkingHours
from jobs.leadtime.routes import BenchStep, Person, Route, RouteStep, WorkCentre
from jobs.leadtime.state import ArrivalRate, LiveJob, ShopState

NOW = datetime(2026, 5, 4, 8, 0, tzinfo=UTC)  # a Monday
WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday")
EIGHT_HOURS = WorkingHours("UTC", **dict.fromkeys(WEEKDAYS, (DaySpan(time(8), time(16)),)))


def demo_shop(**changes):
    documents = five_people_shop()
    state = ShopState(documents.working_hours, documents.centres, documents.people, documents.routes)
    return replace(state, **changes)


def busy_shop(jobs=20, per_week=1.5, **changes):
    steps = list(BenchStep)
    live = tuple(
        LiveJob(f"{number:07d}", FAMILIES[number % 6], done=tuple(steps[: number % 5]), arrived_at=NOW)
        for number in range(jobs)
    )
    arrivals = tuple(ArrivalRate(family, per_week) for family in FAMILIES)
    return demo_shop(jobs=live, arrivals=arrivals, **changes)


def one_bench_shop(median_hours=4.0, benches=1, jobs=(), **route_more):
    step = RouteStep(BenchStep.STRIP, "bench", median_hours, spread_factor=1.05)
    route = Route("only", "Only route", ("sender",), (step,), **route_more)
    centre = WorkCentre("bench", "Bench", benches, people=("ada",))
    return ShopState(EIGHT_HOURS, (centre,), (Person("ada", "Ada"),), (route,), jobs=tuple(jobs))
