"""Which kinds of document does the owner keep, and through which door is each read and published?

Catalogue entries and the shop's own documents have different stores and rules; here they look alike, so that
one editor, one comparison and one list serve all of them.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from django.conf import settings
from django.http import Http404
from django.utils.translation import gettext_lazy as _t

from jobs.domain.actors import Actor
from jobs.domain.shop import ShopKind
from jobs.leadtime.usual_shop import usual_shop
from jobs.messages.first_texts import FIRST_TEXTS
from jobs.models import ShopRevision
from jobs.selectors import shop
from jobs.services import shop as shop_service
from packing import selectors as catalogue
from packing import services as catalogue_service
from packing.catalogue.curves import A, B, fill_curve
from packing.catalogue.documents import slug_problem
from packing.catalogue.fields import FieldShape, describe
from packing.catalogue.rules import check_entry, warnings_for
from packing.catalogue.schema import ENTRY_CLASSES, EntryKind, Family, UnitModel
from packing.errors import CatalogueError
from packing.models import CatalogueRevision
from packing.plain import Problem, from_plain, to_plain, try_plain

Revision = CatalogueRevision | ShopRevision
SOME_NUMBER = re.compile(r"[0-9]{1,9}")
"""A revision's number as a form carries it."""
ANY_CURVE = {A: 100.0, B: 0.1}
"""Constants with which the rest of a material can be looked at while its own cannot be told."""


@dataclass(frozen=True, slots=True)
class DocumentKind:
    """One kind of document: what it is called, what it is for, and how its entries are named."""

    kind: EntryKind | ShopKind
    one: Any
    many: Any
    purpose: Any
    fixed_slugs: tuple[str, ...] = ()

    @property
    def key(self) -> str:
        """The kind as it stands in addresses and files."""
        return str(self.kind.value)

    @property
    def cls(self) -> type:
        """The dataclass of its documents."""
        if isinstance(self.kind, EntryKind):
            return ENTRY_CLASSES[self.kind]
        found: type = shop.SHOP_CLASSES[self.kind]
        return found

    @property
    def shapes(self) -> tuple[FieldShape, ...]:
        """The description of its fields."""
        return describe(self.cls)

    @property
    def told_shapes(self) -> tuple[FieldShape, ...]:
        """The fields of which a change is told: no short name where it says no more than the page does."""
        return tuple(shape for shape in self.shapes if self.has_name_in_address or shape.name != "slug")

    @property
    def has_name_in_address(self) -> bool:
        """Whether a short name that says more than the page tells which document this is."""
        return not self.is_single and self.kind is not ShopKind.CLOSED_DAY

    @property
    def is_single(self) -> bool:
        """Whether the shop has exactly one such document."""
        return len(self.fixed_slugs) == 1


K = DocumentKind
KINDS: tuple[DocumentKind, ...] = (
    K(ShopKind.SHOP, _t("shop"), _t("The shop"), _t("Name, address, carriers and house rules."), ("shop",)),
    K(
        ShopKind.HOURS,
        _t("working hours"),
        _t("Working hours"),
        _t("When work is done; every promised date is counted by them."),
        ("hours",),
    ),
    K(ShopKind.CLOSED_DAY, _t("closed day"), _t("Closed days"), _t("Single days on which nobody works.")),
    K(
        ShopKind.PERSON,
        _t("person"),
        _t("People at the benches"),
        _t("Who works, and who may sign off what."),
    ),
    K(ShopKind.WORK_CENTRE, _t("bench"), _t("Benches"), _t("Places of work and who works at each.")),
    K(ShopKind.ROUTE, _t("route"), _t("Routes"), _t("Which steps a family passes, where, and how long.")),
    K(
        ShopKind.MESSAGE,
        _t("mail text"),
        _t("Mail texts"),
        _t("Your own words in the mails to customers."),
        tuple(text.slug for text in FIRST_TEXTS),
    ),
    K(EntryKind.FAMILY, _t("family"), _t("Families"), _t("What all units of a trade family share.")),
    K(
        EntryKind.UNIT_MODEL,
        _t("unit model"),
        _t("Unit models"),
        _t("How to know a unit, strip it, pack it and test it."),
    ),
    K(EntryKind.MATERIAL, _t("material"), _t("Materials"), _t("Cushions and fill, with their curves.")),
    K(EntryKind.CARTON, _t("carton"), _t("Cartons"), _t("Inside sizes and board.")),
    K(EntryKind.CARRIER, _t("carrier"), _t("Carriers"), _t("Published limits, and how a parcel is billed.")),
)
BY_KEY: Mapping[str, DocumentKind] = {kind.key: kind for kind in KINDS}


def kind_or_404(key: str) -> DocumentKind:
    """Return the kind of this name.

    Raises: Http404 when there is none.
    """
    if key not in BY_KEY:
        raise Http404
    return BY_KEY[key]


