"""What is billed on which day, at the edges of every published figure.

Rounding up from 18 August 2025: parcelindustry.com, jaygroup.com. Large package from 26 January 2026:
redstagfulfillment.com. Thresholds: fedex.com, gettransport.com, eseller365.com, pe.usps.com. Divisors: the
pages named beside each. Rows without a page were worked by hand from those rules.
"""

import math
from dataclasses import replace
from datetime import date, timedelta

import pytest

from packing.catalogue.schema import Carrier, Origin, SideRounding, Source
from packing.parcel.box import BoxSize
from packing.parcel.carriers import (
    ParcelShape,
    bill,
    billed_volume_cm3,
    carrier_limits,
    carrier_on,
    dimensional_kg,
    length_plus_girth_mm,
    rounded_size,
    surcharges,
)
from packing.parcel.tables import stock_carriers

LB, IN, IN3_CM3 = 0.45359237, 25.4, 16.387064
CARRIERS = {carrier.slug: carrier for carrier in stock_carriers()}
RULE_DAY = date(2025, 8, 18)
BEFORE, AFTER = RULE_DAY - timedelta(days=1), date(2026, 11, 25)


def inches(*sides):
    return BoxSize(*(side * IN for side in sides))


def whole_inches(size, *, rounding):
    found = rounded_size(size, rounding=rounding)
    return tuple(round(side / IN, 6) for side in (found.length_mm, found.width_mm, found.height_mm))


def billed_lb(slug, sides, pounds, *, day=AFTER):
    carrier = carrier_on(CARRIERS[slug], day=day)
    return bill(inches(*sides), gross_mass_kg=pounds * LB, carrier=carrier).billed_kg / LB


@pytest.mark.parametrize("slug", ["ups-ground", "fedex-ground", "fedex-express-us"])
@pytest.mark.parametrize(
    ("day", "rounding"),
    [
        (BEFORE, SideRounding.NEAREST_INCH),
        (RULE_DAY, SideRounding.UP_INCH),
        (AFTER, SideRounding.UP_INCH),
    ],
)
def test_sides_go_to_the_nearest_inch_until_18_august_2025_and_up_from_then_on(slug, day, rounding):
    assert carrier_on(CARRIERS[slug], day=day).side_rounding is rounding


@pytest.mark.parametrize(("day", "rounding"), [(BEFORE, "nearest_cm"), (RULE_DAY, "up_cm")])
def test_the_metric_rule_changes_on_the_same_day(day, rounding):
    assert carrier_on(CARRIERS["fedex-express-europe"], day=day).side_rounding == rounding


# parcelindustry.com: 10 x 10.1 x 10.3 in was 1 000 and is 1 210 in3.
def test_the_new_rule_takes_10_by_10_1_by_10_3_from_1000_to_1210_cubic_inches():
    volumes = [
        rounded_size(
            inches(10, 10.1, 10.3), rounding=carrier_on(CARRIERS["ups-ground"], day=day).side_rounding
        ).volume_cm3
        / IN3_CM3
        for day in (BEFORE, RULE_DAY)
    ]
    assert volumes == pytest.approx([1000, 1210])


# parcelindustry.com: 11.1 x 8.5 x 6.2 in was billed 5 lb (4.2 lb dimensional) and is billed 6 lb (5.44).
@pytest.mark.parametrize(("day", "billed"), [(BEFORE, 5), (RULE_DAY, 6)])
def test_the_same_box_before_and_after_the_rule(day, billed):
    assert billed_lb("ups-ground", (11.1, 8.5, 6.2), 3, day=day) == pytest.approx(billed)


@pytest.mark.parametrize(
    ("sides", "up", "nearest"),
    [
        ((12.0, 9.0, 7.0), (12, 9, 7), (12, 9, 7)),
        ((12.01, 9.49, 7.5), (13, 10, 8), (12, 9, 8)),
        ((11.99, 9.51, 0.3), (12, 10, 1), (12, 10, 1)),
        ((20.0001, 20.1, 19.9), (20, 21, 20), (20, 20, 20)),
    ],
)
def test_sides_at_the_edges_of_an_inch(sides, up, nearest):
    assert whole_inches(inches(*sides), rounding=SideRounding.UP_INCH) == up
    assert whole_inches(inches(*sides), rounding=SideRounding.NEAREST_INCH) == nearest


