"""Which event tells the customer what: one pure table."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from jobs.domain.shop import MessageText
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
    }
)

FIRST_TEXTS: tuple[MessageText, ...] = (
    MessageText(
        "booking_received",
        "We have your booking {number}",
        "Thank you. We have your booking and look at it within one working day. Keep the unit with you until we say it is clear to send.",
    ),
    MessageText(
        "question", "A question about {number}", "Before we can go on we need to know one thing from you."
    ),
    MessageText(
        "cleared",
        "{number} is clear to send",
        "Yes, we take it. Your own list of what to take off, how to drain it and how to pack it is ready.",
    ),
    MessageText(
        "declined",
        "About your booking {number}",
        "We have looked at your booking and cannot take this one. The reason is below.",
    ),
    MessageText(
        "cancelled",
        "{number} is cancelled",
        "This booking is cancelled. If the unit is already on its way, ring us.",
    ),
    MessageText(
        "arrived",
        "{number} has arrived",
        "Your box is here. We unpack it, photograph it and write to you again when we have looked at it.",
    ),
    MessageText(
        "inspected",
        "{number}: what we found",
        "We have looked at your unit. What we found, with photos, is on your page.",
    ),
    MessageText(
        "extra_work",
        "{number}: we need your yes or no",
        "We found more work than was agreed. Nothing extra is done until you answer.",
    ),
    MessageText(
        "extra_work_decided",
        "{number}: your answer is noted",
        "Thank you, your answer about the extra work is noted.",
    ),
    MessageText("promise", "{number}: when it will be back", "We now know enough to give you a date."),
    MessageText(
        "promise_changed",
        "{number}: the date has moved",
        "The date we gave you has moved. The reason is below.",
    ),
    MessageText(
        "ready", "{number} is finished", "Your unit is rebuilt, tested and signed off. We pack it next."
    ),
    MessageText(
        "sent_back",
        "{number} is on its way back",
        "Your unit is on its way. Photograph the box before you open it, keep all the packing, and tell us within 48 hours if anything is wrong.",
    ),
    MessageText(
        "returned_unrepaired",
        "{number} is on its way back, not repaired",
        "We are sending your unit back without the repair. The reason is on your page.",
    ),
    MessageText(
        "closed",
        "{number} is closed",
        "This job is closed. Your settings sheet and photos stay on your page.",
    ),
    MessageText(
        "draft_link",
        "Your unfinished booking",
        "Here is the link to go on with your booking where you stopped.",
    ),
    MessageText(
        "sign_in", "Your link to {shop}", "Here is the link you asked for. It works once, for ten minutes."
    ),
    MessageText(
        "reminder",
        "{number}: we are still waiting for your answer",
        "We asked you something and your unit waits until you answer.",
    ),
)


@dataclass(frozen=True, slots=True)
class ComposedMessage:
    """A mail ready to be sent."""

    subject: str
    text: str
    html: str
