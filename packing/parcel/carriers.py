"""What does a carrier accept, and which mass does it bill?"""

import math
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum
from functools import lru_cache

from packing.catalogue.schema import Carrier, SideRounding, Surcharge
from packing.parcel.box import BoxSize
from packing.parcel.ranges import require_between
from packing.quantities import MM_PER_IN

# A measured side a hair over a whole inch (rounding of the millimetre figure) is not the next inch.
SIDE_SLACK_MM = 0.01
STEP_SLACK_SHARE = 1e-6


@dataclass(frozen=True, slots=True)
class Billing:
    """The mass a carrier bills and where it comes from."""

    actual_kg: float
    dimensional_kg: float
    billed_kg: float
    surcharges: tuple[Surcharge, ...]


@dataclass(frozen=True, slots=True)
class CarrierLimit:
    """One limit of a service against one parcel; `slug` is mass, length, width, height or length_girth."""

    slug: str
    name: str
    actual: float
    most: float
    unit: str


def carrier_on(carrier: Carrier, *, day: date) -> Carrier:
    """Return a carrier entry as its rules stand on one day.

    Sides are rounded by the earlier rule up to the day before `side_rounding_from`, and surcharges not yet in
    force are left out. Source: the dates in the carrier entry; UPS and FedEx went from the nearest to the
    next whole inch on 18 August 2025 (parcelindustry.com, jaygroup.com).
    """
    earlier = carrier.side_rounding_from is not None and day < carrier.side_rounding_from
    charges = tuple(
        charge for charge in carrier.surcharges if charge.in_force_from is None or day >= charge.in_force_from
    )
    if not earlier and charges == carrier.surcharges:
        return carrier
    rounding = carrier.side_rounding_before if earlier else carrier.side_rounding
    return replace(carrier, side_rounding=rounding, surcharges=charges)


def girth_mm(size: BoxSize) -> float:
    """Return the girth: twice the sum of the two smaller sides, sides in any order.

    Range: sides 1 mm to 5 m. Raises: OutOfRange. Source: UPS weight and size.
    """
    shortest, middle, _ = _sorted_sides(size)
    return 2 * (shortest + middle)


def length_plus_girth_mm(size: BoxSize) -> float:
    """Return the longest side plus the girth. Range: sides 1 mm to 5 m. Raises: OutOfRange. Source: UPS.

    >>> length_plus_girth_mm(BoxSize(350, 1000, 200))
    2100.0
    """
    return max(_sorted_sides(size)) + girth_mm(size)


@lru_cache(maxsize=4096)
def _sorted_sides(size: BoxSize) -> tuple[float, float, float]:
    for name in ("length_mm", "width_mm", "height_mm"):
        require_between(name, value=getattr(size, name), least=1.0, most=5000.0)
    shortest, middle, longest = sorted((float(size.length_mm), float(size.width_mm), float(size.height_mm)))
    return shortest, middle, longest


@lru_cache(maxsize=4096)
def rounded_size(size: BoxSize, *, rounding: SideRounding) -> BoxSize:
    """Return the size a carrier computes with.

    Each side up to the next or to the nearest whole inch or centimetre (a half goes up, nothing below 1), or
    as it is. Range: sides 1 mm to 5 m. Raises: OutOfRange. Source: UPS and FedEx rules, see `carrier_on`.

    >>> size = rounded_size(BoxSize(281.9, 215.9, 157.5), rounding=SideRounding.UP_INCH)
    >>> [round(side / 25.4) for side in (size.length_mm, size.width_mm, size.height_mm)]
    [12, 9, 7]
    """
    _sorted_sides(size)
    if rounding is SideRounding.NONE:
        return size
    step_mm = MM_PER_IN if rounding in (SideRounding.UP_INCH, SideRounding.NEAREST_INCH) else 10.0
    up = rounding in (SideRounding.UP_INCH, SideRounding.UP_CM)
    sides = (size.length_mm, size.width_mm, size.height_mm)
    if up:
        steps = [math.ceil((side - SIDE_SLACK_MM) / step_mm) for side in sides]
    else:
        steps = [max(1, math.floor((side + SIDE_SLACK_MM) / step_mm + 0.5)) for side in sides]
    return BoxSize(*(step * step_mm for step in steps))


class ParcelShape(StrEnum):
    """Whether a parcel is a box, or a tube or any other shape measured by the box round it."""

    BOX = "box"
    OTHER = "other"


def billed_volume_cm3(size: BoxSize, *, carrier: Carrier, shape: ParcelShape = ParcelShape.BOX) -> float:
    """Return the volume a carrier computes with: of the rounded sides, for other shapes a share of it.

    Range: sides 1 mm to 5 m. Raises: OutOfRange. Source: the carrier entry; the US post takes 0.785 (a circle
    in its square, pi / 4) of the box round a tube (cns.usps.com), the others name no such share.
    """
    share = carrier.other_shape_share if shape is ParcelShape.OTHER else 1.0
    return rounded_size(size, rounding=carrier.side_rounding).volume_cm3 * share


def dimensional_kg(size: BoxSize, *, carrier: Carrier, shape: ParcelShape = ParcelShape.BOX) -> float:
    """Return the dimensional mass before rounding to the billing step; 0 where the carrier has none.

    Volume of the rounded sides / divisor; nothing up to the carrier's free volume. Range: sides 1 mm to 5 m.
    Raises: OutOfRange. Source: the carrier entry (139 or 166 in3/lb, 4000 to 6000 cm3/kg).
    """
    volume_cm3 = billed_volume_cm3(size, carrier=carrier, shape=shape)
    if carrier.divisor_cm3_kg is None or volume_cm3 <= carrier.volume_free_cm3 * (1 + 1e-9):
        return 0.0
    return volume_cm3 / carrier.divisor_cm3_kg


