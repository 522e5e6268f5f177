"""What happens because time passes: reminders, each once, jobs that close, and drafts that are deleted."""

from dataclasses import replace
from datetime import timedelta
from io import BytesIO

import pytest
from django.contrib.sessions.models import Session

from jobs.domain.actors import Actor
from jobs.domain.shop import ShopKind
from jobs.domain.stages import HoldKind, Role
from jobs.models import Booking, JobEvent, OutboxMessage, Photo
from jobs.selectors import shop
from jobs.services import answers, bench, bookings, dispatch, links
from jobs.services.photos import add_photo, convert_next
from jobs.services.upkeep import DRAFTS_A_ROUND, do_upkeep
from packing.errors import CatalogueError
from tests.factories import MODEL, NOW, WORKSHOP, make_booking, make_box, make_job, publish
from tests.jobs.photos import corpus

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


def ask(job, *, at, text="Which float?"):
    answers.ask_question(job.number, text=text, actor=WORKSHOP, now=at, expected_count=None)


def test_a_question_on_a_booking_is_reminded_of_after_two_five_and_ten_days_once_each():
    ask(make_job(stage="booked"), at=HELD_AT)
    seen = {}
    for hours in range(0, 24 * 15, 6):
        do_upkeep(now=HELD_AT + timedelta(hours=hours))
        seen.setdefault(reminders(), hours / 24)
    assert seen == {0: 0.0, 1: 2.0, 2: 5.0, 3: 10.0}
    payload = OutboxMessage.objects.filter(kind="reminder").latest("pk").payload
    assert payload == {"asked": "Which float?"}


@pytest.mark.parametrize("is_answered", [True, False], ids=["answered", "cleared"])
def test_a_settled_question_on_a_booking_is_not_reminded_of(is_answered):
    job = make_job(stage="booked")
    ask(job, at=HELD_AT)
    if is_answered:
        answers.answer_question(job.number, text="Brass.", actor=WORKSHOP, now=HELD_AT)
    else:
        answers.clear_job(
            job.number, unit_model=MODEL, note="", actor=WORKSHOP, now=HELD_AT, expected_count=None
        )
    assert do_upkeep(now=HELD_AT + timedelta(days=12)) == 0


def test_a_booking_nobody_asked_about_reminds_nobody():
    make_job(stage="booked")
    assert do_upkeep(now=HELD_AT + timedelta(days=12)) == 0


def test_a_question_that_stops_nothing_reminds_nobody():
    ask(make_job(stage="cleared"), at=HELD_AT)
    assert do_upkeep(now=HELD_AT + timedelta(days=12)) == 0


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


@pytest.mark.parametrize(
    ("change", "key"),
    [
        ({"close_after_days": 10**6}, "close_after_days"),
        ({"close_after_days": -1}, "close_after_days"),
        ({"reminder_days": (2, 10**12)}, "reminder_days"),
        ({"reminder_days": (0,)}, "reminder_days"),
    ],
)
def test_days_that_no_calendar_has_are_refused(job, change, key):
    with pytest.raises(CatalogueError) as refused:
        publish(ShopKind.SHOP, replace(shop.identity(), **change))
    assert [place for place, _ in refused.value.problems] == [key]


@pytest.mark.parametrize("change", [{"close_after_days": 3650}, {"reminder_days": (3650,)}])
def test_upkeep_goes_on_with_the_longest_days_that_are_taken(job, change):
    publish(ShopKind.SHOP, replace(shop.identity(), **change))
    assert do_upkeep(now=HELD_AT + timedelta(days=1)) == 0


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


def drafts():
    return set(Booking.objects.values_list("pk", flat=True))


def kept_files(settings):
    return [path for path in settings.MEDIA_ROOT.rglob("*") if path.is_file()]


def add_photo_to(booking):
    who = Actor(role=Role.CUSTOMER, name="Ada Thornby")
    return add_photo(
        BytesIO(corpus.make_jpeg()), booking=booking, job=None, role="before", shot="", caption="",
        actor=who, now=NOW,
    )  # fmt: skip


@pytest.mark.parametrize("is_converted", [False, True], ids=["as sent", "converted"])
def test_a_booking_nobody_sent_goes_with_its_photos_once_sixty_days_are_over(settings, is_converted):
    booking = make_booking()
    add_photo_to(booking)
    if is_converted:
        assert convert_next(now=NOW)
    do_upkeep(now=NOW + timedelta(days=60))
    assert drafts() == {booking.pk}
    assert len(kept_files(settings)) == (2 if is_converted else 1)
    do_upkeep(now=NOW + timedelta(days=60, seconds=1))
    assert (drafts(), Photo.objects.count(), kept_files(settings)) == (set(), 0, [])


def test_a_booking_stays_for_as_long_as_its_link_opens_it():
    booking = make_booking()
    issued_at = NOW + timedelta(days=50)
    token = links.issue_draft_link(booking, now=issued_at)
    last = issued_at + timedelta(days=60) - timedelta(seconds=1)
    do_upkeep(now=last)
    assert links.look_at_link(token, now=last).booking == booking
    do_upkeep(now=last + timedelta(seconds=1))
    assert drafts() == set()


def test_a_booking_that_was_sent_stays_with_its_photos(settings):
    booking = make_booking()
    add_photo_to(booking)
    bookings.send_booking(booking.reference, now=NOW)
    do_upkeep(now=NOW + timedelta(days=999))
    assert (drafts(), Photo.objects.count(), len(kept_files(settings))) == ({booking.pk}, 1, 1)


def test_old_bookings_go_in_small_batches_the_oldest_first():
    made = [make_booking(now=NOW + timedelta(minutes=count)).pk for count in range(DRAFTS_A_ROUND + 2)]
    late = NOW + timedelta(days=99)
    do_upkeep(now=late)
    assert drafts() == set(made[DRAFTS_A_ROUND:])
    do_upkeep(now=late)
    assert drafts() == set()


def test_a_mail_to_a_booking_that_is_gone_is_not_tried_for_ever():
    bookings.mail_draft_link(make_booking(), email="ada@example.com", now=NOW)
    kept = make_booking(now=NOW + timedelta(days=1))
    bookings.mail_draft_link(kept, email="ada@example.com", now=NOW)
    do_upkeep(now=NOW + timedelta(days=60, minutes=1))
    assert [message.payload for message in OutboxMessage.objects.all()] == [{"booking": kept.pk}]
