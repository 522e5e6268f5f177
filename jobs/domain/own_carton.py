"""What is the carton that a customer has at home, as far as they can tell?"""

from dataclasses import dataclass

from packing.catalogue.schema import Carton, Origin, Source, Wall
from packing.parcel.tables import BoxRow, box_rows, flutes, load_table
from packing.quantities import UnitChoice, kg_from_lb, kn_m_from_lb_in, kpa_from_psi, show_size

SLUG = "own"
SIDE_LEAST_MM = 40.0
SIDE_MOST_MM = 2000.0

# The board most cartons of that wall are made of: thickness, edge crush (lb/in), mass; from memory.
_COMMON_BOARD = {
    Wall.SINGLE: (4.0, 32.0, 560.0),
    Wall.DOUBLE: (7.0, 48.0, 900.0),
    Wall.TRIPLE: (11.0, 67.0, 1500.0),
}
_FLUTES_OF_WALL = {Wall.SINGLE: ("C", "B", "A", "E", "F"), Wall.DOUBLE: ("BC", "EB"), Wall.TRIPLE: ()}
_THIN = ("E", "F", "EB")


@dataclass(frozen=True, slots=True)
class OwnCarton:
    """A carton as its owner describes it; `flute` empty and no certificate where they are not known."""

    length_mm: float
    width_mm: float
    height_mm: float
    wall: Wall
    flute: str = ""
    used: bool = False
    certificate_gross_kg: float | None = None


def flutes_of(wall: Wall) -> tuple[str, ...]:
    """Return the flutes that board of this wall is made with."""
    return _FLUTES_OF_WALL[wall]


def carton_of(own: OwnCarton) -> Carton:
    """Return the carton with the board that its wall, flute and certificate stand for.

    A certificate stands for the Item 222 row of its gross mass. Without one, the commonest board of that wall
    is taken, for thin flutes the weakest row; B flute keeps 90 % of its figures. All of it is an estimate,
    except the row of a certificate, which is published.
    """
    caliper_mm, ect_lb_in, board_g_m2 = _COMMON_BOARD[own.wall]
    rows = [row for row in box_rows() if row.wall is own.wall]
    origin, text = Origin.ESTIMATE, "the board most cartons of this wall are made of, from memory"
    certified = _row_of(own.certificate_gross_kg, rows=rows)
    if certified is not None:
        ect_lb_in = certified.ect_lb_in
        origin, text = Origin.PUBLISHED, "Item 222, the row of the gross mass on the box maker's certificate"
    elif own.flute in _THIN:
        ect_lb_in = rows[0].ect_lb_in
        text = "the weakest board of this wall, since its flute is thin; from memory"
    ect_kn_m = kn_m_from_lb_in(ect_lb_in)
    if own.flute == "B" and certified is None:
        ect_kn_m *= float(load_table("din55468")["b_flute"]["share"])
    if own.flute:
        caliper_mm = next(flute.caliper_mm for flute in flutes() if flute.name == own.flute)
    return Carton(
        slug="-".join(filter(None, (SLUG, own.flute.lower()))),
        name=_name(own),
        length_mm=own.length_mm,
        width_mm=own.width_mm,
        height_mm=own.height_mm,
        wall=own.wall,
        caliper_mm=caliper_mm,
        ect_kn_m=ect_kn_m,
        board_g_m2=board_g_m2,
        burst_kpa=kpa_from_psi(certified.burst_psi) if certified and certified.burst_psi else None,
        certificate_gross_kg=own.certificate_gross_kg,
        used=own.used,
        source=Source(text=f"inside size as measured by its owner; {text}", origin=origin),
    )


def own_carton_of(carton: Carton) -> OwnCarton | None:
    """Return how the owner described a carton that `carton_of` made; None for any other."""
    head, _, flute = carton.slug.partition("-")
    if head != SLUG:
        return None
    return OwnCarton(
        length_mm=carton.length_mm,
        width_mm=carton.width_mm,
        height_mm=carton.height_mm,
        wall=carton.wall,
        flute=flute.upper(),
        used=carton.used,
        certificate_gross_kg=carton.certificate_gross_kg,
    )


def _name(own: OwnCarton) -> str:
    size = show_size(own.length_mm, own.width_mm, own.height_mm, choice=UnitChoice.METRIC)
    return f"{size} {own.wall.value}-wall{', used' if own.used else ''}"


def _row_of(gross_kg: float | None, *, rows: list[BoxRow]) -> BoxRow | None:
    """Return the strongest row that a certificate's gross mass reaches, the weakest below all of them."""
    if gross_kg is None:
        return None
    reached = [row for row in rows if gross_kg >= kg_from_lb(row.gross_lb) * 0.99]
    return reached[-1] if reached else rows[0]
