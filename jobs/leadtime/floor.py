"""What a simulation engine gets, and what it must give back.

An engine is a function from a `Floor` (capacities) and `Draws` (every random number, already drawn) to a
`Passage` (when each visit could start, started and ended). All chance lies in the draws, so two engines that
keep the same rules give the same passage, to the last bit.

The rules. Jobs join a centre's queue when their last visit and the wait after it are over. A free bench
takes the waiting job of the lowest class, then the earliest ready, then the lowest number; nothing begun is
interrupted. Where centres share people, the order at them is by class, then by who came to the shop first,
then by number, and a free person goes to the first of all their queues: a shop finishes what it has before
it begins what piled up while it was closed. Of several free people the one with the lowest bit goes.
Everything that happens at one instant is settled before work is given out. Somebody who is away takes up no
work, and what they have in hand waits for them: their own hours stand still while everybody else's go on. A
batch centre starts a run when its least number waits, or the oldest has waited its longest; the run lasts as
long as its longest job.
"""

from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum

import numpy as np
import numpy.typing as npt

from jobs.leadtime.clock import ShopClock
from jobs.leadtime.routes import Batch

Array = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Station:
    """A work centre as an engine sees it; `people_mask` has one bit per person, 0 where nobody is needed.

    A delay in working hours is a station with room for all; delays in calendar days follow a visit.
    """

    benches: int
    people_mask: int = 0
    batch: Batch | None = None


@dataclass(frozen=True, slots=True)
class Away:
    """From when and until when, in working hours from now, the person of one bit is away."""

    person: int
    from_hours: float
    to_hours: float


@dataclass(frozen=True, slots=True)
class Floor:
    """All stations, the number of people, and the clock that turns calendar waits into working hours.

    Without a clock the shop never closes: a day of waiting is 24 hours. The absences of one person do not
    touch each other.
    """

    stations: tuple[Station, ...]
    people: int = 0
    clock: ShopClock | None = None
    away: tuple[Away, ...] = ()


class Kept(Enum):
    """Of which jobs a passage keeps the visits; the finish hours it keeps of all."""

    ALL = "all"
    WATCHED = "watched"


@dataclass(frozen=True, slots=True, eq=False)
class Draws:
    """Every random number of a simulation, as arrays over replications, jobs and visits.

    `stations_of[job]` lists the station of each visit. `ready_hours` (replication, job) is when the job can
    join its first queue: past moments are negative, infinite means the job does not come. `service_hours`
    (replication, job, visit) is not-a-number where a visit is skipped; `wait_days` follow the visit in
    calendar days. Jobs `in_progress` hold a bench at hour 0. `came_hours` (replication, job) is when each job
    came to the shop, as far as it did before it was ready; left out, it came when it was ready. The first
    `watched` jobs are those whose finish is wanted; a replication may stop when all of them are done and
    `follow_hours` are reached.
    """

    stations_of: tuple[tuple[int, ...], ...]
    priority: tuple[int, ...]
    in_progress: tuple[bool, ...]
    ready_hours: Array
    service_hours: Array
    wait_days: Array
    watched: int
    follow_hours: float = 0.0
    kept: Kept = Kept.ALL
    came_hours: Array | None = None

    @property
    def kept_jobs(self) -> int:
        """How many of the jobs, from the first, have their visits kept."""
        return len(self.stations_of) if self.kept is Kept.ALL else self.watched


@dataclass(frozen=True, slots=True, eq=False)
class Passage:
    """When each visit was ready, started and ended, in working hours from now; not-a-number if it was not.

    The three have the jobs whose visits were to be kept.
    `finish_hours` (replication, job) is when the last wait of the job is over. `until_hours` tells how far
    each replication was followed; one engine may follow it further than another, up to there they agree.
    """

    ready_hours: Array
    start_hours: Array
    end_hours: Array
    finish_hours: Array
    until_hours: Array


Engine = Callable[[Floor, Draws], Passage]