def published(kind: DocumentKind) -> dict[str, Any]:
    """Return the documents in use by slug; mails without words of the owner's own have their first ones."""
    if isinstance(kind.kind, EntryKind):
        return dict(catalogue.published(kind.kind))
    found = shop.documents(kind.kind)
    if kind.kind is ShopKind.MESSAGE:
        return {text.slug: found.get(text.slug, text) for text in FIRST_TEXTS}
    return dict(found)


def usual_document(kind: DocumentKind) -> dict[str, Any]:
    """Return what a document that was never published begins with: usual working hours; else nothing."""
    if kind.kind is not ShopKind.HOURS:
        return {}
    hours: dict[str, Any] = to_plain(replace(usual_shop().working_hours, time_zone=settings.SHOP_TIME_ZONE))
    return hours


def revisions(kind: DocumentKind, slug: str) -> tuple[Revision, ...]:
    """Return every revision of one document with who published it, the newest first."""
    if isinstance(kind.kind, EntryKind):
        return catalogue.revisions_of(kind.kind, slug)
    return tuple(shop.revisions_of(kind.kind, slug))


def newest(kind: DocumentKind, slug: str) -> int:
    """Return the number of a document's newest revision, a withdrawal counted; 0 without one."""
    rows = revisions(kind, slug) if slug else ()
    return rows[0].revision if rows else 0


def newest_of_all() -> dict[tuple[str, str], int]:
    """Return the number of every document's newest revision by kind and slug, withdrawals counted."""
    return {**catalogue.newest_revisions(), **shop.newest_revisions()}


def parse(kind: DocumentKind, document: Mapping[str, Any]) -> Any:
    """Return the entry a plain document describes; a material's readings decide its a and b.

    Raises: CatalogueError with one (key, sentence) pair for every wrong key.
    """
    if kind.kind is EntryKind.MATERIAL:
        document = fill_curve(document)
    return from_plain(kind.cls, dict(document))


def look_over(kind: DocumentKind, document: Mapping[str, Any]) -> tuple[Any, tuple[Problem, ...]]:
    """Return the entry a plain document describes, as far as it goes, and all that stands against it."""
    found: list[Problem] = []
    if kind.kind is EntryKind.MATERIAL:
        try:
            document = fill_curve(document)
        except CatalogueError as refusal:
            found += refusal.problems
            document = {**ANY_CURVE, **document}
    entry, refused = try_plain(kind.cls, dict(document))
    found += refused
    if entry is not None:
        found += problems(kind, entry)
    return entry, tuple(dict.fromkeys(found))


def problems(kind: DocumentKind, entry: Any) -> tuple[Problem, ...]:
    """Return everything that stands against publishing the entry beside the others."""
    if isinstance(kind.kind, EntryKind):
        families, models = _for_rules(kind, entry)
        return check_entry(entry, families=families, unit_models=models)
    slug = getattr(entry, "slug", "")
    wrong = slug_problem(slug) if slug and not kind.fixed_slugs else ()
    return (*wrong, *shop_service.problems_with(entry, kind=kind.kind))


def warnings(kind: DocumentKind, entry: Any) -> tuple[Problem, ...]:
    """Return what the owner ought to look at again before publishing."""
    if not isinstance(kind.kind, EntryKind):
        return ()
    families, models = _for_rules(kind, entry)
    return warnings_for(entry, families=families, unit_models=models)


def _for_rules(kind: DocumentKind, entry: Any) -> tuple[dict[str, Family], dict[str, UnitModel]]:
    now_published = catalogue.catalogue()
    families = dict(now_published.families)
    if kind.kind is EntryKind.FAMILY:
        families[entry.slug] = entry
    return families, now_published.unit_models


def publish(
    kind: DocumentKind, entry: Any, *, based_on: int, note: str, actor: Actor, now: datetime
) -> Revision:
    """Return the revision that now holds the entry.

    Raises: CatalogueError; RevisionTaken when `based_on` is not its newest revision.
    """
    if isinstance(kind.kind, EntryKind):
        return catalogue_service.publish_entry(
            entry, based_on=based_on, note=note, actor_user_id=actor.user_id, now=now
        )
    return shop_service.publish_document(
        entry, kind=kind.kind, based_on=based_on, note=note, actor=actor, now=now
    )


def withdraw(
    kind: DocumentKind, slug: str, *, based_on: int, note: str, actor: Actor, now: datetime
) -> Revision:
    """Return the revision that takes the document out of use.

    Raises: CatalogueError while something else needs it; RevisionTaken when `based_on` is not its newest
    revision; UnknownEntry.
    """
    if isinstance(kind.kind, EntryKind):
        return catalogue_service.withdraw_entry(
            kind.kind, slug=slug, based_on=based_on, note=note, actor_user_id=actor.user_id, now=now
        )
    return shop_service.withdraw_document(
        slug, kind=kind.kind, based_on=based_on, note=note, actor=actor, now=now
    )


def name_of(kind: DocumentKind, entry: Any) -> str:
    """Return what an entry is called on a page."""
    if kind.kind is ShopKind.HOURS:
        return str(kind.many)
    if kind.kind is ShopKind.MESSAGE:
        return str(entry.slug).replace("_", " ").capitalize()
    return str(getattr(entry, "name", "") or entry.slug)
