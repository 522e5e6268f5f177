"""Which back-ups are kept, and when the next is due."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from jobs.backups.keeping import is_due, made_in, name_of, newest_in, select_kept

LONDON = ZoneInfo("Europe/London")


def nights(count, *, until=datetime(2026, 11, 20, 2, 30, tzinfo=UTC)):
    return [until - timedelta(days=at) for at in range(count)]


def test_of_a_year_of_nights_seven_days_four_weeks_and_twelve_months_are_kept():
    kept = sorted(select_kept(nights(400), zone=LONDON), reverse=True)
    assert kept[:7] == nights(7)
    # Sundays before them, and the last night of each month before those.
    assert [at.strftime("%m-%d") for at in kept[7:]] == [
        "11-08", "11-01", "10-31", "09-30", "08-31", "07-31", "06-30", "05-31", "04-30", "03-31", "02-28",
        "01-31", "12-31",
    ]  # fmt: skip


def test_a_shop_that_was_closed_for_months_keeps_its_last_ones():
    old = nights(10, until=datetime(2026, 1, 10, 2, 30, tzinfo=UTC))
    again = datetime(2026, 11, 20, 2, 30, tzinfo=UTC)
    assert {again, *old[:6]} <= select_kept([*old, again], zone=LONDON)


def test_the_newest_of_a_day_stands_for_the_day():
    day = datetime(2026, 3, 2, tzinfo=UTC)
    hours = [day + timedelta(hours=hour) for hour in (3, 9, 15)]
    assert select_kept(hours, zone=LONDON) == {hours[-1]}


@pytest.mark.parametrize(
    ("newest", "now", "due"),
    [
        (None, "2026-03-02T12:00", True),
        ("2026-03-02T02:31", "2026-03-02T12:00", False),
        ("2026-03-02T02:29", "2026-03-02T12:00", True),
        ("2026-03-01T02:31", "2026-03-02T02:29", False),
        ("2026-03-01T02:31", "2026-03-02T02:30", True),
        # 2.30 is 1.30 UTC in summer, and does not exist on the night the clocks go forward.
        ("2026-06-01T01:29", "2026-06-01T01:31", True),
        ("2026-06-01T01:31", "2026-06-01T02:31", False),
        ("2026-03-28T03:00", "2026-03-29T03:00", True),
        ("2026-03-29T02:31", "2026-03-29T09:00", False),
    ],
)
def test_a_back_up_is_due_once_a_night_by_the_clock_of_the_shop(newest, now, due):
    newest = newest and datetime.fromisoformat(newest).replace(tzinfo=UTC)
    assert is_due(newest, now=datetime.fromisoformat(now).replace(tzinfo=UTC), zone=LONDON) is due


def test_only_complete_back_ups_are_counted(tmp_path):
    at = datetime(2026, 3, 2, 2, 30, tzinfo=UTC)
    (tmp_path / name_of(at)).mkdir()
    (tmp_path / f".part-{name_of(at + timedelta(days=1))}").mkdir()
    (tmp_path / "notes").mkdir()
    (tmp_path / name_of(at + timedelta(days=2))).write_text("a file, not a folder")
    assert list(made_in(tmp_path)) == [at]
    assert newest_in(tmp_path) == at
    assert newest_in(tmp_path / "nowhere") is None
