"""What the owner might change in the shop, each as a function from one shop state to another."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from jobs.domain.job_number import DIGITS, show
from jobs.leadtime.clock import Closure, hours_per_week
from jobs.leadtime.errors import ChangeRefused
from jobs.leadtime.routes import Absence, Batch, Person, WorkCentre
from jobs.leadtime.state import LiveJob, Priority, ShopState


@dataclass(frozen=True, slots=True)
class Benches:
    """So many benches more, or fewer if negative, at a work centre."""

    work_centre: str
    more: int


@dataclass(frozen=True, slots=True)
class OnePersonMore:
    """Somebody who can do everything that a present person can."""

    like: str


@dataclass(frozen=True, slots=True)
class OnePersonFewer:
    """Somebody is gone for good."""

    person: str


@dataclass(frozen=True, slots=True)
class PersonAway:
    """Somebody is away on these days, both counted."""

    person: str
    first: date
    last: date

    def __post_init__(self) -> None:
        Absence(self.first, self.last)


@dataclass(frozen=True, slots=True)
class ClosedWeek:
    """The shop is shut in the week of this Monday."""

    monday: date


@dataclass(frozen=True, slots=True)
class IntakePaused:
    """No unit is taken in on these days, both counted, but for those announced, which may still come."""

    first: date
    last: date

    def __post_init__(self) -> None:
        if self.last < self.first:
            raise ValueError("the pause ends before it begins; swap the dates.")


@dataclass(frozen=True, slots=True)
class IntakeCapped:
    """At most so many units are taken in a calendar week, the announced ones of the week counted first."""

    most_per_week: int

    def __post_init__(self) -> None:
        if self.most_per_week < 0:
            raise ValueError("most_per_week has to be 0 or more.")


@dataclass(frozen=True, slots=True)
class JobFirst:
    """A job goes in front of all ordinary ones."""

    job_number: str


@dataclass(frozen=True, slots=True)
class RunsPerWeek:
    """A batch centre starts a run at least so often in a week, however few wait; two is twice a week."""

    work_centre: str
    runs: int


ChangeOfPeople = OnePersonMore | OnePersonFewer | PersonAway
Change = Benches | ChangeOfPeople | ClosedWeek | IntakePaused | IntakeCapped | JobFirst | RunsPerWeek


def apply_changes(state: ShopState, *, changes: Sequence[Change]) -> ShopState:
    """Return the state with all changes made, in their order.

    Raises: ChangeRefused where a change names what is not there, or leaves a centre without bench or people.
    """
    for change in changes:
        state = apply_change(state, change=change)
    return state


def apply_change(state: ShopState, *, change: Change) -> ShopState:
    """Return the state with one change made.

    Raises: as `apply_changes`.
    """
    match change:
        case Benches(slug, more):
            return _add_benches(state, slug, more)
        case OnePersonMore() | OnePersonFewer() | PersonAway():
            return _change_people(state, change)
        case ClosedWeek(monday):
            closure = Closure(monday, monday + timedelta(days=6), "closed week")
            hours = state.working_hours
            return replace(state, working_hours=replace(hours, closures=(*hours.closures, closure)))
        case IntakePaused(first, last):
            return replace(state, intake_pauses=(*state.intake_pauses, Closure(first, last)))
        case IntakeCapped(most):
            return replace(state, intake_most_per_week=most)
        case JobFirst(number):
            return _put_first(state, number)
        case RunsPerWeek(slug, runs):
            return _run_more_often(state, slug, runs)


def describe_change(change: Change, *, state: ShopState) -> str:
    """Return the change in a few plain words.

    Raises: ChangeRefused where it names what is not there.
    """
    match change:
        case Benches(slug, more):
            noun = "bench" if abs(more) == 1 else "benches"
            words = f"{abs(more)} {noun} {'more' if more > 0 else 'fewer'}"
            return f"{words} at {_find_centre(state, slug).name}"
        case OnePersonMore() | OnePersonFewer() | PersonAway():
            return _describe_people(state, change)
        case ClosedWeek(monday):
            return f"closed in the week of {monday.day} {monday:%B}"
        case IntakePaused(first, last):
            return f"no intake from {first.day} {first:%B} to {last.day} {last:%B} but of announced units"
        case IntakeCapped(most):
            return f"at most {most} units taken in a week"
        case JobFirst(number):
            return f"job {_show_number(number)} first"
        case RunsPerWeek(slug, runs):
            often = "once" if runs == 1 else f"{runs} times"
            return f"{_find_centre(state, slug).name} at least {often} a week"


def _describe_people(state: ShopState, change: ChangeOfPeople) -> str:
    match change:
        case OnePersonMore(like):
            return f"one more person who does what {_find_person(state, like).name} does"
        case OnePersonFewer(slug):
            return f"without {_find_person(state, slug).name}"
        case PersonAway(slug, first, last):
            name = _find_person(state, slug).name
            return f"{name} away from {first.day} {first:%B} to {last.day} {last:%B}"


def _show_number(number: str) -> str:
    return show(number) if len(number) == DIGITS and number.isdigit() else number


def _find_centre(state: ShopState, slug: str) -> WorkCentre:
    for centre in state.centres:
        if centre.slug == slug:
            return centre
    raise ChangeRefused(f"There is no work centre “{slug}”: choose one of the shop's.")


def _find_person(state: ShopState, slug: str) -> Person:
    for person in state.people:
        if person.slug == slug:
            return person
    raise ChangeRefused(f"There is nobody called “{slug}” in the shop: choose one of its people.")


def _swap(state: ShopState, centre: WorkCentre) -> ShopState:
    return replace(
        state, centres=tuple(centre if other.slug == centre.slug else other for other in state.centres)
    )


def _add_benches(state: ShopState, slug: str, more: int) -> ShopState:
    centre = _find_centre(state, slug)
    if centre.benches + more < 1:
        raise ChangeRefused(f"“{centre.name}” would have no bench left: keep at least one.")
    return _swap(state, replace(centre, benches=centre.benches + more))


def _change_people(state: ShopState, change: ChangeOfPeople) -> ShopState:
    match change:
        case OnePersonMore(like):
            return _add_person(state, like)
        case OnePersonFewer(slug):
            return _remove_person(state, slug)
        case PersonAway(slug, first, last):
            return _send_away(state, slug, Absence(first, last))


def _add_person(state: ShopState, like: str) -> ShopState:
    model = _find_person(state, like)
    slug, number = f"{like}_2", 2
    while any(person.slug == slug for person in state.people):
        number += 1
        slug = f"{like}_{number}"
    newcomer = replace(model, slug=slug, name=f"{model.name} ({number})")
    centres = tuple(
        replace(centre, people=(*centre.people, slug)) if like in centre.people else centre
        for centre in state.centres
    )
    return replace(state, people=(*state.people, newcomer), centres=centres)


def _remove_person(state: ShopState, slug: str) -> ShopState:
    person = _find_person(state, slug)
    centres = []
    for centre in state.centres:
        left = tuple(name for name in centre.people if name != slug)
        if centre.people and not left:
            raise ChangeRefused(
                f"Nobody would be left at “{centre.name}” without {person.name}: name somebody else there."
            )
        centres.append(replace(centre, people=left))
    people = tuple(other for other in state.people if other.slug != slug)
    return replace(state, people=people, centres=tuple(centres))


def _send_away(state: ShopState, slug: str, absence: Absence) -> ShopState:
    person = _find_person(state, slug)
    away = replace(person, absences=(*person.absences, absence))
    return replace(state, people=tuple(away if other is person else other for other in state.people))


def _put_first(state: ShopState, number: str) -> ShopState:
    def lift(job: LiveJob) -> LiveJob:
        return replace(job, priority=Priority.URGENT) if job.job_number == number else job

    if all(job.job_number != number for job in state.jobs):
        raise ChangeRefused(f"Job {number} is not in the shop: choose one that is.")
    return replace(state, jobs=tuple(lift(job) for job in state.jobs))


def _run_more_often(state: ShopState, slug: str, runs: int) -> ShopState:
    centre = _find_centre(state, slug)
    if centre.batch is None:
        raise ChangeRefused(f"“{centre.name}” does not work in runs: choose a centre that does.")
    if runs < 1:
        raise ChangeRefused("A centre that works in runs needs at least one a week.")
    longest_h = hours_per_week(state.working_hours) / runs
    batch = Batch(centre.batch.least_jobs, centre.batch.most_jobs, longest_h)
    return _swap(state, replace(centre, batch=batch))
