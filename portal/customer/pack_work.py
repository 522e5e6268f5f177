"""What is there to do before posting: the frozen list and plan, the gate, the ticks, and how far it is?"""

from dataclasses import dataclass
from datetime import datetime

from jobs.models import Job
from jobs.selectors import parcels
from jobs.selectors.customer_jobs import JobSeen
from packing.parcel.outcome import ParcelPlan
from packing.parcel.reader import told_in
from packing.quantities import UnitChoice
from packing.strip.gate import GateAnswer
from packing.strip.strip_list import StripList
from portal.customer.pack_progress import PackProgress, pack_progress
from portal.customer.pack_steps import StepGroup, TickStep, draining_groups, pack_steps, strip_groups


@dataclass(frozen=True, slots=True)
class PackWork:
    """The work before posting, part by part."""

    listed: StripList
    plan: ParcelPlan | None
    gate: GateAnswer
    groups: tuple[StepGroup, ...]
    draining: tuple[StepGroup, ...]
    packing: tuple[TickStep, ...]
    progress: PackProgress

    @property
    def step_keys(self) -> frozenset[str]:
        """The keys of all steps that are ticked on the page."""
        steps = (*(step for group in (*self.groups, *self.draining) for step in group.steps), *self.packing)
        return frozenset(step.key for step in steps)


def pack_work(job: Job, *, seen: JobSeen, units: str, now: datetime) -> PackWork | None:
    """Return the work as it stands, in the reader's units; None before the shop's yes, without a list."""
    listed = parcels.strip_list(job)
    if listed is None:
        return None
    ticked, kept = parcels.ticked_steps(job), parcels.plan_in(job)
    plan = told_in(kept, choice=UnitChoice(units)) if kept else None
    gate = parcels.gate_for(job, state=seen.state, now=now)
    groups, draining = (build(listed, ticked=ticked) for build in (strip_groups, draining_groups))
    packing = pack_steps(plan, listed=listed, ticked=ticked)
    drained = seen.state.drained_at is not None and seen.needs_draining
    progress = pack_progress(groups, packing, draining=draining, gate=gate.state, drained=drained)
    return PackWork(
        listed=listed,
        plan=plan,
        gate=gate,
        groups=groups,
        draining=draining,
        packing=packing,
        progress=progress,
    )
