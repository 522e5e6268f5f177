"""What does a carton bring along, whatever is packed in it?"""

from dataclasses import dataclass
from functools import lru_cache

from packing.catalogue.schema import Carton
from packing.parcel.board import BoxLimits, advised_gross_kg, box_limits, used_strength_share
from packing.parcel.box import BoxSize, carton_mass_kg, inside_size, outside_size, tape_mass_kg
from packing.parcel.compression import compression_strength_n, parcel_working_share
from packing.parcel.entries import require_board


@dataclass(frozen=True, slots=True)
class BoxFacts:
    """Everything about a carton that does not depend on what is in it."""

    carton: Carton
    inside: BoxSize
    outside: BoxSize
    empty_kg: float
    limits: BoxLimits | None
    advised_kg: float | None
    new_n: float
    working_n: float

    @property
    def inside_mm(self) -> tuple[float, float, float]:
        """Return the inside sides along x, y, z."""
        return self.inside.length_mm, self.inside.width_mm, self.inside.height_mm


@lru_cache(maxsize=1024)
def box_facts(carton: Carton) -> BoxFacts:
    """Return the carton's outside size, empty mass with tape, limits and working strength.

    The working strength is McKee's, derated for time, damp and handling, and for wear of a used carton.
    Raises: OutOfRange.
    """
    inside = inside_size(require_board(carton))
    outside = outside_size(inside, caliper_mm=carton.caliper_mm)
    new_n = compression_strength_n(
        carton.ect_kn_m, caliper_mm=carton.caliper_mm, length_mm=carton.length_mm, width_mm=carton.width_mm
    )
    return BoxFacts(
        carton=carton,
        inside=inside,
        outside=outside,
        empty_kg=carton_mass_kg(carton) + tape_mass_kg(outside),
        limits=box_limits(carton),
        advised_kg=advised_gross_kg(carton),
        new_n=new_n,
        working_n=new_n * parcel_working_share() * used_strength_share(carton),
    )
