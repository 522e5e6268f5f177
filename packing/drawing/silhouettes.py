"""How does a unit of each family look from outside, drawn from simple solids inside its true envelope?

Solids are boxes and cylinders in shares of the envelope, from its middle: x along the length, y along the
width (front first), z along the height. They only make the unit recognisable; every dimension is taken from
the envelope, which the solids together fill from side to side.
"""

from dataclasses import dataclass
from enum import StrEnum

from packing.drawing.shapes import Area, Stroke
from packing.parcel.unit import PackUnit, Stance, turned

Shares = tuple[float, float, float]


class Solid(StrEnum):
    """A box, or a cylinder about one axis of the unit."""

    BOX = "box"
    ROUND_X = "round_x"
    ROUND_Y = "round_y"
    ROUND_Z = "round_z"


@dataclass(frozen=True, slots=True)
class Part:
    """One solid by its two opposite corners in shares of the envelope."""

    solid: Solid
    low: Shares
    high: Shares


def _part(solid: Solid, x: tuple[float, float], y: tuple[float, float], z: tuple[float, float]) -> Part:
    return Part(solid, (x[0], y[0], z[0]), (x[1], y[1], z[1]))


_B, _X, _Y, _Z = Solid.BOX, Solid.ROUND_X, Solid.ROUND_Y, Solid.ROUND_Z
_FULL = (-0.5, 0.5)

SILHOUETTES: dict[str, tuple[Part, ...]] = {
    "carburettor": (
        _part(_Z, (-0.20, 0.38), (-0.30, 0.30), (-0.44, 0.40)),
        _part(_B, (-0.36, 0.46), (-0.34, 0.34), (-0.50, -0.42)),
        _part(_B, (-0.50, 0.10), (-0.50, 0.42), (-0.16, 0.28)),
        _part(_B, _FULL, (-0.44, 0.50), (0.22, 0.30)),
        _part(_Z, (-0.26, 0.44), (-0.36, 0.36), (0.30, 0.50)),
    ),
    "magneto": (
        _part(_B, (-0.34, 0.34), (-0.40, 0.40), (-0.50, -0.38)),
        _part(_X, (-0.40, 0.42), _FULL, (-0.44, 0.26)),
        _part(_B, (-0.28, 0.22), (-0.34, 0.34), (0.16, 0.50)),
        _part(_X, (-0.50, -0.36), (-0.44, 0.44), (-0.40, 0.22)),
        _part(_X, (0.40, 0.50), (-0.36, 0.36), (-0.36, 0.16)),
    ),
    "distributor": (
        _part(_Z, (-0.32, 0.32), (-0.32, 0.32), (-0.50, -0.40)),
        _part(_Z, (-0.40, 0.40), (-0.40, 0.40), (-0.40, 0.02)),
        _part(_Z, (-0.46, 0.46), (-0.46, 0.46), (0.02, 0.12)),
        _part(_Z, _FULL, _FULL, (0.12, 0.50)),
    ),
    "injection_pump": (
        _part(_B, (-0.42, 0.42), _FULL, (-0.36, 0.20)),
        _part(_B, (-0.30, 0.30), (-0.40, 0.40), (-0.50, -0.36)),
        _part(_X, (0.42, 0.50), (-0.38, 0.38), (-0.32, 0.18)),
        _part(_X, (-0.50, -0.42), (-0.42, 0.42), (-0.34, 0.20)),
        _part(_B, (-0.34, 0.34), (-0.30, 0.30), (0.20, 0.50)),
    ),
    "injector": tuple(
        part
        for at in (-0.375, -0.125, 0.125, 0.375)
        for part in (
            _part(_Y, (at - 0.125, at + 0.125), (-0.10, 0.34), _FULL),
            _part(_Y, (at - 0.07, at + 0.07), (-0.50, -0.10), (-0.30, 0.30)),
            _part(_Y, (at - 0.05, at + 0.05), (0.34, 0.50), (-0.22, 0.22)),
        )
    ),
    "lift_pump": (
        _part(_Z, (-0.38, 0.38), (-0.38, 0.38), (-0.50, -0.04)),
        _part(_Z, _FULL, _FULL, (-0.04, 0.10)),
        _part(_Z, (-0.42, 0.42), (-0.42, 0.42), (0.10, 0.50)),
    ),
    "throttle_body": (
        _part(_B, _FULL, _FULL, (-0.50, -0.38)),
        _part(_Z, (-0.40, 0.40), (-0.46, 0.46), (-0.38, 0.38)),
        _part(_B, (-0.46, 0.46), (-0.48, 0.48), (0.38, 0.50)),
    ),
    "sender": (
        _part(_B, (-0.22, 0.22), (-0.30, 0.30), (-0.50, 0.30)),
        _part(_Z, _FULL, _FULL, (0.30, 0.50)),
    ),
}
PLAIN = (
    _part(_B, _FULL, _FULL, (-0.50, 0.20)),
    _part(_B, (-0.38, 0.38), (-0.38, 0.38), (0.20, 0.50)),
)


def parts_of(family: str) -> tuple[Part, ...]:
    """Return the solids of a family; two plain boxes for a family that has none."""
    return SILHOUETTES.get(family, PLAIN)


@dataclass(frozen=True, slots=True)
class PlacedPart:
    """One solid in the carton's directions, in millimetres from the middle of the body."""

    low_mm: tuple[float, float, float]
    high_mm: tuple[float, float, float]
    axis: int


def placed_parts(unit: PackUnit, *, stance: Stance) -> tuple[PlacedPart, ...]:
    """Return the solids of a unit as it stands; `axis` is the direction of a cylinder, -1 for a box."""
    size = (unit.length_mm, unit.width_mm, unit.height_mm)
    found = []
    for part in parts_of(unit.family):
        first, second = (
            turned(
                (corner[0] * size[0], corner[1] * size[1], corner[2] * size[2]),
                down=stance.down,
                turn=stance.turn,
            )
            for corner in (part.low, part.high)
        )
        found.append(
            PlacedPart(
                (min(first[0], second[0]), min(first[1], second[1]), min(first[2], second[2])),
                (max(first[0], second[0]), max(first[1], second[1]), max(first[2], second[2])),
                _axis_after(part.solid, stance=stance),
            )
        )
    return tuple(found)


def _axis_after(solid: Solid, *, stance: Stance) -> int:
    if solid is Solid.BOX:
        return -1
    at = (Solid.ROUND_X, Solid.ROUND_Y, Solid.ROUND_Z).index(solid)
    along = [0.0, 0.0, 0.0]
    along[at] = 1.0
    after = turned((along[0], along[1], along[2]), down=stance.down, turn=stance.turn)
    return max(range(3), key=lambda axis: abs(after[axis]))


def centre_line(part: PlacedPart, *, axis: int, area: Area) -> tuple[Stroke, ...]:
    """Return the centre line of a cylinder seen from the side, or its cross seen from the end."""
    (x, y), past = area.middle, 4.0
    level = Stroke("axis", (area.x - past, y), (area.x + area.width_units + past, y))
    upright = Stroke("axis", (x, area.y - past), (x, area.y + area.height_units + past))
    if part.axis < 0:
        return ()
    if part.axis == 2:
        return (upright,)
    return (level,) if part.axis == axis else (level, upright)
