"""Counters let through exactly the limit, and a link signs in exactly once, however many try at once."""

import threading
from datetime import UTC, datetime, timedelta

import pytest
from django.db import connections

from portal.accounts.links import LinkRefused, ask_for_link, redeem_link
from portal.shared.ratelimit import Limit, count_attempt

pytestmark = pytest.mark.django_db(transaction=True)
NOON = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)


def at_once(times, task):
    """Call `task` so many times from 8 threads and return what each call gave."""
    results, left = [], list(range(times))

    def work():
        try:
            while left:
                try:
                    left.pop()
                except IndexError:
                    return
                results.append(task())
        finally:
            connections.close_all()

    threads = [threading.Thread(target=work) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(results) == times
    return results


def test_of_200_attempts_at_once_exactly_20_pass():
    limit = Limit("test", attempts=20, window_seconds=3600)
    passed = at_once(200, lambda: count_attempt(limit, subject="192.0.2.7", now=NOON).is_allowed)
    assert passed.count(True) == 20


def test_of_50_uses_of_a_link_at_once_exactly_one_signs_in(person):
    person("workshop", email="bench@quillfeather.example")
    asked = ask_for_link("bench@quillfeather.example", now=NOON)

    def redeem():
        try:
            return redeem_link(
                asked.token, browser_secret=asked.browser_secret, now=NOON + timedelta(minutes=1)
            )
        except LinkRefused:
            return None

    assert sum(somebody is not None for somebody in at_once(50, redeem)) == 1
