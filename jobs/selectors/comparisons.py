"""Which changes can be tried on this shop, and what came of those that were: read from stored rows only."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from jobs.domain.lifecycle import QUEUED
from jobs.domain.stages import Stage
from jobs.leadtime.change_documents import read_changes
from jobs.leadtime.changes import Change, JobFirst, apply_change, describe_change
from jobs.leadtime.clock import hours_per_week
from jobs.leadtime.errors import ChangeRefused
from jobs.leadtime.routes import WorkCentre
from jobs.leadtime.state import LiveJob, ShopState
from jobs.leadtime.whatif import Comparison, WhatIf
from jobs.models import Job, WhatIfRun
from jobs.selectors import shop
from jobs.selectors.listing import as_lines
from jobs.selectors.shop_state import FORECAST_STAGES
from jobs.selectors.stored import read_stored
from jobs.selectors.unit_names import name_family, name_unit
from packing.errors import CatalogueError
from packing.selectors import Catalogue

RECENT = 8
MOST_CHANGES = 2
OPEN_STATES = ("waiting", "running")


@dataclass(frozen=True, slots=True)
class LiveChoice:
    """One job that could be put first."""

    number: str
    unit_words: str
    customer_name: str


@dataclass(frozen=True, slots=True)
class Frame:
    """The shop without its history: enough to say which changes can be made to it."""

    state: ShopState
    choices: tuple[LiveChoice, ...]

    def runs_now(self, centre: WorkCentre) -> int:
        """Return how often a week a batch centre runs at least as it is, whole runs."""
        longest_h = centre.batch.longest_wait_hours if centre.batch else 0.0
        return int(hours_per_week(self.state.working_hours) / longest_h) if longest_h else 0


@dataclass(frozen=True, slots=True)
class Compared:
    """One job or family before and after, with the words it goes by."""

    row: Comparison
    name: str
    customer_name: str
    promised_on: date | None


@dataclass(frozen=True, slots=True)
class SeenRun:
    """One comparison as its page shows it; `found` is None until it is done, and after it was let go."""

    reference: UUID
    state: str
    words: tuple[str, ...]
    changes: tuple[Change, ...]
    asked_by: str
    asked_at: datetime
    started_at: datetime | None
    finished_at: datetime | None
    progress_share: float
    before_it: int
    refusal: str
    found: WhatIf | None
    jobs: tuple[Compared, ...]
    newcomers: tuple[Compared, ...]


def shop_frame(*, published: Catalogue) -> Frame:
    """Return what changes can be tried on.

    Raises: JobsError where no working hours are published.
    """
    rows = list(
        as_lines(Job.objects.filter(stage__in=FORECAST_STAGES))
        .only("number", "family", "unit_model", "stage", "priority", "customer__name")
        .order_by("promise_latest_on", "booked_at")
    )
    state = ShopState(
        working_hours=shop.working_hours(),
        centres=shop.work_centres(),
        people=shop.people(),
        routes=shop.routes(),
        jobs=tuple(LiveJob(job.number, job.family) for job in rows),
    )
    choices = tuple(
        LiveChoice(job.number, name_unit(job, published=published), job.customer.name if job.customer else "")
        for job in rows
        if not job.priority and Stage(job.stage) is not Stage.SIGNED_OFF
    )
    return Frame(state, choices)


def check_changes(frame: Frame, *, changes: Sequence[Change]) -> tuple[tuple[int, str], ...]:
    """Return (place, sentence) for each change that cannot be made, after those before it were."""
    state, refusals = frame.state, []
    for at, change in enumerate(changes):
        try:
            state = apply_change(state, change=change)
        except ChangeRefused as refusal:
            refusals.append((at, str(refusal)))
    return tuple(refusals)


def words_of(frame: Frame, *, changes: Sequence[Change]) -> tuple[str, ...]:
    """Return each change in a few plain words."""
    return tuple(describe_change(change, state=frame.state) for change in changes)


def recent_runs() -> tuple[SeenRun, ...]:
    """Return the newest comparisons without their results, in one query."""
    rows = WhatIfRun.objects.defer("result").order_by("-asked_at", "-pk")[:RECENT]
    return tuple(_seen(row, found=None, before_it=0, jobs=(), newcomers=()) for row in rows)


def find_run(reference: UUID, *, published: Catalogue) -> SeenRun | None:
    """Return one comparison, with the names of the jobs in it."""
    row = WhatIfRun.objects.filter(reference=reference).first()
    if row is None:
        return None
    found = _found(row)
    if row.state == "done" and found is None:
        row.state = "expired"  # an earlier release stored it in another shape
    before_it = 0
    if row.state == "waiting":
        earlier = WhatIfRun.objects.filter(state__in=OPEN_STATES, asked_at__lt=row.asked_at)
        before_it = earlier.count()
    if found is None:
        return _seen(row, found=None, before_it=before_it, jobs=(), newcomers=())
    rows = {
        job.number: job
        for job in as_lines(Job.objects.filter(number__in=[each.job_number for each in found.jobs]))
    }
    jobs = tuple(
        Compared(
            each,
            name_unit(job, published=published),
            job.customer.name if job.customer else "",
            job.promise_latest_on,
        )
        for each in found.jobs
        if (job := rows.get(each.job_number))
    )
    newcomers = tuple(
        Compared(each, name_family(each.family, published=published), "", None) for each in found.newcomers
    )
    return _seen(row, found=found, before_it=before_it, jobs=jobs, newcomers=newcomers)


def find_job_to_put_first(run: SeenRun) -> str:
    """Return the number of the job that was tried first, alone, while that can be done; or nothing."""
    match run.changes:
        case (JobFirst(number),):
            waiting = Job.objects.filter(number=number, priority=False, stage__in=[s.value for s in QUEUED])
            return number if waiting.exists() else ""
    return ""


def _found(row: WhatIfRun) -> WhatIf | None:
    return read_stored(WhatIf, row.result) if row.state == "done" else None


def _seen(
    row: WhatIfRun,
    *,
    found: WhatIf | None,
    before_it: int,
    jobs: tuple[Compared, ...],
    newcomers: tuple[Compared, ...],
) -> SeenRun:
    try:
        changes = read_changes(row.changes)
    except (ChangeRefused, CatalogueError):
        changes = ()
    return SeenRun(
        reference=row.reference,
        state=row.state,
        words=tuple(str(each.get("words", "")) for each in row.changes),
        changes=changes,
        asked_by=row.asked_by,
        asked_at=row.asked_at,
        started_at=row.started_at,
        finished_at=row.finished_at,
        progress_share=row.progress_share,
        before_it=before_it,
        refusal=row.refusal,
        found=found,
        jobs=jobs,
        newcomers=newcomers,
    )
