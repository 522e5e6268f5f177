"""How large is a slotted carton outside, how much board is in it, and what does it weigh?"""

from dataclasses import dataclass

from packing.catalogue.schema import Carton
from packing.parcel.ranges import require_between

TAB_MM = 35.0  # glue tab, from memory
TAPE_G_M = 4.5  # 48 mm plastic tape, from memory


@dataclass(frozen=True, slots=True)
class BoxSize:
    """Length, width and height of a box in millimetres."""

    length_mm: float
    width_mm: float
    height_mm: float

    @property
    def volume_cm3(self) -> float:
        """Return the volume in cubic centimetres."""
        return self.length_mm * self.width_mm * self.height_mm / 1000

    @property
    def united_mm(self) -> float:
        """Return length + width + height."""
        return self.length_mm + self.width_mm + self.height_mm


def inside_size(carton: Carton) -> BoxSize:
    """Return the stated inside size, checked: 40 to 2000 mm a side, caliper 0.5 to 25 mm.

    FEFCO 0201 boxes are named by their inside. Raises: OutOfRange. Source: FEFCO code (kitepackaging.co.uk).
    """
    for name in ("length_mm", "width_mm", "height_mm"):
        require_between(f"carton {name}", value=getattr(carton, name), least=40.0, most=2000.0)
    require_between("carton caliper_mm", value=carton.caliper_mm, least=0.5, most=25.0)
    return BoxSize(carton.length_mm, carton.width_mm, carton.height_mm)


def _require_sides(size: BoxSize) -> None:
    for name in ("length_mm", "width_mm", "height_mm"):
        require_between(name, value=getattr(size, name), least=1.0, most=3000.0)


def outside_size(inside: BoxSize, *, caliper_mm: float) -> BoxSize:
    """Return the outside size of a slotted box: + 2 T in length and width, + 4 T in height (four flaps).

    Made boxes differ by up to 1/8 in (ULINE), which the reserve at every tip covers. Range: inside sides 1 mm
    to 3 m, caliper 0.5 to 25 mm. Raises: OutOfRange. Source: homesteady.com; C flute (5/32 in) gives the 5/16
    and 5/8 in of pack-design.com exactly.

    >>> size = outside_size(BoxSize(304.8, 228.6, 152.4), caliper_mm=25.4 * 5 / 32)
    >>> [round(side / 25.4, 4) for side in (size.length_mm, size.width_mm, size.height_mm)]
    [12.3125, 9.3125, 6.625]
    """
    _require_sides(inside)
    require_between("caliper_mm", value=caliper_mm, least=0.5, most=25.0)
    return BoxSize(
        inside.length_mm + 2 * caliper_mm, inside.width_mm + 2 * caliper_mm, inside.height_mm + 4 * caliper_mm
    )


def blank_area_m2(inside: BoxSize, *, caliper_mm: float) -> float:
    """Return the flat board of a regular slotted carton (FEFCO 0201).

    Length 2 (L + a) + 2 (W + a) + tab, width (D + c) + (W + a), with L the longer side of the opening (the
    outer flaps meet across the shorter one, whichever of the two is typed first) and the score allowances
    a = 1.2 T, c = 2.4 T (C flute: 3/16 and 3/8 in, pack-design.com); tab 35 mm from memory. Square metres.
    Range: sides 1 mm to 3 m, caliper 0.5 to 25 mm. Raises: OutOfRange.
    """
    _require_sides(inside)
    require_between("caliper_mm", value=caliper_mm, least=0.5, most=25.0)
    along_mm, deep_mm = 1.2 * caliper_mm, 2.4 * caliper_mm
    shorter_mm = min(inside.length_mm, inside.width_mm)
    length_mm = 2 * (inside.length_mm + along_mm) + 2 * (inside.width_mm + along_mm) + TAB_MM
    width_mm = (inside.height_mm + deep_mm) + (shorter_mm + along_mm)
    return length_mm * width_mm / 1e6


def carton_mass_kg(carton: Carton) -> float:
    """Return the mass of the empty carton: blank area x board grammage.

    Range: 100 to 5000 g/m2; the carton's sides 40 to 2000 mm. Raises: OutOfRange. Derived.
    """
    require_between("board_g_m2", value=carton.board_g_m2, least=100.0, most=5000.0)
    return blank_area_m2(inside_size(carton), caliper_mm=carton.caliper_mm) * carton.board_g_m2 / 1000


def tape_length_mm(outside: BoxSize, *, overrun_mm: float = 60.0) -> float:
    """Return the tape of an H closure top and bottom: 2 (L + 2 r) + 4 W, r the run-over onto the end panel.

    L is the longer side of the top. Range: sides 1 mm to 3 m, run-over 0 to 300 mm. Raises: OutOfRange.
    Source: H closure, mailpackcenter.com; its length is geometry, the run-over of 2 to 3 in from memory.
    """
    _require_sides(outside)
    require_between("overrun_mm", value=overrun_mm, least=0.0, most=300.0)
    shorter_mm, longer_mm = sorted((outside.length_mm, outside.width_mm))
    return 2 * (longer_mm + 2 * overrun_mm) + 4 * shorter_mm


def tape_mass_kg(outside: BoxSize) -> float:
    """Return the mass of the closure tape (4.5 g/m, from memory)."""
    return tape_length_mm(outside) / 1000 * TAPE_G_M / 1000
