"""Why did a promised date move?

The parts of the lead time that were counted on when the date was given are compared with the parts spent
since then and those still to come. The parts of a forecast add up to its mean, so whatever has moved the
date is found among them, and a queue that was passed as foreseen is not blamed.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import datetime
from enum import StrEnum
from itertools import pairwise

from jobs.leadtime.clock import WorkingHours, hours_per_day, working_hours_between
from jobs.leadtime.past import PastJob
from jobs.leadtime.past_visits import PastVisit
from jobs.leadtime.ranges import Reason, ReasonKind
from jobs.leadtime.reasons import KIND_OF_HOLD, SENTENCES, Part
from jobs.leadtime.routes import REDONE_STEPS, BenchStep, Route, WorkCentre, next_steps
from jobs.leadtime.words import working_days_in_words

LEAST_TOLD_DAYS = 0.5
MOST_TOLD = 3


class Way(StrEnum):
    """Which way a promised date moved."""

    LATER = "later"
    EARLIER = "earlier"


def explain_move(
    before: Sequence[Reason],
    *,
    spent_days: Mapping[Part, float],
    after: Sequence[Reason],
    way: Way,
    centres: Sequence[WorkCentre],
) -> tuple[str, ...]:
    """Return up to three sentences on the parts that grew, or shrank, by half a working day or more.

    Growth is what was spent since plus what is still to come, less what was counted on. Empty if no single
    part moved by so much. Days away count as work: of what was spent, the log cannot tell the two apart.
    """
    growth_days: dict[Part, float] = defaultdict(float)
    for reason in after:
        growth_days[_part_of(reason)] += reason.working_days
    for part, days in spent_days.items():
        growth_days[part] += days
    for reason in before:
        growth_days[_part_of(reason)] -= reason.working_days
    sign = 1.0 if way is Way.LATER else -1.0
    moved = sorted(
        (-sign * days, part) for part, days in growth_days.items() if sign * days >= LEAST_TOLD_DAYS
    )
    names = {centre.slug: centre.name for centre in centres}
    words = "longer" if way is Way.LATER else "less"
    return tuple(
        f"{_name(part, names=names)}: {working_days_in_words(-days)} {words} than we had counted on."
        for days, part in moved[:MOST_TOLD]
    )


def _part_of(reason: Reason) -> Part:
    return ReasonKind.WORK if reason.kind is ReasonKind.AWAY else reason.kind, reason.work_centre


def _name(part: Part, *, names: Mapping[str, str]) -> str:
    kind, slug = part
    centre = names.get(slug, "")
    return SENTENCES[kind].format(centre=centre[:1].lower() + centre[1:], days="").rstrip(": .")


def _at_one_go(visit: PastVisit, *, now: datetime) -> tuple[tuple[datetime, datetime], ...]:
    """Return the moment at which a visit that nobody timed was noted."""
    at = visit.finished_at or now
    return ((at, at),)


def spend_parts(
    job: PastJob,
    *,
    since: datetime,
    now: datetime,
    hours: WorkingHours,
    route: Route,
    centres: Sequence[WorkCentre],
) -> dict[Part, float]:
    """Return what the working days of a job since a moment were spent on, by the parts of a forecast.

    A hold counts before the work it interrupts; what lies between two entries of the log was spent queueing
    for the step that came next.
    Raises: NoOpeningHours.
    """
    in_batches = {centre.slug for centre in centres if centre.batch is not None}
    centre_of = {planned.step: planned.work_centre for planned in route.steps}
    visits = [
        (began_at, ended_at, visit.step)
        for visit in job.visits
        for began_at, ended_at in visit.spans(until=now) or _at_one_go(visit, now=now)
    ]
    holds = [(hold.began_at, hold.ended_at or now, KIND_OF_HOLD[hold.kind]) for hold in job.holds]
    ahead = next_steps(route, done=_done(job))

    def part_of(start: datetime, end: datetime) -> Part:
        for began_at, ended_at, kind in holds:
            if began_at <= start and end <= ended_at:
                return kind, ""
        for began_at, ended_at, _ in visits:
            if began_at <= start and end <= ended_at:
                return ReasonKind.WORK, ""
        later = [step for began_at, _, step in visits if began_at >= end] or list(ahead)
        slug = centre_of.get(later[0], "") if later else ""
        return (ReasonKind.BATCH if slug in in_batches else ReasonKind.QUEUE), slug

    edges = {at for span in (*visits, *holds) for at in span[:2] if since < at < now}
    day_h = hours_per_day(hours)
    spent_days: dict[Part, float] = defaultdict(float)
    for start, end in pairwise(sorted({since, now, *edges})):
        worked_h = working_hours_between(hours, start=start, end=end)
        if worked_h > 0.0:
            spent_days[part_of(start, end)] += worked_h / day_h
    return dict(spent_days)


def _done(job: PastJob) -> tuple[BenchStep, ...]:
    done: list[BenchStep] = []
    for visit in job.visits:
        if visit.finished_at is not None:
            done.append(visit.step)
        if not visit.passed:
            done = [step for step in done if step not in REDONE_STEPS]
    return tuple(done)
