"""What the log teaches the forecast: hours at the bench, waits, and how often each of them was needed."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import groupby
from typing import Any

from jobs.domain.facts import load_facts
from jobs.domain.holds import TOLD_OF_HOLDS, fold_holds
from jobs.domain.replay import STEP_OF_EVENT
from jobs.domain.stages import EventKind, HoldKind
from jobs.leadtime.clock import WorkingHours
from jobs.leadtime.history import LEAST_TIMED_HOURS, StageVisit, WaitVisit
from jobs.leadtime.past_visits import MARKS_OF_WORK, fold_visits
from jobs.leadtime.routes import BenchStep
from jobs.leadtime.state import FailedTests, StepNeed, WaitNeed
from jobs.models import Job, JobEvent
from jobs.selectors.merged_boxes import merged_boxes

E = EventKind
HISTORY = timedelta(days=400)
FINISHING = tuple(kind.value for kind in STEP_OF_EVENT)


@dataclass(frozen=True, slots=True)
class Needs:
    """Of how many tested units each skippable step and each wait was needed, and how many failed."""

    steps: tuple[StepNeed, ...]
    waits: tuple[WaitNeed, ...]
    failed: tuple[FailedTests, ...]


def count_needs(*, now: datetime) -> Needs:
    """Return what the units needed that were tested in the last year; only of those is all of it known."""
    tested: dict[int, str] = {}
    stepped: set[tuple[int, str]] = set()
    waited: set[tuple[int, HoldKind]] = set()
    failed: set[int] = set()
    kinds = (*FINISHING, E.TEST_FAILED.value, E.HELD.value)
    for job_id, family, kind, facts, _at in _standing(*kinds, now=now):
        if kind is E.HELD:
            waited.add((job_id, HoldKind(load_facts(kind, stored=facts).hold)))
        elif kind is E.TEST_FAILED:
            failed.add(job_id)
        else:
            stepped.add((job_id, STEP_OF_EVENT[kind]))
        if kind is E.TESTED:
            tested[job_id] = family
    seen = Counter(tested.values())
    steps = Counter((tested[pk], step) for pk, step in stepped if pk in tested)
    waits = Counter((tested[pk], kind) for pk, kind in waited if pk in tested)
    failures = Counter(tested[pk] for pk in failed if pk in tested)
    families = sorted(seen)
    return Needs(
        tuple(StepNeed(of, step, steps[of, step], seen[of]) for of in families for step in BenchStep),
        tuple(WaitNeed(of, kind, waits[of, kind], seen[of]) for of in families for kind in HoldKind),
        tuple(FailedTests(of, failures[of], seen[of]) for of in families),
    )


def _taken_back(*, now: datetime) -> frozenset[tuple[int, int]]:
    """Return (job, event number) of every event that was taken back: it never happened."""
    rows = JobEvent.objects.filter(kind=E.CORRECTED.value, happened_at__gt=now - HISTORY)
    return frozenset(
        (job_id, load_facts(E.CORRECTED, stored=facts).corrects)
        for job_id, facts in rows.values_list("job_id", "facts")
    )


def _standing(*kinds: str, now: datetime) -> Iterator[tuple[int, str, EventKind, Any, datetime]]:
    """Yield (job, family, kind, facts, moment) of the events of those kinds that count, job by job.

    What a merged box waited for, its booking waits for since the same moment: it would count twice.
    """
    taken_back = _taken_back(now=now)
    rows = (
        JobEvent.objects.filter(kind__in=kinds, happened_at__gt=now - HISTORY)
        .exclude(job__in=merged_boxes())
        .order_by("job_id", "number")
        .values_list("job_id", "number", "job__family", "kind", "facts", "happened_at")
    )
    for job_id, number, family, kind, facts, at in rows.iterator():
        if (job_id, number) not in taken_back:
            yield job_id, family, EventKind(kind), facts, at


def stage_visits(hours: WorkingHours, *, now: datetime) -> Iterator[StageVisit]:
    """Yield what each finished step took at the bench in working hours, pauses and holds left out.

    A step that was begun and finished at one go, or outside working hours, was timed by nobody. A second
    round is shorter and would make the first look so too.
    """
    standing = _standing(*(kind.value for kind in MARKS_OF_WORK), now=now)
    for (_job_id, family), told in groupby(standing, key=lambda row: (row[0], row[1])):
        for visit in fold_visits((kind, facts, at) for _, _, kind, facts, at in told):
            if visit.finished_at is None or visit.again:
                continue
            spent_h = visit.worked_hours(hours, until=visit.finished_at)
            if spent_h >= LEAST_TIMED_HOURS:
                yield StageVisit(family, visit.step, spent_h, visit.finished_at.date())


def wait_visits(*, now: datetime) -> Iterator[WaitVisit]:
    """Yield what each ended hold took in days, and each open one so far."""
    standing = _standing(*(kind.value for kind in TOLD_OF_HOLDS), now=now)
    for (_job_id, family), told in groupby(standing, key=lambda row: (row[0], row[1])):
        for span in fold_holds((kind, facts, at) for _, _, kind, facts, at in told):
            if span.ended_at is not None:
                days = (span.ended_at - span.began_at) / timedelta(days=1)
                yield WaitVisit(family=family, kind=span.kind, days=days, on=span.ended_at.date())
    yield from _open_holds(now=now)


def _open_holds(*, now: datetime) -> tuple[WaitVisit, ...]:
    held = Job.objects.filter(hold_since__isnull=False).exclude(hold="")
    return tuple(
        WaitVisit(
            family=job.family,
            kind=HoldKind(job.hold),
            days=(now - job.hold_since) / timedelta(days=1),
            on=now.date(),
            open=True,
        )
        for job in held
        if job.hold_since is not None
    )
