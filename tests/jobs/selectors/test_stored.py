"""Rows that another release stored in another shape: left out, never an error on a page."""

import pytest

from jobs.leadtime.ranges import Reason, ReasonKind
from jobs.models import ForecastRun, OutlookPart
from jobs.selectors import outlook, quotes, reports
from jobs.selectors.stored import read_each, read_stored
from packing.plain import to_plain
from packing.selectors import catalogue
from tests.factories import NOW

GOOD = Reason(ReasonKind.QUEUE, 2.0, "Queue at the strip bench.")
ODD = {"kind": "weather", "working_days": "long"}


def test_what_was_stored_is_read():
    assert read_stored(Reason, to_plain(GOOD)) == GOOD


@pytest.mark.parametrize("content", [ODD, None, 7, "text", [], {}])
def test_another_shape_is_as_good_as_nothing(content):
    assert read_stored(Reason, content) is None


@pytest.mark.parametrize("contents", [None, 7, "text"])
def test_what_is_no_list_has_no_items(contents):
    assert read_each(Reason, contents) == ()


def test_of_a_list_the_readable_items_are_kept():
    assert read_each(Reason, [ODD, to_plain(GOOD), None]) == (GOOD,)


@pytest.mark.django_db
def test_a_run_of_another_shape_leaves_every_page_standing():
    odd = ["centres", "drifts", "refusals", "weeks"]
    ForecastRun.objects.create(
        computed_at=NOW,
        log_mark=0,
        overview={name: [ODD] for name in odd} | {"limit": ODD, "record": ODD, "quiet_week": "soon"},
    )
    OutlookPart.objects.create(
        part="weeks", run_at=NOW, computed_at=NOW, content={"promises": [ODD], "weeks": 7}
    )
    now = reports.forecast_now(published=catalogue())
    assert (now.centres, now.limit, now.quiet_week, now.refusals) == ((), None, None, ())
    assert now.chances.by_number == {}
    found = quotes.quotes_now()
    assert (found.record, found.drifts) == (None, ())
    assert quotes.levels_in_force(ForecastRun.objects.get()) == quotes.LevelsInForce()
    assert outlook.weeks_ahead() == (None, "")
    assert outlook.stakes().gains == {}
