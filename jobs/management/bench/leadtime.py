"""What does a forecast of the shop cost, and how does it grow with jobs and replications?"""

from dataclasses import replace
from datetime import UTC, datetime

from jobs.demo.five_people import FAMILIES, five_people_shop
from jobs.leadtime.forecast import LEAST_REPLICATIONS, forecast_newcomer, forecast_shop
from jobs.leadtime.routes import BenchStep
from jobs.leadtime.state import ArrivalRate, LiveJob, ShopState
from jobs.management.bench.engines import bench_engines
from jobs.management.bench.timing import growth, lay_out, measure

NOW = datetime(2026, 5, 4, 8, 0, tzinfo=UTC)
PER_WEEK = 2.0
JOBS, REPLICATIONS = 60, 300


def bench_leadtime(*, jobs: int, replications: int, repeats: int) -> str:
    """Return the table of the cost against jobs, at the usual replications, and the other way round."""
    sizes = [(max(1, jobs * share // 4), replications) for share in (1, 2, 4, 8)]
    sizes += [(jobs, max(LEAST_REPLICATIONS, replications * share // 4)) for share in (1, 2, 8)]
    medians_ms = {}
    for size in dict.fromkeys(sizes):
        state = _shop(size[0])
        timing = measure(
            lambda state=state, size=size: forecast_shop(  # type: ignore[misc]
                state, now=NOW, replications=size[1]
            ),
            repeats=repeats,
        )
        medians_ms[size] = timing.median_ms
    usual_ms = medians_ms[(jobs, replications)]
    rows = [
        (
            str(count),
            str(runs),
            f"{spent:.0f}",
            growth(spent, first=usual_ms),
            f"{spent * 1000 / (count * runs):.0f}",
        )
        for (count, runs), spent in medians_ms.items()
    ]
    heads = (
        "jobs in the shop",
        "replications",
        "median ms",
        f"of {jobs} and {replications}",
        "microseconds a job and replication",
    )
    quote = measure(
        lambda: forecast_newcomer(_shop(jobs), family=FAMILIES[0], now=NOW, replications=replications),
        repeats=repeats,
    )
    benches = measure(
        lambda: forecast_newcomer(
            _without_people(_shop(jobs)), family=FAMILIES[0], now=NOW, replications=replications
        ),
        repeats=repeats,
    )
    return "\n\n".join(
        (
            lay_out(heads, rows=rows),
            f"One quote, {jobs} jobs, {replications} replications: {quote.median_ms:.0f} ms where people are"
            f" shared between centres, {benches.median_ms:.0f} ms where benches alone limit the work.",
            bench_engines(
                replications=max(replications * 10 // 3, LEAST_REPLICATIONS),
                jobs_share=min(jobs / JOBS, 1.0),
                repeats=repeats,
            ),
        )
    )


def _without_people(state: ShopState) -> ShopState:
    centres = tuple(replace(centre, people=()) for centre in state.centres)
    return replace(state, centres=centres, people=())


def _shop(jobs: int) -> ShopState:
    documents = five_people_shop()
    steps = list(BenchStep)
    live = tuple(
        LiveJob(
            f"{number:07d}",
            FAMILIES[number % len(FAMILIES)],
            done=tuple(steps[: number % 5]),
            arrived_at=NOW,
        )
        for number in range(jobs)
    )
    return ShopState(
        documents.working_hours,
        documents.centres,
        documents.people,
        documents.routes,
        jobs=live,
        arrivals=tuple(ArrivalRate(family, PER_WEEK) for family in FAMILIES),
    )
