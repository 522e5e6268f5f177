"""Limits, dimensional mass and surcharges against carriers' published figures, as read on 25 November 2026.

UPS: ups.com, filexfer.ups.com. FedEx: How to Pack guides, fedex.com. USPS: pe.usps.com. Royal Mail:
royalmail.com. DPD: dpd.com/ee.
Dimensional examples: parcelindustry.com, jaygroup.com, atlanticpkg.com, csmlogistics.co.uk,
megacitycourier.in.
"""

import itertools

import pytest

from packing.catalogue.schema import Carrier, Origin, SideRounding, Source
from packing.parcel.box import BoxSize
from packing.parcel.carriers import (
    bill,
    carrier_limits,
    dimensional_kg,
    girth_mm,
    length_plus_girth_mm,
    rounded_size,
    surcharges,
)
from packing.parcel.tables import stock_carriers

LB, IN = 0.45359237, 25.4
CARRIERS = {carrier.slug: carrier for carrier in stock_carriers()}
EUROPE = CARRIERS["fedex-express-europe"]


def inches(*sides):
    return BoxSize(*(side * IN for side in sides))


LIMITS = [
    # service, mass kg, length mm, length plus girth mm
    ("ups-ground", 150 * LB, 108 * IN, 165 * IN),
    ("fedex-ground", 150 * LB, 108 * IN, 165 * IN),
    ("fedex-express-us", 150 * LB, 119 * IN, 165 * IN),
    ("fedex-express-europe", 68, 2740, 3300),
    ("usps-ground", 70 * LB, None, 130 * IN),
    ("royal-mail-small", 2, 450, None),
    ("royal-mail-medium", 20, 610, None),
    ("parcelforce", 30, 1500, 3000),
    ("parcelforce-large", 30, 2500, 4000),
    ("dpd-eu", 31.5, 1750, 3000),
    ("dpd-local-uk", 30, 1000, 2300),
]


@pytest.mark.parametrize(("slug", "mass_kg", "length", "length_girth"), LIMITS)
def test_limits_of_each_service(slug, mass_kg, length, length_girth):
    found = {
        limit.slug: limit.most
        for limit in carrier_limits(BoxSize(300, 200, 100), gross_mass_kg=1, carrier=CARRIERS[slug])
    }
    assert found["mass"] == pytest.approx(mass_kg)
    assert found.get("length") == pytest.approx(length)
    assert found.get("length_girth") == pytest.approx(length_girth)


@pytest.mark.parametrize(
    ("slug", "format_mm"), [("royal-mail-small", (450, 350, 160)), ("royal-mail-medium", (610, 460, 460))]
)
def test_royal_mail_formats(slug, format_mm):
    limits = carrier_limits(BoxSize(300, 200, 100), gross_mass_kg=1, carrier=CARRIERS[slug])
    found = {limit.slug: limit.most for limit in limits}
    assert (found["length"], found["width"], found["height"]) == format_mm


def test_every_service_says_where_and_when_it_was_read():
    assert len(CARRIERS) == len(LIMITS)
    assert all(carrier.source.text and carrier.source.read_on for carrier in CARRIERS.values())


BILLED = [
    # sides in, actual lb, billed lb
    ((12, 9, 7), 4.2, 6),
    ((12, 9, 7), 7.0, 7),
    ((11.1, 8.5, 6.2), 3, 6),
    ((11.1, 8.1, 4.1), 3, 4),
    ((11, 10, 9), 3, 8),
]


@pytest.mark.parametrize(("sides", "actual_lb", "billed_lb"), BILLED)
@pytest.mark.parametrize("slug", ["ups-ground", "fedex-ground"])
def test_billed_pounds_with_divisor_139(slug, sides, actual_lb, billed_lb):
    found = bill(inches(*sides), gross_mass_kg=actual_lb * LB, carrier=CARRIERS[slug])
    assert found.billed_kg / LB == pytest.approx(billed_lb, abs=1e-6)


def test_each_side_goes_up_to_the_next_inch():
    found = rounded_size(inches(11.1, 8.5, 6.2), rounding=SideRounding.UP_INCH)
    assert (found.length_mm / IN, found.width_mm / IN, found.height_mm / IN) == pytest.approx((12, 9, 7))
    assert found.length_mm * found.width_mm * found.height_mm / IN**3 == pytest.approx(756)


def test_12_by_9_by_7_is_5_44_dimensional_pounds():
    assert dimensional_kg(inches(12, 9, 7), carrier=CARRIERS["ups-ground"]) / LB == pytest.approx(
        5.44, abs=0.005
    )


def test_rounding_takes_10_by_10_1_by_10_3_to_1210_cubic_inches():
    found = rounded_size(inches(10, 10.1, 10.3), rounding=SideRounding.UP_INCH)
    assert found.volume_cm3 / 16.387064 == pytest.approx(1210)


