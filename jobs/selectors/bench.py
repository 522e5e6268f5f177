"""What does the page of one job show at the bench: where it stands, what comes next, what was done."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from jobs.domain.facts import Matched, ReadingsRecorded, SettingsRecorded, load_facts
from jobs.domain.lifecycle import BEFORE_ARRIVAL, TRANSITIONS, allowed_events
from jobs.domain.readings import ReadingGap, find_reading_gap, keeps_limits
from jobs.domain.replay import JobState, LogEntry, replay, standing_events
from jobs.domain.replies import Reply, reply_to_read
from jobs.domain.staff_words import hold_for_staff
from jobs.domain.stages import ENDED, IN_SHOP, STAGE_LABELS, EventKind, HoldKind, Role, Stage
from jobs.leadtime.clock import date_after_hours, hours_per_day
from jobs.leadtime.errors import LeadTimeError
from jobs.models import ExtraWork, Job, JobForecast, Mark
from jobs.selectors import shop
from jobs.selectors.last_forecast import latest_days
from jobs.selectors.log_words import LogLine, log_lines
from jobs.selectors.logs import log_of
from jobs.selectors.next_action import NextAction, StepOffer, find_next, step_offers_of
from jobs.selectors.outlook import is_out_of_date
from jobs.selectors.parcels import smell_sentence
from jobs.selectors.queue import risk_words
from jobs.selectors.refusals import last_refusal
from jobs.selectors.undoing import NO_STEP, step_to_take_back, why_it_stays
from jobs.selectors.unit_names import name_unit
from packing import selectors as catalogue
from packing.catalogue.schema import EntryKind, Family, TestLine, UnitModel
from packing.parcel.unit import Leg
from packing.strip.gate import needs_gate

E = EventKind


@dataclass(frozen=True, slots=True)
class ReadingLine:
    """One line of the bench test with its limits and the last reading."""

    line: TestLine
    value: float | None

    @property
    def passes(self) -> bool | None:
        """Whether the reading keeps the limits; None without a reading."""
        return None if self.value is None else keeps_limits(self.line, reading=self.value)


@dataclass(frozen=True, slots=True)
class SettingLine:
    """One setting by the model's own name, as found and as left."""

    name: str
    as_found: str
    as_left: str


@dataclass(frozen=True, slots=True)
class JobAtBench:
    """One job as the workshop sees it."""

    job: Job
    state: JobState
    stage: Stage
    hold: HoldKind | None
    unit_words: str
    family: Family | None
    model: UnitModel | None
    entries: tuple[LogEntry, ...]
    allowed: frozenset[EventKind]
    offers: tuple[StepOffer, ...]
    next: NextAction
    reply: Reply | None
    risk: str
    forecast_latest_on: date | None
    log: tuple[LogLine, ...]
    marks: tuple[Mark, ...]
    extra_work: tuple[ExtraWork, ...]
    readings: tuple[ReadingLine, ...]
    readings_judged: ReadingsRecorded | None
    reading_gap: ReadingGap
    settings: tuple[SettingLine, ...]
    parts_used: tuple[LogLine, ...]
    findings: tuple[LogLine, ...]
    undoable: LogEntry | None
    merged_into: str
    smell_words: str

    @property
    def number(self) -> str:
        """The job's number, as in its address."""
        return self.job.number

    @property
    def limit_left_pence(self) -> int:
        """What may still be done without asking: the agreed limit less what was used of it."""
        used = sum(
            row.price_pence for row in self.extra_work if row.within_limit and row.decision == "approved"
        )
        return max(self.job.spend_limit_pence - used, 0)

    @property
    def at_unpacking(self) -> bool:
        """Whether the unit is not inspected yet, so that what is missing as evidence can still be had."""
        return self.stage in BEFORE_ARRIVAL | {Stage.ARRIVED}

    @property
    def needs_drain_check(self) -> bool:
        """Whether bench fluid has to be drained and smelled for before this unit travels."""
        return self.family is None or needs_gate(self.family, leg=Leg.TO_CUSTOMER)

    @property
    def is_dry(self) -> bool:
        """Whether the unit may be packed as far as bench fluid goes."""
        return not self.needs_drain_check or self.state.bench_fluid_smells is False

    def may(self, kind: str) -> bool:
        """Return whether this kind of event may be recorded now."""
        return EventKind(kind) in self.allowed


def find_job(number: str) -> Job | None:
    """Return the job of that number, with its customer."""
    return Job.objects.select_related("customer").filter(number=number).first()


