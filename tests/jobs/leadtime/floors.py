"""Small floors and draws for the tests of the engine."""

import numpy as np

from jobs.leadtime.floor import Draws, Floor, Station


def lay_floor(*benches, people_masks=None, people=0, batches=None, clock=None):
    masks = people_masks or [0] * len(benches)
    runs = batches or [None] * len(benches)
    stations = (Station(count, mask, run) for count, mask, run in zip(benches, masks, runs, strict=True))
    return Floor(tuple(stations), people, clock)


def lay_draws(ready, service, *, stations, wait_days=None, priority=None, begun=None, watched=None):
    """`ready` (replication, job), `service` (replication, job, visit); all jobs pass the same stations."""
    ready, service = np.asarray(ready, dtype=float), np.asarray(service, dtype=float)
    jobs = ready.shape[1]
    return Draws(
        stations_of=(tuple(stations),) * jobs,
        priority=tuple(priority) if priority is not None else (1,) * jobs,
        in_progress=tuple(begun) if begun is not None else (False,) * jobs,
        ready_hours=ready,
        service_hours=service,
        wait_days=np.zeros_like(service) if wait_days is None else np.asarray(wait_days, dtype=float),
        watched=jobs if watched is None else watched,
    )


def one_queue(arrivals, services, *, benches=1, **more):
    """Return floor and draws of one station and one replication."""
    draws = lay_draws([arrivals], np.array(services, dtype=float)[None, :, None], stations=(0,), **more)
    return lay_floor(benches), draws
