"""What does the counter expect: parcels on the way, boxes without a name, bookings, smells, holds."""

from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from uuid import UUID

from jobs.domain.facts import Arrived, BoxRecorded, Held, load_facts
from jobs.domain.questions import TOLD_OF_QUESTIONS
from jobs.domain.staff_words import hold_for_staff
from jobs.domain.stages import HOLD_LABELS, EventKind, HoldKind, Stage
from jobs.leadtime.words import date_in_words
from jobs.models import ExtraWork, Job, JobEvent
from jobs.selectors import shop
from jobs.selectors.listing import as_lines
from jobs.selectors.taken_back import taken_back
from jobs.selectors.unit_names import name_unit
from packing import selectors as catalogue
from packing.selectors import Catalogue

E = EventKind
CLEARED_LATE = timedelta(days=21)
POST_DAYS_UNKNOWN = 5
ASKED_WORDS = HOLD_LABELS[HoldKind.ANSWER]
SMELL_STAGES = (Stage.ARRIVED.value, Stage.INSPECTED.value)


@dataclass(frozen=True, slots=True)
class CounterLine:
    """One job in a list at the counter, and the sentence that says why it stands there."""

    number: str
    unit_words: str
    customer_name: str
    stage: Stage
    since: datetime
    words: str = ""
    tracking_number: str = ""
    is_late: bool = False
    smells: bool = False
    stage_words: str = ""
    next_words: str = ""


@dataclass(frozen=True, slots=True)
class CounterLists:
    """Everything the counter's page shows under the scan field."""

    posted: tuple[CounterLine, ...]
    cleared_late: tuple[CounterLine, ...]
    nameless: tuple[CounterLine, ...]
    bookings: tuple[CounterLine, ...]
    asked: tuple[CounterLine, ...]
    smells: tuple[CounterLine, ...]
    holds_to_check: tuple[CounterLine, ...]
    to_inspect: tuple[CounterLine, ...]


def box_recorded_as(key: UUID) -> str:
    """Return the job number under which the record with this key was made, or nothing."""
    return Job.objects.filter(submission_key=key).values_list("number", flat=True).first() or ""


def counter_lists(*, now: datetime) -> CounterLists:
    """Return the lists of the counter, in a constant number of queries."""
    wanted = [Stage.BOOKED, Stage.CLEARED, Stage.POSTED, Stage.ARRIVED, Stage.INSPECTED]
    rows = list(
        as_lines(Job.objects.filter(stage__in=[stage.value for stage in wanted])).order_by(
            "stage_since", "pk"
        )
    )
    on_hold = Job.objects.filter(hold__in=[kind.value for kind in HoldKind])
    held = list(as_lines(on_hold).order_by("hold_since", "pk"))
    published = catalogue.catalogue()
    latest = _latest_facts([*rows, *held])
    days = _days_on_the_road(published)
    by_stage: dict[Stage, list[Job]] = defaultdict(list)
    for job in rows:
        by_stage[Stage(job.stage)].append(job)
    arrived = by_stage[Stage.ARRIVED]
    booked = _bookings(by_stage[Stage.BOOKED], latest=latest, published=published)
    smells = [job for job in rows if job.stage in SMELL_STAGES and _smells(latest[job.pk])]
    outdoors = {job.pk for job in smells}

    def lined(jobs: Iterable[Job], say: Callable[[Job], str]) -> tuple[CounterLine, ...]:
        rows = ((job, _line(job, published=published, words=say(job))) for job in jobs)
        return tuple(replace(line, smells=job.pk in outdoors) for job, line in rows)

    return CounterLists(
        posted=tuple(_posted(job, published=published, days=days, now=now) for job in by_stage[Stage.POSTED]),
        cleared_late=tuple(
            _line(job, published=published, words="Cleared, but nothing has been posted.")
            for job in by_stage[Stage.CLEARED]
            if now - job.stage_since > CLEARED_LATE
        ),
        nameless=lined(
            (job for job in arrived if job.customer_id is None), lambda job: _sender(latest[job.pk])
        ),
        bookings=booked.to_answer,
        asked=booked.asked,
        smells=tuple(
            _line(job, published=published, words="Smells of fuel: it stays outdoors until nobody smells it.")
            for job in smells
        ),
        holds_to_check=tuple(_holds(held, latest=latest, published=published, now=now)),
        to_inspect=lined(
            (job for job in arrived if job.customer_id is not None), lambda job: "Opened, not inspected yet."
        ),
    )


@dataclass(frozen=True, slots=True)
class Bookings:
    """The bookings that wait for the shop's answer, and those that wait for the customer's."""

    to_answer: tuple[CounterLine, ...]
    asked: tuple[CounterLine, ...]


def open_bookings() -> Bookings:
    """Return the bookings that have no yes or no yet, the oldest first."""
    rows = list(as_lines(Job.objects.filter(stage=Stage.BOOKED.value)).order_by("booked_at"))
    return _bookings(rows, latest=_latest_facts(rows), published=catalogue.catalogue())