def test_usps_has_no_dimensional_mass_up_to_1728_cubic_inches():
    usps = CARRIERS["usps-ground"]
    assert bill(inches(11.1, 10, 6), gross_mass_kg=3 * LB, carrier=usps).billed_kg / LB == pytest.approx(3)
    assert dimensional_kg(inches(12, 12, 12), carrier=usps) == 0
    assert dimensional_kg(inches(12, 12, 13), carrier=usps) / LB == pytest.approx(1872 / 166, rel=1e-6)


def test_metric_divisor_5000():
    assert dimensional_kg(BoxSize(1000, 350, 200), carrier=EUROPE) == pytest.approx(14)
    assert dimensional_kg(BoxSize(250, 300, 150), carrier=EUROPE) == pytest.approx(2.25)
    assert bill(BoxSize(250, 300, 150), gross_mass_kg=8, carrier=EUROPE).billed_kg == pytest.approx(8)


# Worked from the trade's figures: 230 x 180 x 140 mm and 50 mm on each side.
def test_330_by_280_by_240_is_4_44_kg_and_137_cm():
    size = BoxSize(330, 280, 240)
    assert dimensional_kg(size, carrier=EUROPE) == pytest.approx(4.44, abs=0.005)
    assert length_plus_girth_mm(size) == pytest.approx(1370)


def test_dpd_bills_a_cubic_metre_as_250_kg():
    assert dimensional_kg(BoxSize(1000, 1000, 1000), carrier=CARRIERS["dpd-eu"]) == pytest.approx(250)


def test_length_plus_girth_of_30_by_10_by_10():
    size = inches(30, 10, 10)
    assert girth_mm(size) / IN == pytest.approx(40)
    assert length_plus_girth_mm(size) / IN == pytest.approx(70)


def test_swapping_sides_never_changes_what_is_billed():
    found = {
        round(bill(inches(*sides), gross_mass_kg=1, carrier=CARRIERS["ups-ground"]).billed_kg, 6)
        for sides in itertools.permutations((20.3, 11.2, 7.7))
    }
    assert len(found) == 1


SURCHARGES = [
    ("fedex-ground", (97, 5, 5), 20, "oversize"),
    ("fedex-ground", (60, 20, 20), 20, "oversize"),
    ("fedex-ground", (30, 25, 24), 20, "oversize"),
    ("fedex-ground", (10, 10, 10), 111, "oversize"),
    ("ups-ground", (97, 5, 5), 20, "large-package"),
    ("ups-ground", (30, 25, 24), 20, "large-package"),
    ("ups-ground", (10, 10, 10), 111, "large-package"),
    ("ups-ground", (49, 5, 5), 20, "additional-handling"),
    ("ups-ground", (40, 31, 5), 20, "additional-handling"),
    ("fedex-ground", (30, 20, 18), 20, "additional-handling"),
    ("usps-ground", (23, 5, 5), 5, "nonstandard-22"),
    ("usps-ground", (31, 5, 5), 5, "nonstandard-30"),
    ("usps-ground", (16, 16, 16), 5, "nonstandard-volume"),
    ("usps-ground", (60, 13, 13), 5, "oversize"),
]


@pytest.mark.parametrize(("slug", "sides", "mass_lb", "charge"), SURCHARGES)
def test_surcharges_begin_above_their_published_figures(slug, sides, mass_lb, charge):
    found = surcharges(inches(*sides), gross_mass_kg=mass_lb * LB, carrier=CARRIERS[slug])
    assert charge in [row.slug for row in found]


def test_exactly_17280_cubic_inches_is_not_over():
    found = surcharges(inches(30, 24, 24), gross_mass_kg=20 * LB, carrier=CARRIERS["ups-ground"])
    assert "large-package" not in [row.slug for row in found]


def test_exactly_10368_cubic_inches_is_not_over():
    found = surcharges(inches(24, 24, 18), gross_mass_kg=20 * LB, carrier=CARRIERS["ups-ground"])
    assert [row.slug for row in found] == []


def test_a_large_package_bills_at_least_90_lb():
    found = bill(inches(97, 5, 5), gross_mass_kg=20 * LB, carrier=CARRIERS["ups-ground"])
    assert found.billed_kg / LB == pytest.approx(90)


def test_a_carrier_without_divisor_bills_the_actual_mass():
    plain = Carrier(
        "x", "X", "x", False, 30.0, None, None, None, SideRounding.NONE, 0.0, Source("x", Origin.MEASURED)
    )
    assert bill(BoxSize(900, 900, 900), gross_mass_kg=3.3, carrier=plain).billed_kg == 3.3
