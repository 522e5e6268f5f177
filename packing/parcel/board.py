"""Is the carton's board strong enough for its gross mass and size, and what would pierce it?"""

from dataclasses import dataclass

from packing.catalogue.schema import Carton, Wall
from packing.errors import OutOfRange
from packing.parcel.ranges import require_between
from packing.parcel.tables import (
    BoxRow,
    GradeRow,
    PostalRow,
    advised_rows,
    box_rows,
    grade_rows,
    load_table,
    postal_rows,
)
from packing.quantities import (
    KG_PER_LB,
    KN_M_PER_LB_IN,
    KPA_PER_PSI,
    MM_PER_IN,
    kg_from_lb,
    lb_from_kg,
    lb_in_from_kn_m,
)

# The tables print rounded whole figures: 32 lb/in is sold as 5.6 kN/m, which is 31.98 lb/in.
ROUNDING_SHARE = 0.003
IN2_PER_FT2 = 144.0


@dataclass(frozen=True, slots=True)
class BoxLimits:
    """The most a carton may weigh and measure by its board."""

    gross_mass_kg: float
    united_mm: float
    row: BoxRow


def lightest_row(wall: Wall, *, gross_mass_kg: float, united_mm: float) -> BoxRow | None:
    """Return the weakest Item 222 row of a wall that covers a gross mass and united size, or None.

    United size is outside length + width + depth in mm. Both limits have to hold. Range: mass 0.01 to 200 kg,
    united size 10 to 5000 mm. Raises: OutOfRange. Source: NMFC Item 222 / UFC Rule 41 (item222.toml).
    """
    require_between("gross_mass_kg", value=gross_mass_kg, least=0.01, most=200.0)
    require_between("united_mm", value=united_mm, least=10.0, most=5000.0)
    for row in box_rows():
        fits = gross_mass_kg <= row.gross_lb * KG_PER_LB * (1 + 1e-9)
        fits = fits and united_mm <= row.united_in * MM_PER_IN * (1 + 1e-9)
        if row.wall is wall and fits:
            return row
    return None


def box_limits(carton: Carton) -> BoxLimits | None:
    """Return the highest Item 222 row whose burst or edge crush figure the carton's board reaches, or None.

    Burst and edge crush are alternatives: either one is enough; both may fall short by 0.3 %, since the
    tables print whole figures. A used carton counts one row lower; below the lowest row there is none.
    Source: NMFC Item 222 / UFC Rule 41; the row lower is the shop's judgement.
    """
    rows = [row for row in box_rows() if row.wall is carton.wall]
    reached = [at for at, row in enumerate(rows) if _meets(carton, row)]
    if not reached:
        return None
    at = reached[-1] - (load_table("handling")["reuse"]["grades_lower"] if carton.used else 0)
    if at < 0:
        return None
    row = rows[at]
    return BoxLimits(gross_mass_kg=kg_from_lb(row.gross_lb), united_mm=row.united_in * MM_PER_IN, row=row)


def _meets(carton: Carton, row: BoxRow) -> bool:
    if carton.ect_kn_m >= row.ect_lb_in * KN_M_PER_LB_IN * (1 - ROUNDING_SHARE):
        return True
    if row.burst_psi is None or carton.burst_kpa is None:
        return False
    return carton.burst_kpa >= row.burst_psi * KPA_PER_PSI * (1 - ROUNDING_SHARE)


def advised_gross_kg(carton: Carton) -> float | None:
    """Return the advised ceiling of gross mass for dense goods by the carton's edge crush.

    The cautious shipper's table starts at 32 lb/in; weaker board takes the same share (30/65) of its Item 222
    row, which is an estimate. A used carton counts one row lower. None when the board reaches no row at all.
    Source: Box Strength Guidelines, a2globalshipping.com.
    """
    limits = box_limits(carton)
    if limits is None:
        return None
    ect_lb_in = min(lb_in_from_kn_m(carton.ect_kn_m), limits.row.ect_lb_in) if carton.used else None
    strength_lb_in = ect_lb_in or lb_in_from_kn_m(carton.ect_kn_m)
    ceilings = [
        row.gross_lb for row in advised_rows() if strength_lb_in >= row.ect_lb_in * (1 - ROUNDING_SHARE)
    ]
    return kg_from_lb(ceilings[-1]) if ceilings else limits.gross_mass_kg * 30 / 65