def see_job(job: Job, *, role: Role, today: date) -> JobAtBench:
    """Return the whole job in a constant number of queries."""
    entries = log_of(job)
    state = replay(entries)
    stage, hold = Stage(job.stage), HoldKind(job.hold) if job.hold else None
    published = catalogue.catalogue()
    model = model_of(job)
    standing = standing_events(entries)
    readings = _last(standing, kind=E.READINGS_RECORDED)
    judged: ReadingsRecorded | None = load_facts(readings.kind, stored=readings.facts) if readings else None
    lines = log_lines(entries)
    shown = {line.number: line for line in lines if line.counts}
    offers = step_offers_of(job, state=state)
    family = published.families.get(job.family)
    forecast = latest_days((job,), today=today).get(job.pk)
    gap = find_reading_gap(model.test_lines if model else (), readings=state.readings)
    extra_work = tuple(ExtraWork.objects.filter(job=job).order_by("number"))
    smelled_at = state.bench_smelled_at if state.bench_fluid_smells else None
    smell_words = smell_sentence(smelled_at, today=today) if smelled_at and stage in IN_SHOP else ""
    merged = _last(standing, kind=E.MERGED)
    matched: Matched | None = load_facts(merged.kind, stored=merged.facts) if merged else None
    return JobAtBench(
        job=job,
        state=state,
        stage=stage,
        hold=hold,
        unit_words=name_unit(job, published=published),
        family=family,
        model=model,
        entries=entries,
        allowed=frozenset(allowed_events(stage, role=role, hold=hold)),
        offers=offers,
        next=find_next(
            job,
            state=state,
            offers=offers,
            wet=family is None or needs_gate(family, leg=Leg.TO_CUSTOMER),
            gap=gap,
            extra_work_open=next((row.number for row in extra_work if not row.decision), 0),
            smell_words=smell_words,
        ),
        reply=None if stage in ENDED else reply_to_read(entries),
        risk=risk_words(job, ends_on=forecast, today=today),
        forecast_latest_on=forecast,
        log=tuple(reversed(lines)),
        marks=tuple(Mark.objects.filter(job=job, withdrawn_at__isnull=True).select_related("photo")),
        extra_work=extra_work,
        readings=_reading_lines(model, judged=judged),
        readings_judged=judged,
        reading_gap=gap,
        settings=_setting_lines(model, standing=standing),
        parts_used=tuple(shown[entry.number] for entry in standing if entry.kind is E.PART_USED),
        findings=tuple(shown[entry.number] for entry in standing if entry.kind is E.FINDING_RECORDED),
        undoable=step_to_take_back(job, entries=entries),
        merged_into=matched.booking_job_number if matched else "",
        smell_words=smell_words,
    )


def recorded_since(job: Job, *, seen: int) -> tuple[LogLine, ...]:
    """Return what was recorded on the job after its `seen`-th event, the oldest first."""
    return tuple(line for line in log_lines(log_of(job)) if line.number > seen)


def latest_if_added(job: Job, *, added_work_days: int, now: datetime) -> date | None:
    """Return the day by which 8 in 10 are done with so many working days more; None without a date.

    Counted from the forecast or, where that is out of date, from what was promised. There is no date while
    the shop cannot be forecast.
    """
    if last_refusal():
        return None
    row = JobForecast.objects.filter(job=job).first()
    is_told = row is not None and not is_out_of_date(row.computed_at, now=now)
    base_on = row.latest_on if row is not None and is_told else job.promise_latest_on
    if base_on is None:
        return None
    zone = shop.zone()
    start = datetime.combine(max(base_on, now.astimezone(zone).date()), datetime.min.time(), zone)
    start += timedelta(days=1)
    try:
        hours = shop.working_hours()
        added_on = date_after_hours(hours, start=start, work_hours=added_work_days * hours_per_day(hours))
    except LeadTimeError:
        return None
    return base_on if added_work_days == 0 else added_on


def why_not_now(seen: JobAtBench, *, kind: EventKind) -> str:
    """Return the sentence for somebody who wants to record `kind` when it cannot be recorded."""
    sources = TRANSITIONS[kind].sources
    here = STAGE_LABELS[seen.stage].lower()
    if kind is E.CORRECTED:
        return why_it_stays(seen.job, entries=seen.entries) or NO_STEP
    if kind is E.RELEASED and seen.hold is None:
        return "The job is not on hold."
    if kind is E.HELD and seen.hold is not None:
        return "The job is on hold already. End that hold first."
    if seen.stage in sources and seen.hold is not None:
        waits_for = hold_for_staff(seen.job.hold_reason, hold=seen.hold).rstrip(".")
        return f"The job is on hold: {waits_for}. End the hold first, then go on."
    return f"This cannot be recorded now: the job stands at “{here}”."


def _reading_lines(model: UnitModel | None, *, judged: ReadingsRecorded | None) -> tuple[ReadingLine, ...]:
    values = judged.readings if judged else {}
    return tuple(ReadingLine(line, values.get(line.slug)) for line in (model.test_lines if model else ()))


def _setting_lines(model: UnitModel | None, *, standing: Sequence[LogEntry]) -> tuple[SettingLine, ...]:
    entry = _last(standing, kind=E.SETTINGS_RECORDED)
    facts: SettingsRecorded = (
        load_facts(entry.kind, stored=entry.facts) if entry else SettingsRecorded(as_found={}, as_left={})
    )
    names = dict.fromkeys((*(model.settings if model else ()), *facts.as_found, *facts.as_left))
    return tuple(
        SettingLine(name, facts.as_found.get(name, ""), facts.as_left.get(name, "")) for name in names
    )


def model_of(job: Job) -> UnitModel | None:
    """Return the model as it was when the customer was told; what is tested is what was promised."""
    if not job.unit_model or job.unit_model_revision is None:
        return None
    entry = catalogue.entry_at(EntryKind.UNIT_MODEL, job.unit_model, revision=job.unit_model_revision)
    return entry if isinstance(entry, UnitModel) else None


def _last(entries: Sequence[LogEntry], *, kind: EventKind) -> LogEntry | None:
    return next((entry for entry in reversed(entries) if entry.kind is kind), None)
