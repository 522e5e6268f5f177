"""Another future for a shop's past: up to a moment nothing differs, after it everything."""

from dataclasses import replace
from datetime import timedelta

from jobs.domain.stages import HoldKind
from jobs.domain.worked import WorkedSpan
from jobs.leadtime.past import PastHold, PastTurn
from jobs.leadtime.past_visits import PastVisit
from jobs.leadtime.routes import BenchStep
from jobs.leadtime.state import Priority

LATER = timedelta(days=20)
HOUR = timedelta(hours=1)
MINUTE = timedelta(minutes=1)


def with_another_future(past, *, at):
    """Return the jobs as they could have gone on: later, put first, held, worked and failed once more.

    Units that are in the shop at the moment are packed a minute after it, the others later than they were.
    """
    return [_go_on(job, at) for job in past]


def _go_on(job, at):
    if job.packed_at is not None and job.packed_at <= at:
        return job
    first = max(at, job.arrived_at) + LATER
    more_visits = (
        PastVisit(BenchStep.MACHINE, first + HOUR, first + 2 * HOUR),
        PastVisit(BenchStep.TEST, first + 3 * HOUR, first + 4 * HOUR, passed=False),
    )
    more_holds = tuple(
        PastHold(kind, first + 5 * HOUR, first + 6 * HOUR) for kind in (HoldKind.OUTSIDE, HoldKind.PARTS)
    )
    return replace(
        job,
        arrived_at=_later(job.arrived_at, at),
        visits=(*(_go_on_at_bench(visit, at) for visit in job.visits), *more_visits),
        holds=(
            *(
                PastHold(each.kind, _later(each.began_at, at), _later(each.ended_at, at))
                for each in job.holds
            ),
            *more_holds,
        ),
        packed_at=at + MINUTE if job.is_in_shop(at) else _later(job.packed_at, at),
        left_at=_later(job.left_at, at),
        turns=(*(turn for turn in job.turns if turn.since <= at), PastTurn(first, Priority.URGENT)),
    )


def _go_on_at_bench(visit, at):
    over = visit.finished_at is not None and visit.finished_at <= at
    return replace(
        visit,
        started_at=_later(visit.started_at, at),
        finished_at=_later(visit.finished_at, at),
        passed=visit.passed if over else not visit.passed,
        put_down=tuple(
            WorkedSpan(span.step, _later(span.began_at, at), _later(span.ended_at, at))
            for span in visit.put_down
        ),
    )


def _later(moment, at):
    return moment if moment is None or moment <= at else moment + LATER
