"""The shop on which the engines are compared: 400 jobs, eight stations, five routes, one tank.

Of 400 jobs 200 are in the shop, 60 come one a working day and 140 at random over those 60 days. Durations are
lognormal; routes skip stations; one job in ten is urgent; parts take calendar-free hours at a station that
never queues. What is drawn here is handed to every engine alike.
"""

from dataclasses import dataclass

import numpy as np

from jobs.leadtime.floor import Array, Draws, Floor, Station
from jobs.leadtime.routes import Batch

RECEIVE, STRIP, TANK, MACHINE, PARTS, ASSEMBLE, TEST, PACK = range(8)
BENCHES = (1, 2, 1, 2, 100_000, 3, 1, 1)
MEDIAN_H = (0.3, 1.2, 0.9, 1.5, 30.0, 1.6, 0.7, 0.4)
LOG_SD = (0.3, 0.5, 0.3, 0.6, 0.9, 0.5, 0.6, 0.3)
RUN = Batch(least_jobs=3, most_jobs=6, longest_wait_hours=8.0)
ROUTES = (
    (RECEIVE, STRIP, TANK, MACHINE, PARTS, ASSEMBLE, TEST, PACK),
    (RECEIVE, STRIP, TANK, PARTS, ASSEMBLE, TEST, PACK),
    (RECEIVE, STRIP, MACHINE, ASSEMBLE, TEST, PACK),
    (RECEIVE, STRIP, TANK, MACHINE, ASSEMBLE, PACK),
    (RECEIVE, STRIP, ASSEMBLE, TEST, PACK),
)
IN_SHOP = (
    (RECEIVE, 4),
    (STRIP, 70),
    (TANK, 5),
    (MACHINE, 45),
    (PARTS, 25),
    (ASSEMBLE, 38),
    (TEST, 10),
    (PACK, 3),
)
BEGUN = ((RECEIVE, 1), (STRIP, 2), (TANK, 3), (MACHINE, 2), (ASSEMBLE, 3), (TEST, 1))
DAYS, DAY_H, AT_RANDOM = 60, 8.0, 140


@dataclass(frozen=True, slots=True)
class SceneSize:
    """How large the scene is, as multiples of the 400 jobs, and what makes it harder."""

    replications: int
    jobs_share: float = 1.0
    rework_share: float = 0.0
    floating_people: int = 0


def lay_scene(size: SceneSize, *, seed: int = 1) -> tuple[Floor, Draws]:
    """Return the floor and the draws of the scene."""
    return lay_floor(size), draw_scene(size, seed=seed)


def lay_floor(size: SceneSize) -> Floor:
    """Return the stations; floating people work anywhere but at the tank and the parts, benches enough."""
    everybody = (1 << size.floating_people) - 1
    stations = [Station(benches) for benches in BENCHES]
    if everybody:
        stations = [Station(size.floating_people, everybody) for _ in BENCHES]
        stations[PARTS] = Station(BENCHES[PARTS])
    stations[TANK] = Station(BENCHES[TANK], batch=RUN)
    return Floor(tuple(stations), size.floating_people)


def draw_scene(size: SceneSize, *, seed: int = 1) -> Draws:
    """Return all random numbers of the scene, laid out (visit, job, replication) in memory."""
    stream = np.random.default_rng(seed)
    stations, ready, begun = _place_jobs(size, stream=stream)
    jobs, count = len(stations), size.replications
    visits = max(len(own) for own in stations)
    service = np.full((visits, jobs, count), np.nan)
    for visit in range(visits):
        here = np.array([job for job, own in enumerate(stations) if visit < len(own)])
        at = np.array([stations[job][visit] for job in here])
        hours = stream.standard_normal((len(here), count))
        hours *= np.array(LOG_SD)[at][:, None]
        hours += np.log(np.array(MEDIAN_H))[at][:, None]
        service[visit, here] = np.exp(hours, out=hours)
    if size.rework_share > 0.0:
        _draw_rework(service, stations=stations, share=size.rework_share, stream=stream)
    return Draws(
        stations_of=tuple(stations),
        priority=tuple(int(stream.random() >= 0.1) for _ in range(jobs)),
        in_progress=tuple(begun),
        ready_hours=np.broadcast_to(ready, (count, jobs)),
        service_hours=service.T,
        wait_days=np.broadcast_to(0.0, (count, jobs, visits)),
        watched=jobs,
    )


def _place_jobs(
    size: SceneSize, *, stream: np.random.Generator
) -> tuple[list[tuple[int, ...]], Array, list[bool]]:
    """Return each job's stations ahead, when it is ready, and whether its work has begun."""
    stations: list[tuple[int, ...]] = []
    ready: list[float] = []
    begun: list[bool] = []

    def add(route: tuple[int, ...], hour: float, *, has_begun: int = 0) -> None:
        # A unit that fails its test is assembled and tested again, once or twice.
        again = (ASSEMBLE, TEST, ASSEMBLE, TEST) if size.rework_share > 0.0 and TEST in route else ()
        after = route.index(TEST) + 1 if again else 0
        stations.append((*route[:after], *again, *route[after:]))
        ready.append(hour)
        begun.append(bool(has_begun))

    left = dict(BEGUN)
    for station, count in IN_SHOP:
        passing = [route[route.index(station) :] for route in ROUTES if station in route]
        for _ in range(max(round(count * size.jobs_share), 1)):
            at_work = left.get(station, 0)
            left[station] = at_work - 1
            route = passing[int(stream.integers(len(passing)))]
            add(route, -float(stream.exponential(20.0)), has_begun=max(at_work, 0))
    for day in range(round(DAYS * size.jobs_share)):
        add(ROUTES[day % len(ROUTES)], DAY_H * day / size.jobs_share)
    for hour in np.sort(stream.uniform(0.0, DAYS * DAY_H, round(AT_RANDOM * size.jobs_share))):
        add(ROUTES[int(stream.integers(len(ROUTES)))], float(hour))
    return stations, np.array(ready), begun


def _draw_rework(
    service: Array, *, stations: list[tuple[int, ...]], share: float, stream: np.random.Generator
) -> None:
    """Skip the repeated visits where the unit passes its test."""
    for job, own in enumerate(stations):
        if TEST not in own:
            continue
        first = own.index(TEST) + 1
        failing = np.ones(service.shape[2], dtype=bool)
        for again in (first, first + 2):
            failing &= stream.random(service.shape[2]) < share
            service[again : again + 2, job, ~failing] = np.nan
