import math

import pytest

from packing.catalogue.schema import Envelope, Face, SupportFace
from packing.errors import OutOfRange
from packing.parcel.unit import FACES, Leg, PackUnit, Turn, pack_unit, stances, stand
from tests.packing.parcel.units import LEVER, LINKAGE, four_barrel, model


def test_what_the_customer_took_off_and_kept_travels_on_neither_leg():
    to_shop, back = pack_unit(model(), leg=Leg.TO_SHOP), pack_unit(model(), leg=Leg.TO_CUSTOMER)
    assert "union" in {item.slug for item in model().projections}
    assert [item.slug for item in to_shop.projections] == ["linkage", "lever"]
    assert to_shop.projections == back.projections


@pytest.mark.parametrize("side_mm", [0.0, -120.0, math.nan, math.inf, 3000.0])
def test_a_length_no_unit_can_have_is_refused_in_a_sentence(side_mm):
    with pytest.raises(OutOfRange, match="has to be between"):
        pack_unit(model(envelope=Envelope(side_mm, 170.0, 120.0)), leg=Leg.TO_SHOP)


@pytest.mark.parametrize("mass_kg", [0.0, -1.0, math.nan, 500.0])
def test_a_mass_no_unit_can_have_is_refused(mass_kg):
    with pytest.raises(OutOfRange):
        pack_unit(model(mass_kg=mass_kg), leg=Leg.TO_SHOP)


def test_a_unit_without_support_face_is_refused():
    with pytest.raises(OutOfRange, match="support faces"):
        PackUnit("x", "X", Leg.TO_SHOP, 100, 100, 100, 1.0, 60, (), ())


def test_a_lever_on_the_left_reaches_left_when_the_unit_lies_along():
    stance = stand(four_barrel(), down=Face.BASE, turn=Turn.ALONG)
    assert dict(zip(FACES, stance.reaches_mm, strict=True)) == {
        Face.LEFT: 30,
        Face.RIGHT: 0,
        Face.FRONT: 0,
        Face.BACK: 0,
        Face.BASE: 25,
        Face.TOP: 0,
    }


def test_a_quarter_turn_brings_the_left_lever_to_the_front():
    stance = stand(four_barrel(), down=Face.BASE, turn=Turn.ACROSS)
    assert stance.size_mm == (170, 200, 120)
    assert stance.reaches_mm[FACES.index(Face.FRONT)] == 30


@pytest.mark.parametrize("down", list(Face))
@pytest.mark.parametrize("turn", list(Turn))
def test_turning_keeps_volume_and_every_reach(down, turn):
    faces = tuple(SupportFace(face, 60.0, 50.0) for face in Face)
    unit = PackUnit("x", "X", Leg.TO_SHOP, 200, 170, 120, 5.0, 60, faces, (LINKAGE, LEVER))
    stance = stand(unit, down=down, turn=turn)
    assert sorted(stance.size_mm) == [120, 170, 200]
    assert sorted(stance.reaches_mm) == [0, 0, 0, 0, 25, 30]


@pytest.mark.parametrize("down", [Face.BASE, Face.TOP, Face.LEFT, Face.RIGHT, Face.FRONT, Face.BACK])
def test_the_face_turned_down_is_at_the_carton_base(down):
    on_face = [item for item in (LINKAGE, LEVER) if item.face is down]
    unit = PackUnit(
        "x", "X", Leg.TO_SHOP, 200, 170, 120, 5.0, 60, (SupportFace(down, 60.0, 50.0),), (LINKAGE, LEVER)
    )
    stance = stand(unit, down=down, turn=Turn.ALONG)
    assert stance.reaches_mm[FACES.index(Face.BASE)] == (on_face[0].reach_mm if on_face else 0)


def test_a_unit_stands_on_each_support_face_both_ways():
    faces = (SupportFace(Face.BASE, 60.0, 50.0), SupportFace(Face.LEFT, 40.0, 40.0))
    unit = PackUnit("x", "X", Leg.TO_SHOP, 200, 170, 120, 5.0, 60, faces, ())
    assert [(stance.down, stance.turn) for stance in stances(unit)] == [
        (Face.BASE, Turn.ALONG),
        (Face.BASE, Turn.ACROSS),
        (Face.LEFT, Turn.ALONG),
        (Face.LEFT, Turn.ACROSS),
    ]


def test_standing_on_another_face_is_refused():
    with pytest.raises(OutOfRange):
        stand(four_barrel(), down=Face.TOP, turn=Turn.ALONG)
