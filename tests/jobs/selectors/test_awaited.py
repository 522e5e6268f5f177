"""However many parcels are awaited, looking for the booking of a box asks the database as often."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from jobs.selectors.awaited import BoxSigns, find_awaited
from tests.factories import NOW, make_job, open_shop

FIVE = 5


@pytest.mark.django_db(transaction=True)  # inside a transaction the shop's documents are read anew each time
def test_the_bookings_of_a_box_are_found_in_as_many_queries_whether_one_or_five_may_be_meant():
    open_shop()
    box = BoxSigns(family="carburettor")
    counted = []
    for total in (1, FIVE):
        while len(find_awaited("", box=box, now=NOW)) < total:
            make_job(stage="cleared")
        find_awaited("", box=box, now=NOW)
        with CaptureQueriesContext(connection) as queries:
            hits = find_awaited("", box=box, now=NOW)
        counted.append((len(hits), len(queries)))
    assert [hits for hits, _ in counted] == [1, FIVE]
    assert counted[0][1] == counted[1][1]
