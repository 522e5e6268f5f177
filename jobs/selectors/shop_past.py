"""What came in, went out and arrived damaged up to now? Worked out again only when the log has grown."""

from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.db import connection

from jobs.models import JobEvent
from jobs.selectors.reports import Damages, WeekFlow, damages, weekly_flow

Key = tuple[int, datetime, int, date, str]
_kept: "tuple[Key, ShopPast] | None" = None


@dataclass(frozen=True, slots=True)
class ShopPast:
    """The finished weeks and months of the shop."""

    flow: tuple[WeekFlow, ...]
    damages: Damages


def shop_past(*, zone: ZoneInfo, now: datetime) -> ShopPast:
    """Return the flow of the last half year and the damages of the last twelve months.

    Both count some thousand rows that nothing but a new row of the log can change: marks are written and
    withdrawn together with one. Inside a transaction nothing is kept: what it sees may be rolled back.
    """
    global _kept  # noqa: PLW0603 - one pair, replaced whole, so that threads never see half of it
    last = None if connection.in_atomic_block else JobEvent.objects.order_by("-pk").first()
    if last is None:
        return _read(zone=zone, now=now)
    key = (last.pk, last.recorded_at, JobEvent.objects.count(), now.astimezone(zone).date(), zone.key)
    kept = _kept
    if kept is None or kept[0] != key:
        kept = _kept = (key, _read(zone=zone, now=now))
    return kept[1]


def _read(*, zone: ZoneInfo, now: datetime) -> ShopPast:
    return ShopPast(weekly_flow(zone=zone, now=now), damages(zone=zone, now=now))
