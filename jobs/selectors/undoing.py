"""May the last step of a job be taken back, and if not, why not?"""

from jobs.domain.replay import LogEntry, replay
from jobs.domain.stages import ON_BENCH, EventKind
from jobs.domain.undoing import last_undoable, state_without_last_step
from jobs.models import Job
from jobs.selectors.box_match import is_photographed_since

NO_STEP = "There is no step on this job that can be taken back now. Add a note instead."
PHOTOGRAPHED = (
    "Photos were added since this box was matched, and they would stand under the wrong number. "
    "Add a note instead."
)
UNDECIDED = (
    "The customer has not said yes or no to the extra work, and without this step nothing would wait for it. "
    "Record their answer first."
)


def step_to_take_back(job: Job, *, entries: tuple[LogEntry, ...]) -> LogEntry | None:
    """Return the step that the page of this job may offer to take back, if there is one."""
    last = last_undoable(entries)
    if last is None or last.kind is EventKind.MERGED or why_it_stays(job, entries=entries):
        return None
    return last


def why_it_stays(job: Job, *, entries: tuple[LogEntry, ...]) -> str:
    """Return why the last step may not be taken back, or nothing."""
    last = last_undoable(entries)
    if last is None:
        return NO_STEP
    if last.kind is EventKind.MATCHED and is_photographed_since(job, matched=last):
        return PHOTOGRAPHED
    if not job.extra_work.filter(decision="").exists():
        return ""
    now, then = replay(entries), state_without_last_step(entries)
    would_go_on = now.stopped_by is not None and then.stopped_by is None
    return UNDECIDED if would_go_on or (now.stage in ON_BENCH and then.stage not in ON_BENCH) else ""
