"""How are the events of the lifecycle asked for on a button, and where does each of them lead?"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.urls import reverse
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext

from jobs.domain.claims import ClaimClock
from jobs.domain.condition import CartonState, PackingFound
from jobs.domain.replay import standing_events
from jobs.domain.staff_words import hold_for_staff
from jobs.domain.stages import HOLD_LABELS, TURN_LABELS, EventKind, HoldKind, Stage, Turn
from jobs.leadtime.routes import BenchStep
from jobs.selectors.bench import JobAtBench
from jobs.selectors.log_words import label_of
from jobs.selectors.queue import STEP_WORDS
from jobs.selectors.receiving import ArrivalSeen
from portal.templatetags.portal_format import day, moment

E = EventKind
CLOCKS_SHOWN = 4


WORK, CUSTOMER, RARE = _("Work"), _("Customer"), _("Exceptional")


@dataclass(frozen=True, slots=True)
class Entry:
    """A link to one entry on a job: its words and its address."""

    words: str
    url: str
    stops: bool = False
    group: object = WORK


BUTTON_WORDS: dict[EventKind, object] = {
    E.CLEARED: _("Answer this booking"),
    E.DECLINED: _("Decline it"),
    E.CANCELLED: _("Cancel it"),
    E.QUESTION_ANSWERED: _("The customer answered by phone"),
    E.QUESTION_ASKED: _("Ask the customer"),
    E.ARRIVED: _("Receive this box"),
    E.MATCHED: _("Find its booking"),
    E.INSPECTED: _("Inspect the unit"),
    E.WORK_STARTED: _("Start"),
    E.WORK_PAUSED: _("Put it down"),
    E.TEST_FAILED: _("The test failed"),
    E.SIGNED_OFF: _("Sign off"),
    E.FINDING_RECORDED: _("Record a finding"),
    E.EXTRA_WORK_ASKED: _("Ask for extra work"),
    E.EXTRA_WORK_APPROVED: _("Record the customer's yes or no (by phone)"),
    E.PART_USED: _("Enter a part used"),
    E.SETTINGS_RECORDED: _("Settings as found and as left"),
    E.READINGS_RECORDED: _("Enter test readings"),
    E.HELD: _("Put it on hold"),
    E.RELEASED: _("End the hold"),
    E.BENCH_FLUID_CHECKED: _("Check for bench fluid"),
    E.PACKED: _("Pack it"),
    E.SENT_BACK: _("Send it back"),
    E.RETURNED_UNREPAIRED: _("Return it unrepaired"),
    E.CLOSED: _("Close the job"),
    E.LINKS_RENEWED: _("Close the customer's links"),
    E.NOTE_ADDED: _("Add a note"),
    E.CORRECTED: _("Take back the last step"),
}
ROUTES: dict[EventKind, str] = {
    E.CLEARED: "answer",
    E.DECLINED: "decline",
    E.CANCELLED: "cancel",
    E.QUESTION_ANSWERED: "spoken",
    E.QUESTION_ASKED: "question",
    E.ARRIVED: "receive",
    E.MATCHED: "match",
    E.INSPECTED: "inspect",
    E.WORK_STARTED: "start",
    E.WORK_PAUSED: "pause",
    E.TEST_FAILED: "fail_test",
    E.SIGNED_OFF: "sign_off",
    E.FINDING_RECORDED: "finding",
    E.EXTRA_WORK_ASKED: "extra_work",
    E.PART_USED: "part",
    E.SETTINGS_RECORDED: "settings",
    E.READINGS_RECORDED: "readings",
    E.HELD: "hold",
    E.RELEASED: "release",
    E.TURN_CHANGED: "turn",
    E.BENCH_FLUID_CHECKED: "bench_fluid",
    E.PACKED: "pack",
    E.SENT_BACK: "send_back",
    E.RETURNED_UNREPAIRED: "unrepaired",
    E.CLOSED: "close",
    E.LINKS_RENEWED: "links",
    E.NOTE_ADDED: "note",
    E.CORRECTED: "take_back",
}
FINISHING = frozenset({E.STRIPPED, E.CLEANED, E.MACHINED, E.ASSEMBLED, E.TESTED})
STOPPING = frozenset({E.RETURNED_UNREPAIRED, E.CORRECTED, E.DECLINED, E.CANCELLED})
# What belongs to a stage, in the order it is used; the rest of the table is offered where it is allowed.
ORDER = (
    E.INSPECTED,
    E.READINGS_RECORDED,
    E.SETTINGS_RECORDED,
    E.FINDING_RECORDED,
    E.PART_USED,
    E.EXTRA_WORK_ASKED,
    E.TEST_FAILED,
    E.BENCH_FLUID_CHECKED,
    E.QUESTION_ASKED,
    E.QUESTION_ANSWERED,
    E.HELD,
    E.RELEASED,
    E.TURN_CHANGED,
    E.NOTE_ADDED,
    E.LINKS_RENEWED,
    E.CANCELLED,
    E.RETURNED_UNREPAIRED,
    E.CORRECTED,
)

GROUPS = {
    **dict.fromkeys((E.EXTRA_WORK_ASKED, E.QUESTION_ASKED, E.QUESTION_ANSWERED), CUSTOMER),
    **dict.fromkeys((E.HELD, E.RELEASED, E.TURN_CHANGED, E.LINKS_RENEWED, *STOPPING), RARE),
}


def step_words(step: str) -> str:
    """Return a bench step in words."""
    return STEP_WORDS[BenchStep(step)] if step in set(BenchStep) else step


def next_words(seen: JobAtBench) -> str:
    """Return the words of the one large action, or nothing when there is none."""
    kind, step = seen.next.kind, step_words(seen.next.step)
    if kind is None:
        return ""
    if kind is E.WORK_STARTED:
        return str(_("Start: %s") % step)
    if kind is E.TESTED:
        return str(_("Finish: the test is passed"))
    if kind in FINISHING:
        return str(_("Finish: %s") % step)
    return str(BUTTON_WORDS[kind])


def next_url(seen: JobAtBench) -> str:
    """Return where the one large action leads, or nothing."""
    kind = seen.next.kind
    if kind is None:
        return ""
    if kind is E.EXTRA_WORK_APPROVED:
        return reverse("workshop:decide", args=[seen.number, seen.next.extra_work])
    return reverse(f"workshop:{'finish' if kind in FINISHING else ROUTES[kind]}", args=[seen.number])


def under_way_words(seen: JobAtBench) -> str:
    """Return since when a step is worked at and by whom, and what a hold does to it."""
    state = seen.state
    if state.working_since is None:
        return ""
    if seen.hold is not None and seen.hold is not HoldKind.PAYMENT:
        words = _(
            "“%s” was under way when the hold began. It stands still now and goes on when the hold ends, "
            "unless it is put down."
        )
        return str(words % step_words(state.working_step))
    begun = [entry for entry in standing_events(seen.entries) if entry.kind is E.WORK_STARTED]
    told = {"since": moment(state.working_since), "person": begun[-1].actor_name if begun else ""}
    if begun and begun[-1].happened_at < state.working_since:
        return _("Under way again since the hold ended: %(since)s. Begun by %(person)s.") % told
    return _("Under way since %(since)s, begun by %(person)s.") % told


def next_is_at_once(seen: JobAtBench) -> bool:
    """Return whether one press records it, with nothing to fill in."""
    return seen.next.kind is E.WORK_STARTED or seen.next.kind in FINISHING


def other_entries(seen: JobAtBench) -> tuple[Entry, ...]:
    """Return everything else that may be recorded now, in the order of the work."""
    entries = []
    for kind in ORDER:
        if kind not in seen.allowed or kind is seen.next.kind or _is_idle(kind, seen=seen):
            continue
        address = reverse(f"workshop:{ROUTES[kind]}", args=[seen.number])
        words = TURN_LABELS[other_turn(seen)] if kind is E.TURN_CHANGED else BUTTON_WORDS[kind]
        entries.append(Entry(str(words), address, stops=kind in STOPPING, group=GROUPS.get(kind, WORK)))
    return tuple(entries)


def entry_groups(seen: JobAtBench) -> tuple[tuple[str, tuple[Entry, ...]], ...]:
    """Return the other entries under the heads they are looked for by, without empty ones."""
    listed = other_entries(seen)
    groups = ((head, tuple(each for each in listed if each.group == head)) for head in (WORK, CUSTOMER, RARE))
    return tuple((str(head), entries) for head, entries in groups if entries)


def other_turn(seen: JobAtBench) -> Turn:
    """Return the place in the queue that the job does not have now."""
    return Turn.IN_TURN if seen.state.turn is Turn.FIRST else Turn.FIRST


def _is_idle(kind: EventKind, *, seen: JobAtBench) -> bool:
    """Return whether an allowed event would have nothing to record on this job now."""
    nameless = seen.job.customer_id is None
    fresh = seen.stage in {Stage.ARRIVED, Stage.INSPECTED}
    at_test = seen.stage is Stage.TESTED or any(offer.kind is E.TESTED for offer in seen.offers)
    idle = {
        E.READINGS_RECORDED: not seen.readings or not at_test,
        E.SETTINGS_RECORDED: not seen.settings,
        # The answer ends the hold; until it is recorded, ending it by hand is refused.
        E.RELEASED: seen.hold is None or seen.next.kind is E.EXTRA_WORK_APPROVED,
        E.HELD: seen.hold is not None,
        E.CORRECTED: seen.undoable is None,
        E.QUESTION_ASKED: nameless,
        E.LINKS_RENEWED: nameless,
        E.QUESTION_ANSWERED: not seen.state.question_open,
        E.CANCELLED: seen.stage is Stage.BOOKED,
        E.INSPECTED: not nameless,
        E.TEST_FAILED: seen.state.working_step != BenchStep.TEST.value and seen.stage is not Stage.TESTED,
        E.BENCH_FLUID_CHECKED: not seen.needs_drain_check or fresh,
    }
    return idle.get(kind, False)


@dataclass(frozen=True, slots=True)
class HoldView:
    """A hold as `_hold.html` draws it."""

    words: str
    since: datetime | None
    note: str
    next_words: str


def hold_view(seen: JobAtBench) -> HoldView | None:
    """Return the hold of a job with what ends it, or None."""
    if seen.hold is None:
        return None
    return HoldView(
        words=HOLD_LABELS[seen.hold],
        since=seen.job.hold_since,
        note=hold_for_staff(seen.job.hold_reason, hold=seen.hold),
        next_words=" ".join(filter(None, (*_expected(seen), _hold_ends(seen), waits_next(seen)))),
    )


def _hold_ends(seen: JobAtBench) -> str:
    """Return what ends the present hold; an answer nobody was asked for on their page ends none by itself."""
    assert seen.hold is not None  # noqa: S101 - asked only about a job that is held
    is_asked = seen.state.question_open or any(not extra.decision for extra in seen.extra_work)
    if seen.hold is HoldKind.ANSWER and not is_asked:
        return str(
            _("No question stands on the customer's page: ask it, or end this once you have an answer.")
        )
    return str(_HOLD_ENDS[seen.hold])


def _expected(seen: JobAtBench) -> tuple[str, ...]:
    """Return until when a hold is expected to last, if that was said."""
    expected_on = seen.state.held_by.expected_on if seen.state.held_by else None
    return (str(_("Expected to end on %s.") % day(expected_on)),) if expected_on else ()


def waits_next(seen: JobAtBench) -> str:
    """Return what the job waits for once the present hold has ended, or nothing."""
    if seen.hold is None:
        return ""
    if seen.hold is not HoldKind.ANSWER and any(not extra.decision for extra in seen.extra_work):
        return str(_("After that it waits for the customer's yes or no to the extra work."))
    if len(seen.state.holds) < 2:
        return ""
    back = seen.state.holds[-2]
    reason = hold_for_staff(back.reason, hold=back.kind).rstrip(".")
    told = {"hold": HOLD_LABELS[back.kind].lower(), "reason": reason}
    return _("After that it is on hold again, %(hold)s: %(reason)s.") % told


def arrival_labels(arrival: ArrivalSeen | None) -> dict[str, str]:
    """Return the state of carton and packing in words."""
    if arrival is None:
        return {}
    return {
        "carton": label_of(CartonState, arrival.carton_state),
        "packing": label_of(PackingFound, arrival.packing_found),
    }


@dataclass(frozen=True, slots=True)
class ClockLine:
    """One claim clock: what to report by when, the source, and the days left in words."""

    sentence: str
    source: str
    left: str


def clock_lines(clocks: Sequence[ClaimClock], *, today: date) -> dict[str, tuple[ClockLine, ...]]:
    """Return the clocks as (first four, rest), the earliest first."""
    lines = tuple(
        ClockLine(
            clock.sentence,
            _("%(source)s, read on %(day)s")
            % {"source": clock.period.source, "day": clock.period.read_on.isoformat()},
            _left(clock.days_left(today=today)),
        )
        for clock in clocks
    )
    return {"first": lines[:CLOCKS_SHOWN], "rest": lines[CLOCKS_SHOWN:]}


def _left(days: int) -> str:
    if days < 0:
        return str(_("passed"))
    if days == 0:
        return str(_("today"))
    return ngettext("%d day left", "%d days left", days) % days


def symptom_labels(seen: JobAtBench) -> tuple[str, ...]:
    """Return the ticked symptoms in the family's words."""
    names = {each.slug: each.label for each in (seen.family.symptoms if seen.family else ())}
    return tuple(names.get(slug, slug.replace("_", " ")) for slug in seen.job.symptoms)


_HOLD_ENDS = {
    HoldKind.ANSWER: _(
        "It ends by itself when the customer answers on their page; the answer then stands here to be read."
    ),
    HoldKind.PARTS: _("End it when the parts are here."),
    HoldKind.OUTSIDE: _("End it when the outside trade has sent it back."),
    HoldKind.PAYMENT: _("Work goes on; only the sending back waits."),
}
