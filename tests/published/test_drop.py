"""Drop heights and parcel classes against their published tables.

ISTA 1A and 2A: Carton Drop Test sheet (scribd.com/doc/304153378). ISTA 3A classes: jjrlab.com, Smithers.
MIL-STD-810F 516.5:
duratechusa.com. ASTM D4169 and the ISTA 3A heights: from memory.
"""

import pytest

from packing.catalogue.schema import Origin
from packing.errors import OutOfRange
from packing.parcel.drop import (
    DropTest,
    ParcelClass,
    drop_height,
    drop_height_in,
    drop_order,
    impact_speed_m_s,
    parcel_class,
    show_drop_height,
    smallest_face_drop_height_m,
)
from packing.quantities import UnitChoice

LB, IN = 0.45359237, 25.4

ISTA_POUNDS = [
    # lightest and heaviest of the band, 1A in, 2A in
    (0.1, 20.9, 30, 38),
    (21, 40.9, 24, 32),
    (41, 60.9, 18, 26),
    (61, 99.9, 12, 20),
    (100, 150, 8, 12),
]
ISTA_KILOGRAMS = [
    (0.05, 9.99, 760, 970),
    (10, 18.99, 610, 810),
    (19, 27.99, 460, 660),
    (28, 44.99, 310, 510),
    (45, 68, 200, 310),
]


@pytest.mark.parametrize(("least", "most", "one_a", "two_a"), ISTA_POUNDS)
def test_ista_heights_by_pounds(least, most, one_a, two_a):
    for mass_lb in (least, most):
        assert drop_height_in(mass_lb, test=DropTest.ISTA_1A) == one_a
        assert drop_height_in(mass_lb, test=DropTest.ISTA_2A) == two_a


@pytest.mark.parametrize(("least", "most", "one_a", "two_a"), ISTA_KILOGRAMS)
def test_ista_heights_by_kilograms(least, most, one_a, two_a):
    for mass_kg in (least, most):
        assert drop_height(mass_kg, test=DropTest.ISTA_1A).drop_height_m == one_a / 1000
        assert drop_height(mass_kg, test=DropTest.ISTA_2A).drop_height_m == two_a / 1000


# Band edges to a hundredth of a pound; the upper value belongs to the next band (from memory).
@pytest.mark.parametrize(
    ("mass_lb", "one_a", "two_a"),
    [
        (20.99, 30, 38),
        (21, 24, 32),
        (21.01, 24, 32),
        (40.99, 24, 32),
        (41, 18, 26),
        (60.99, 18, 26),
        (61, 12, 20),
        (99.99, 12, 20),
        (100, 8, 12),
        (150, 8, 12),
    ],
)
def test_ista_heights_at_the_edges_of_the_pound_bands(mass_lb, one_a, two_a):
    assert drop_height_in(mass_lb, test=DropTest.ISTA_1A) == one_a
    assert drop_height_in(mass_lb, test=DropTest.ISTA_2A) == two_a


@pytest.mark.parametrize("test", [test for test in DropTest if test is not DropTest.MIL_810_TRANSIT])
def test_150_lb_is_taken_and_151_lb_is_not(test):
    assert drop_height(150 * LB, test=test).drop_height_m > 0
    with pytest.raises(OutOfRange):
        drop_height(151 * LB, test=test)
    with pytest.raises(OutOfRange):
        drop_height_in(151, test=test)


PAIRED = list(zip(ISTA_POUNDS, ISTA_KILOGRAMS, strict=True))


@pytest.mark.parametrize(("pounds", "kilograms"), PAIRED)
def test_ista_heights_are_shown_with_both_figures_of_the_sheet(pounds, kilograms):
    for column in (2, 3):
        height_in, height_mm = pounds[column], kilograms[column]
        shown = show_drop_height(height_mm / 1000, choice=UnitChoice.METRIC)
        assert shown == f"{height_mm} mm ({height_in} in)"


def test_a_fall_stated_in_inches_alone_is_shown_in_whole_inches():
    # USPS Publication 2, 6-3: one drop of 3 ft on the smallest side.
    height_m = smallest_face_drop_height_m(5.0, design_drop_height_m=0.76)
    assert show_drop_height(height_m, choice=UnitChoice.IMPERIAL) == "36 in (914 mm)"


def test_12_lb_falls_30_in_ten_times():
    found = drop_height(12 * LB, test=DropTest.ISTA_1A)
    assert (found.drop_height_in, found.drop_height_m, found.drops) == (30, 0.76, 10)
    assert found.origin is Origin.PUBLISHED


@pytest.mark.parametrize(("mass_kg", "height_m"), [(9.9, 0.76), (10.1, 0.61), (27, 0.46), (30, 0.31)])
def test_the_trades_four_drop_bands(mass_kg, height_m):
    assert drop_height(mass_kg).drop_height_m == height_m


# From memory: the whole table.
D4169 = [
    (19.9, 24, 15, 9),
    (39.9, 21, 13, 8),
    (59.9, 18, 12, 7),
    (79.9, 15, 10, 6),
    (99.9, 12, 9, 5),
    (149.9, 10, 7, 4),
]


