"""What past quotes add up to: the dates that were told are judged, waits for the customer are told apart."""

from dataclasses import replace
from datetime import timedelta

import pytest

from jobs.leadtime.calibrate import PastQuote, as_known, as_told, place_in_quote, recalibrate
from jobs.leadtime.ranges import LEVELS, QuotedLevels
from jobs.leadtime.record import QuoteRecord, judge_quotes
from jobs.leadtime.reliability import record_families
from jobs.leadtime.state import Priority
from packing.plain import from_plain, to_plain
from tests.jobs.leadtime.shops import EIGHT_HOURS
from tests.jobs.leadtime.test_calibrate import LONG_AFTER, past, quote

AT_80 = LEVELS.index(0.8)


def judge(quotes, **more):
    given = {"replayed": 0, "promises": (), "shop_levels": QuotedLevels(), "family_levels": {}, **more}
    return judge_quotes(quotes, hours=EIGHT_HOURS, now=LONG_AFTER, **given)


def test_an_uncorrected_quote_was_told_as_simulated():
    some = quote(1, 100.0)
    assert as_told(some) is some


def test_the_date_told_for_eight_in_ten_is_that_of_the_moved_level():
    some = replace(quote(1, 100.0), levels=QuotedLevels(0.1, 0.5, 0.9, 0.95))
    told = as_told(some).quantile_hours
    assert told[AT_80] == pytest.approx(some.quantile_hours[LEVELS.index(0.9)])
    assert told[LEVELS.index(0.5)] == pytest.approx(some.quantile_hours[LEVELS.index(0.5)])
    assert list(told) == sorted(told)


def test_a_record_judges_what_was_told_and_the_correction_what_was_simulated():
    levels = QuotedLevels(0.1, 0.6, 0.95, 0.97)
    told_later = [replace(some, levels=levels, family="sender") for some in past(110.0)]
    found = judge(told_later)
    assert found.families[0].covered_80_share > found.uncorrected.covered_80_share + 0.1
    same = recalibrate(past(110.0), hours=EIGHT_HOURS, now=LONG_AFTER)
    assert recalibrate(told_later, hours=EIGHT_HOURS, now=LONG_AFTER) == same


def test_lateness_that_the_customer_caused_is_told_apart_and_taken_off_nothing():
    high_h = quote(1, 100.0).quantile_hours[AT_80]
    ours = quote(1, high_h + 8.0)
    theirs = replace(quote(2, high_h + 8.0), stopped_hours=10.0)
    (whole,) = record_families([ours, theirs], hours=EIGHT_HOURS, now=LONG_AFTER)
    assert (whole.late, whole.late_by_customer) == (2, 1)
    assert whole.covered_80_share == 0.0
    assert whole.stopped_days == pytest.approx(10.0 / 2 / 8, abs=0.01)
    assert place_in_quote(theirs, hours=EIGHT_HOURS) == place_in_quote(ours, hours=EIGHT_HOURS)


def test_on_the_day_nobody_knew_what_was_packed_later():
    some = quote(1, 100.0)
    assert as_known(some, at=some.finished_at - timedelta(seconds=1)).finished_at is None
    assert as_known(some, at=some.finished_at) is some


def test_a_record_says_how_many_quotes_stand_behind_each_family():
    quotes = [replace(some, family="magneto") for some in past(100.0, count=20)]
    young = PastQuote("9", LONG_AFTER, quote(1, 1.0).quantile_hours, None, "magneto")
    levels = {"magneto": QuotedLevels(), "sender": QuotedLevels()}
    found = judge([*quotes, young], family_levels=levels, replayed=20)
    assert [(each.family, each.quotes) for each in found.levels] == [("", 20), ("magneto", 20), ("sender", 0)]
    assert (found.quotes, found.unripe, found.replayed) == (21, 1, 20)


def test_quotes_are_judged_apart_for_jobs_in_their_turn_and_jobs_put_first():
    in_time = [replace(some, priority=Priority.URGENT) for some in past(50.0, count=4)]
    late = [replace(some, finished_at=None) for some in past(100.0, count=6)]
    found = judge([*in_time, *late])
    assert (found.put_first.quotes, found.put_first.covered_80_share, found.put_first.still_open) == (4, 1, 0)
    assert (found.in_turn.quotes, found.in_turn.covered_80_share, found.in_turn.still_open) == (6, 0, 6)
    assert judge(late).put_first is None
    assert judge(in_time).in_turn is None


def test_a_record_of_before_jobs_could_be_put_first_is_still_read():
    found = judge(past(100.0, count=20))
    stored = {key: value for key, value in to_plain(found).items() if key not in {"in_turn", "put_first"}}
    assert stored != to_plain(found)
    assert from_plain(QuoteRecord, stored) == replace(found, in_turn=None, put_first=None)


def test_a_record_survives_being_stored():
    quotes = [replace(some, family="magneto") for some in past(100.0, count=20)]
    for found in (judge(quotes, promises=quotes, family_levels={"magneto": QuotedLevels()}), judge([])):
        assert from_plain(QuoteRecord, to_plain(found)) == found
    assert judge([]).points == ()
