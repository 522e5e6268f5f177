"""What one customer may see of their own jobs; every read here needs the customer."""

from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from jobs.domain.lifecycle import allowed_events
from jobs.domain.replay import JobState, LogEntry, replay
from jobs.domain.stages import ENDED, ON_BENCH, EventKind, HoldKind, Role, Stage
from jobs.leadtime.ranges import Reason
from jobs.leadtime.routes import BenchStep
from jobs.models import Customer, ExtraWork, Job, JobForecast, Photo
from jobs.selectors import shop
from jobs.selectors.listing import as_lines
from jobs.selectors.logs import log_of
from jobs.selectors.parcels import needs_draining
from jobs.selectors.questions import open_questions
from jobs.selectors.queue import step_offers
from jobs.selectors.refusals import last_refusal
from jobs.selectors.shots import shots_of
from jobs.selectors.stored import read_each
from jobs.selectors.timeline import (
    Exchange,
    PromisedRange,
    TimelineStep,
    exchanges,
    promised_ranges,
    timeline,
)
from jobs.selectors.unit_names import name_unit
from packing import selectors as catalogue
from packing.catalogue.schema import Shot

OVER = frozenset(stage.value for stage in ENDED | {Stage.SENT_BACK})
GONE = frozenset({Stage.SENT_BACK, Stage.CLOSED, Stage.RETURNED_UNREPAIRED})
BEFORE_ARRIVAL = frozenset({Stage.BOOKED, Stage.CLEARED, Stage.POSTED})
QUESTIONS = frozenset({EventKind.QUESTION_ASKED, EventKind.QUESTION_ANSWERED})


@dataclass(frozen=True, slots=True)
class JobLine:
    """One job in the customer's list.

    `promised` is the range that was promised, `today` the one as things stand while nothing is; `sees_page`
    says that only the job's own page can tell: its range is moved by a day that is not in the list.
    """

    number: str
    unit_words: str
    number_as_read: str
    stage: Stage
    hold: HoldKind | None
    needs_answer: bool
    is_over: bool
    promised: tuple[date, date] | None
    today: tuple[date, date] | None
    sees_page: bool
    booked_on: date


@dataclass(frozen=True, slots=True)
class HoldSeen:
    """Why the job does not go on for now, as the customer is told, and what it waits for after that."""

    kind: HoldKind
    reason: str
    since: date
    then: HoldKind | None = None


@dataclass(frozen=True, slots=True)
class RangeNow:
    """Today's range for the way back, what it was computed from, and what takes the time."""

    earliest_on: date
    latest_on: date
    computed_at: datetime
    reasons: tuple[tuple[str, float], ...]
    rests_on: str


@dataclass(frozen=True, slots=True)
class ExtraWorkSeen:
    """One request for extra work, with the answer once it is given; `is_open` while it can be given."""

    number: int
    lines: tuple[tuple[str, int], ...]
    price_pence: int
    added_work_days: int
    latest_on_if_approved: date | None
    within_limit: bool
    asked_on: date
    decision: str
    decided_by: str
    decided_on: date | None
    is_open: bool