@pytest.mark.parametrize(("mass_lb", "one", "two", "three"), D4169)
def test_d4169_heights_from_memory(mass_lb, one, two, three):
    found = [
        drop_height(mass_lb * LB, test=test).drop_height_in
        for test in (DropTest.D4169_LEVEL_1, DropTest.D4169_LEVEL_2, DropTest.D4169_LEVEL_3)
    ]
    assert found == [one, two, three]


def test_d4169_at_15_lb_level_two_is_15_in_and_marked_as_an_estimate():
    found = drop_height(15 * LB, test=DropTest.D4169_LEVEL_2)
    assert (found.drop_height_in, found.origin) == (15, Origin.ESTIMATE)


@pytest.mark.parametrize(
    ("mass_lb", "height", "last"), [(20, 18, 36), (69.99, 18, 36), (70.01, 12, 24), (149, 12, 24)]
)
def test_ista_3a_heights_from_memory(mass_lb, height, last):
    found = drop_height(mass_lb * LB, test=DropTest.ISTA_3A)
    assert found.drop_height_in == height
    assert found.last_drop_height_m == pytest.approx(last * IN / 1000)
    assert found.origin is Origin.ESTIMATE


def test_the_transit_drop_is_48_in_26_times():
    found = drop_height(20 * LB, test=DropTest.MIL_810_TRANSIT)
    assert (found.drop_height_in, found.drops) == (48, 26)


def test_the_transit_drop_refuses_100_lb_and_more():
    assert drop_height(99.9 * LB, test=DropTest.MIL_810_TRANSIT).drop_height_in == 48
    for mass_lb in (100, 101):
        with pytest.raises(OutOfRange, match="just under 100"):
            drop_height(mass_lb * LB, test=DropTest.MIL_810_TRANSIT)


# USPS Publication 2, 6-3: 3 ft on the smallest side, up to the 70 lb that the post takes.
@pytest.mark.parametrize(
    ("mass_lb", "design_m", "fall_m"),
    [(11, 0.76, 0.9144), (33, 0.61, 0.9144), (70, 0.31, 0.9144), (70.1, 0.31, 0.31), (11, 0.97, 0.97)],
)
def test_the_smallest_face_falls_36_in_or_the_design_height(mass_lb, design_m, fall_m):
    found = smallest_face_drop_height_m(mass_lb * LB, design_drop_height_m=design_m)
    assert found == pytest.approx(fall_m)


@pytest.mark.parametrize(
    ("sides_in", "mass_lb", "expected"),
    [
        ((12, 8, 6), 8, ParcelClass.SMALL),
        ((12, 8, 6), 10.1, ParcelClass.STANDARD),
        ((14.1, 7, 6), 8, ParcelClass.STANDARD),
        ((14, 8, 7.2), 8, ParcelClass.STANDARD),
        ((40, 7, 7), 15, ParcelClass.ELONGATED),
        ((36, 7.2, 7.2), 15, ParcelClass.ELONGATED),
        ((35.9, 7, 7), 15, ParcelClass.STANDARD),
        ((40, 32, 8), 15, ParcelClass.FLAT),
        ((40, 31, 8), 15, ParcelClass.STANDARD),
        ((100, 20, 4), 15, ParcelClass.ELONGATED),
        ((10, 8, 10), 9.9, ParcelClass.STANDARD),
        ((10, 7.99, 10), 10, ParcelClass.SMALL),
        ((24, 6, 24), 20, ParcelClass.FLAT),
        ((24, 6, 23.9), 20, ParcelClass.STANDARD),
        ((7, 36, 7.21), 15, ParcelClass.STANDARD),
    ],
)
def test_ista_3a_classes(sides_in, mass_lb, expected):
    length_mm, width_mm, height_mm = (side * IN for side in sides_in)
    found = parcel_class(length_mm, width_mm=width_mm, height_mm=height_mm, gross_mass_kg=mass_lb * LB)
    assert found is expected


# Physics: v = sqrt(2 g h), g = 386.09 in/s2.
@pytest.mark.parametrize(("height_m", "speed"), [(0.762, 3.866), (0.76, 3.86), (0.61, 3.46), (0.46, 3.00)])
def test_impact_speeds(height_m, speed):
    assert impact_speed_m_s(height_m) == pytest.approx(speed, rel=0.0015)


def test_impact_speed_from_30_in_in_inches():
    assert impact_speed_m_s(30 * IN / 1000) / IN * 1000 == pytest.approx(152.2, rel=0.001)


# ISTA 1A and 2A: corner, three edges from it, six faces in opposite pairs, small, medium, large.
def test_the_ten_drops_in_their_order():
    order = drop_order()
    assert len(order) == drop_height(5.0, test=DropTest.ISTA_1A).drops
    assert "2-3-5" in order[0]
    assert [drop.split()[1] for drop in order[1:4]] == ["shortest", "next", "longest"]
    faces = [word for drop in order[4:] for word in ("smallest", "middle", "largest") if word in drop]
    assert faces == ["smallest"] * 2 + ["middle"] * 2 + ["largest"] * 2
    assert [("opposite" in drop) for drop in order[4:]] == [False, True] * 3
