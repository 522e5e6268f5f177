"""What would have been quoted for a unit on the day it arrived, from what was known on that day?

The state of the moment is rebuilt, durations are fitted again every three weeks, and the newcomer is
simulated. Hours, benches, people and routes are taken as they are now: a past without them is not kept.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from jobs.leadtime.calibrate import PastQuote, as_known, recalibrate_families
from jobs.leadtime.clock import hours_per_day, start_clock
from jobs.leadtime.engines import run_fastest
from jobs.leadtime.errors import LeadTimeError
from jobs.leadtime.floor import Engine
from jobs.leadtime.forecast import forecast_newcomer
from jobs.leadtime.groundwork import sort_routes
from jobs.leadtime.past import PastJob, state_at, with_history
from jobs.leadtime.ranges import DEFAULT_LEVELS, NewcomerForecast, QuotedLevels
from jobs.leadtime.scene import Fits, fit_state
from jobs.leadtime.state import ShopState

REFIT_EVERY = timedelta(days=21)  # fifteen working days of a five-day week
EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


class Rewind:
    """A shop and its past, to be asked for quotes in order of time."""

    def __init__(
        self,
        shop: ShopState,
        *,
        past: Sequence[PastJob],
        replications: int,
        seed: int,
        engine: Engine = run_fastest,
    ) -> None:
        self.shop, self.past = shop, past
        self.replications, self.seed, self.engine = replications, seed, engine
        self.hours = shop.working_hours
        self.day_h = hours_per_day(self.hours)
        self.first_at = min((job.arrived_at for job in past), default=EPOCH)
        self.fits: Fits | None = None
        self.fitted_at: datetime | None = None

    def state(self, job: PastJob) -> ShopState:
        """Return the shop as it was known when the job arrived, without the job."""
        return state_at(self.shop, past=self.past, at=job.arrived_at, leaving_out=job.job_number)

    def quote(
        self, job: PastJob, *, state: ShopState, levels: QuotedLevels = DEFAULT_LEVELS
    ) -> NewcomerForecast:
        """Return what would have been forecast for the job on its arrival.

        Raises: as `forecast_newcomer`.
        """
        return forecast_newcomer(
            state,
            family=job.family,
            now=job.arrived_at,
            replications=self.replications,
            seed=self.seed,
            levels=levels,
            engine=self.engine,
            fits=self._fits_at(job.arrived_at),
            priority=job.priority_at(job.arrived_at),
        )

    def _fits_at(self, at: datetime) -> Fits:
        """Return the fits of the last day of fitting before a moment, whichever quotes are asked for."""
        fitted_at = self.first_at + REFIT_EVERY * ((at - self.first_at) // REFIT_EVERY)
        if self.fits is None or fitted_at != self.fitted_at:
            known = state_at(self.shop, past=self.past, at=fitted_at)
            known = with_history(known, past=self.past, at=fitted_at, hours=self.hours)
            usable, _ = sort_routes(known)
            routes = tuple(dict.fromkeys(usable.values()))
            self.fits = fit_state(known, routes=routes, clock=start_clock(self.hours, now=fitted_at))
            self.fitted_at = fitted_at
        return self.fits


@dataclass(frozen=True, slots=True)
class MadeUpFor:
    """A quote worked out afterwards: the job, the levels of the day, and what would have been said."""

    job: PastJob
    levels: QuotedLevels
    forecast: NewcomerForecast


@dataclass(frozen=True, slots=True)
class NotMadeUp:
    """A job for which no quote could be worked out afterwards, and why."""

    job: PastJob
    sentence: str


def make_up_quotes(
    shop: ShopState,
    *,
    past: Sequence[PastJob],
    wanted: Sequence[PastJob],
    earlier: Sequence[PastQuote],
    replications: int,
    seed: int = 1,
) -> Iterator[MadeUpFor | NotMadeUp]:
    """Yield a quote for each wanted job in order of arrival, recalibrated by the quotes made before its day.

    `earlier` are quotes that exist already; of those, and of the ones made up here, each quote knows what was
    known on its own day and no more. One that cannot be worked out is named and does not stop the others.
    """
    rewind = Rewind(shop, past=past, replications=replications, seed=seed)
    made = list(earlier)
    for job in sorted(wanted, key=lambda job: (job.arrived_at, job.job_number)):
        at = job.arrived_at
        known = [as_known(quote, at=at) for quote in made if quote.computed_at <= at]
        levels = recalibrate_families(known, families=[job.family], hours=rewind.hours, now=at)[job.family]
        try:
            forecast = rewind.quote(job, state=rewind.state(job), levels=levels)
        except LeadTimeError as refusal:
            yield NotMadeUp(job, str(refusal))
            continue
        made.append(
            PastQuote(job.job_number, at, forecast.quantile_hours, job.packed_at, job.family, levels=levels)
        )
        yield MadeUpFor(job, levels, forecast)
