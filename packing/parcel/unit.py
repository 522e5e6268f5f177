"""What is to be packed, and in which ways can it stand in a carton?"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from packing.catalogue.schema import Face, Projection, SupportFace, UnitModel
from packing.errors import OutOfRange
from packing.parcel.ranges import require_between

SIDE_LEAST_MM, SIDE_MOST_MM = 10.0, 900.0
MASS_LEAST_KG, MASS_MOST_KG = 0.02, 50.0
HEAVY_OVER_KG = 2.0  # dense metal; the shop's judgement
CASTING_SHARE = 0.7  # share of an envelope side that a casting really offers to a cushion; estimate
SPLINT_MOST_KG = 1.0  # up to here a splint or a card cap carries what a part that stands out would; judgement
LONG_REACH_MM = 60.0  # a part this long on a light unit gets a splint and may lie along the carton; judgement
SPREAD_OVERHANG_MM = 40.0  # how far a pad of two thicknesses of folded board carries past a face; estimate
SEAT_CLEAR_MM = 5.0  # kept between a seat or its opening and a part that hangs beside it; judgement
OPENING_MOST_SHARE = 0.6
BASE, TOP = 4, 5

# Order of every six-tuple in this package: along x, then y, then z of the carton.
FACES = (Face.LEFT, Face.RIGHT, Face.FRONT, Face.BACK, Face.BASE, Face.TOP)
ACROSS_AND_UP = ((1, 2), (0, 2), (0, 1))  # the two axes in a face, by the axis it looks along
Point = tuple[float, float, float]

# Where each new axis comes from when a face is turned down: (old axis, sign) for x, y, z.
_TURNED_DOWN: Mapping[Face, tuple[tuple[int, int], tuple[int, int], tuple[int, int]]] = {
    Face.BASE: ((0, 1), (1, 1), (2, 1)),
    Face.TOP: ((0, 1), (1, -1), (2, -1)),
    Face.LEFT: ((2, -1), (1, 1), (0, 1)),
    Face.RIGHT: ((2, 1), (1, 1), (0, -1)),
    Face.FRONT: ((0, 1), (2, -1), (1, 1)),
    Face.BACK: ((0, 1), (2, 1), (1, -1)),
}


class Leg(StrEnum):
    """Which way the parcel goes."""

    TO_SHOP = "to_shop"
    TO_CUSTOMER = "to_customer"


class Turn(StrEnum):
    """How the unit lies about the upright axis once its support face is down."""

    ALONG = "along"
    ACROSS = "across"


@dataclass(frozen=True, slots=True)
class PackUnit:
    """A unit as it travels: its body, its mass, and the projections that are on it on this leg."""

    slug: str
    name: str
    leg: Leg
    length_mm: float
    width_mm: float
    height_mm: float
    mass_kg: float
    fragility_g: float
    support_faces: tuple[SupportFace, ...]
    projections: tuple[Projection, ...]
    family: str = ""

    def __post_init__(self) -> None:
        """Refuse figures no unit can have. Raises: OutOfRange."""
        for name in ("length_mm", "width_mm", "height_mm"):
            require_between(
                f"{self.name}: {name}", value=getattr(self, name), least=SIDE_LEAST_MM, most=SIDE_MOST_MM
            )
        require_between(f"{self.name}: mass_kg", value=self.mass_kg, least=MASS_LEAST_KG, most=MASS_MOST_KG)
        require_between(f"{self.name}: fragility_g", value=self.fragility_g, least=5.0, most=300.0)
        if not self.support_faces:
            raise OutOfRange(f"{self.name}: number of support faces", value=0, least=1, most=6)
        for support in self.support_faces:  # one larger than its body would promise too soft a cushion
            axes = ACROSS_AND_UP[FACES.index(support.face) // 2]
            for key, axis in zip(("length_mm", "width_mm"), axes, strict=True):
                value, most_mm = getattr(support, key), _size(self)[axis] + 1e-6
                require_between(f"{self.name}: support {key}", value=value, least=5.0, most=most_mm)
        for item in self.projections:
            for key, least, most in (
                ("reach_mm", 0.0, 400.0),
                ("breadth_mm", 0.5, 900.0),
                ("depth_mm", 0.5, 900.0),
                ("across_mm", -900.0, 900.0),
                ("up_mm", -900.0, 900.0),
            ):
                require_between(f"{item.name}: {key}", value=getattr(item, key), least=least, most=most)

    @property
    def heavy(self) -> bool:
        """Tell whether the unit is dense metal above 2 kg."""
        return self.mass_kg > HEAVY_OVER_KG

    @property
    def sharp(self) -> bool:
        """Tell whether a part sticks out that must not take a load and that no card cap can spare it.

        Up to 1 kg a splint or a cap of card tube carries the little load there is, so that soft fill cannot
        be opened by a bare tip; the shop's judgement.
        """
        if self.mass_kg <= SPLINT_MOST_KG:
            return False
        return any(item.reach_mm > 0 and not item.may_be_touched for item in self.projections)

    @property
    def splinted(self) -> tuple[Projection, ...]:
        """Return the long parts of a light unit that travel tied to a splint of stiff card."""
        if self.mass_kg > SPLINT_MOST_KG:
            return ()
        return tuple(item for item in self.projections if item.reach_mm >= LONG_REACH_MM)

    @property
    def may_lie(self) -> bool:
        """Tell whether the unit may lie on any side.

        A unit of at most 2 kg with a long part needs no machined face to rest on: a fall on that side loads
        the casting far more than resting does, and a long part wants the carton's length. The shop's
        judgement.
        """
        return not self.heavy and any(item.reach_mm >= LONG_REACH_MM for item in self.projections)


def pack_unit(model: UnitModel, *, leg: Leg) -> PackUnit:
    """Return a catalogue model as it travels on one leg.

    Projections marked `taken_off` are off on both legs: the customer has kept them at home, and what was sent
    along all the same travels wrapped by itself.
    Range: sides 10 to 900 mm, mass 0.02 to 50 kg, fragility 5 to 300 G. Raises: OutOfRange.
    """
    staying = tuple(item for item in model.projections if not item.taken_off)
    return PackUnit(
        slug=model.slug,
        name=model.name,
        leg=leg,
        length_mm=model.envelope.length_mm,
        width_mm=model.envelope.width_mm,
        height_mm=model.envelope.height_mm,
        mass_kg=model.mass_kg,
        fragility_g=model.fragility_g,
        support_faces=model.support_faces,
        projections=staying,
        family=model.family,
    )


@dataclass(frozen=True, slots=True)
class PlacedProjection:
    """A projection as a box in carton directions, measured from the centre of the body."""

    slug: str
    name: str
    low_mm: Point
    high_mm: Point
    may_be_touched: bool


@dataclass(frozen=True, slots=True)
class Stance:
    """A unit standing on one support face, seen in the carton's directions.

    `reaches_mm` says how far projections stand past the body on each of the six faces in the order of
    `FACES`.
    `sides_mm` are the two sides of the body on each face, `bearings_m2` the area each face offers to a
    cushion. `seat_mm` is the largest seat about the support face that no hanging part stands over, at most
    40 mm past it; `opening_m2` is what parts that hang through the support face take out of it, and
    `openings` are their names.
    """

    down: Face
    turn: Turn
    size_mm: Point
    support_mm: tuple[float, float]
    projections: tuple[PlacedProjection, ...]
    reaches_mm: tuple[float, ...]
    sides_mm: tuple[tuple[float, float], ...]
    bearings_m2: tuple[float, ...]
    seat_mm: tuple[float, float] = (0.0, 0.0)
    opening_m2: float = 0.0
    openings: tuple[str, ...] = ()


def stances(unit: PackUnit) -> tuple[Stance, ...]:
    """Return every way the unit can stand: each support face down, lying along and across the carton.

    The order is the order of the support faces in the catalogue: the preferred one first. A light unit with a
    long part (see `PackUnit.may_lie`) may lie on any other side as well, after them.
    """
    faces = [support.face for support in unit.support_faces]
    faces += [face for face in lying_faces(unit) if face not in faces]
    return tuple(stand(unit, down=face, turn=turn) for face in faces for turn in Turn)


def stand(unit: PackUnit, *, down: Face, turn: Turn) -> Stance:
    """Return the unit standing on one of its support faces.

    Raises: OutOfRange when `down` is not one of its support faces and the unit may not lie.
    """
    support = next((face for face in unit.support_faces if face.face is down), None)
    if support is None and down in lying_faces(unit):
        support = _lying_face(unit, down=down)
    if support is None:
        faces = [face.face.value for face in unit.support_faces]
        raise OutOfRange("face the unit stands on", value=down.value, least=faces[0], most=faces[-1])
    size_mm = tuple(abs(side) for side in turned(_size(unit), down=down, turn=turn))
    support_mm = tuple(abs(side) for side in turned(_support_box(support), down=down, turn=turn))
    placed = tuple(
        _place(item, unit=unit, down=down, turn=turn) for item in unit.projections if item.reach_mm > 0
    )
    length_mm, width_mm, height_mm = size_mm
    sides = ((width_mm, height_mm),) * 2 + ((length_mm, height_mm),) * 2 + ((length_mm, width_mm),) * 2
    bearings = [across * along * CASTING_SHARE / 1e6 for across, along in sides]
    seat_mm, opening_m2, openings = find_seat(
        placed, support_mm=(support_mm[0], support_mm[1]), floor_mm=-height_mm / 2
    )
    for extra in (*unit.support_faces, support):
        at = _face_after(extra.face, down=down, turn=turn)
        area_m2 = extra.length_mm * extra.width_mm / 1e6
        bearings[at] = area_m2 if extra is support else max(bearings[at], area_m2)
    bearings[BASE] -= opening_m2
    return Stance(
        down=down,
        turn=turn,
        size_mm=(length_mm, width_mm, height_mm),
        support_mm=(support_mm[0], support_mm[1]),
        projections=placed,
        reaches_mm=tuple(
            _overshoot(placed, at=at, size_mm=(length_mm, width_mm, height_mm)) for at in range(6)
        ),
        sides_mm=sides,
        bearings_m2=tuple(bearings),
        seat_mm=seat_mm,
        opening_m2=opening_m2,
        openings=openings,
    )


def lying_faces(unit: PackUnit) -> tuple[Face, ...]:
    """Return the sides on which a light unit may lie: those from which nothing untouchable stands out."""
    if not unit.may_lie:
        return ()
    taken = {item.face for item in unit.projections if item.reach_mm > 0 and not item.may_be_touched}
    return tuple(face for face in Face if face not in taken)


def find_seat(
    placed: tuple[PlacedProjection, ...], *, support_mm: tuple[float, float], floor_mm: float
) -> tuple[tuple[float, float], float, tuple[str, ...]]:
    """Return the seat's two sides, the area of its openings (m2) and what hangs through them.

    The seat is centred under the support face and stays 5 mm clear of every part that hangs below it. A part
    that hangs from within the support face needs an opening of its own size with 5 mm round it; of openings
    at most 60 % of the face is taken, and what remains is counted as bearing.
    """
    half = [support_mm[0] / 2 + SPREAD_OVERHANG_MM, support_mm[1] / 2 + SPREAD_OVERHANG_MM]
    opening_m2, names = 0.0, []
    for item in placed:
        if item.low_mm[2] >= floor_mm - 1e-9:
            continue
        low = [item.low_mm[axis] - SEAT_CLEAR_MM for axis in (0, 1)]
        high = [item.high_mm[axis] + SEAT_CLEAR_MM for axis in (0, 1)]
        free = [max(low[axis], -high[axis]) for axis in (0, 1)]
        outside = [axis for axis in (0, 1) if free[axis] >= support_mm[axis] / 2 - SEAT_CLEAR_MM - 1e-9]
        if outside:
            axis = max(outside, key=lambda at: min(free[at], half[at]) / half[at])
            half[axis] = min(half[axis], max(free[axis], support_mm[axis] / 2))
            continue
        sides = [
            max(0.0, min(high[axis], support_mm[axis] / 2) - max(low[axis], -support_mm[axis] / 2))
            for axis in (0, 1)
        ]
        opening_m2 += sides[0] * sides[1] / 1e6
        names.append(item.name)
    most_m2 = OPENING_MOST_SHARE * support_mm[0] * support_mm[1] / 1e6
    return (2 * half[0], 2 * half[1]), min(opening_m2, most_m2), tuple(names)


def _lying_face(unit: PackUnit, *, down: Face) -> SupportFace:
    """Return the part of a side that a light unit lies on: the casting's share of it, in its proportions."""
    share = math.sqrt(CASTING_SHARE)
    if down in (Face.LEFT, Face.RIGHT):
        return SupportFace(down, unit.width_mm * share, unit.height_mm * share)
    if down in (Face.FRONT, Face.BACK):
        return SupportFace(down, unit.length_mm * share, unit.height_mm * share)
    return SupportFace(down, unit.length_mm * share, unit.width_mm * share)