def postal_requirement(gross_mass_kg: float) -> PostalRow:
    """Return the box the post asks for dense goods of this gross mass.

    Range: up to 70 lb. Raises: OutOfRange. Source: USPS Publication 2, 6-3.
    """
    gross_lb = lb_from_kg(require_between("gross_mass_kg", value=gross_mass_kg, least=0.001, most=200.0))
    for row in postal_rows():
        if gross_lb <= row.up_to_lb * (1 + 1e-9):
            return row
    raise OutOfRange(
        "gross_mass_kg by post", value=round(gross_mass_kg, 2), least=0.001, most=round(kg_from_lb(70), 2)
    )


def meets_burst(carton: Carton, *, burst_psi: float) -> float:
    """Return how far a carton's board reaches a burst test figure: 1 is just enough.

    Burst is compared directly; the edge crush alternative is the Item 222 pair of that figure, for a figure
    that is in no row of this wall the pair of its first row; the better of the two counts. A used carton
    counts at 0.8 of its figures, about one row lower (estimate). Range: 50 to 1000 psi. Raises: OutOfRange.
    Source: NMFC Item 222 / UFC Rule 41; handling.toml for the used carton.

    >>> from packing.parcel.tables import stock_cartons
    >>> round(meets_burst(stock_cartons()[0], burst_psi=200), 2)
    1.0
    """
    require_between("burst_psi", value=burst_psi, least=50.0, most=1000.0)
    share = float(load_table("handling")["reuse"]["burst_share"]) if carton.used else 1.0
    by_burst = (carton.burst_kpa or 0.0) / (burst_psi * KPA_PER_PSI)
    pairs = [row.ect_lb_in for row in box_rows() if row.wall is carton.wall and row.burst_psi == burst_psi]
    pairs = pairs or [row.ect_lb_in for row in box_rows() if row.wall is carton.wall]
    by_crush = carton.ect_kn_m / (pairs[0] * KN_M_PER_LB_IN)
    return share * max(by_burst, by_crush) * (1 + ROUNDING_SHARE)


def smallest_side_pressure_kpa(
    gross_mass_kg: float, *, length_mm: float, width_mm: float, height_mm: float
) -> float:
    """Return the pressure of a parcel standing on its smallest side, in kPa: m g / area.

    The post calls 15 to 35 lb parcels of dense goods machinable up to 60 lb a square foot. Range: mass 0.001
    to 200 kg, sides 1 mm to 3 m. Raises: OutOfRange. Source: USPS Publication 2, 6-3.

    >>> kpa = smallest_side_pressure_kpa(9.07, length_mm=300, width_mm=254, height_mm=203)
    >>> round(kpa, 2)
    1.73
    """
    require_between("gross_mass_kg", value=gross_mass_kg, least=0.001, most=200.0)
    for name, side_mm in (("length_mm", length_mm), ("width_mm", width_mm), ("height_mm", height_mm)):
        require_between(name, value=side_mm, least=1.0, most=3000.0)
    sides_mm = sorted((length_mm, width_mm, height_mm))
    return lb_from_kg(gross_mass_kg) / (sides_mm[0] * sides_mm[1] / MM_PER_IN**2) * KPA_PER_PSI


def is_machinable(gross_mass_kg: float, *, length_mm: float, width_mm: float, height_mm: float) -> bool:
    """Return whether the post's machines take a parcel of dense goods.

    15 to 35 lb, and at most 60 lb a square foot on its smallest side. Ranges and refusals as
    `smallest_side_pressure_kpa`. Source: USPS Publication 2, 6-3.

    >>> is_machinable(kg_from_lb(20), length_mm=305, width_mm=254, height_mm=203)
    True
    """
    rule = load_table("item222")["postal"]
    most_kpa = float(rule["machinable_most_lb_ft2"]) * KPA_PER_PSI / IN2_PER_FT2
    pressure_kpa = smallest_side_pressure_kpa(
        gross_mass_kg, length_mm=length_mm, width_mm=width_mm, height_mm=height_mm
    )
    gross_lb = lb_from_kg(gross_mass_kg)
    least_lb, most_lb = float(rule["machinable_least_lb"]), float(rule["machinable_most_lb"])
    return least_lb - 1e-9 <= gross_lb <= most_lb + 1e-9 and pressure_kpa <= most_kpa * (1 + 1e-9)


