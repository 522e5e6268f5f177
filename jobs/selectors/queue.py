"""What waits in the shop, in which order to take it up, and which promise is at risk?"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from django.core.paginator import Page, Paginator

from jobs.domain.holds import STOPPED_CLOCKS
from jobs.domain.staff_words import hold_for_staff
from jobs.domain.stages import HOLD_LABELS, IN_SHOP, EventKind, HoldKind, Stage
from jobs.leadtime.errors import NoRoute
from jobs.leadtime.routes import BenchStep, Route, next_steps, route_for
from jobs.leadtime.words import date_in_words
from jobs.models import Job, JobEvent
from jobs.selectors import shop
from jobs.selectors.last_forecast import latest_days
from jobs.selectors.listing import as_lines
from jobs.selectors.merged_boxes import merged_boxes
from jobs.selectors.questions import open_questions
from jobs.selectors.scan import search_jobs
from jobs.selectors.shop_state import done_steps_of
from jobs.selectors.taken_back import taken_back
from jobs.selectors.unit_names import name_family, name_unit
from packing import selectors as catalogue
from packing.selectors import Catalogue

PAGE_ROWS = 25
STEP_WORDS: dict[BenchStep, str] = {
    BenchStep.STRIP: "Strip",
    BenchStep.CLEAN: "Clean",
    BenchStep.MACHINE: "Machine",
    BenchStep.ASSEMBLE: "Assemble",
    BenchStep.TEST: "Test",
    BenchStep.SIGN_OFF: "Sign off",
    BenchStep.PACK: "Pack",
}
STAGE_ORDER = tuple(Stage)


@dataclass(frozen=True, slots=True)
class JobLine:
    """One job in a list: what it is, where it stands, what was promised, and what threatens the promise.

    `is_asked` marks a booking that waits for its customer's answer, not for the shop's, `since` it was asked.
    """

    number: str
    unit_words: str
    customer_name: str
    stage: Stage
    hold: HoldKind | None
    hold_reason: str
    since: datetime
    promise_end: date | None
    risk_words: str
    priority: bool
    next_words: str = ""
    working: bool = False
    working_name: str = ""
    is_asked: bool = False

    @property
    def is_done(self) -> bool:
        """Whether the work is done and the unit only has to go back."""
        return self.stage in {Stage.SIGNED_OFF, Stage.PACKED}


@dataclass(frozen=True, slots=True)
class CentreQueue:
    """What to do next at one work centre: under way first, then by promise; held jobs stand apart."""

    name: str
    benches: int
    people: tuple[str, ...]
    lines: tuple[JobLine, ...]
    held: tuple[JobLine, ...]

    @property
    def count(self) -> int:
        """How many jobs may be worked on here."""
        return len(self.lines)

    @property
    def held_count(self) -> int:
        """How many wait for something else."""
        return len(self.held)


@dataclass(frozen=True, slots=True)
class StageQueue:
    """The jobs of one stage."""

    stage: Stage
    lines: tuple[JobLine, ...]


@dataclass(frozen=True, slots=True)
class ShopQueue:
    """The shop's work: by work centre, by stage, and the jobs whose family has no route."""

    centres: tuple[CentreQueue, ...]
    stages: tuple[StageQueue, ...]
    without_route: tuple[JobLine, ...]
    count: int


@dataclass(frozen=True, slots=True)
class JobFilter:
    """What the list of all jobs is narrowed to; empty values narrow nothing."""

    text: str = ""
    stage: str = ""
    family: str = ""
    hold: str = ""


@dataclass(frozen=True, slots=True)
class JobPage:
    """One page of the list, and Django's own page for the pager."""

    lines: tuple[JobLine, ...]
    page: "Page[Job]"


def shop_queue(*, today: date) -> ShopQueue:
    """Return everything that is in the shop, in a constant number of queries."""
    jobs = list(as_lines(Job.objects.filter(stage__in=[stage.value for stage in IN_SHOP])))
    done, at_work = done_steps_of(jobs), _at_work(jobs)
    lines = dict(zip((job.pk for job in jobs), job_lines(jobs, today=today), strict=True))
    routes, centres, people = shop.routes(), shop.work_centres(), {each.slug: each for each in shop.people()}
    at_centre: dict[str, list[JobLine]] = {centre.slug: [] for centre in centres}
    lost: list[JobLine] = []
    for job in sorted(jobs, key=_urgency):
        if Stage(job.stage) is Stage.ARRIVED:
            continue
        offer = _offer(job, done_steps=done.get(job.pk, ()), routes=routes)
        line = _with_offer(lines[job.pk], offer=offer, working_step=job.working_step)
        line = replace(line, working_name=at_work.get(job.pk, ""))
        lines[job.pk] = line
        if offer is None:
            lost.append(line)
        else:
            at_centre.setdefault(offer[1], []).append(line)
    return ShopQueue(
        centres=tuple(
            CentreQueue(
                name=centre.name,
                benches=centre.benches,
                people=tuple(people[slug].name for slug in centre.people if slug in people),
                lines=_in_order(at_centre[centre.slug]),
                held=tuple(line for line in at_centre[centre.slug] if not _may_go_on(line)),
            )
            for centre in centres
        ),
        stages=tuple(
            StageQueue(stage, listed)
            for stage in STAGE_ORDER
            if (listed := tuple(lines[job.pk] for job in sorted(jobs, key=_urgency) if job.stage == stage))
        ),
        without_route=tuple(lost),
        count=len(jobs),
    )


