"""The words of a job's life: stages, holds, roles and event kinds, with their plain-language labels."""

from enum import StrEnum


class Stage(StrEnum):
    """Where a job stands; the last thing that was finished for it."""

    BOOKED = "booked"
    CLEARED = "cleared"
    POSTED = "posted"
    ARRIVED = "arrived"
    INSPECTED = "inspected"
    STRIPPED = "stripped"
    CLEANED = "cleaned"
    MACHINED = "machined"
    ASSEMBLED = "assembled"
    TESTED = "tested"
    SIGNED_OFF = "signed_off"
    PACKED = "packed"
    SENT_BACK = "sent_back"
    CLOSED = "closed"
    DECLINED = "declined"
    CANCELLED = "cancelled"
    RETURNED_UNREPAIRED = "returned_unrepaired"


ENDED = frozenset({Stage.CLOSED, Stage.DECLINED, Stage.CANCELLED, Stage.RETURNED_UNREPAIRED})
AWAITED = frozenset({Stage.CLEARED, Stage.POSTED})
IN_SHOP = frozenset(
    {
        Stage.ARRIVED,
        Stage.INSPECTED,
        Stage.STRIPPED,
        Stage.CLEANED,
        Stage.MACHINED,
        Stage.ASSEMBLED,
        Stage.TESTED,
        Stage.SIGNED_OFF,
        Stage.PACKED,
    }
)
ON_BENCH = frozenset(
    {
        Stage.INSPECTED,
        Stage.STRIPPED,
        Stage.CLEANED,
        Stage.MACHINED,
        Stage.ASSEMBLED,
        Stage.TESTED,
    }
)
OPEN_STAGES = frozenset(Stage) - ENDED

STAGE_LABELS: dict[Stage, str] = {
    Stage.BOOKED: "Waiting for the shop's answer",
    Stage.CLEARED: "Clear to send",
    Stage.POSTED: "On its way to the shop",
    Stage.ARRIVED: "Arrived",
    Stage.INSPECTED: "Inspected",
    Stage.STRIPPED: "Stripped",
    Stage.CLEANED: "Cleaned",
    Stage.MACHINED: "Machined",
    Stage.ASSEMBLED: "Assembled",
    Stage.TESTED: "Tested",
    Stage.SIGNED_OFF: "Signed off",
    Stage.PACKED: "Packed",
    Stage.SENT_BACK: "On its way back",
    Stage.CLOSED: "Closed",
    Stage.DECLINED: "Declined",
    Stage.CANCELLED: "Cancelled",
    Stage.RETURNED_UNREPAIRED: "Returned unrepaired",
}


class HoldKind(StrEnum):
    """Why a job may not go on for now."""

    ANSWER = "answer"
    PARTS = "parts"
    OUTSIDE = "outside"
    PAYMENT = "payment"


HOLD_LABELS: dict[HoldKind, str] = {
    HoldKind.ANSWER: "Waiting for the customer's answer",
    HoldKind.PARTS: "Waiting for parts",
    HoldKind.OUTSIDE: "With an outside trade",
    HoldKind.PAYMENT: "Waiting for payment",
}


class Turn(StrEnum):
    """Which place a job has in the shop's queues: before all that wait in their turn, or among them."""

    FIRST = "first"
    IN_TURN = "in_turn"


TURN_LABELS: dict[Turn, str] = {
    Turn.FIRST: "Put first",
    Turn.IN_TURN: "Back in turn",
}


class Role(StrEnum):
    """Who acts."""

    CUSTOMER = "customer"
    WORKSHOP = "workshop"
    OWNER = "owner"
    SYSTEM = "system"