@pytest.mark.parametrize(("day", "charged"), [(date(2026, 1, 25), False), (date(2026, 1, 26), True)])
def test_the_large_package_rule_is_in_force_from_26_january_2026(day, charged):
    found = surcharges(
        inches(97, 5, 5), gross_mass_kg=20 * LB, carrier=carrier_on(CARRIERS["ups-ground"], day=day)
    )
    assert ("large-package" in [row.slug for row in found]) is charged


def test_an_entry_without_dates_is_the_same_on_every_day():
    for slug in ("usps-ground", "dpd-eu", "royal-mail-small"):
        assert carrier_on(CARRIERS[slug], day=date(2020, 1, 1)) is CARRIERS[slug]


# Each column on the edge of a pound, by hand: volume of whole inches / 139.
@pytest.mark.parametrize("slug", ["ups-ground", "fedex-ground", "fedex-express-us"])
@pytest.mark.parametrize(
    ("sides", "pounds", "billed"),
    [
        ((15, 15, 11), 14.2, 18),
        ((12, 9, 7), 5.99, 6),
        ((12, 9, 7), 6.01, 7),
        ((12.05, 9.05, 7.05), 1, 8),
        ((20, 20, 20), 30, 58),
        ((14, 14, 12), 17.01, 18),
        ((16.5, 12.2, 10.1), 9, 18),
        ((11, 10, 9), 8.0, 8),
        ((20, 20, 13.9), 10, 41),
        ((97, 12, 12), 20, 101),
        ((97, 9, 9), 20, 90),
    ],
)
def test_billed_pounds_by_hand(slug, sides, pounds, billed):
    assert billed_lb(slug, sides, pounds) == pytest.approx(billed, abs=1e-6)


@pytest.mark.parametrize(
    ("sides", "pounds", "billed"),
    [((12, 12, 12), 3.2, 4), ((12.1, 12, 12), 3.2, 12), ((24, 12, 7), 5, 13), ((20, 16, 14), 12, 27)],
)
def test_billed_pounds_by_post_by_hand(sides, pounds, billed):
    assert billed_lb("usps-ground", sides, pounds) == pytest.approx(billed, abs=1e-6)


@pytest.mark.parametrize(
    ("size", "actual", "billed"),
    [((403, 300, 251), 3, 6.5), ((400, 300, 250), 7.2, 7.5), ((331, 281, 241), 3, 5.0)],
)
def test_billed_kilograms_by_hand(size, actual, billed):
    found = bill(BoxSize(*size), gross_mass_kg=actual, carrier=CARRIERS["fedex-express-europe"])
    assert found.billed_kg == pytest.approx(billed)


DIVISORS = [
    # who, divisor in cm3/kg, box mm, kg: dhl-usa.com 5000, metricrig.com 6000, UK couriers 4000 to 6000
    ("DHL Express", 5000, (400, 300, 250), 6.0),
    ("air freight", 6000, (400, 300, 250), 5.0),
    ("UK couriers, least", 4000, (400, 300, 250), 7.5),
    ("DPD Baltics", 4000, (400, 400, 400), 16.0),
    ("counter accounts, 166 in3/lb", 166 * IN3_CM3 / LB, (304.8, 228.6, 177.8), 756 / 166 * LB),
]


@pytest.mark.parametrize(("who", "divisor", "size", "kilograms"), DIVISORS)
def test_every_published_divisor(who, divisor, size, kilograms):
    plain = Carrier(
        "x", who, "x", False, 70.0, None, None, divisor, SideRounding.NONE, 0.0, Source("x", Origin.PUBLISHED)
    )
    assert dimensional_kg(BoxSize(*size), carrier=plain) == pytest.approx(kilograms)


# csmlogistics.co.uk: 100 x 35 x 20 cm is 14 kg and 210 cm.
@pytest.mark.parametrize(
    ("size", "total"),
    [((1000, 350, 200), 2100), ((350, 200, 1000), 2100), ((900, 700, 700), 3700), ((10, 10, 10), 50)],
)
def test_length_plus_girth_in_millimetres(size, total):
    assert length_plus_girth_mm(BoxSize(*size)) == pytest.approx(total)


