"""Tables of flutes, divisors, surcharges and handling, row by row.

Flutes: ehow.com (flutes a foot), teakcroft.co.uk (thickness), weka-sebnitz.de (heights). Divisors:
parcelindustry.com, redstagfulfillment.com, dpd.com/ee, fedex.com. Surcharges: fedex.com, gettransport.com,
redstagfulfillment.com, eseller365.com. Impacts: Singh and Cheema 1996. Handling by mass: from memory.
"""

import pytest

from packing.catalogue.schema import Origin, SideRounding
from packing.parcel.box import BoxSize, outside_size
from packing.parcel.carriers import dimensional_kg, surcharges
from packing.parcel.tables import flutes, load_table, stock_carriers

LB, IN, IN3_CM3 = 0.45359237, 25.4, 16.387064
CARRIERS = {carrier.slug: carrier for carrier in stock_carriers()}

FLUTES = [
    # name, flutes a foot, thickness mm, least and most flute height mm by DIN
    ("A", 33, 5.0, 4.0, 5.0),
    ("B", 47, 3.0, 2.2, 3.1),
    ("C", 41, 4.0, 3.1, 4.0),
    ("E", 95, 1.5, 1.0, 1.9),
    ("F", 128, 1.0, 0.6, 1.0),
]


@pytest.mark.parametrize(("name", "per_ft", "thick", "least", "most"), FLUTES)
def test_each_flute(name, per_ft, thick, least, most):
    row = next(flute for flute in flutes() if flute.name == name)
    assert (row.flutes_per_ft, row.caliper_mm, row.height_least_mm, row.height_most_mm) == (
        per_ft,
        thick,
        least,
        most,
    )


def test_thicknesses_from_memory_are_marked():
    estimates = {flute.name for flute in flutes() if flute.origin is Origin.ESTIMATE}
    assert estimates == {"F", "BC", "EB"}


DIVISORS = [
    # service, divisor in its printed unit as cm3/kg, how sides are rounded, free volume in3
    ("ups-ground", 139 * IN3_CM3 / LB, SideRounding.UP_INCH, 0),
    ("fedex-ground", 139 * IN3_CM3 / LB, SideRounding.UP_INCH, 0),
    ("fedex-express-us", 139 * IN3_CM3 / LB, SideRounding.UP_INCH, 0),
    ("fedex-express-europe", 5000, SideRounding.UP_CM, 0),
    ("usps-ground", 166 * IN3_CM3 / LB, None, 1728),
    ("dpd-eu", 4000, None, 0),
]


@pytest.mark.parametrize(("slug", "divisor", "rounding", "free_in3"), DIVISORS)
def test_each_divisor_and_rounding(slug, divisor, rounding, free_in3):
    carrier = CARRIERS[slug]
    assert carrier.divisor_cm3_kg == pytest.approx(divisor, rel=1e-4)
    assert carrier.volume_free_cm3 == pytest.approx(free_in3 * IN3_CM3, rel=1e-4)
    if rounding is not None:
        assert carrier.side_rounding is rounding


def test_a_side_a_hair_over_a_centimetre_counts_as_the_next():
    carrier = CARRIERS["fedex-express-europe"]
    assert dimensional_kg(BoxSize(301, 200, 100), carrier=carrier) == pytest.approx(31 * 20 * 10 / 5000)


JUST_OVER, EXACTLY = 1.001, 1.0
THRESHOLDS = [
    # service, sides in, pounds, charge: each at its published figure
    ("ups-ground", (96, 10, 5), 20, "large-package", 0),
    ("ups-ground", (10, 10, 10), 110, "large-package", 3),
    ("fedex-ground", (96, 10, 5), 20, "oversize", 0),
    ("fedex-ground", (10, 10, 10), 110, "oversize", 3),
    ("ups-ground", (48, 10, 10), 20, "additional-handling", 0),
    ("fedex-ground", (48, 10, 10), 20, "additional-handling", 0),
    ("ups-ground", (40, 30, 5), 20, "additional-handling", 1),
    ("fedex-ground", (40, 30, 5), 20, "additional-handling", 1),
    ("usps-ground", (22, 5, 5), 5, "nonstandard-22", 0),
    ("usps-ground", (30, 5, 5), 5, "nonstandard-30", 0),
]


@pytest.mark.parametrize(("slug", "sides", "pounds", "charge", "which"), THRESHOLDS)
def test_a_surcharge_begins_just_above_its_figure_and_not_at_it(slug, sides, pounds, charge, which):
    found = []
    for share in (EXACTLY, JUST_OVER):
        figures = [*sides, pounds]
        figures[which] *= share
        size = BoxSize(*(side * IN for side in figures[:3]))
        charges = surcharges(size, gross_mass_kg=figures[3] * LB, carrier=CARRIERS[slug])
        found.append(charge in [row.slug for row in charges])
    assert found == [False, True]


# Singh and Cheema 1996: 51.1 % edges, 42 % corners, 6.9 % faces.
def test_where_parcels_strike():
    impacts = load_table("handling")["impacts"]
    assert (impacts["edges_share"], impacts["corners_share"], impacts["faces_share"]) == (0.511, 0.42, 0.069)
    assert sum(impacts[key] for key in ("edges_share", "corners_share", "faces_share")) == pytest.approx(1)


# From memory: the whole table.
@pytest.mark.parametrize(("pounds", "inches"), [(20, 42), (50, 36), (250, 30), (500, 24), (1000, 18)])
def test_heights_by_handling_from_memory(pounds, inches):
    table = load_table("handling")
    assert table["thrown_source"]["origin"] == "estimate"
    assert next(row["height_in"] for row in table["thrown"] if row["up_to_lb"] == pounds) == inches


# pack-design.com: C flute adds 5/16, 5/16 and 5/8 in; homesteady.com: any board adds 2 T, 2 T and 4 T.
@pytest.mark.parametrize("sides_in", [(12, 9, 6), (15, 15, 11), (24, 16, 16), (6, 6, 6)])
def test_c_flute_adds_the_same_to_every_size(sides_in):
    size = outside_size(BoxSize(*(side * IN for side in sides_in)), caliper_mm=IN * 5 / 32)
    found = [size.length_mm / IN, size.width_mm / IN, size.height_mm / IN]
    assert found == pytest.approx([sides_in[0] + 5 / 16, sides_in[1] + 5 / 16, sides_in[2] + 5 / 8])
