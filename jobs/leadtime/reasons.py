"""Where a job's lead time goes.

The passage of a job is cut into queueing, bench work and waits. The parts are means over the replications
and add up to the mean lead time exactly, so no reason is invented and none is lost.
"""

from collections.abc import Sequence

import numpy as np

from jobs.domain.stages import HoldKind
from jobs.leadtime.floor import Array, Passage
from jobs.leadtime.ranges import Reason, ReasonKind
from jobs.leadtime.routes import WorkCentre
from jobs.leadtime.scene import PlannedVisit
from jobs.leadtime.words import working_days_in_words

LEAST_SHOWN_DAYS = 0.05
LEAST_AWAY_HOURS = 1e-6
KIND_OF_HOLD = {
    HoldKind.ANSWER: ReasonKind.ANSWER,
    HoldKind.PARTS: ReasonKind.PARTS,
    HoldKind.OUTSIDE: ReasonKind.OUTSIDE,
    HoldKind.PAYMENT: ReasonKind.PAYMENT,
}
SENTENCES = {
    ReasonKind.QUEUE: "Queue at the {centre}: {days}.",
    ReasonKind.BATCH: "Filling a run of the {centre}: {days}.",
    ReasonKind.WORK: "Work at the bench: {days}.",
    ReasonKind.AWAY: "Begun, and waiting for whoever is away: {days}.",
    ReasonKind.ANSWER: "Your answer, if we have to ask: {days}.",
    ReasonKind.PARTS: "Waiting for parts: {days}.",
    ReasonKind.OUTSIDE: "With an outside trade: {days}.",
    ReasonKind.PAYMENT: "Waiting for payment: {days}.",
    ReasonKind.ARRIVAL: "On its way to us: {days}.",
    ReasonKind.EXTRA: "Extra work that was agreed: {days}.",
}
SHARED_QUEUE = "Queue at the {centre}, whose people work at other benches too: {days}."
Part = tuple[ReasonKind, str]


def account(
    visits: Sequence[PlannedVisit],
    *,
    passage: Passage,
    service_hours: Array,
    job: int,
    before: ReasonKind,
    centres: Sequence[WorkCentre],
) -> dict[Part, float]:
    """Return mean working hours per (kind, work centre) over the replications in which the job is finished.

    `service_hours` (replication, job, visit) are those that were drawn: a visit that takes longer, but for
    a run of several units, lies while whoever began it is away. `before` names what the time up to the first
    queue is spent on. The values sum to the mean finish hour.
    """
    finish = passage.finish_hours[:, job]
    present = np.isfinite(finish)
    parts: dict[Part, float] = {}
    if not present.any():
        return parts

    def add(kind: ReasonKind, centre: str, hours: Array) -> None:
        mean = float(np.nan_to_num(hours).mean())
        if mean != 0.0:
            parts[kind, centre] = parts.get((kind, centre), 0.0) + mean

    next_ready = finish[present]
    for at in range(len(visits) - 1, -1, -1):
        ready = np.maximum(passage.ready_hours[present, job, at], 0.0)
        start = passage.start_hours[present, job, at]
        end = passage.end_hours[present, job, at]
        for kind, share in _split_waits(visits[at]):
            add(kind, "", share * (next_ready - end))
        centre = centres[visits[at].station]
        away = np.zeros_like(start)
        if centre.batch is None:
            away = np.nan_to_num(end - start - service_hours[present, job, at])
            away[away < LEAST_AWAY_HOURS] = 0.0
        add(ReasonKind.WORK, "", end - start - away)
        add(ReasonKind.AWAY, "", away)
        add(ReasonKind.QUEUE if centre.batch is None else ReasonKind.BATCH, centre.slug, start - ready)
        next_ready = np.where(np.isnan(ready), next_ready, ready)
    add(before, "", next_ready)
    return parts


def _split_waits(visit: PlannedVisit) -> list[tuple[ReasonKind, float]]:
    """Return the kinds of wait after a visit with their shares of it, by expected length."""
    expected = [(KIND_OF_HOLD[wait.kind], wait.needed_share * fit.median) for wait, fit in visit.waits]
    total = sum(days for _, days in expected)
    return [(kind, days / total) for kind, days in expected]


def rank_reasons(
    parts: dict[Part, float], *, centres: Sequence[WorkCentre], day_hours: float
) -> tuple[Reason, ...]:
    """Return the parts as reasons in working days, the longest first."""
    names = {centre.slug: centre.name for centre in centres}
    shared = {centre.slug for centre in centres if _is_shared(centre, centres=centres)}
    ranked = sorted(parts.items(), key=lambda item: (-item[1], item[0]))
    return tuple(
        Reason(
            kind,
            round(hours / day_hours, 3),
            (SHARED_QUEUE if kind is ReasonKind.QUEUE and centre in shared else SENTENCES[kind]).format(
                centre=_lower_first(names.get(centre, "")), days=working_days_in_words(hours / day_hours)
            ),
            centre,
        )
        for (kind, centre), hours in ranked
        if hours / day_hours >= LEAST_SHOWN_DAYS
    )


def _is_shared(centre: WorkCentre, *, centres: Sequence[WorkCentre]) -> bool:
    """Whether everybody who works there works elsewhere too, so that units wait beside an idle bench."""
    elsewhere = {person for other in centres if other.slug != centre.slug for person in other.people}
    return bool(centre.people) and elsewhere.issuperset(centre.people)


def _lower_first(name: str) -> str:
    return name[:1].lower() + name[1:]
