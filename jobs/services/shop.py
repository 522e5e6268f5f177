"""Publishing the shop's own documents: checked, then kept as a new revision.

Each change names the revision it was made from, 0 for none. Two people publishing the same document: the
second is told to look again, whether they came at once or an hour apart.
"""

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from functools import partial
from typing import Any

from django.db import transaction

from jobs.domain.actors import Actor
from jobs.domain.mail_words import find_text_problems
from jobs.domain.shop import ClosedDay, ShopIdentity, ShopKind
from jobs.leadtime.closures import open_weekdays
from jobs.leadtime.routes import EVERY_DAY, find_shop_problems
from jobs.leadtime.usual_shop import usual_shop
from jobs.models import ShopRevision
from jobs.selectors import shop
from packing.catalogue.schema import Entry
from packing.errors import CatalogueError, RevisionTaken
from packing.parcel.drop import DropTest
from packing.plain import from_plain, to_plain
from packing.selectors import catalogue
from packing.services import add_entries, one_writer

DOCUMENT_TAKEN = "somebody published this meanwhile; look at what is there now, then publish again."
DAYS_MOST = 3650  # ten years; beyond the calendar no reminder could be counted


@one_writer(told=DOCUMENT_TAKEN)
@transaction.atomic(durable=True)
def publish_document(
    document: dict[str, Any], *, kind: ShopKind, based_on: int, note: str, actor: Actor, now: datetime
) -> ShopRevision:
    """Return the new revision, or the present one when nothing changed.

    Raises: CatalogueError naming each key and what to do about it; RevisionTaken when `based_on` is not the
    newest.
    """
    entry = from_plain(shop.SHOP_CLASSES[kind], document)
    problems = problems_with(entry, kind=kind)
    if problems:
        raise CatalogueError(problems)
    row, _ = _add(entry, kind=kind, based_on=based_on, note=note, withdrawn=False, actor=actor, now=now)
    return row


@one_writer(told=DOCUMENT_TAKEN)
@transaction.atomic(durable=True)
def publish_all(
    *,
    entries: Sequence[Entry],
    documents: Mapping[ShopKind, Sequence[Any]],
    based_on: Mapping[tuple[str, str], int],
    note: str,
    actor: Actor,
    now: datetime,
) -> int:
    """Return how many revisions were added: every catalogue entry and document of a file, or none of them.

    `based_on` holds the revision each was compared with by kind and slug; what is not in it was not there.

    Raises: CatalogueError naming entry and key; RevisionTaken when one of them is not the newest.
    """
    rows = add_entries(entries, based_on=based_on, note=note, actor_user_id=actor.user_id, now=now)
    return len(rows) + _add_all(documents, based_on=based_on, note=note, actor=actor, now=now)


def _add_all(
    documents: Mapping[ShopKind, Sequence[Any]],
    *,
    based_on: Mapping[tuple[str, str], int],
    note: str,
    actor: Actor,
    now: datetime,
) -> int:
    problems = problems_together(documents)
    if problems:
        raise CatalogueError(problems)
    count = 0
    for kind, listed in documents.items():
        for entry in listed:
            seen = based_on.get((kind.value, _slug_of(entry, kind=kind)), 0)
            _, is_new = _add(
                entry, kind=kind, based_on=seen, note=note, withdrawn=False, actor=actor, now=now
            )
            count += is_new
    return count


def publish_usual(*, actor: Actor, now: datetime) -> int:
    """Return how many work centres and routes were added of those a shop of this trade usually starts with.

    Only for families that the catalogue has and no route serves yet; what the owner has published stays.
    Asked for twice at once they are added once.
    Raises: CatalogueError when they do not go together with what is published.
    """
    return _despite_others(partial(_add_usual, actor=actor, now=now))


@one_writer(told=DOCUMENT_TAKEN)
@transaction.atomic(durable=True)
def _add_usual(*, actor: Actor, now: datetime) -> int:
    usual, based_on = usual_shop(), shop.newest_revisions()
    centres, routes = shop.documents(ShopKind.WORK_CENTRE), shop.documents(ShopKind.ROUTE)
    served = {family for route in routes.values() for family in route.families}
    wanted = set(catalogue().families) - served
    new_routes = [
        route for route in usual.routes if wanted.issuperset(route.families) and route.slug not in routes
    ]
    needed = {planned.work_centre for route in new_routes for planned in route.steps} - set(centres)
    documents: dict[ShopKind, list[Any]] = {
        ShopKind.WORK_CENTRE: [centre for centre in usual.centres if centre.slug in needed],
        ShopKind.ROUTE: new_routes,
    }
    return _add_all(documents, based_on=based_on, note=usual.origin, actor=actor, now=now)


def problems_together(documents: Mapping[ShopKind, Sequence[Any]]) -> tuple[tuple[str, str], ...]:
    """Return what stands against publishing these documents as one, beside the published others."""
    changed: dict[ShopKind, dict[str, Any]] = {
        kind: {**shop.documents(kind), **{entry.slug: entry for entry in listed}}
        for kind, listed in documents.items()
        if kind in {ShopKind.ROUTE, ShopKind.WORK_CENTRE, ShopKind.PERSON}
    }
    own = [problem for entry in documents.get(ShopKind.SHOP, ()) for problem in _identity_problems(entry)]
    own += [problem for entry in documents.get(ShopKind.MESSAGE, ()) for problem in find_text_problems(entry)]
    return (*own, *(_check(changed) if changed else ()))


