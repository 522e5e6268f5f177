"""What is said at the carrier's counter about a unit: its fuel, its magnets, its weight."""

from dataclasses import replace

from packing.catalogue.schema import Family
from packing.parcel.unit import Leg
from packing.strip.safety import DEFERRAL, GoodsFlag, GoodsKind, goods_flags

SAID_BY_THE_CAUTIONS = frozenset({GoodsKind.ASBESTOS})


def to_declare(family: Family | None, *, leg: Leg, gross_mass_kg: float | None) -> tuple[GoodsFlag, ...]:
    """Return what to declare or mark, by any service, for a page that defers to carrier and law itself.

    What the cautions of the page say already is left out.
    """
    if family is None:
        return ()
    return tuple(
        replace(flag, sentence=flag.sentence.removesuffix(DEFERRAL).strip())
        for flag in goods_flags(family, leg=leg, by_air=None, gross_mass_kg=gross_mass_kg)
        if flag.kind not in SAID_BY_THE_CAUTIONS
    )
