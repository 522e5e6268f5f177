"""Six invented shops whose truth is built otherwise than the model that has to forecast them.

What the model does not know: durations are gamma with rare mishaps instead of lognormal; a job has a
difficulty that all its hands-on steps share; weeks are good or bad for everybody; people differ in pace;
arrivals have seasons; parts waits are Weibull and get longer one day; so does testing. The model's own
starting figures are wrong by a third on purpose.
"""

from dataclasses import dataclass, replace
from datetime import UTC, datetime, time

from jobs.domain.stages import HoldKind
from jobs.leadtime.clock import DaySpan, WorkingHours
from jobs.leadtime.routes import Batch, BenchStep, Person, Route, RouteStep, RouteWait, WorkCentre
from jobs.leadtime.state import ShopState

START = datetime(2024, 1, 8, 8, 0, tzinfo=UTC)  # a Monday
DAY_H = 8.0
EIGHT_HOURS = WorkingHours(
    "UTC",
    **dict.fromkeys(("monday", "tuesday", "wednesday", "thursday", "friday"), (DaySpan(time(8), time(16)),)),
)
STEPS = (
    BenchStep.STRIP,
    BenchStep.CLEAN,
    BenchStep.MACHINE,
    BenchStep.ASSEMBLE,
    BenchStep.TEST,
    BenchStep.PACK,
)
CENTRE_OF = dict(zip(STEPS, ("strip", "tank", "machine", "bench", "stand", "table"), strict=True))
BENCHES = {"strip": 2, "tank": 1, "machine": 2, "bench": 3, "stand": 1, "table": 1}
RUN = Batch(3, 6, 8.0)
# Mean hours of strip, clean, machine, assemble, test, pack; share machined; share that waits for parts.
FAMILIES = {
    "carburettor": ((3.6, 1.5, 5.0, 5.0, 1.6, 1.0), 0.5, 0.10),
    "magneto": ((4.4, 1.3, 8.0, 6.0, 1.9, 1.1), 0.6, 0.85),
    "distributor": ((3.4, 1.4, 4.5, 4.6, 1.7, 1.0), 0.4, 0.12),
    "lift_pump": ((1.9, 1.2, 2.5, 2.6, 1.1, 0.8), 0.2, 0.05),
    "injection_pump": ((6.0, 1.8, 8.5, 8.6, 2.6, 1.3), 0.7, 0.90),
}
MIX = (0.34, 0.18, 0.18, 0.18, 0.12)
PARTS_DAYS = 14.0
SEEDS_ARE_OFF_BY = 1.35


@dataclass(frozen=True, slots=True)
class Truth:
    """One invented shop: how busy, and what happens there that no model was told."""

    name: str
    per_day: float
    seed: int
    jobs: int = 2350
    drift_from_job: int = 1430
    week_shock_sd: float = 0.0
    difficulty_sd: float = 0.25
    season_share: float = 0.25
    rework_share: float = 0.08
    urgent_share: float = 0.10
    parts_drift: float = 1.6
    test_drift: float = 1.12
    floating_people: int = 0
    pace_sd: float = 0.0
    growing: bool = False


SHOPS = (
    Truth("A ordinary", 3.20, seed=0),
    Truth("B quiet", 2.80, seed=1),
    Truth("C busier", 3.45, seed=2),
    Truth("D weekly shocks", 3.0, seed=3, week_shock_sd=0.35),
    Truth("E overloaded", 4.60, seed=4, growing=True),
    Truth("F floating people", 3.10, seed=5, week_shock_sd=0.2, floating_people=7, pace_sd=0.12),
)


def known_shop(truth):
    """Return what the model is told: hours, centres, people and routes, with wrong starting figures."""
    people = tuple(Person(f"p{at}", f"Person {at}") for at in range(truth.floating_people))
    slugs = tuple(person.slug for person in people)
    centres = tuple(
        WorkCentre(
            slug,
            slug.capitalize(),
            BENCHES[slug] + (1 if truth.floating_people and slug != "tank" else 0),
            people=slugs if slug != "tank" else (),
            batch=RUN if slug == "tank" else None,
        )
        for slug in BENCHES
    )
    routes = []
    for at, (family, (hours, machined, parts)) in enumerate(FAMILIES.items()):
        wrong = SEEDS_ARE_OFF_BY if at % 2 else 1.0 / SEEDS_ARE_OFF_BY
        wait = RouteWait(HoldKind.PARTS, PARTS_DAYS * wrong, 2.0, needed_share=min(parts * wrong, 1.0))
        steps = tuple(
            RouteStep(
                step,
                CENTRE_OF[step],
                mean_h * wrong,
                1.7,
                machined if step is BenchStep.MACHINE else 1.0,
                (wait,) if step is BenchStep.CLEAN else (),
            )
            for step, mean_h in zip(STEPS, hours, strict=True)
        )
        routes.append(
            Route(family, family, (family,), steps, rework_share=0.05 if truth.rework_share else 0.0)
        )
    return ShopState(EIGHT_HOURS, centres, people, tuple(routes))


def smaller(truth, *, jobs):
    """Return the same shop over fewer jobs, its drift at the same part of them."""
    return replace(truth, jobs=jobs, drift_from_job=round(jobs * truth.drift_from_job / truth.jobs))
