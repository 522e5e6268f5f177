"""What each mail tells, with invented values: for looking at a whole mail before its words are published."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from types import MappingProxyType
from typing import Any

from jobs.domain import facts as told
from jobs.domain.stages import EventKind

E = EventKind
NUMBER = "4821095"
GREETING = "Ada Thornby"
LINK_END = "/open/here-stands-the-private-link/"
QUESTION = "Which engine is the unit from?"


@dataclass(frozen=True, slots=True)
class Sample:
    """The event that sends a mail, and its facts as they might be on a day; None where it tells nothing."""

    kind: EventKind | None
    facts: Callable[[date], Any]


def _promise(today: date, *reasons: str) -> told.Promise:
    monday = today - timedelta(days=today.weekday())
    first, likely, last = (monday + timedelta(days=days) for days in (35, 42, 51))
    return told.Promise(earliest_on=first, likely_on=likely, latest_on=last, reasons=reasons)


def promise_before(today: date) -> told.Promise:
    """Return what the mail about a moved promise says was promised before."""
    return _promise(today - timedelta(days=7))


def _extra(_today: date) -> told.ExtraWorkRef:
    return told.ExtraWorkRef(
        extra_work=1, price_pence=6400, added_work_days=3, note="Ring me before you start."
    )


def _nothing(_today: date) -> None:
    return None


def _sent(today: date) -> told.Sent:
    return told.Sent(on=today, carrier="Harbour Parcels", tracking_number="QF12345678901")


def _unrepaired(today: date) -> told.ReturnedUnrepaired:
    sent = _sent(today)
    reason = "The body is cracked through the flange, and nobody makes another."
    return told.ReturnedUnrepaired(sent.on, sent.carrier, sent.tracking_number, reason=reason)


SAMPLES: Mapping[str, Sample] = MappingProxyType(
    {
        "booking_received": Sample(E.BOOKING_SENT, lambda _: told.BookingSent(number_as_read="KV4081B")),
        "question": Sample(E.QUESTION_ASKED, lambda _: told.Words(text=QUESTION)),
        "cleared": Sample(E.CLEARED, lambda _: told.NoFacts(note="Send the loose jets along in a bag.")),
        "declined": Sample(E.DECLINED, lambda _: told.Words(text="Nobody makes the diaphragm any more.")),
        "cancelled": Sample(E.CANCELLED, lambda _: told.Words(text="The boat is sold.")),
        "arrived": Sample(
            E.ARRIVED,
            lambda _: told.Arrived(carton_state="sound", packing_found="suspended", smells_of_fuel=True),
        ),
        "inspected": Sample(
            E.INSPECTED,
            lambda _: told.Inspected(
                grade="incomplete_can_start",
                number_read="KV4081B",
                contents_missing=("float bowl screw",),
                note="The throttle spindle is worn.",
            ),
        ),
        "extra_work": Sample(E.EXTRA_WORK_ASKED, _extra),
        "extra_work_decided": Sample(E.EXTRA_WORK_APPROVED, _extra),
        "extra_work_within": Sample(E.EXTRA_WORK_ASKED, _extra),
        "promise": Sample(
            E.PROMISE_MADE,
            lambda today: _promise(today, "Queue at the test stand: about 4 working days."),
        ),
        "promise_changed": Sample(
            E.PROMISE_CHANGED,
            lambda today: _promise(today, "Waiting for parts: about 5 working days."),
        ),
        "ready": Sample(E.SIGNED_OFF, lambda _: told.SignedOff(tested_by="T. A.", signed_by="W. C.")),
        "sent_back": Sample(E.SENT_BACK, _sent),
        "returned_unrepaired": Sample(E.RETURNED_UNREPAIRED, _unrepaired),
        "closed": Sample(E.CLOSED, lambda _: told.NoFacts()),
        "links_renewed": Sample(
            E.LINKS_RENEWED,
            lambda _: told.LinksRenewed(
                reason="The phone was lost.", closed=4, is_mailed=True, is_address_changed=False
            ),
        ),
        "draft_link": Sample(None, _nothing),
        "sign_in": Sample(None, _nothing),
        "reminder": Sample(None, _nothing),
    }
)
