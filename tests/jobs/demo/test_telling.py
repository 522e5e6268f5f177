"""What is told of a unit happens in order, the customer's part by day and the shop's while it is open."""

from datetime import UTC, datetime, time
from random import Random
from zoneinfo import ZoneInfo

import pytest

from jobs.demo.history import WorkedUnit
from jobs.demo.hours import OpenDays
from jobs.demo.telling import StoryEnds, Tale
from jobs.demo.telling import tell as tell_all
from jobs.domain import facts as f
from jobs.domain.actors import Actor
from jobs.domain.stages import EventKind, Role
from packing.catalogue.schema import Family, UnitModel
from packing.services import FirstEntries, first_entries
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


@pytest.mark.parametrize(("family", "drains"), [("magneto", False), ("distributor", False), ("sender", True)])
def test_a_draining_is_told_only_of_what_is_drained(family, drains):
    entries = first_entries(FirstEntries.DEMO)
    model = next(each for each in entries if isinstance(each, UnitModel) and each.family == family)
    now = datetime(2026, 5, 20, 12, 0, tzinfo=UTC)
    story = tale(now)
    story.unit = WorkedUnit(model=model, arrived_at=datetime(2026, 5, 21, 10, 0, tzinfo=UTC), visits=())
    story.family = next(each for each in entries if isinstance(each, Family) and each.slug == family)
    tell_all(story, staff=[CLERK], promise_days=(5, 7, 9))
    kinds = {entry.kind for entry in story.recorded}
    assert EventKind.POSTED in kinds
    assert ({EventKind.DRAINED, EventKind.SMELL_CHECKED} <= kinds) is drains
    assert (EventKind.DRAINED in kinds) is drains
