"""Customers are told when to send, from what is stored, and nothing when nothing is stored."""

import pytest
from django.urls import reverse
from django.utils import timezone

from jobs.models import OutlookPart
from tests.factories import open_shop

pytestmark = pytest.mark.django_db
SENTENCE = "Hold on to it and send it so that it arrives in the week of Monday 4 January."


def store(*, sending, now):
    OutlookPart.objects.create(
        part="advice",
        subject="carburettor",
        run_at=now,
        computed_at=now,
        content={
            "family": "carburettor", "sending": sending, "arrive_in_week": now.date().isoformat(),
            "shelf_days": 1.0, "now_shelf_days": 9.0, "back_by": now.date().isoformat(),
            "back_by_now": now.date().isoformat(), "sentence": SENTENCE,
        },
    )  # fmt: skip


def test_the_start_page_names_the_families_that_are_better_sent_later(client):
    now = timezone.now()
    open_shop(now=now)
    assert "Better sent a little later" not in client.get(reverse("customer:start")).content.decode()
    store(sending="hold_on", now=now)
    page = client.get(reverse("customer:start")).content.decode()
    assert "Better sent a little later" in page
    assert SENTENCE in page


def test_the_start_page_stays_short_where_nobody_gains_by_waiting(client):
    now = timezone.now()
    open_shop(now=now)
    store(sending="no_difference", now=now)
    assert SENTENCE not in client.get(reverse("customer:start")).content.decode()