class EventKind(StrEnum):
    """Everything that can happen to a job, in the past tense."""

    BOOKING_SENT = "booking_sent"
    BOX_RECORDED = "box_recorded"
    QUESTION_ASKED = "question_asked"
    QUESTION_ANSWERED = "question_answered"
    CLEARED = "cleared"
    DECLINED = "declined"
    CANCELLED = "cancelled"
    DRAINED = "drained"
    SMELL_CHECKED = "smell_checked"
    POSTED = "posted"
    TRACKING_ADDED = "tracking_added"
    ARRIVED = "arrived"
    MATCHED = "matched"
    MERGED = "merged"
    INSPECTED = "inspected"
    WORK_STARTED = "work_started"
    WORK_PAUSED = "work_paused"
    STRIPPED = "stripped"
    CLEANED = "cleaned"
    MACHINED = "machined"
    ASSEMBLED = "assembled"
    TESTED = "tested"
    TEST_FAILED = "test_failed"
    SIGNED_OFF = "signed_off"
    FINDING_RECORDED = "finding_recorded"
    EXTRA_WORK_ASKED = "extra_work_asked"
    EXTRA_WORK_APPROVED = "extra_work_approved"
    EXTRA_WORK_DECLINED = "extra_work_declined"
    PART_USED = "part_used"
    SETTINGS_RECORDED = "settings_recorded"
    READINGS_RECORDED = "readings_recorded"
    HELD = "held"
    RELEASED = "released"
    TURN_CHANGED = "turn_changed"
    BENCH_FLUID_CHECKED = "bench_fluid_checked"
    PACKED = "packed"
    SENT_BACK = "sent_back"
    RETURNED_UNREPAIRED = "returned_unrepaired"
    CLOSED = "closed"
    PROMISE_MADE = "promise_made"
    PROMISE_CHANGED = "promise_changed"
    DETAILS_CHANGED = "details_changed"
    LINKS_RENEWED = "links_renewed"
    PHOTO_WITHDRAWN = "photo_withdrawn"
    NOTE_ADDED = "note_added"
    CORRECTED = "corrected"


EVENT_LABELS: dict[EventKind, str] = {
    EventKind.BOOKING_SENT: "Booking sent in",
    EventKind.BOX_RECORDED: "A box nobody announced was recorded",
    EventKind.QUESTION_ASKED: "The shop asked a question",
    EventKind.QUESTION_ANSWERED: "Question answered",
    EventKind.CLEARED: "Cleared to send",
    EventKind.DECLINED: "Declined",
    EventKind.CANCELLED: "Cancelled",
    EventKind.DRAINED: "Drained and standing in the air",
    EventKind.SMELL_CHECKED: "Smell test made",
    EventKind.POSTED: "Posted",
    EventKind.TRACKING_ADDED: "Tracking number added",
    EventKind.ARRIVED: "Arrived at the shop",
    EventKind.MATCHED: "Matched with its booking",
    EventKind.MERGED: "Carried on under its booking's number",
    EventKind.INSPECTED: "Inspected",
    EventKind.WORK_STARTED: "Work started",
    EventKind.WORK_PAUSED: "Work paused",
    EventKind.STRIPPED: "Stripped",
    EventKind.CLEANED: "Cleaned",
    EventKind.MACHINED: "Machined",
    EventKind.ASSEMBLED: "Assembled",
    EventKind.TESTED: "Passed the bench test",
    EventKind.TEST_FAILED: "Bench test failed, back for another round",
    EventKind.SIGNED_OFF: "Signed off",
    EventKind.FINDING_RECORDED: "Finding recorded",
    EventKind.EXTRA_WORK_ASKED: "Extra work asked for",
    EventKind.EXTRA_WORK_APPROVED: "Extra work approved",
    EventKind.EXTRA_WORK_DECLINED: "Extra work declined",
    EventKind.PART_USED: "Part used",
    EventKind.SETTINGS_RECORDED: "Settings recorded",
    EventKind.READINGS_RECORDED: "Test readings recorded",
    EventKind.HELD: "Put on hold",
    EventKind.RELEASED: "Hold ended",
    EventKind.TURN_CHANGED: "Place in the queue changed",
    EventKind.BENCH_FLUID_CHECKED: "Bench fluid drained and checked",
    EventKind.PACKED: "Packed for the way back",
    EventKind.SENT_BACK: "Sent back",
    EventKind.RETURNED_UNREPAIRED: "Returned unrepaired",
    EventKind.CLOSED: "Closed",
    EventKind.PROMISE_MADE: "Return date promised",
    EventKind.PROMISE_CHANGED: "Return date moved",
    EventKind.DETAILS_CHANGED: "Contact details changed",
    EventKind.LINKS_RENEWED: "The customer's links were closed",
    EventKind.PHOTO_WITHDRAWN: "A photo was withdrawn",
    EventKind.NOTE_ADDED: "Note added",
    EventKind.CORRECTED: "Last step taken back",
}