def _bookings(
    rows: list[Job], *, latest: dict[int, dict[EventKind, JobEvent]], published: Catalogue
) -> Bookings:
    to_answer, asked = [], []
    for job in rows:
        question = _open_question(latest[job.pk])
        if question is None:
            was_asked = E.QUESTION_ASKED in latest[job.pk]
            words = "Your question was answered." if was_asked else ""
            to_answer.append(_line(job, published=published, words=words))
        else:
            text = load_facts(E.QUESTION_ASKED, stored=question.facts).text
            line = _line(job, published=published, words=f"Waits for the customer's answer to “{text}”.")
            asked.append(replace(line, since=question.happened_at, stage_words=ASKED_WORDS))
    return Bookings(tuple(to_answer), tuple(asked))


def _latest_facts(jobs: list[Job]) -> dict[int, dict[EventKind, JobEvent]]:
    """Return the newest event of each kind that the lists speak of and that counts, per job, in one query."""
    kinds = TOLD_OF_QUESTIONS | {E.ARRIVED, E.BOX_RECORDED, E.HELD}
    found: dict[int, dict[EventKind, JobEvent]] = defaultdict(dict)
    holds = {job.pk: job.hold for job in jobs}
    told = JobEvent.objects.filter(~taken_back(), job__in=holds, kind__in=[kind.value for kind in kinds])
    for row in told.order_by("job_id", "number"):
        if row.kind == E.HELD and load_facts(E.HELD, stored=row.facts).hold != holds[row.job_id]:
            continue  # it stood before the hold that stands now
        found[row.job_id][EventKind(row.kind)] = row
    return found


def _smells(latest: dict[EventKind, JobEvent]) -> bool:
    row = latest.get(E.ARRIVED) or latest.get(E.BOX_RECORDED)
    return bool(row and load_facts(EventKind(row.kind), stored=row.facts).smells_of_fuel)


def _sender(latest: dict[EventKind, JobEvent]) -> str:
    row = latest.get(E.BOX_RECORDED)
    if row is None:
        return ""
    facts: BoxRecorded | Arrived = load_facts(E.BOX_RECORDED, stored=row.facts)
    sender = facts.sender_on_box if isinstance(facts, BoxRecorded) else ""
    return f"On the box: {sender}." if sender else "No sender on the box."


def _open_question(latest: dict[EventKind, JobEvent]) -> JobEvent | None:
    """Return the question that the customer has not answered yet, or None."""
    told = [row for kind, row in latest.items() if kind in TOLD_OF_QUESTIONS]
    last = max(told, key=lambda row: row.number, default=None)
    return last if last is not None and last.kind == E.QUESTION_ASKED else None


def _holds(
    held: list[Job], *, latest: dict[int, dict[EventKind, JobEvent]], published: Catalogue, now: datetime
) -> list[CounterLine]:
    """Return the held jobs whose reason may have ended: answered, decided, or past the expected day."""
    open_work = set(ExtraWork.objects.filter(job__in=held, decision="").values_list("job_id", flat=True))
    today = now.astimezone(shop.zone()).date()
    lines = []
    for job in held:
        words = _why_it_may_end(job, latest=latest[job.pk], waits_for_yes=job.pk in open_work, today=today)
        if words:
            lines.append(_line(job, published=published, words=words))
    return lines


def _why_it_may_end(job: Job, *, latest: dict[EventKind, JobEvent], waits_for_yes: bool, today: date) -> str:
    row = latest.get(E.HELD)
    facts: Held | None = load_facts(E.HELD, stored=row.facts) if row else None
    reason = hold_for_staff(job.hold_reason, hold=HoldKind(job.hold))
    waits_for_answer = waits_for_yes or _open_question(latest) is not None
    if job.hold == HoldKind.ANSWER.value and not waits_for_answer:
        return f"Nothing is open with the customer any more. It was held for: {reason}"
    if facts is not None and facts.expected_on is not None and facts.expected_on <= today:
        day = date_in_words(facts.expected_on, today=today)
        return f"Expected by {day}: {reason}"
    return ""


def _posted(job: Job, *, published: Catalogue, days: int, now: datetime) -> CounterLine:
    late = now - job.stage_since > timedelta(days=days)
    words = f"Longer on the way than the carrier's {days} days: ask the customer." if late else ""
    return _line(job, published=published, words=words, is_late=late)


def _days_on_the_road(published: Catalogue) -> int:
    carrier = published.carriers.get(shop.identity().carrier_in)
    return carrier.days_most if carrier else POST_DAYS_UNKNOWN


def _line(job: Job, *, published: Catalogue, words: str, is_late: bool = False) -> CounterLine:
    return CounterLine(
        number=job.number,
        unit_words=name_unit(job, published=published),
        customer_name=job.customer.name if job.customer else "",
        stage=Stage(job.stage),
        since=job.stage_since,
        words=words,
        tracking_number=job.tracking_in,
        is_late=is_late,
    )