def _identity_problems(entry: ShopIdentity) -> tuple[tuple[str, str], ...]:
    """Return what the shop's identity names that cannot be: a drop test, a mail address, a number of days."""
    known = [level.value for level in DropTest]
    name, _at, host = entry.email.rpartition("@")
    sentences = {
        "email": "" if name and host else "give the address in full, like name@example.com.",
        "test_level": ""
        if entry.test_level in known
        else f"“{entry.test_level}” is not a drop test that is known; choose from {', '.join(known)}.",
        "close_after_days": ""
        if 0 <= entry.close_after_days <= DAYS_MOST
        else f"give 0 days or more, {DAYS_MOST} at most.",
        "reminder_days": ""
        if all(0 < days <= DAYS_MOST for days in entry.reminder_days)
        else f"give 1 day or more, {DAYS_MOST} at most.",
    }
    return tuple((key, sentence) for key, sentence in sentences.items() if sentence)


@one_writer(told=DOCUMENT_TAKEN)
@transaction.atomic(durable=True)
def withdraw_document(
    slug: str, *, kind: ShopKind, based_on: int, note: str, actor: Actor, now: datetime
) -> ShopRevision:
    """Return the revision that takes a document out of use; its history stays.

    Raises: CatalogueError when something else still needs it; RevisionTaken when `based_on` is not the
    newest.
    """
    entry = shop.documents(kind).get(slug)
    if entry is None:
        raise CatalogueError((("slug", f"there is no “{slug}” to withdraw."),))
    problems = _problems_without(slug, kind=kind)
    if problems:
        raise CatalogueError(problems)
    row, _ = _add(entry, kind=kind, based_on=based_on, note=note, withdrawn=True, actor=actor, now=now)
    return row


def problems_with(entry: Any, *, kind: ShopKind) -> tuple[tuple[str, str], ...]:
    """Return what stands against publishing this document, looked at together with the others."""
    if kind is ShopKind.SHOP:
        return _identity_problems(entry)
    if kind is ShopKind.MESSAGE:
        return find_text_problems(entry)
    if kind not in {ShopKind.ROUTE, ShopKind.WORK_CENTRE, ShopKind.PERSON}:
        return ()
    return _check({kind: {**shop.documents(kind), entry.slug: entry}})


def _problems_without(slug: str, *, kind: ShopKind) -> tuple[tuple[str, str], ...]:
    if kind not in {ShopKind.ROUTE, ShopKind.WORK_CENTRE, ShopKind.PERSON}:
        return ()
    rest = {other: entry for other, entry in shop.documents(kind).items() if other != slug}
    return _check({kind: rest})


def _check(changed: dict[ShopKind, dict[str, Any]]) -> tuple[tuple[str, str], ...]:
    """Return the problems of routes, benches and people as they would be together."""
    found = {
        kind: changed.get(kind, shop.documents(kind))
        for kind in (ShopKind.ROUTE, ShopKind.WORK_CENTRE, ShopKind.PERSON)
    }
    # Routes may be brought in before the benches they pass.
    routes = found[ShopKind.ROUTE] if found[ShopKind.WORK_CENTRE] else {}
    return find_shop_problems(
        tuple(routes.values()),
        centres=tuple(found[ShopKind.WORK_CENTRE].values()),
        people=tuple(found[ShopKind.PERSON].values()),
        open_on=next((open_weekdays(hours) for hours in shop.documents(ShopKind.HOURS).values()), EVERY_DAY),
    )


def _slug_of(entry: Any, *, kind: ShopKind) -> str:
    return str(getattr(entry, "slug", kind.value))


def _add(
    entry: Any, *, kind: ShopKind, based_on: int, note: str, withdrawn: bool, actor: Actor, now: datetime
) -> tuple[ShopRevision, bool]:
    """Return the newest revision, and whether it was added now; one that says the same is not."""
    slug = _slug_of(entry, kind=kind)
    document = to_plain(entry)
    last = ShopRevision.objects.filter(kind=kind.value, slug=slug).order_by("-revision").first()
    if last is not None and last.document == document and last.withdrawn == withdrawn:
        return last, False
    newest = last.revision if last is not None else 0
    if based_on != newest:
        raise RevisionTaken((("revision", DOCUMENT_TAKEN),))
    row = ShopRevision.objects.create(
        kind=kind.value,
        slug=slug,
        revision=newest + 1,
        document=document,
        withdrawn=withdrawn,
        note=note[:200],
        published_at=now,
        published_by_id=actor.user_id,
    )
    return row, True


def seed_closed_days(
    *, country: str, subdivision: str | None, years: tuple[int, ...], actor: Actor, now: datetime
) -> int:
    """Return how many public holidays of the country were added as closed days the owner may change.

    A day the owner ever had, also one that was withdrawn since, is left as it is.
    Raises: CatalogueError when somebody publishes the same days at the same time; none is added then.
    """
    import holidays  # noqa: PLC0415 - loading its calendars takes a tenth of a second

    found = holidays.country_holidays(country, subdiv=subdivision, years=list(years))
    days = [ClosedDay(slug=on.isoformat(), on=on, name=name) for on, name in sorted(found.items())]
    return _despite_others(partial(_add_new_days, days, actor=actor, now=now))


@one_writer(told=DOCUMENT_TAKEN)
@transaction.atomic(durable=True)
def _add_new_days(days: Sequence[ClosedDay], *, actor: Actor, now: datetime) -> int:
    rows = ShopRevision.objects.filter(kind=ShopKind.CLOSED_DAY.value)
    based_on, known = shop.newest_revisions(), set(rows.values_list("slug", flat=True))
    new = [day for day in days if day.slug not in known]
    return _add_all(
        {ShopKind.CLOSED_DAY: new}, based_on=based_on, note="public holiday", actor=actor, now=now
    )


def _despite_others(add: Callable[[], int]) -> int:
    """Return what `add` added; when somebody else was faster, what is left to add is looked up again."""
    try:
        return add()
    except RevisionTaken:
        return add()