LIMITS = [
    # service, sides in, pounds: just inside, and what is over when each grows by a hundredth
    ("ups-ground", (45, 30, 30), 150, {"length_girth", "mass"}),
    ("ups-ground", (108, 14, 14), 150, {"length", "length_girth", "mass"}),
    ("fedex-ground", (108, 14, 14.5), 150, {"length", "length_girth", "mass"}),
    ("fedex-express-us", (119, 11, 12), 150, {"length", "length_girth", "mass"}),
    ("usps-ground", (30, 25, 25), 70, {"length_girth", "mass"}),
]


@pytest.mark.parametrize(("slug", "sides", "pounds", "over"), LIMITS)
def test_each_limit_takes_its_own_figure_and_nothing_above(slug, sides, pounds, over):
    found = []
    for share in (1.0, 1.01):
        limits = carrier_limits(
            inches(*(side * share for side in sides)),
            gross_mass_kg=pounds * share * LB,
            carrier=CARRIERS[slug],
        )
        found.append({limit.slug for limit in limits if limit.actual > limit.most * (1 + 1e-6)})
    assert found == [set(), over]


CHARGES = [
    ("ups-ground", (12, 12, 12), 50, []),
    ("ups-ground", (12, 12, 12), 50.1, ["additional-handling-mass"]),
    ("ups-ground", (47, 21, 20), 20, ["additional-handling", "large-package"]),
    ("ups-ground", (40, 25, 20), 20, ["additional-handling", "large-package"]),
    ("ups-ground", (24, 24, 18.1), 20, ["additional-handling"]),
    ("fedex-ground", (50, 20, 20), 20, ["additional-handling", "oversize"]),
    ("fedex-ground", (49, 20, 10), 20, ["additional-handling"]),
    ("fedex-express-us", (12, 12, 12), 111, ["additional-handling-mass", "oversize"]),
    ("usps-ground", (12, 12, 24), 5, ["nonstandard-22"]),
    ("usps-ground", (12, 12, 24.1), 5, ["nonstandard-22", "nonstandard-volume"]),
    ("usps-ground", (31, 12, 9), 5, ["nonstandard-22", "nonstandard-30"]),
    ("usps-ground", (48, 15, 15), 5, ["nonstandard-22", "nonstandard-30", "nonstandard-volume"]),
    (
        "usps-ground",
        (48.1, 15, 15),
        5,
        ["nonstandard-22", "nonstandard-30", "nonstandard-volume", "oversize"],
    ),
]


@pytest.mark.parametrize(("slug", "sides", "pounds", "charged"), CHARGES)
def test_exactly_these_charges_are_met(slug, sides, pounds, charged):
    found = surcharges(inches(*sides), gross_mass_kg=pounds * LB, carrier=CARRIERS[slug])
    assert sorted(row.slug for row in found) == charged


def test_swapping_sides_changes_no_bill_on_any_day():
    for day in (BEFORE, RULE_DAY):
        carrier = carrier_on(CARRIERS["ups-ground"], day=day)
        found = {
            bill(BoxSize(*sides), gross_mass_kg=1, carrier=replace(carrier)).billed_kg
            for sides in ((516.3, 284.1, 196.2), (284.1, 196.2, 516.3), (196.2, 516.3, 284.1))
        }
        assert len(found) == 1


# cns.usps.com: a parcel that is no box is billed by 0.785 of the box round it. Worked by hand.
@pytest.mark.parametrize(
    ("sides", "pounds"),
    [((36, 10, 10), 3600 * 0.785 / 166), ((24, 10, 10), 2400 * 0.785 / 166), ((22, 10, 10), 0)],
)
def test_the_post_bills_a_tube_by_the_circle_in_its_square(sides, pounds):
    usps = CARRIERS["usps-ground"]
    assert dimensional_kg(inches(*sides), carrier=usps, shape=ParcelShape.OTHER) / LB == pytest.approx(pounds)


def test_a_circle_in_its_square_is_0_785_and_nobody_else_names_a_share():
    assert CARRIERS["usps-ground"].other_shape_share == pytest.approx(math.pi / 4, abs=0.0005)
    others = {each.other_shape_share for slug, each in CARRIERS.items() if slug != "usps-ground"}
    assert others == {1.0}
    size = inches(36, 10, 10)
    box, tube = (
        billed_volume_cm3(size, carrier=CARRIERS["ups-ground"], shape=shape) for shape in ParcelShape
    )
    assert box == tube == pytest.approx(3600 * IN3_CM3)
