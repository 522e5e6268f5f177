"""Which event tells the customer what: one pure table."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from jobs.domain.stages import EventKind

E = EventKind

MESSAGE_OF_EVENT: Mapping[EventKind, str] = MappingProxyType(
    {
        E.BOOKING_SENT: "booking_received",
        E.QUESTION_ASKED: "question",
        E.CLEARED: "cleared",
        E.DECLINED: "declined",
        E.CANCELLED: "cancelled",
        E.ARRIVED: "arrived",
        E.INSPECTED: "inspected",
        E.EXTRA_WORK_ASKED: "extra_work",
        E.EXTRA_WORK_APPROVED: "extra_work_decided",
        E.EXTRA_WORK_DECLINED: "extra_work_decided",
        E.PROMISE_MADE: "promise",
        E.PROMISE_CHANGED: "promise_changed",
        E.SIGNED_OFF: "ready",
        E.SENT_BACK: "sent_back",
        E.RETURNED_UNREPAIRED: "returned_unrepaired",
        E.CLOSED: "closed",
        E.LINKS_RENEWED: "links_renewed",
    }
)


@dataclass(frozen=True, slots=True)
class ComposedMessage:
    """A mail ready to be sent."""

    subject: str
    text: str
    html: str