def step_up_kg(mass_kg: float, *, step_kg: float) -> float:
    """Return a mass rounded up to the carrier's billing step; a step of 0 leaves it as it is.

    A millionth over a step is not the next one. Source: the carrier entry (up to the next pound). Range: mass
    0 to 1000 kg, step 0 to 50 kg. Raises: OutOfRange.

    >>> round(step_up_kg(2.01, step_kg=0.5), 2)
    2.5
    """
    require_between("mass_kg", value=mass_kg, least=0.0, most=1000.0)
    require_between("step_kg", value=step_kg, least=0.0, most=50.0)
    if step_kg <= 0:
        return mass_kg
    return math.ceil(mass_kg / step_kg * (1 - STEP_SLACK_SHARE)) * step_kg


def bill(size: BoxSize, *, gross_mass_kg: float, carrier: Carrier) -> Billing:
    """Return the billed mass of a parcel by its outside size: the larger of actual and dimensional.

    Rounded up to the billing step; a surcharge that bills a least mass raises it. Range: gross mass 0.001 to
    200 kg, sides 1 mm to 5 m. Raises: OutOfRange. Source: the carrier entry.

    >>> from packing.parcel.tables import stock_carriers
    >>> ups = next(carrier for carrier in stock_carriers() if carrier.slug == "ups-ground")
    >>> round(bill(BoxSize(304.8, 228.6, 177.8), gross_mass_kg=1.9, carrier=ups).billed_kg / 0.45359237)
    6
    """
    require_between("gross_mass_kg", value=gross_mass_kg, least=0.001, most=200.0)
    by_size_kg = dimensional_kg(size, carrier=carrier)
    applying = surcharges(size, gross_mass_kg=gross_mass_kg, carrier=carrier)
    least_kg = max((charge.bills_least_kg or 0.0 for charge in applying), default=0.0)
    billed_kg = step_up_kg(max(gross_mass_kg, by_size_kg), step_kg=carrier.bill_step_kg)
    return Billing(gross_mass_kg, by_size_kg, max(billed_kg, least_kg), applying)


def surcharges(size: BoxSize, *, gross_mass_kg: float, carrier: Carrier) -> tuple[Surcharge, ...]:
    """Return the extra charges that a parcel meets: each applies when any one of its figures is exceeded.

    Exactly at a figure is not over it. Sides as measured, volume of the rounded sides. Range: gross mass
    0.001 to 200 kg, sides 1 mm to 5 m. Raises: OutOfRange. Source: named in each charge.
    """
    require_between("gross_mass_kg", value=gross_mass_kg, least=0.001, most=200.0)
    return tuple(
        charge
        for charge in carrier.surcharges
        if _applies(charge, size, gross_mass_kg=gross_mass_kg, rounding=carrier.side_rounding)
    )


def _applies(charge: Surcharge, size: BoxSize, *, gross_mass_kg: float, rounding: SideRounding) -> bool:
    _, middle, longest = _sorted_sides(size)
    figures = (
        (longest, charge.length_over_mm),
        (middle, charge.second_over_mm),
        (length_plus_girth_mm(size), charge.length_girth_over_mm),
        (rounded_size(size, rounding=rounding).volume_cm3, charge.volume_over_cm3),
        (gross_mass_kg, charge.mass_over_kg),
    )
    return any(over is not None and actual > over * (1 + 1e-7) for actual, over in figures)


def surcharge_notes(size: BoxSize, *, gross_mass_kg: float, carrier: Carrier) -> tuple[str, ...]:
    """Return a sentence for each extra charge to expect, with the carrier's name."""
    notes = [
        f"{carrier.name} {carrier.service} will probably charge {charge.name} (as read: {charge.source})."
        for charge in surcharges(size, gross_mass_kg=gross_mass_kg, carrier=carrier)
    ]
    longest = max(_sorted_sides(size))
    if carrier.handling_mass_kg is not None and gross_mass_kg > carrier.handling_mass_kg:
        notes.append(
            f"Above {carrier.handling_mass_kg:.1f} kg {carrier.name} {carrier.service} charges extra "
            f"handling."
        )
    if carrier.handling_length_mm is not None and longest > carrier.handling_length_mm:
        notes.append(
            f"Above {carrier.handling_length_mm:.0f} mm {carrier.name} {carrier.service} charges extra "
            f"handling."
        )
    return tuple(notes)


def carrier_limits(size: BoxSize, *, gross_mass_kg: float, carrier: Carrier) -> tuple[CarrierLimit, ...]:
    """Return every limit of the service with what the parcel has.

    A parcel is accepted when none is exceeded. Range: gross mass 0.001 to 200 kg, sides 1 mm to 5 m. Raises:
    OutOfRange. Source: the carrier entry.
    """
    require_between("gross_mass_kg", value=gross_mass_kg, least=0.001, most=200.0)
    shortest, middle, longest = _sorted_sides(size)
    rows = (
        ("mass", "gross mass", gross_mass_kg, carrier.mass_most_kg, "kg"),
        ("length", "longest side", longest, carrier.length_most_mm, "mm"),
        ("width", "second side", middle, carrier.width_most_mm, "mm"),
        ("height", "shortest side", shortest, carrier.height_most_mm, "mm"),
        ("length_girth", "length plus girth", length_plus_girth_mm(size), carrier.length_girth_most_mm, "mm"),
    )
    return tuple(
        CarrierLimit(slug, name, actual, most, unit)
        for slug, name, actual, most, unit in rows
        if most is not None
    )
