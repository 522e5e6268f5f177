"""What happens because time passes: reminders, each once, and jobs that close by themselves."""

from dataclasses import replace
from datetime import timedelta

import pytest
from django.contrib.sessions.models import Session

from jobs.domain.shop import ShopKind
from jobs.domain.stages import HoldKind
from jobs.models import JobEvent, OutboxMessage
from jobs.selectors import shop
from jobs.services import bench, dispatch
from jobs.services.upkeep import do_upkeep
from tests.factories import NOW, WORKSHOP, make_box, make_job, publish

pytestmark = pytest.mark.django_db
HELD_AT = NOW + timedelta(days=6)


@pytest.fixture
def job():
    job = make_job(stage="inspected")
    hold(job, at=HELD_AT)
    return job


def hold(job, *, at, kind=HoldKind.ANSWER):
    who = {"actor": WORKSHOP, "now": at, "expected_count": None}
    bench.hold_job(job.number, hold=kind, reason="Which jet?", expected_on=None, **who)


def reminders():
    return OutboxMessage.objects.filter(kind="reminder").count()


def test_a_question_is_reminded_of_after_two_five_and_ten_days_once_each(job):
    seen = {}
    for hours in range(0, 24 * 15, 6):
        do_upkeep(now=HELD_AT + timedelta(hours=hours))
        seen.setdefault(reminders(), hours / 24)
    assert seen == {0: 0.0, 1: 2.0, 2: 5.0, 3: 10.0}


def test_one_minute_before_the_day_nothing_is_sent(job):
    assert do_upkeep(now=HELD_AT + timedelta(days=2) - timedelta(minutes=1)) == 0
    assert do_upkeep(now=HELD_AT + timedelta(days=2)) == 1


def test_running_twice_adds_nothing(job):
    at = HELD_AT + timedelta(days=2)
    assert [do_upkeep(now=at), do_upkeep(now=at)] == [1, 0]
    assert reminders() == 1


def test_after_a_pause_only_the_last_reminder_goes_out(job):
    do_upkeep(now=HELD_AT + timedelta(days=6))
    assert reminders() == 1
    assert do_upkeep(now=HELD_AT + timedelta(days=7)) == 0


def test_an_answered_question_is_not_reminded_of(job):
    who = {"actor": WORKSHOP, "now": HELD_AT + timedelta(days=1), "expected_count": None}
    bench.release_job(job.number, note="", **who)
    assert do_upkeep(now=HELD_AT + timedelta(days=12)) == 0


def test_a_second_question_is_reminded_of_anew(job):
    do_upkeep(now=HELD_AT + timedelta(days=2))
    later = HELD_AT + timedelta(days=3)
    bench.release_job(job.number, note="", actor=WORKSHOP, now=later, expected_count=None)
    hold(job, at=later)
    assert do_upkeep(now=later + timedelta(days=1)) == 0
    assert do_upkeep(now=later + timedelta(days=2)) == 1
    assert reminders() == 2


def test_waiting_for_parts_reminds_nobody():
    job = make_job(stage="inspected")
    hold(job, at=HELD_AT, kind=HoldKind.PARTS)
    assert do_upkeep(now=HELD_AT + timedelta(days=12)) == 0


def test_a_box_without_a_customer_reminds_nobody():
    hold(make_box(), at=HELD_AT)
    assert do_upkeep(now=HELD_AT + timedelta(days=12)) == 0


def test_the_owner_says_after_how_many_days(job):
    publish(ShopKind.SHOP, replace(shop.identity(), reminder_days=(4,)))
    assert do_upkeep(now=HELD_AT + timedelta(days=3)) == 0
    assert do_upkeep(now=HELD_AT + timedelta(days=4)) == 1


def test_a_unit_that_has_been_back_long_enough_closes_by_itself_once():
    job = make_job(stage="sent_back")
    due = job.stage_since + timedelta(days=14)
    assert do_upkeep(now=due) == 0
    assert do_upkeep(now=due + timedelta(seconds=1)) == 1
    assert do_upkeep(now=due + timedelta(days=1)) == 0
    job.refresh_from_db()
    assert job.stage == "closed"
    assert JobEvent.objects.filter(job=job, kind="closed").get().actor_role == "system"


def test_a_unit_still_in_the_shop_never_closes_by_itself():
    job = make_job(stage="packed")
    assert do_upkeep(now=job.stage_since + timedelta(days=99)) == 0


def test_a_job_the_customer_closed_stays_as_it_is():
    job = make_job(stage="sent_back")
    dispatch.close_job(job.number, note="thank you", actor=WORKSHOP, now=job.stage_since)
    assert do_upkeep(now=job.stage_since + timedelta(days=99)) == 0


def test_a_session_is_let_go_when_its_time_is_over():
    for key, days in (("over", -1), ("open", 1)):
        Session.objects.create(session_key=key, session_data="", expire_date=NOW + timedelta(days=days))
    do_upkeep(now=NOW)
    assert [session.session_key for session in Session.objects.all()] == ["open"]
