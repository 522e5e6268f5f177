"""Are the figures of a material and of a carton's board such as any can have?

The catalogue asks before an entry is published; a plan asks once more, because a figure that is no number
would let everything pass.
"""

from collections.abc import Iterator
from functools import lru_cache

from packing.catalogue.schema import Carton, Material
from packing.errors import OutOfRange
from packing.parcel.ranges import require_between

SETTLES_MOST_SHARE, UNCERTAINTY_MOST_SHARE = 0.9, 1.0
# Name, least and most; the ranges of the constants are those of `cushion.StressEnergy`.
_MATERIAL = (
    ("curve_a_kpa", 0.1, 5000.0),
    ("curve_b_m3_kj", 0.0001, 10.0),
    ("stress_most_kpa", 0.001, 10_000.0),
    ("settles_share", 0.0, SETTLES_MOST_SHARE),
    ("uncertainty_share", 0.0, UNCERTAINTY_MOST_SHARE),
    ("density_kg_m3", 0.1, 1000.0),
    ("count_litres", 0.01, 1000.0),
)
_BOARD = (("burst_kpa", 50.0, 10_000.0), ("puncture_j", 0.1, 200.0), ("certificate_gross_kg", 0.1, 500.0))
THICKNESS_LEAST_MM, THICKNESS_MOST_MM = 0.5, 500.0
ADVISED_LEAST_KG, ADVISED_MOST_KG = 0.01, 1000.0


@lru_cache(maxsize=1024)
def require_material(material: Material) -> Material:
    """Return the material when a cushion can be computed with it.

    Range: a 0.1 to 5000 kPa, b 0.0001 to 10 m3/kJ, stress to 10000 kPa, settling 0 to 0.9, uncertainty 0 to
    1, density 0.1 to 1000 kg/m3, stock 0.5 to 500 mm thick, advised mass 0.01 to 1000 kg. Raises: OutOfRange.
    """
    for _, refusal in impossible_in_material(material):
        raise refusal
    return material


def impossible_in_material(material: Material) -> Iterator[tuple[str, OutOfRange]]:
    """Yield every figure that no cushion can have: its key, and the refusal."""
    for key, least, most in _MATERIAL:
        yield from _refused(
            key, name=f"{material.name}: {key}", value=getattr(material, key), least=least, most=most
        )
    for at, thickness_mm in enumerate(material.thicknesses_mm, 1):
        yield from _refused(
            f"thicknesses_mm[{at}]",
            name=f"{material.name}: thickness_mm",
            value=thickness_mm,
            least=THICKNESS_LEAST_MM,
            most=THICKNESS_MOST_MM,
        )
    if material.mass_most_kg is not None:
        yield from _refused(
            "mass_most_kg",
            name=f"{material.name}: advised mass_kg",
            value=material.mass_most_kg,
            least=ADVISED_LEAST_KG,
            most=ADVISED_MOST_KG,
        )


def require_board(carton: Carton) -> Carton:
    """Return the carton when what is stated of its board is possible; what is not stated is not asked for.

    Range: burst 50 to 10000 kPa, puncture 0.1 to 200 J, certificate 0.1 to 500 kg. Raises: OutOfRange.
    """
    for _, refusal in impossible_in_board(carton):
        raise refusal
    return carton


def impossible_in_board(carton: Carton) -> Iterator[tuple[str, OutOfRange]]:
    """Yield every stated figure that no board can have: its key, and the refusal."""
    for key, least, most in _BOARD:
        value = getattr(carton, key)
        if value is not None:
            yield from _refused(key, name=f"carton {key}", value=value, least=least, most=most)


def _refused(
    key: str, *, name: str, value: float, least: float, most: float
) -> Iterator[tuple[str, OutOfRange]]:
    try:
        require_between(name, value=value, least=least, most=most)
    except OutOfRange as refusal:
        yield key, refusal
