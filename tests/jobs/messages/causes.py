"""What has to happen to a job for each kind of mail, told by the services."""

from datetime import date, timedelta
from functools import partial

from jobs.domain.facts import Promise
from jobs.domain.stages import EventKind, HoldKind
from jobs.services import answers, bench, bookings, dispatch, extra_work, find_job, upkeep
from jobs.services._steps import lock_job
from tests.factories import NOW, OWNER, WORKSHOP, make_booking, make_job, renew_links

LATER = NOW + timedelta(days=6)
WHO = {"actor": WORKSHOP, "now": LATER, "expected_count": None}


def ask_more(*, price_pence):
    job = make_job(stage="inspected")
    lines = (extra_work.ExtraLine(text="Re-bush the spindle", price_pence=price_pence),)
    extra_work.ask_extra_work(job.number, lines=lines, added_work_days=3, latest_on_if_approved=None, **WHO)
    return job


def decide():
    job = ask_more(price_pence=6400)
    who = {"actor": WORKSHOP, "now": LATER}
    extra_work.decide_extra_work(job.number, extra_work=1, decision="declined", note="No.", **who)


def record_promise(job, *, kind, latest_on):
    facts = Promise(
        earliest_on=date(2026, 4, 2),
        likely_on=date(2026, 4, 6),
        latest_on=latest_on,
        reasons=("Waiting for the lathe: 4 working days.",),
    )
    lock_job(job.number, expected_count=None).record(kind, facts=facts, actor=OWNER, now=LATER)
    return job


def promise():
    job = make_job(stage="inspected")
    return record_promise(job, kind=EventKind.PROMISE_MADE, latest_on=date(2026, 4, 9))


def move_promise():
    record_promise(promise(), kind=EventKind.PROMISE_CHANGED, latest_on=date(2026, 4, 29))


def return_unrepaired():
    job = make_job(stage="inspected")
    dispatch.check_bench_fluid(job.number, smells=False, **WHO)
    sent = {"on": LATER.date(), "carrier": "Harbour Parcels", "tracking_number": "AB123"}
    dispatch.return_unrepaired(job.number, reason="The body is cracked.", **sent, **WHO)


def remind():
    job = make_job(stage="inspected")
    hold = {"hold": HoldKind.ANSWER, "reason": "Which jet do you run?", "expected_on": None}
    bench.hold_job(job.number, **hold, **WHO)
    upkeep.do_upkeep(now=LATER + timedelta(days=2))


def ask_for_link():
    make_job()
    find_job.mail_sign_in_links("ADA@example.com", now=NOW)


CAUSES = {
    "booking_received": (partial(make_job, stage="booked"), ["within one working day"]),
    "cleared": (partial(make_job, stage="cleared"), ["smell test", "local law"]),
    "declined": (partial(make_job, stage="declined"), ["We do not rebuild this one."]),
    "arrived": (partial(make_job, stage="arrived"), ["Your box is here"]),
    "inspected": (partial(make_job, stage="inspected"), ["what we found"]),
    "ready": (partial(make_job, stage="signed_off"), ["tested and signed off"]),
    "sent_back": (partial(make_job, stage="sent_back"), ["48 hours"]),
    "closed": (partial(make_job, stage="closed"), ["is closed"]),
    "cancelled": (
        lambda: answers.cancel_job(make_job().number, reason="The engine is sold.", **WHO),
        ["The engine is sold."],
    ),
    "question": (
        lambda: answers.ask_question(make_job().number, text="Which engine is it from?", **WHO),
        ["Which engine is it from?"],
    ),
    "extra_work": (partial(ask_more, price_pence=6400), ["£64.00", "3 working days", "yes or no"]),
    "extra_work_within": (partial(ask_more, price_pence=5000), ["£50.00", "within the limit"]),
    "extra_work_decided": (decide, ["The answer is no"]),
    "promise": (promise, ["9 April 2026", "8 in 10", "Waiting for the lathe"]),
    "promise_changed": (move_promise, ["29 April 2026", "has moved", "Before, we had said", "9 April"]),
    "returned_unrepaired": (
        return_unrepaired,
        ["Harbour Parcels", "AB123", "not repaired", "The body is cracked."],
    ),
    "reminder": (remind, ["Which jet do you run?"]),
    "links_renewed": (lambda: renew_links(make_job(), now=LATER), ["every link that we had sent you"]),
    "draft_link": (
        lambda: bookings.mail_draft_link(make_booking(), email="ada@example.com", now=NOW),
        ["where you stopped"],
    ),
    "sign_in": (ask_for_link, ["once, for ten minutes"]),
}


def cause(kind):
    """Walk a job to the moment that sends this mail; return what the mail has to say."""
    walk, says = CAUSES[kind]
    walk()
    return says