@dataclass(frozen=True, slots=True)
class JobSeen:
    """Everything of one job that its customer may see."""

    job: Job
    state: JobState
    unit_words: str
    stage: Stage
    hold: HoldSeen | None
    steps: tuple[TimelineStep, ...]
    promises: tuple[PromisedRange, ...]
    range_now: RangeNow | None
    talk: tuple[Exchange, ...]
    extra_work: tuple[ExtraWorkSeen, ...]
    allowed: frozenset[EventKind]
    entries: tuple[LogEntry, ...]
    next_step: BenchStep | None
    needs_draining: bool

    @property
    def has_left(self) -> bool:
        """Whether the unit has left the shop: when it goes back is no longer a forecast."""
        return self.stage in GONE

    @property
    def extra_work_open(self) -> tuple[ExtraWorkSeen, ...]:
        """The requests that wait for the customer's yes or no; once it is signed off none can be given."""
        return tuple(extra for extra in self.extra_work if extra.is_open)

    @property
    def asks_customer(self) -> bool:
        """Whether a question of the shop waits for the customer's answer."""
        return bool(self.state.question_open) and EventKind.QUESTION_ANSWERED in self.allowed

    @property
    def unanswered(self) -> str:
        """The newest question of the shop that got no answer, needed or not; or nothing."""
        said = (each for each in reversed(self.talk) if each.kind in QUESTIONS)
        last = next(said, None)
        return last.text if last is not None and last.kind is EventKind.QUESTION_ASKED else ""

    @property
    def talk_before(self) -> tuple[Exchange, ...]:
        """What was said before the question that is asked of the customer now, which the page asks above."""
        if self.asks_customer and self.unanswered:
            return self.talk[:-1]
        return self.talk

    @property
    def awaits_parcel(self) -> bool:
        """Whether the unit is still with the customer or on its way in."""
        return self.stage in BEFORE_ARRIVAL

    @property
    def is_draining(self) -> bool:
        """Whether the unit was drained to be posted, so that the drain-and-air gate says what is next."""
        return self.stage is Stage.CLEARED and self.needs_draining and self.state.drained_at is not None

    def may(self, kind: str) -> bool:
        """Return whether the customer may record this kind of event now."""
        return EventKind(kind) in self.allowed


def customer(customer_id: int) -> Customer | None:
    """Return the customer of a grant."""
    return Customer.objects.filter(pk=customer_id).first()


def find_job(number: str, *, customer_id: int) -> Job | None:
    """Return the job of that number if it is this customer's; nobody else's job is ever found."""
    return Job.objects.select_related("customer").filter(number=number, customer_id=customer_id).first()


def job_lines(customer_id: int) -> tuple[JobLine, ...]:
    """Return the customer's jobs, the newest first, in a fixed number of queries."""
    own = as_lines(Job.objects.filter(customer_id=customer_id)).select_related("customer", "forecast")
    jobs = list(own.order_by("-booked_at"))
    refused = bool(last_refusal())
    waiting = set(ExtraWork.objects.filter(job__in=jobs, decision="").values_list("job_id", flat=True))
    asked = open_questions(jobs)
    zone = shop.zone()
    published = catalogue.catalogue()
    return tuple(
        JobLine(
            number=job.number,
            unit_words=name_unit(job, published=published),
            number_as_read=job.number_as_read,
            stage=Stage(job.stage),
            hold=HoldKind(job.hold) if job.hold else None,
            needs_answer=(job.pk in waiting and job.stage in ON_BENCH) or job.pk in asked,
            is_over=job.stage in OVER,
            promised=_promised(job),
            today=None if refused else _today(job),
            sees_page=not refused and job.stage in BEFORE_ARRIVAL and _today(job) is None,
            booked_on=job.booked_at.astimezone(zone).date(),
        )
        for job in jobs
    )


def _promised(job: Job) -> tuple[date, date] | None:
    if job.promise_earliest_on is None or job.promise_latest_on is None:
        return None
    return job.promise_earliest_on, job.promise_latest_on


def _today(job: Job) -> tuple[date, date] | None:
    """Return the stored range, None where there is none or the unit was posted after it was worked out."""
    row: JobForecast | None = getattr(job, "forecast", None)
    if row is None or job.stage in OVER:
        return None
    if job.stage == Stage.POSTED and row.computed_at < job.stage_since:
        return None
    return row.earliest_on, row.latest_on


