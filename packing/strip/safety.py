"""What has to be declared with this unit, and what may no strip list tell a customer?

Nothing here classifies goods: in US law the shipper does (PHMSA letter 06-0261).
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from packing.catalogue.family_rules import ALWAYS_CAPPED, caps_every_port
from packing.catalogue.schema import Family, StripAction, StripStep
from packing.catalogue.wording import dangers_in
from packing.parcel.unit import Leg
from packing.strip.strip_list import StripItem, StripList

LIFT_MARK_KG = 20.0
DEFERRAL = "The carrier's rules and your local law decide; licensed work stays with licensed people."
READ_ON = date(2026, 11, 25)
# Words that name what a sentence of the family forbids, and the words of the shared caution that says it.
_SAID_BY = (
    (("asbestos",), "can hold asbestos"),
    (("oven",), "use no water, oven"),
    (("post", "smell"), "never bag or post a unit that still smells"),
)
_IF_REFUSED = {
    Leg.TO_SHOP: "take it home",
    Leg.TO_CUSTOMER: "bring it back to the shop and tell the customer",
}
_DIESEL_WORDS = ("diesel", "injection pump", "injector")

CAP_EVERY_PORT = StripItem(
    slug="cap_every_port",
    action=StripAction.CAP,
    part="every port",
    instruction=(
        "As soon as it is drained, cap every port with a clean cap that holds: no rag, no paper, no tape."
    ),
    why="One grain of dirt scores the fine fits inside, and what weeps out stays in.",
)


# --- goods flags and cautions ----------------------------------------------------------------------


class GoodsKind(StrEnum):
    """What may matter to a carrier, or to whoever lifts the parcel."""

    FUEL = "fuel"
    MAGNET = "magnet"
    ASBESTOS = "asbestos"
    LIFT = "lift"


@dataclass(frozen=True, slots=True)
class GoodsFlag:
    """One matter to declare or mark: a sentence for the sender, the rule behind it, and when it was read."""

    kind: GoodsKind
    sentence: str
    rule: str
    read_on: date | None = None


def needs_capping(family: Family) -> bool:
    """Return whether dirt in an open port ruins units of `family`, so that every port is capped."""
    words = f"{family.slug} {family.name} {family.plural}".lower().replace("_", " ")
    return family.ports_capped or family.slug in ALWAYS_CAPPED or any(word in words for word in _DIESEL_WORDS)


def goods_flags(
    family: Family, *, leg: Leg, by_air: bool | None, gross_mass_kg: float | None = None
) -> tuple[GoodsFlag, ...]:
    """Return what to declare, mark or beware of in sending a unit of `family`, in words for who sends it.

    `by_air` is None while the service is not chosen; the air rules are then shown as well.
    Without `gross_mass_kg` the heaviest unit of the family decides about the lift mark.
    """
    return tuple(_flags(family, leg=leg, by_air=by_air, gross_mass_kg=gross_mass_kg))


def _flags(
    family: Family, *, leg: Leg, by_air: bool | None, gross_mass_kg: float | None
) -> Iterator[GoodsFlag]:
    if family.holds_fuel:
        yield GoodsFlag(
            GoodsKind.FUEL,
            "It has held fuel: declare it truthfully as used, drained and aired, no fuel. If the carrier "
            f"will not take it, {_IF_REFUSED[leg]}. {DEFERRAL}",
            "49 CFR 173.29 and PHMSA letter 02-0209 (used fuel pumps with a trace left travel like the "
            "fuel); USPS Postal Bulletin 22180 (odour or residue is not purged); IATA hidden dangerous "
            "goods list",
            READ_ON,
        )
    if family.magnetised and by_air is not False:
        yield GoodsFlag(
            GoodsKind.MAGNET,
            "It holds strong magnets, which are restricted by air: send it by road, or let the carrier "
            f"have the field measured first. {DEFERRAL}",
            "49 CFR 173.21(d) and PHMSA letter 09-0084: above 0.00525 gauss at 4.6 m barred by air, below "
            "0.002 gauss at 2.1 m not restricted, between the two declared",
            READ_ON,
        )
    if family.holds_fuel or _mentions_gasket(family):
        yield GoodsFlag(
            GoodsKind.ASBESTOS,
            f"Old gaskets and heat spacers can hold asbestos: leave them in place, undisturbed. {DEFERRAL}",
            "ADR special provision 168 (bound asbestos in transport); HSE on asbestos in vehicle parts: "
            "an old gasket may not be passed on",
            READ_ON,
        )
    heaviest_kg = family.mass_most_kg if gross_mass_kg is None else gross_mass_kg
    if heaviest_kg > LIFT_MARK_KG:
        yield GoodsFlag(
            GoodsKind.LIFT,
            f"Over {LIFT_MARK_KG:g} kg: mark the carton for two people on all sides and do not lift it "
            f"alone. {DEFERRAL}",
            "common practice, no published source for 20 kg",
        )


def _mentions_gasket(family: Family) -> bool:
    return any("gasket" in f"{step.part} {step.instruction}".lower() for step in family.strip_steps)


def cautions(family: Family) -> tuple[str, ...]:
    """Return the cautions of `family` in the order of the work; each ends by deferring to carrier and law.

    What the family says once more about old gaskets, drying with heat or a smell of fuel is left out.
    """
    shared = tuple(_cautions(family))
    own = (never for never in family.never if not _is_said(never, shared=" ".join(shared)))
    return tuple(f"{sentence} {DEFERRAL}" for sentence in (*shared, *own))


def _is_said(never: str, *, shared: str) -> bool:
    """Return whether the shared cautions already forbid what the family's own sentence forbids."""
    own, said = never.lower(), shared.lower()
    return any(all(word in own for word in words) and told in said for words, told in _SAID_BY)


