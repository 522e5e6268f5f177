"""What all replications of the event loop share: routes as chains of places, and who is away when."""

import numpy as np
import numpy.typing as npt

from jobs.leadtime.floor import Draws, Floor

IntArray = npt.NDArray[np.int64]


class EventPlan:
    """What the replications of one run share; visits are numbered through, `place` = job * visits + visit."""

    __slots__ = (
        "away",
        "draws",
        "first_visit",
        "floor",
        "following",
        "is_shared",
        "jobs",
        "moves",
        "served",
        "station_at",
        "touching",
        "visits",
    )

    def __init__(self, floor: Floor, draws: Draws) -> None:
        self.floor, self.draws = floor, draws
        self.jobs, self.visits = draws.service_hours.shape[1:]
        self.station_at = [-1] * (self.jobs * self.visits)
        for job, stations in enumerate(draws.stations_of):
            first = job * self.visits
            self.station_at[first : first + len(stations)] = stations
        self.first_visit, self.following = _chain_visits(draws)
        masks = [station.people_mask for station in floor.stations]
        # The end of a visit at a station can let any station with a person in common start. Sets of stations
        # are written as bits, station s as 1 << s.
        self.touching = [
            sum(1 << other for other, theirs in enumerate(masks) if other == own or mask & theirs)
            for own, mask in enumerate(masks)
        ]
        # Where people are shared, the unit that came first goes first at every station of theirs.
        self.is_shared = [theirs != 1 << own for own, theirs in enumerate(self.touching)]
        # Who is away when, by the person's bit, and the moments at which somebody leaves or is back.
        self.away: dict[int, list[tuple[float, float]]] = {}
        self.moves: list[tuple[float, int]] = []
        for absence in sorted(floor.away, key=lambda absence: absence.from_hours):
            bit = 1 << absence.person
            self.away.setdefault(bit, []).append((absence.from_hours, absence.to_hours))
            self.moves += [(hour, bit) for hour in (absence.from_hours, absence.to_hours) if hour > 0.0]
        self.served = {bit: sum(1 << at for at, mask in enumerate(masks) if mask & bit) for bit in self.away}

    def people_at_first(self) -> int:
        """Return the bits of the people who are there at hour 0."""
        absent = sum(bit for bit, spans in self.away.items() if any(a <= 0.0 < b for a, b in spans))
        return ((1 << self.floor.people) - 1) ^ absent


def _chain_visits(draws: Draws) -> tuple[IntArray, IntArray]:
    """Return the first place of each job and the place that follows each place, -1 where there is none.

    Skipped visits are left out of the chain. Both are (replication, ...) arrays.
    """
    replications, jobs, visits = draws.service_hours.shape
    following = np.full((replications, jobs, visits), -1, dtype=np.int64)
    ahead = np.full((replications, jobs), -1, dtype=np.int64)
    lengths = np.array([len(own) for own in draws.stations_of], dtype=np.int64)
    for visit in range(visits - 1, -1, -1):
        following[:, :, visit] = ahead
        worked = np.isfinite(draws.service_hours[:, :, visit]) & (visit < lengths)
        ahead = np.where(worked, np.arange(jobs) * visits + visit, ahead)
    return ahead, following