def see_job(job: Job) -> JobSeen:
    """Return what the customer sees of a job that `find_job` gave."""
    entries = log_of(job)
    state = replay(entries)
    stage = Stage(job.stage)
    published = catalogue.catalogue()
    return JobSeen(
        job=job,
        state=state,
        unit_words=name_unit(job, published=published),
        stage=stage,
        hold=_hold(state),
        steps=timeline(state),
        promises=promised_ranges(entries),
        range_now=_range_now(job),
        talk=exchanges(entries),
        extra_work=tuple(
            _extra(row, job=job) for row in ExtraWork.objects.filter(job=job).order_by("number")
        ),
        allowed=frozenset(allowed_events(stage, role=Role.CUSTOMER, hold=state.hold)),
        entries=entries,
        next_step=_next_step(job, state=state),
        needs_draining=needs_draining(published.families.get(job.family)),
    )


def extra_work(job: Job, *, number: int) -> ExtraWorkSeen | None:
    """Return one request for extra work on this job."""
    row = ExtraWork.objects.filter(job=job, number=number).first()
    return _extra(row, job=job) if row else None


def job_shots(job: Job) -> tuple[Shot, ...]:
    """Return the named photos the shop wants of this unit."""
    return shots_of(job.family, unit_model=job.unit_model)


def job_photos(job: Job, *, roles: frozenset[str] = frozenset()) -> tuple[Photo, ...]:
    """Return the job's photos that were not withdrawn, of the given roles, or of all."""
    found = Photo.objects.filter(job=job, withdrawn_at__isnull=True)
    if roles:
        found = found.filter(role__in=roles)
    return tuple(found.order_by("uploaded_at", "pk"))


def job_photo(job: Job, *, reference: UUID) -> Photo | None:
    """Return one photo of this job."""
    return Photo.objects.filter(job=job, reference=reference, withdrawn_at__isnull=True).first()


def photo_ever_added(job: Job, *, reference: UUID) -> Photo | None:
    """Return one photo of this job, also one that was taken off already."""
    return Photo.objects.filter(job=job, reference=reference).first()


def unit_words(job: Job) -> str:
    """Return what the unit is called: its model, or its family while the model is not known."""
    return name_unit(job, published=catalogue.catalogue())


def _next_step(job: Job, *, state: JobState) -> BenchStep | None:
    """Return the bench step that is under way, or else the next by the family's route; None off the bench."""
    if job.stage not in ON_BENCH:
        return None
    if state.working_step and state.hold is None:
        return BenchStep(state.working_step)
    offers = step_offers(job, done_steps=state.done_steps, routes=shop.routes())
    return offers[0][0] if offers else None


def _hold(state: JobState) -> HoldSeen | None:
    held, then = state.held_by, [hold.kind for hold in state.holds[-2:-1]]
    if held is None:
        return None
    since = held.since.astimezone(shop.zone()).date()
    return HoldSeen(kind=held.kind, reason=held.reason, since=since, then=then[0] if then else None)


def _range_now(job: Job) -> RangeNow | None:
    row = JobForecast.objects.filter(job=job).first()
    if row is None:
        return None
    return RangeNow(
        earliest_on=row.earliest_on,
        latest_on=row.latest_on,
        computed_at=row.computed_at,
        reasons=tuple((each.sentence, each.working_days) for each in read_each(Reason, row.reasons)[:4]),
        rests_on=row.based_on,
    )


def _extra(row: ExtraWork, *, job: Job) -> ExtraWorkSeen:
    def day(moment: datetime | None) -> date | None:
        return moment.astimezone(shop.zone()).date() if moment else None

    return ExtraWorkSeen(
        number=row.number,
        lines=tuple((str(line["text"]), int(line["price_pence"])) for line in row.lines),
        price_pence=row.price_pence,
        added_work_days=row.added_work_days,
        latest_on_if_approved=row.latest_on_if_approved,
        within_limit=row.within_limit,
        asked_on=row.asked_at.astimezone(shop.zone()).date(),
        decision=row.decision,
        decided_by=row.decided_by,
        decided_on=day(row.decided_at),
        is_open=not row.decision
        and EventKind.EXTRA_WORK_APPROVED in allowed_events(Stage(job.stage), role=Role.CUSTOMER, hold=None),
    )