def _cautions(family: Family) -> Iterator[str]:
    if family.holds_fuel:
        yield (
            "Fuel vapour is heavier than air, runs along the ground and burns from a spark far off: drain "
            "outdoors, engine cold, battery off, no flame, pilot light or switch near, an extinguisher to "
            "hand."
        )
        yield (
            "Wear nitrile gloves and eye protection; wash fuel off skin at once, and take wet clothes off "
            "outdoors."
        )
        yield (
            "Use no water, oven, hair dryer, flame or spray cleaner, and never bag or post a unit that still "
            "smells, however faintly. Old fuel goes to a household hazardous-waste point."
        )
    if needs_capping(family):
        yield "Diesel counts as well: it burns too, and it passes the same airing and smell test."
    if family.holds_fuel or _mentions_gasket(family):
        yield (
            "Old gaskets, heat spacers and insulators can hold asbestos: leave every one in place and "
            "never scrape, sand, brush, blast or blow it."
        )
        yield "Gold, grey or leaded finishes and old fuel deposits can be poisonous: no dry rubbing."
    if family.magnetised:
        yield (
            "Never open it: the magnets lose their strength, and some hold a charge. Keep it 75 mm from "
            "any other magneto, and away from a pacemaker."
        )


@dataclass(frozen=True, slots=True)
class WordingFault:
    """One step that could hurt somebody or ruin the unit; without `slug` the whole list lacks something."""

    slug: str
    sentence: str


def forbidden_words(strip_list: StripList) -> tuple[WordingFault, ...]:
    """Return every step that tells the customer to abrade, heat, blow out or open, and a missing cap step.

    Source: common practice, no published source; see `packing.catalogue.wording` for the reasons.
    """
    faults = [
        WordingFault(item.slug, f"“{item.part}” {sentence}")
        for item in strip_list.items
        for text in (item.instruction, item.why, item.caution)
        for sentence in dangers_in(text, magnetised=strip_list.magnetised)
    ]
    steps = (
        StripStep(item.slug, item.action, item.part, item.instruction, item.why) for item in strip_list.items
    )
    if strip_list.ports_capped and not caps_every_port(steps):
        faults.append(
            WordingFault("", "nothing says to cap every port; dirt ruins this family, so add that step.")
        )
    return tuple(faults)
