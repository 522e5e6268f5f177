"""Which fields of a document name another document, and what can be chosen there?"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from jobs.domain.shop import ShopKind
from jobs.selectors import shop
from packing import selectors as catalogue
from packing.catalogue.schema import EntryKind
from packing.parcel.drop import DropTest
from portal.owner.labels import choice_words

Choice = tuple[str, str]

NAMES: dict[str, str] = {
    "UnitModel.family": EntryKind.FAMILY.value,
    "Route.families": EntryKind.FAMILY.value,
    "Person.signs_off": EntryKind.FAMILY.value,
    "WorkCentre.people": ShopKind.PERSON.value,
    "RouteStep.work_centre": ShopKind.WORK_CENTRE.value,
    "ShopIdentity.carrier_in": EntryKind.CARRIER.value,
    "ShopIdentity.carrier_back": EntryKind.CARRIER.value,
    "ShopIdentity.test_level": "test_level",
}


@dataclass(frozen=True, slots=True)
class References:
    """Everything that can be named by another document now, as choices."""

    choices: dict[str, tuple[Choice, ...]]

    def of(self, owner: type, name: str) -> tuple[Choice, ...] | None:
        """Return the choices for a field, or None when it names nothing."""
        target = NAMES.get(f"{owner.__name__}.{name}")
        return None if target is None else self.choices[target]

    def words(self, owner: type, name: str, value: Any) -> str:
        """Return the name of what a field names, or the value itself when it is not there any more."""
        return dict(self.of(owner, name) or ()).get(str(value), str(value))


def references() -> References:
    """Return what can be named now, in two reads."""
    known = catalogue.catalogue()
    return References(
        {
            EntryKind.FAMILY.value: _named(known.families.values(), name="plural"),
            EntryKind.CARRIER.value: tuple(
                (each.slug, f"{each.name}, {each.service}") for each in known.carriers.values()
            ),
            ShopKind.PERSON.value: _named(shop.people(), name="name"),
            ShopKind.WORK_CENTRE.value: _named(shop.work_centres(), name="name"),
            "test_level": tuple((level.value, choice_words(level)) for level in DropTest),
        }
    )


def _named(entries: Iterable[Any], *, name: str) -> tuple[Choice, ...]:
    return tuple((entry.slug, str(getattr(entry, name))) for entry in entries)
