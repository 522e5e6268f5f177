"""What is told of a unit happens in order, the customer's part by day and the shop's while it is open."""

from datetime import UTC, datetime, time
from random import Random
from zoneinfo import ZoneInfo

import pytest

from jobs.demo.hours import OpenDays
from jobs.demo.telling import StoryEnds, Tale
from jobs.domain import facts as f
from jobs.domain.actors import Actor
from jobs.domain.stages import EventKind, Role
from tests.jobs.leadtime.shops import demo_shop

LONDON = ZoneInfo("Europe/London")
FRIDAY_NIGHT = datetime(2026, 5, 8, 22, 30, tzinfo=UTC)
CUSTOMER, CLERK = Actor(role=Role.CUSTOMER, name="Ada"), Actor(role=Role.WORKSHOP, name="Tobin")


def tale(now):
    hours = OpenDays(demo_shop().working_hours, now)
    return Tale(unit=None, family=None, dice=Random(1), now=now, hours=hours, customer_name="Ada")


def tell(story):
    booked = f.BookingSent(unit_model="tolvane-kv4081", number_as_read="KV4081")
    story.add(EventKind.BOOKING_SENT, booked, actor=CUSTOMER, at=FRIDAY_NIGHT)
    story.add(EventKind.CLEARED, f.NoFacts(), actor=CLERK, at=FRIDAY_NIGHT)
    return [entry.happened_at.astimezone(LONDON) for entry in story.recorded]


def test_what_both_did_at_night_is_told_in_the_evening_and_at_the_next_opening():
    booked, cleared = tell(tale(datetime(2026, 5, 20, 12, 0, tzinfo=UTC)))
    assert booked.date() == FRIDAY_NIGHT.date()
    assert time(7) <= booked.time() <= time(22)
    assert cleared == datetime(2026, 5, 11, 8, 0, tzinfo=LONDON)


def test_what_would_wait_for_an_opening_after_today_is_not_told():
    story = tale(datetime(2026, 5, 9, 12, 0, tzinfo=UTC))
    with pytest.raises(StoryEnds):
        tell(story)
    assert [entry.kind for entry in story.recorded] == [EventKind.BOOKING_SENT]
