"""Bookings begun by one network address are counted, through whichever page they begin."""

import pytest
from django.test import Client

from jobs.models import Booking

pytestmark = pytest.mark.django_db
FAMILY = {"family": "carburettor"}
MOST = 40


@pytest.mark.parametrize("path", ["/book/", "/book/family/"])
def test_one_address_begins_forty_bookings_an_hour_and_no_more(shop, path):
    codes = [Client().post(path, FAMILY).status_code for _ in range(MOST + 5)]
    assert codes == [302] * MOST + [429] * 5
    assert Booking.objects.count() == MOST


def test_both_ways_to_begin_are_counted_together(shop):
    for _ in range(MOST // 2):
        Client().post("/book/")
        Client().post("/book/family/", FAMILY)
    late = Client().post("/book/")
    assert (late.status_code, Booking.objects.count()) == (429, MOST)
    assert int(late.headers["Retry-After"]) > 0


def test_going_on_with_a_booking_does_not_count(shop, client):
    codes = {client.post("/book/family/", FAMILY).status_code for _ in range(MOST + 5)}
    assert (codes, Booking.objects.count()) == ({302}, 1)