def list_jobs(narrowed: JobFilter, *, page_number: str | int, today: date) -> JobPage:
    """Return one page of the jobs that fit, the newest first; an unknown page is the nearest one.

    A box that goes on under its booking stands there alone.
    """
    found = search_jobs(narrowed.text) if narrowed.text.strip() else Job.objects.all()
    found = found.exclude(pk__in=merged_boxes())
    if narrowed.stage:
        found = found.filter(stage=narrowed.stage)
    if narrowed.family:
        found = found.filter(family=narrowed.family)
    if narrowed.hold:
        found = found.exclude(hold="") if narrowed.hold == "any" else found.filter(hold=narrowed.hold)
    rows = as_lines(found).order_by("-booked_at", "-pk")
    page = Paginator(rows, PAGE_ROWS).get_page(page_number)
    return JobPage(job_lines(list(page.object_list), today=today), page)


def job_lines(jobs: Sequence[Job], *, today: date) -> tuple[JobLine, ...]:
    """Return the rows of these jobs, in their order, in a fixed number of queries."""
    if not jobs:
        return ()
    published = catalogue.catalogue()
    ends = latest_days(jobs, today=today)
    asked = open_questions([job for job in jobs if job.stage == Stage.BOOKED.value])
    lines = [_line(job, published=published, ends_on=ends.get(job.pk), today=today) for job in jobs]
    for at, job in enumerate(jobs):
        if question := asked.get(job.pk):
            lines[at] = replace(lines[at], since=question.asked_at, is_asked=True)
    return tuple(lines)


def family_choices() -> tuple[tuple[str, str], ...]:
    """Return every published family as (slug, name)."""
    published = catalogue.catalogue()
    return tuple((slug, name_family(slug, published=published)) for slug in published.families)


def risk_words(job: Job, *, ends_on: date | None, today: date) -> str:
    """Return what threatens the promised day, in words, or nothing.

    While the shop waits for its customer no day counts. `ends_on` is today's forecast:
    8 in 10 such jobs are done by then.
    """
    promised = job.promise_latest_on
    if promised is None or Stage(job.stage) not in IN_SHOP or job.stage == Stage.PACKED.value:
        return ""
    if job.hold in STOPPED_CLOCKS:
        return ""
    if promised < today:
        return f"the promised day passed {_days((today - promised).days)} ago."
    waiting = f" It is held: {HOLD_LABELS[HoldKind(job.hold)].lower()}." if job.hold else ""
    if ends_on is not None and ends_on > promised:
        late = _days((ends_on - promised).days)
        until = date_in_words(ends_on, today=today)
        return f"as things stand it may take until {until}, {late} after the promise.{waiting}"
    return ""


def step_offers(
    job: Job, *, done_steps: Iterable[str], routes: Iterable[Route]
) -> tuple[tuple[BenchStep, str], ...]:
    """Return the steps that may come next with their work centres; empty without a route."""
    try:
        route = route_for(routes, family=job.family)
    except NoRoute:
        return ()
    done = tuple(BenchStep(step) for step in done_steps if step in set(BenchStep))
    centres = {planned.step: planned.work_centre for planned in route.steps}
    return tuple((step, centres[step]) for step in next_steps(route, done=done))


def _offer(job: Job, *, done_steps: Iterable[str], routes: Sequence[Route]) -> tuple[BenchStep, str] | None:
    """Return the step a job stands before, with its centre: the one under way, else the first possible."""
    offers = step_offers(job, done_steps=done_steps, routes=routes)
    under_way = next((offer for offer in offers if offer[0].value == job.working_step), None)
    if job.stage == Stage.PACKED.value:
        # A unit that is packed only has to go back: without a route of its own it waits at the first table.
        own_first = sorted(routes, key=lambda route: job.family not in route.families)
        packing = (
            step.work_centre for route in own_first for step in route.steps if step.step is BenchStep.PACK
        )
        return next(((BenchStep.PACK, centre) for centre in packing), None)
    return under_way or (offers[0] if offers else None)


def _at_work(jobs: Iterable[Job]) -> dict[int, str]:
    """Return by job who began the step that is under way."""
    working = [job.pk for job in jobs if job.working_step]
    begun = JobEvent.objects.filter(~taken_back(), job__in=working, kind=EventKind.WORK_STARTED.value)
    return dict(begun.order_by("number").values_list("job_id", "actor_name"))


def _with_offer(line: JobLine, *, offer: tuple[BenchStep, str] | None, working_step: str) -> JobLine:
    if line.stage is Stage.PACKED:
        return replace(line, next_words="Send back")
    words = STEP_WORDS[offer[0]] if offer else ""
    return replace(line, next_words=words, working=bool(working_step))


def _in_order(lines: Iterable[JobLine]) -> tuple[JobLine, ...]:
    """Return the lines that may be worked on, those under way first, otherwise as they came."""
    ready = [line for line in lines if _may_go_on(line)]
    return tuple(sorted(ready, key=lambda line: not line.working))


def _may_go_on(line: JobLine) -> bool:
    """Return whether work may go on: waiting for payment stops only the sending back."""
    return line.hold is None or (line.hold is HoldKind.PAYMENT and line.stage is not Stage.PACKED)


def _urgency(job: Job) -> tuple[bool, date, datetime]:
    return (not job.priority, job.promise_latest_on or date.max, job.arrived_at or job.booked_at)


def _line(job: Job, *, published: Catalogue, ends_on: date | None, today: date) -> JobLine:
    return JobLine(
        number=job.number,
        unit_words=name_unit(job, published=published),
        customer_name=job.customer.name if job.customer else "",
        stage=Stage(job.stage),
        hold=HoldKind(job.hold) if job.hold else None,
        hold_reason=hold_for_staff(job.hold_reason, hold=HoldKind(job.hold)) if job.hold else "",
        since=job.stage_since,
        promise_end=job.promise_latest_on,
        risk_words=risk_words(job, ends_on=ends_on, today=today),
        priority=job.priority,
    )


def _days(count: int) -> str:
    return "1 day" if count == 1 else f"{count} days"