def overshoot_mm(item: PlacedProjection, *, at: int, size_mm: Point) -> float:
    """Return how far one projection stands past the body on face `at` of `FACES`, at least 0."""
    axis, high = divmod(at, 2)
    half = size_mm[axis] / 2
    return max(0.0, item.high_mm[axis] - half if high else -half - item.low_mm[axis])


def _overshoot(placed: tuple[PlacedProjection, ...], *, at: int, size_mm: Point) -> float:
    return max((overshoot_mm(item, at=at, size_mm=size_mm) for item in placed), default=0.0)


def _size(unit: PackUnit) -> Point:
    return unit.length_mm, unit.width_mm, unit.height_mm


def _support_box(support: SupportFace) -> Point:
    """Return the support face as a flat box in the unit's own directions."""
    if support.face in (Face.LEFT, Face.RIGHT):
        return 0.0, support.length_mm, support.width_mm
    if support.face in (Face.FRONT, Face.BACK):
        return support.length_mm, 0.0, support.width_mm
    return support.length_mm, support.width_mm, 0.0


def turned(point: Point, *, down: Face, turn: Turn) -> Point:
    """Return a point of the unit, from its middle, in the carton's directions once `down` is turned down."""
    x, y, z = (point[axis] * sign for axis, sign in _TURNED_DOWN[down])
    return (x, y, z) if turn is Turn.ALONG else (-y, x, z)


