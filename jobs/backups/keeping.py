"""Which back-ups are kept, and is one due?"""

from collections.abc import Callable, Iterable, Sequence
from datetime import datetime, time, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

DAYS, WEEKS, MONTHS = 7, 4, 12
NIGHT = time(2, 30)
NAMED = "%Y-%m-%dT%H%M%SZ"
PART = ".part-"  # a back-up that is being made; one left behind by a crash is cleared away by the next


def select_kept(made: Sequence[datetime], *, zone: ZoneInfo) -> frozenset[datetime]:
    """Return which back-ups to keep: the newest of each of the last 7 days, 4 weeks and 12 months.

    Only days, weeks and months that have a back-up count, so a shop that was closed for a month loses none.

    >>> from datetime import UTC
    >>> days = [datetime(2026, 3, day, 2, 30, tzinfo=UTC) for day in range(1, 32)]
    >>> sorted(at.day for at in select_kept(days, zone=ZoneInfo("UTC")))
    [8, 15, 22, 25, 26, 27, 28, 29, 30, 31]
    """
    local = sorted((at.astimezone(zone) for at in made), reverse=True)
    periods: tuple[tuple[int, Callable[[datetime], object]], ...] = (
        (DAYS, lambda at: at.date()),
        (WEEKS, lambda at: at.isocalendar()[:2]),
        (MONTHS, lambda at: (at.year, at.month)),
    )
    kept: set[datetime] = set()
    for most, period in periods:
        newest: dict[object, datetime] = {}
        for at in local:
            newest.setdefault(period(at), at)
        kept.update(list(newest.values())[:most])
    return frozenset(kept)


def is_due(newest: datetime | None, *, now: datetime, zone: ZoneInfo) -> bool:
    """Say whether no back-up was made since the last half past two at night."""
    local = now.astimezone(zone)
    night = datetime.combine(local.date(), NIGHT, tzinfo=zone)
    if night > local:
        night = datetime.combine(local.date() - timedelta(days=1), NIGHT, tzinfo=zone)
    return newest is None or newest < night


def made_in(folder: Path) -> dict[datetime, Path]:
    """Return the complete back-ups in a folder by when they were made, oldest first."""
    found = {}
    for path in folder.iterdir() if folder.is_dir() else ():
        at = _moment(path.name)
        if at is not None and path.is_dir():
            found[at] = path
    return dict(sorted(found.items()))


def newest_in(folder: Path) -> datetime | None:
    """Return when the newest complete back-up was made."""
    return max(made_in(folder), default=None)


def name_of(made_at: datetime) -> str:
    """Return the folder's name: the moment in UTC, without signs that a file system refuses."""
    return made_at.astimezone(ZoneInfo("UTC")).strftime(NAMED)


def _moment(name: str) -> datetime | None:
    try:
        return datetime.strptime(name, NAMED).replace(tzinfo=ZoneInfo("UTC"))
    except ValueError:
        return None


def left_behind(names: Iterable[Path]) -> list[Path]:
    """Return the beginnings of back-ups that never became complete."""
    return [path for path in names if path.name.startswith(PART)]