def board_grade(wall: Wall, *, ect_kn_m: float) -> GradeRow | None:
    """Return the best DIN 55468-1 grade of a wall whose edge crush a board reaches, or None below the lowest.

    The grade's edge crush may be undershot by 5 % on the mean; that tolerance is not used up here, so 48
    lb/in (8.41 kN/m) counts as 2.40 though it is sold as about 2.50. Range: 0.1 to 100 kN/m. Raises:
    OutOfRange. Source: DIN 55468-1:2021 (weka-sebnitz.de).

    >>> board_grade(Wall.DOUBLE, ect_kn_m=8.5).grade
    '2.50'
    """
    require_between("ect_kn_m", value=ect_kn_m, least=0.1, most=100.0)
    found = [row for row in grade_rows() if row.wall is wall and ect_kn_m >= row.ect_kn_m * (1 - 1e-9)]
    return found[-1] if found else None


def b_flute_grade(row: GradeRow) -> GradeRow:
    """Return a single-wall grade as B flute: its figures fall by 10 %.

    Raises: OutOfRange for double wall. Source: DIN 55468-1:2021 (weka-sebnitz.de).
    """
    if row.wall is not Wall.SINGLE:
        raise OutOfRange("walls of a B flute board", value=row.wall, least=Wall.SINGLE, most=Wall.SINGLE)
    share = load_table("din55468")["b_flute"]["share"]
    burst_kpa = None if row.burst_kpa is None else row.burst_kpa * share
    return GradeRow(row.grade, row.wall, row.puncture_j * share, row.ect_kn_m * share, burst_kpa)


def puncture_energy_j(beach_units: float) -> float:
    """Return Beach puncture units as joules: 1 unit = 0.0299 J.

    Range: 0 to 10000 units. Raises: OutOfRange. Source: smitherspira.com.

    >>> round(puncture_energy_j(700), 1)
    20.9
    """
    require_between("beach_units", value=beach_units, least=0.0, most=10_000.0)
    return beach_units * float(load_table("handling")["puncture_unit"]["joules"])


def wall_puncture_j(carton: Carton) -> float | None:
    """Return the energy that pierces the carton's wall in joules: as stated, else by grade, or None.

    The grade is the DIN 55468-1 one that the edge crush reaches; of triple wall and board below the lowest
    grade nothing is known. Source: DIN 55468-1:2021 (weka-sebnitz.de). An order of magnitude: the test's head
    is a pyramid, a blunt lever needs more.
    """
    if carton.puncture_j is not None:
        return carton.puncture_j
    grade = board_grade(carton.wall, ect_kn_m=carton.ect_kn_m) if carton.wall is not Wall.TRIPLE else None
    return grade.puncture_j if grade else None


def used_refusal(carton: Carton, *, gross_mass_kg: float) -> str:
    """Return why a used carton cannot travel at this gross mass, or an empty string.

    A used carton counts one grade lower and is refused above 20 lb: the shop's judgement, since no measured
    loss of strength was found. Range: gross mass 0.001 to 200 kg. Raises: OutOfRange.
    """
    require_between("gross_mass_kg", value=gross_mass_kg, least=0.001, most=200.0)
    ceiling_kg = used_ceiling_kg()
    if not carton.used or gross_mass_kg <= ceiling_kg:
        return ""
    return f"A used carton is not taken above {ceiling_kg:.1f} kg: get a new one."


def used_strength_share(carton: Carton) -> float:
    """Return what a used carton keeps of its compression strength: 1 for a new one. Estimate.

    No measured figure was found; trade sayings run from 30 to 60 % lost on the first trip, and the middle of
    them is taken. Source: handling.toml, marked as estimate.
    """
    return float(load_table("handling")["reuse"]["strength_share"]) if carton.used else 1.0


def used_ceiling_kg() -> float:
    """Return the gross mass up to which a sound used carton is accepted: 20 lb (the shop's judgement)."""
    return kg_from_lb(float(load_table("handling")["reuse"]["refused_over_lb"]))
