"""What is to be packed, and in which ways can it stand in a carton?"""

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

# Order of every six-tuple in this package: along x, then y, then z of the carton.
FACES = (Face.LEFT, Face.RIGHT, Face.FRONT, Face.BACK, Face.BASE, Face.TOP)
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
        for support in self.support_faces:
            require_between(f"{self.name}: support length_mm", value=support.length_mm, least=5.0, most=900.0)
            require_between(f"{self.name}: support width_mm", value=support.width_mm, least=5.0, most=900.0)
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
        """Tell whether anything sticks out that must not take a load."""
        return any(item.reach_mm > 0 and not item.may_be_touched for item in self.projections)


def pack_unit(model: UnitModel, *, leg: Leg) -> PackUnit:
    """Return a catalogue model as it travels on one leg.

    To the shop, projections marked `taken_off` are already off; to the customer everything is refitted.
    Range: sides
    10 to 900 mm, mass 0.02 to 50 kg, fragility 5 to 300 G. Raises: OutOfRange.
    """
    staying = tuple(item for item in model.projections if leg is Leg.TO_CUSTOMER or not item.taken_off)
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
    cushion.
    """

    down: Face
    turn: Turn
    size_mm: Point
    support_mm: tuple[float, float]
    projections: tuple[PlacedProjection, ...]
    reaches_mm: tuple[float, ...]
    sides_mm: tuple[tuple[float, float], ...]
    bearings_m2: tuple[float, ...]


def stances(unit: PackUnit) -> tuple[Stance, ...]:
    """Return every way the unit can stand: each support face down, lying along and across the carton.

    The order is the order of the support faces in the catalogue: the preferred one first.
    """
    return tuple(stand(unit, down=support.face, turn=turn) for support in unit.support_faces for turn in Turn)


def stand(unit: PackUnit, *, down: Face, turn: Turn) -> Stance:
    """Return the unit standing on one of its support faces.

    Raises: OutOfRange when `down` is not one of its support faces.
    """
    support = next((face for face in unit.support_faces if face.face is down), None)
    if support is None:
        faces = [face.face.value for face in unit.support_faces]
        raise OutOfRange("face the unit stands on", value=down.value, least=faces[0], most=faces[-1])
    size_mm = tuple(abs(side) for side in _turn(_size(unit), down=down, turn=turn))
    support_mm = tuple(abs(side) for side in _turn(_support_box(support), down=down, turn=turn))
    placed = tuple(
        _place(item, unit=unit, down=down, turn=turn) for item in unit.projections if item.reach_mm > 0
    )
    length_mm, width_mm, height_mm = size_mm
    sides = ((width_mm, height_mm),) * 2 + ((length_mm, height_mm),) * 2 + ((length_mm, width_mm),) * 2
    bearings = [across * along * CASTING_SHARE / 1e6 for across, along in sides]
    for extra in unit.support_faces:
        at = _face_after(extra.face, down=down, turn=turn)
        area_m2 = extra.length_mm * extra.width_mm / 1e6
        bearings[at] = area_m2 if extra is support else max(bearings[at], area_m2)
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
    )


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


def _turn(point: Point, *, down: Face, turn: Turn) -> Point:
    x, y, z = (point[axis] * sign for axis, sign in _TURNED_DOWN[down])
    return (x, y, z) if turn is Turn.ALONG else (-y, x, z)


def _face_after(face: Face, *, down: Face, turn: Turn) -> int:
    axis, high = divmod(FACES.index(face), 2)
    normal = [0.0, 0.0, 0.0]
    normal[axis] = 1.0 if high else -1.0
    turned = _turn((normal[0], normal[1], normal[2]), down=down, turn=turn)
    at = max(range(3), key=lambda axis: abs(turned[axis]))
    return 2 * at + (1 if turned[at] > 0 else 0)


def _place(item: Projection, *, unit: PackUnit, down: Face, turn: Turn) -> PlacedProjection:
    axis, high = divmod(FACES.index(item.face), 2)
    across_axis, up_axis = ((1, 2), (0, 2), (0, 1))[axis]
    half = _size(unit)[axis] / 2
    low, top = [0.0, 0.0, 0.0], [0.0, 0.0, 0.0]
    low[axis], top[axis] = (half, half + item.reach_mm) if high else (-half - item.reach_mm, -half)
    for at, middle, side in (
        (across_axis, item.across_mm, item.breadth_mm),
        (up_axis, item.up_mm, item.depth_mm),
    ):
        low[at], top[at] = middle - side / 2, middle + side / 2
    first = _turn((low[0], low[1], low[2]), down=down, turn=turn)
    second = _turn((top[0], top[1], top[2]), down=down, turn=turn)
    return PlacedProjection(
        slug=item.slug,
        name=item.name,
        low_mm=(min(first[0], second[0]), min(first[1], second[1]), min(first[2], second[2])),
        high_mm=(max(first[0], second[0]), max(first[1], second[1]), max(first[2], second[2])),
        may_be_touched=item.may_be_touched,
    )
