"""What is a customer told about the stage, the hold and the way of a unit? Plain words, and what is next."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from jobs.domain.attribution import Cause
from jobs.domain.condition import DamageKind, Severity
from jobs.domain.stages import ON_BENCH, EventKind, Stage
from jobs.leadtime.routes import BenchStep
from jobs.selectors import shop
from jobs.selectors.booking_help import WishAnswer, WishVerdict
from jobs.selectors.customer_findings import MarkSeen, ParcelSeen
from jobs.selectors.customer_jobs import JobSeen
from jobs.selectors.timeline import Exchange, TimelineStep
from packing.parcel.outcome import Verdict
from packing.strip.gate import GateAnswer, GateState

S = Stage
LATE_AFTER_DAYS = 5
"""A weekend and three days more: common practice, no published source."""

CARTON_TITLES = {
    Verdict.PASS: gettext_lazy("Yes, this carton will do"),
    Verdict.PASS_WITH_CHANGES: gettext_lazy("Yes, with a change"),
    Verdict.NO: gettext_lazy("No, not this carton"),
}

LINE_WORDS = {
    S.BOOKED: gettext_lazy("Your booking"),
    S.CLEARED: gettext_lazy("Clear to send"),
    S.POSTED: gettext_lazy("On its way to us"),
    S.ARRIVED: gettext_lazy("Arrived"),
    S.INSPECTED: gettext_lazy("Looked at"),
    S.STRIPPED: gettext_lazy("On the bench"),
    S.SIGNED_OFF: gettext_lazy("Rebuilt and signed off"),
    S.SENT_BACK: gettext_lazy("On its way back to you"),
    S.CLOSED: gettext_lazy("Back with you"),
    S.DECLINED: gettext_lazy("We could not take it"),
    S.CANCELLED: gettext_lazy("Cancelled"),
    S.RETURNED_UNREPAIRED: gettext_lazy("Sent back without the repair"),
}

PART_WORDS = {
    S.STRIPPED: gettext_lazy("taken apart on %(day)s"),
    S.CLEANED: gettext_lazy("cleaned on %(day)s"),
    S.MACHINED: gettext_lazy("worn metal made good on %(day)s"),
    S.ASSEMBLED: gettext_lazy("put together on %(day)s"),
    S.TESTED: gettext_lazy("passed the bench test on %(day)s"),
}

NOW_WORDS = {
    S.BOOKED: gettext_lazy(
        "We have your booking and look at it within one working day. Keep the unit with you until we say yes."
    ),
    S.CLEARED: gettext_lazy(
        "We take it. Drain it, let it stand in the air, pack it by your own list, then print the slip and "
        "post it."
    ),
    S.POSTED: gettext_lazy("The parcel is on its way. We write to you on the day it arrives."),
    S.ARRIVED: gettext_lazy("The box is here. Next we unpack it, photograph it and look at what is in it."),
    S.INSPECTED: gettext_lazy("We have looked at it; what we found is below."),
    S.STRIPPED: gettext_lazy("It is on the bench, taken apart."),
    S.CLEANED: gettext_lazy("It is on the bench, cleaned."),
    S.MACHINED: gettext_lazy("It is on the bench, its metal made good."),
    S.ASSEMBLED: gettext_lazy("It is put together."),
    S.TESTED: gettext_lazy("It has passed its bench test."),
    S.SIGNED_OFF: gettext_lazy("It is rebuilt, tested and signed off. Next we pack it for the way back."),
    S.PACKED: gettext_lazy("It is packed. Next it goes to the carrier."),
    S.SENT_BACK: gettext_lazy("It is on its way back to you."),
    S.CLOSED: gettext_lazy(
        "This job is closed. What was found, done and measured stays here, with the photos."
    ),
    S.DECLINED: gettext_lazy("We cannot take this one; the reason is below. Keep the unit with you."),
    S.CANCELLED: gettext_lazy("This booking is cancelled. If the unit is already on its way, ring us."),
    S.RETURNED_UNREPAIRED: gettext_lazy(
        "We are sending it back without the repair. Photograph the box before you open it, and tell us "
        "within 48 hours if anything is wrong."
    ),
}

CLEARED_DRY = gettext_lazy("We take it. Pack it by your own list, then print the slip and post it.")
ANSWER_LATE = gettext_lazy(
    "We have your booking and meant to answer it by %(day)s. We are late, and we regret it. Keep the unit "
    "with you until we say yes, and ring us if it cannot wait."
)
LOOKED_AT = gettext_lazy("We have looked at it.")
END_TITLES = {
    EventKind.DECLINED: gettext_lazy("Why we cannot take it"),
    EventKind.CANCELLED: gettext_lazy("Why it was cancelled"),
}
NEED_ANSWER = gettext_lazy("We need your answer")
ANSWER_FIRST = gettext_lazy("We need your answer; the question is below.")
ANSWER_BOOKED = gettext_lazy(
    "We need your answer before we can say yes; the question is below. Keep the unit with you until then."
)

YES_OR_NO_FIRST = gettext_lazy("We need your yes or no to more work; the request is below.")

NEXT_WORDS = {
    BenchStep.STRIP: gettext_lazy("Next it is taken apart."),
    BenchStep.CLEAN: gettext_lazy("Next it is cleaned."),
    BenchStep.MACHINE: gettext_lazy("Next worn metal is made good where it has to be."),
    BenchStep.ASSEMBLE: gettext_lazy("Next it is put together."),
    BenchStep.TEST: gettext_lazy("Next it goes on the test stand."),
    BenchStep.SIGN_OFF: gettext_lazy("Next a person signs for it."),
    BenchStep.PACK: gettext_lazy("Next we pack it for the way back."),
}

UNDER_WAY_WORDS = {
    BenchStep.STRIP: gettext_lazy("It is being taken apart now."),
    BenchStep.CLEAN: gettext_lazy("It is being cleaned now."),
    BenchStep.MACHINE: gettext_lazy("Worn metal is being made good now."),
    BenchStep.ASSEMBLE: gettext_lazy("It is being put together now."),
    BenchStep.TEST: gettext_lazy("It is on the test stand now."),
}

CAUSE_WORDS = {
    Cause.BEFORE_POSTING.value: gettext_lazy("from before it was posted"),
    Cause.IN_TRANSIT.value: gettext_lazy("from the way here"),
    Cause.IN_TRANSIT_POORLY_PACKED.value: gettext_lazy("from the way here, with too little packing"),
    Cause.AT_THIS_SHOP.value: gettext_lazy("from our own shop"),
    Cause.CANNOT_TELL.value: gettext_lazy("cannot be told"),
}

FROM_THE_WAY = frozenset({Cause.IN_TRANSIT.value, Cause.IN_TRANSIT_POORLY_PACKED.value})

REST_WORDS = {
    "seed": gettext_lazy("Estimated from usual bench hours; we have no history of our own for this yet."),
    "partly_own": gettext_lazy("Estimated partly from our own jobs and partly from usual bench hours."),
    "own_history": gettext_lazy("Worked out from our own jobs."),
}

GATE_WORDS = {
    GateState.NOT_DRAINED: gettext_lazy("First drain it"),
    GateState.AIRING: gettext_lazy("It has to stand in the air"),
    GateState.SMELL_TEST_DUE: gettext_lazy("Smell it on the day you post it"),
    GateState.SMELLS: gettext_lazy("It still smells: not yet"),
    GateState.OPEN: gettext_lazy("It may be posted today"),
}

WISH_WORDS = {
    WishVerdict.FITS: gettext_lazy("That fits today's range."),
    WishVerdict.TIGHT: gettext_lazy("That may or may not work: it lies within today's range, not after it."),
    WishVerdict.TOO_SOON: gettext_lazy("We cannot meet that day as things stand."),
    WishVerdict.UNKNOWN: gettext_lazy(
        "We have no range for this family yet, so we cannot say whether it works."
    ),
    WishVerdict.NOT_NOW: gettext_lazy(
        "We cannot tell a date at the moment, so we cannot say whether it works. You get one with our answer."
    ),
}


@dataclass(frozen=True, slots=True)
class TimelineWords:
    """One line of the timeline as `_timeline.html` draws it."""

    words: str
    state: str
    when: str
    note: str


@dataclass(frozen=True, slots=True)
class EndWords:
    """Why a booking came to nothing, as `_notice.html` draws it."""

    title: str
    words: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class MarkWords:
    """One piece of damage in words, under the number it has on the photo."""

    number: int
    zone: str
    damage: str
    severity: str
    origin: str
    note: str
    lost_photo: bool


def day_words(day: date) -> str:
    """Return a day in words, as everywhere on the site."""
    return date_format(day, "l j F Y")


def mark_words(marks: Iterable[MarkSeen]) -> tuple[MarkWords, ...]:
    """Return the damage in the words of the condition record, numbered."""
    return tuple(_mark(mark, number=number) for number, mark in enumerate(marks, start=1))


def came_on_the_way(marks: Iterable[MarkSeen]) -> bool:
    """Return whether any of the damage seems to come from the way to the shop."""
    return any(mark.origin in FROM_THE_WAY for mark in marks)


def _mark(mark: MarkSeen, *, number: int) -> MarkWords:
    kinds, severities = {kind.value: kind for kind in DamageKind}, {each.value: each for each in Severity}
    kind, severity = kinds.get(mark.damage_kind), severities.get(mark.severity)
    return MarkWords(
        number=number,
        zone=mark.zone,
        damage=kind.label if kind else mark.damage_kind.replace("_", " "),
        severity=f"{mark.severity}. {severity.label}" if severity else str(mark.severity),
        origin=str(CAUSE_WORDS.get(mark.origin, mark.origin)),
        note=mark.note,
        lost_photo=mark.lost_photo,
    )


def timeline_words(steps: Iterable[TimelineStep]) -> tuple[TimelineWords, ...]:
    """Return the timeline in words; the bench line tells its finished parts."""
    return tuple(_line(step) for step in steps)


def now_words(seen: JobSeen, *, today: date, gate: GateAnswer | None) -> str:
    """Return whose turn it is, where the unit stands and what is done with it next, by its own route."""
    if seen.asks_customer and seen.stage is S.BOOKED:
        return str(ANSWER_BOOKED)
    if seen.asks_customer:
        here = LOOKED_AT if seen.stage is S.INSPECTED else NOW_WORDS[seen.stage]
        return f"{ANSWER_FIRST} {here}"
    if seen.extra_work_open:
        return f"{YES_OR_NO_FIRST} {LOOKED_AT if seen.stage is S.INSPECTED else NOW_WORDS[seen.stage]}"
    if seen.stage is S.BOOKED:
        due_on = _answer_due_on(seen)
        if due_on is not None and due_on < today:
            return str(ANSWER_LATE) % {"day": day_words(due_on)}
    return gate.sentence if gate is not None else _stage_words(seen)


def _answer_due_on(seen: JobSeen) -> date | None:
    """Return the working day by which a booking is answered, the first after it was sent or spoken of."""
    sent_on = seen.steps[0].on if seen.steps else None
    last_on = seen.talk[-1].on if seen.talk else sent_on
    return shop.open_day(last_on + timedelta(days=1)) if last_on else None


def end_words(seen: JobSeen) -> EndWords | None:
    """Return why the booking was declined or cancelled, or None where it was not or nobody said why."""
    said = _said_at_the_end(seen)
    if said is None or not said.text:
        return None
    by = f"{said.by_name}, {day_words(said.on)}"
    return EndWords(str(END_TITLES[said.kind]), said.text, (by,))


def talk_words(seen: JobSeen) -> tuple[Exchange, ...]:
    """Return what was asked and answered, but for what the page says at its head."""
    end = _said_at_the_end(seen)
    return tuple(said for said in seen.talk_before if said is not end)


def _said_at_the_end(seen: JobSeen) -> Exchange | None:
    last = seen.talk[-1] if seen.talk else None
    return last if last and last.kind in END_TITLES and seen.stage in {S.DECLINED, S.CANCELLED} else None


def turn_words(stage: Stage, *, needs_answer: bool) -> str:
    """Return what is said in place of the stage, or "": a booking asked about does not wait for the shop."""
    return str(NEED_ANSWER) if needs_answer and stage is S.BOOKED else ""


def _stage_words(seen: JobSeen) -> str:
    if seen.stage is S.CLEARED and not seen.needs_draining:
        return str(CLEARED_DRY)
    here, step = str(NOW_WORDS[seen.stage]), seen.next_step
    if seen.state.test_failed_at is not None and seen.stage in ON_BENCH:
        if step is not BenchStep.TEST:
            return _(
                "It did not pass its bench test. Next we put right what the test showed; then it is put "
                "together and tested again."
            )
        here = _("It did not pass its bench test and was put together again.")
    if step is None:
        return here
    at_work = seen.state.working_step == step.value and seen.hold is None
    words = UNDER_WAY_WORDS.get(step) if at_work else None
    return f"{here} {words or NEXT_WORDS[step]}"


def late_words(parcel: ParcelSeen | None, *, today: date) -> str:
    """Return what to do about a parcel that should have been here for days, or ""."""
    if parcel is None or (today - parcel.on).days <= parcel.days_most + LATE_AFTER_DAYS:
        return ""
    told = {
        "days": (today - parcel.on).days,
        "most": parcel.days_most,
        "carrier": parcel.carrier or _("the carrier"),
        "number": parcel.tracking_number,
    }
    late = _("It has been on its way for %(days)d days; %(most)d at the most are usual.") % told
    if parcel.tracking_number:
        ask = _("Ask %(carrier)s with the number %(number)s where it is, and tell us what they say.") % told
    else:
        ask = _("Ask %(carrier)s with your receipt where it is, and tell us what they say.") % told
    return f"{late} {ask}"


def wish_words(answer: WishAnswer) -> str:
    """Return the honest answer to a wished date, in one or two sentences."""
    words = str(WISH_WORDS[answer.verdict])
    if answer.home_earliest_on is None or answer.home_latest_on is None:
        return words
    if answer.airs:
        until = _("our yes, draining and airing, packing and the post")
    else:
        until = _("our yes, packing and the post")
    home = _(
        "It would be home between %(first)s and %(last)s: about %(there)d days until your box is here "
        "(%(until)s), then the bench as the queue stands, and about %(back)d days for the post home."
    ) % {
        "first": day_words(answer.home_earliest_on),
        "last": day_words(answer.home_latest_on),
        "there": answer.there_days,
        "until": until,
        "back": answer.back_days,
    }
    return f"{words} {home}"


def _line(step: TimelineStep) -> TimelineWords:
    parts = [str(PART_WORDS[stage]) % {"day": day_words(day)} for stage, day in step.parts]
    if step.failed_on is not None:
        # What stands after it was done again.
        again = sum(stage is S.ASSEMBLED for stage, _day in step.parts)
        failed = _("did not pass the bench test on %(day)s") % {"day": day_words(step.failed_on)}
        parts.insert(len(parts) - again, failed)
    note = ", ".join(parts)
    return TimelineWords(
        words=str(LINE_WORDS[step.line]),
        state=step.state,
        when=day_words(step.on) if step.on and not parts else "",
        note=f"{note[:1].upper()}{note[1:]}." if note else "",
    )
