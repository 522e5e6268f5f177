"""Counting attempts, and whose they are."""

from datetime import UTC, datetime, timedelta

import pytest

from portal.accounts.models import AttemptCount
from portal.shared.ratelimit import Limit, client_address, count_attempt

NOON = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)
TWICE = Limit("twice", attempts=2, window_seconds=600)


@pytest.mark.django_db
def test_the_third_of_two_waits_until_the_window_ends():
    allowed = [count_attempt(TWICE, subject="a", now=NOON + timedelta(seconds=60)) for _ in range(3)]
    assert [attempt.is_allowed for attempt in allowed] == [True, True, False]
    assert allowed[-1].wait_seconds == 540
    assert count_attempt(TWICE, subject="a", now=NOON + timedelta(seconds=600)).is_allowed


@pytest.mark.django_db
def test_subjects_and_scopes_are_counted_apart():
    for _ in range(3):
        count_attempt(TWICE, subject="a", now=NOON)
    assert count_attempt(TWICE, subject="b", now=NOON).is_allowed
    assert count_attempt(Limit("other", attempts=2, window_seconds=600), subject="a", now=NOON).is_allowed


@pytest.mark.django_db
def test_capitals_and_spaces_make_no_new_subject():
    count_attempt(TWICE, subject="Bench@Example.org", now=NOON)
    count_attempt(TWICE, subject=" bench@example.org ", now=NOON)
    assert not count_attempt(TWICE, subject="bench@example.org", now=NOON).is_allowed


@pytest.mark.django_db
def test_nobodys_address_is_kept_and_old_counters_go():
    count_attempt(TWICE, subject="bench@example.org", now=NOON)
    assert "bench" not in AttemptCount.objects.values_list("subject_sha256", flat=True).get()
    count_attempt(TWICE, subject="other", now=NOON + timedelta(days=1))
    assert AttemptCount.objects.count() == 1


@pytest.mark.parametrize(
    ("proxies", "forwarded", "expected"),
    [
        (0, "198.51.100.9", "192.0.2.1"),
        (1, "198.51.100.9", "198.51.100.9"),
        (1, "203.0.113.5, 198.51.100.9", "198.51.100.9"),
        (2, "203.0.113.5, 198.51.100.9", "203.0.113.5"),
        (2, "198.51.100.9", "192.0.2.1"),
        (1, "", "192.0.2.1"),
    ],
)
def test_only_the_shops_own_proxies_are_believed(rf, settings, proxies, forwarded, expected):
    settings.TRUSTED_PROXIES = proxies
    request = rf.get("/", REMOTE_ADDR="192.0.2.1", HTTP_X_FORWARDED_FOR=forwarded)
    assert client_address(request) == expected
