"""The shop's published documents: identity, hours, benches, people, routes, closed days, messages."""

import json
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import date
from functools import lru_cache
from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings
from django.db import connection
from django.db.models import Count, Max, TextField
from django.db.models.functions import Cast
from django.utils import timezone

from jobs.domain.shop import ClosedDay, MessageText, ShopIdentity, ShopKind
from jobs.leadtime.clock import Closure, WorkingHours, open_day_from
from jobs.leadtime.errors import LeadTimeError
from jobs.leadtime.routes import Person, Route, WorkCentre
from jobs.leadtime.routes import route_for as find_route
from jobs.messages.first_texts import FIRST_TEXTS
from jobs.models import ShopRevision
from packing.plain import from_plain

SHOP_CLASSES: dict[ShopKind, type[Any]] = {
    ShopKind.SHOP: ShopIdentity,
    ShopKind.HOURS: WorkingHours,
    ShopKind.CLOSED_DAY: ClosedDay,
    ShopKind.WORK_CENTRE: WorkCentre,
    ShopKind.PERSON: Person,
    ShopKind.ROUTE: Route,
    ShopKind.MESSAGE: MessageText,
}

UNNAMED_SHOP = ShopIdentity(
    slug="shop",
    name="Your shop",
    strapline="Fuel and ignition units rebuilt by post",
    address_lines=("This shop has not published its address yet",),
    phone="",
    email="",
    hours_sentence="",
    intake_open=False,
    intake_note="This shop is still being set up.",
)

Published = dict[ShopKind, dict[str, Any]]
_kept: tuple[tuple[int | None, int], Published] | None = None


def documents(kind: ShopKind) -> dict[str, Any]:
    """Return the published documents of one kind by slug, in slug order."""
    return _published().get(kind, {})


def all_documents() -> Published:
    """Return the published documents of every kind that has any, read together."""
    return _published()


def identity() -> ShopIdentity:
    """Return the shop's identity, or a placeholder until the owner has set it."""
    found = documents(ShopKind.SHOP).get("shop")
    return found if isinstance(found, ShopIdentity) else UNNAMED_SHOP


def working_hours() -> WorkingHours:
    """Return the shop's working hours with its closed days in them.

    Raises: LeadTimeError until the owner has published working hours.
    """
    hours = documents(ShopKind.HOURS).get("hours")
    if not isinstance(hours, WorkingHours):
        raise LeadTimeError(
            "No working hours are set. The owner sets them under “Shop and catalogue”, “Working hours”."
        )
    days = sorted(documents(ShopKind.CLOSED_DAY).values(), key=lambda day: day.on)
    closures = tuple(Closure(first=day.on, last=day.on, reason=day.name) for day in days)
    return replace(hours, closures=(*hours.closures, *closures))


def open_day(day: date) -> date:
    """Return the first day from this one on which the shop works, and a unit can leave."""
    return open_days()(day)


def open_days() -> Callable[[date], date]:
    """Return `open_day` for many days, which reads the shop's hours once."""
    try:
        hours = working_hours()
    except LeadTimeError:
        return lambda day: day  # without hours no day is known to be closed
    return lambda day: open_day_from(hours, day=day)


def zone() -> ZoneInfo:
    """Return the shop's time zone."""
    return zone_in(_published())


@contextmanager
def shop_clock() -> Iterator[None]:
    """Let “today” and every clock time inside be those of the shop's zone; also a decorator.

    The zone the owner published counts, which need not be the one the site was installed with.
    """
    with timezone.override(zone()):
        yield


def zone_in(known: Published) -> ZoneInfo:
    """Return the time zone that these documents set; without working hours the site's own."""
    found = known.get(ShopKind.HOURS, {}).get("hours")
    return ZoneInfo(found.time_zone if isinstance(found, WorkingHours) else settings.SHOP_TIME_ZONE)


def work_centres() -> tuple[WorkCentre, ...]:
    """Return the benches."""
    return tuple(documents(ShopKind.WORK_CENTRE).values())


def people() -> tuple[Person, ...]:
    """Return the people of the workshop."""
    return tuple(documents(ShopKind.PERSON).values())


def routes() -> tuple[Route, ...]:
    """Return the routes."""
    return tuple(documents(ShopKind.ROUTE).values())


def route_for(family: str) -> Route:
    """Return the route the family's units take.

    Raises: NoRoute naming the family when no route takes it.
    """
    return find_route(routes(), family=family)


def message_text(kind: str) -> MessageText:
    """Return the owner's words for one kind of mail, or the first ones."""
    found = documents(ShopKind.MESSAGE).get(kind)
    if isinstance(found, MessageText):
        return found
    return next(text for text in FIRST_TEXTS if text.slug == kind)


def revisions_of(kind: ShopKind, slug: str) -> list[ShopRevision]:
    """Return every revision of one document, newest first."""
    return list(
        ShopRevision.objects.filter(kind=kind.value, slug=slug)
        .select_related("published_by")
        .order_by("-revision")
    )


def newest_revisions() -> dict[tuple[str, str], int]:
    """Return the number of the newest revision by kind and slug, withdrawn documents counted."""
    rows = ShopRevision.objects.values_list("kind", "slug").annotate(newest=Max("revision")).order_by()
    return {(kind, slug): number for kind, slug, number in rows}


def _published() -> Published:
    """Return all documents, read again when a revision was added.

    Inside a transaction nothing is kept: what it sees may be rolled back, and its row numbers used again.
    """
    global _kept  # noqa: PLW0603 - one pair, replaced whole, so that threads never see half of it
    if connection.in_atomic_block:
        return _read_all()
    seen = ShopRevision.objects.aggregate(last=Max("pk"), count=Count("pk"))
    key = (seen["last"], seen["count"])
    kept = _kept
    if kept is None or kept[0] != key:
        kept = _kept = (key, _read_all())
    return kept[1]


def _read_all() -> Published:
    found: Published = {}
    rows = (
        ShopRevision.objects.order_by("kind", "slug", "revision")
        .annotate(document_text=Cast("document", TextField()))
        .values_list("kind", "slug", "document_text", "withdrawn")
    )
    latest = {(kind, slug): (text, withdrawn) for kind, slug, text, withdrawn in rows}
    for (kind_name, slug), (text, withdrawn) in latest.items():
        if not withdrawn:
            kind = ShopKind(kind_name)
            found.setdefault(kind, {})[slug] = _parsed(kind, text)
    return found


@lru_cache(maxsize=1024)
def _parsed(kind: ShopKind, text: str) -> Any:
    return from_plain(SHOP_CLASSES[kind], json.loads(text))
