"""What stands on the job card that travels with the unit through the shop, on paper."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from jobs.domain.booking import FLAG_LABELS, UnitFlag
from jobs.domain.facts import Inspected, load_facts
from jobs.domain.replay import STEP_OF_EVENT, LogEntry, standing_events
from jobs.domain.stages import EventKind
from jobs.leadtime.errors import NoRoute
from jobs.leadtime.routes import route_for
from jobs.models import Job
from jobs.selectors import shop
from jobs.selectors.parcels import strip_list
from jobs.selectors.queue import STEP_WORDS
from packing import selectors as catalogue
from packing.catalogue.schema import StripAction


@dataclass(frozen=True, slots=True)
class CardStep:
    """One row of the stage table; `by_name` and `on` where the log has the step already."""

    words: str
    centre: str
    may_be_left_out: bool
    is_done: bool
    by_name: str = ""
    on: date | None = None


@dataclass(frozen=True, slots=True)
class JobCard:
    """The job card."""

    symptoms: tuple[str, ...]
    flags: tuple[str, ...]
    cautions: tuple[str, ...]
    parts_found: tuple[str, ...]
    parts_missing: tuple[str, ...]
    left_on: tuple[str, ...]
    steps: tuple[CardStep, ...]

    @property
    def has_done(self) -> bool:
        """Whether any step is finished, so that who and when can be told."""
        return any(step.is_done for step in self.steps)


def job_card(job: Job, *, entries: Sequence[LogEntry], done_steps: tuple[str, ...]) -> JobCard:
    """Return the job card as things stand now."""
    family = catalogue.catalogue().families.get(job.family)
    names = {symptom.slug: symptom.label for symptom in (family.symptoms if family else ())}
    listed = strip_list(job)
    found = _inspected(entries)
    return JobCard(
        symptoms=tuple(names.get(slug, slug.replace("_", " ")) for slug in job.symptoms),
        flags=tuple(FLAG_LABELS[UnitFlag(flag)] for flag in job.flags if flag in set(UnitFlag)),
        cautions=_cautions(job, magnetised=bool(family and family.magnetised)),
        parts_found=found.contents_found if found else (),
        parts_missing=found.contents_missing if found else (),
        left_on=tuple(item.part for item in listed.only(StripAction.LEAVE_ON)) if listed else (),
        steps=_steps(job, entries=entries, done_steps=done_steps),
    )


def _inspected(entries: Sequence[LogEntry]) -> Inspected | None:
    kind = EventKind.INSPECTED
    entry = next((each for each in reversed(standing_events(entries)) if each.kind is kind), None)
    facts: Inspected | None = load_facts(kind, stored=entry.facts) if entry else None
    return facts


def _cautions(job: Job, *, magnetised: bool) -> tuple[str, ...]:
    said = []
    if job.worst_severity == 5:
        said.append("A hazard was found on arrival: read the condition record before touching it.")
    if magnetised:
        said.append("Magnets: leave the rotor in, put a keeper across the poles if it has to come out.")
    said.append("Old gaskets may hold asbestos: never scrape or sand them dry.")
    return tuple(said)


def _steps(job: Job, *, entries: Sequence[LogEntry], done_steps: tuple[str, ...]) -> tuple[CardStep, ...]:
    try:
        route = route_for(shop.routes(), family=job.family)
    except NoRoute:
        return ()
    last = {
        STEP_OF_EVENT[entry.kind]: entry for entry in standing_events(entries) if entry.kind in STEP_OF_EVENT
    }
    zone = shop.zone()
    centres = {centre.slug: centre.name for centre in shop.work_centres()}
    rows = []
    for planned in route.steps:
        entry = last.get(planned.step.value) if planned.step.value in done_steps else None
        rows.append(
            CardStep(
                words=STEP_WORDS[planned.step],
                centre=centres.get(planned.work_centre, planned.work_centre),
                may_be_left_out=planned.needed_share < 1.0,
                is_done=entry is not None,
                by_name=entry.actor_name if entry else "",
                on=entry.happened_at.astimezone(zone).date() if entry else None,
            )
        )
    return tuple(rows)