def _face_after(face: Face, *, down: Face, turn: Turn) -> int:
    axis, high = divmod(FACES.index(face), 2)
    normal = [0.0, 0.0, 0.0]
    normal[axis] = 1.0 if high else -1.0
    after = turned((normal[0], normal[1], normal[2]), down=down, turn=turn)
    at = max(range(3), key=lambda axis: abs(after[axis]))
    return 2 * at + (1 if after[at] > 0 else 0)


def _place(item: Projection, *, unit: PackUnit, down: Face, turn: Turn) -> PlacedProjection:
    axis, high = divmod(FACES.index(item.face), 2)
    across_axis, up_axis = ACROSS_AND_UP[axis]
    half = _size(unit)[axis] / 2
    low, top = [0.0, 0.0, 0.0], [0.0, 0.0, 0.0]
    low[axis], top[axis] = (half, half + item.reach_mm) if high else (-half - item.reach_mm, -half)
    for at, middle, side in (
        (across_axis, item.across_mm, item.breadth_mm),
        (up_axis, item.up_mm, item.depth_mm),
    ):
        low[at], top[at] = middle - side / 2, middle + side / 2
    first = turned((low[0], low[1], low[2]), down=down, turn=turn)
    second = turned((top[0], top[1], top[2]), down=down, turn=turn)
    return PlacedProjection(
        slug=item.slug,
        name=item.name,
        low_mm=(min(first[0], second[0]), min(first[1], second[1]), min(first[2], second[2])),
        high_mm=(max(first[0], second[0]), max(first[1], second[1]), max(first[2], second[2])),
        may_be_touched=item.may_be_touched,
    )
