"""How hard does a cushion stop a falling unit, how thick must it be, and how far does it give?

The stress-energy form: a cushion of thickness t under a static stress s absorbs s h / t of energy in each
unit of volume when the unit falls from h, and the peak stress it answers with is a exp(b E). Two constants
give every curve. Stresses are kPa, energies kJ/m3 (the same number as kPa), thicknesses and heights metres.

Dividing d(stress)/d(energy) out of the same form gives the strain, so the deepest compression needs no third
constant: strain = (1 - exp(-b E)) / (a b). At the optimum it is 0.598 for the plank of the published example,
inside the usual usable strain of 0.5 to 0.65.

Where it holds: closed-cell and paper cushions on their first drop, within the stresses and thicknesses of the
readings that gave a and b (the form was found to go wrong below 25 mm of foam and above 35 kg/m3). The
constants of the published example are good to 15 %, all others here to 25 %; every function takes whatever
constants a `StressEnergy` allows, and its caller adds the band.

Falls on edges and corners: two or three faces give way at once, each by 1/sqrt(n) of the travel. Their pads
together show sqrt(n) times the area of one, the unit travels sqrt(n) times as far for the same squeeze, and
so each volume takes 1/n of the energy: G = sqrt(n) (a / s) exp(b s h / (n t)).
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from enum import IntEnum

from packing.errors import OutOfRange
from packing.parcel.ranges import require_between
from packing.quantities import GRAVITY_M_S2

BUCKLING_SLENDERNESS = 1.33  # Kerstner, from memory


@dataclass(frozen=True, slots=True)
class StressEnergy:
    """The two constants of a cushion material: `a_kpa` in kPa, `b_m3_kj` in cubic metres per kilojoule."""

    a_kpa: float
    b_m3_kj: float

    def __post_init__(self) -> None:
        """Refuse constants outside every real material (a 0.1 to 5000 kPa, b 0.0001 to 10 m3/kJ)."""
        require_between("a_kpa", value=self.a_kpa, least=0.1, most=5000.0)
        require_between("b_m3_kj", value=self.b_m3_kj, least=0.0001, most=10.0)


def static_stress_kpa(mass_kg: float, *, area_m2: float) -> float:
    """Return the stress of a resting unit on its bearing area: s = m g / A, in kPa.

    Range: mass 1 g to 1000 kg, area 1 mm2 to 10 m2. Raises: OutOfRange. Source: How To Use Dynamic Cushion
    Curves, repco.com.

    >>> round(static_stress_kpa(16.329, area_m2=0.01935), 2)  # 36 lb on 30 sq in is 1.2 psi
    8.28
    """
    require_between("mass_kg", value=mass_kg, least=0.001, most=1000.0)
    require_between("area_m2", value=area_m2, least=1e-6, most=10.0)
    return mass_kg * GRAVITY_M_S2 / area_m2 / 1000


def bearing_area_m2(mass_kg: float, *, stress_kpa: float) -> float:
    """Return the area that brings a unit to a static stress: A = m g / s, in square metres.

    Range: mass 1 g to 1000 kg, stress 0.001 to 10000 kPa. Raises: OutOfRange. Source: How To Use Dynamic
    Cushion Curves, repco.com.

    >>> round(bearing_area_m2(16.329, stress_kpa=8.274) / 0.0254**2, 1)  # 36 lb at 1.2 psi: 30 sq in
    30.0
    """
    require_between("mass_kg", value=mass_kg, least=0.001, most=1000.0)
    require_between("stress_kpa", value=stress_kpa, least=0.001, most=10_000.0)
    return mass_kg * GRAVITY_M_S2 / stress_kpa / 1000


def peak_g(curve: StressEnergy, *, stress_kpa: float, drop_height_m: float, thickness_m: float) -> float:
    """Return the peak acceleration of the first drop, in multiples of gravity: G = (a / s) exp(b s h / t).

    Range: stress 0.001 to 10000 kPa, height 0.01 to 3 m, thickness 1 mm to 1 m. Raises: OutOfRange. A
    hopelessly overloaded cushion gives 10000, not an overflow. Source: stress-energy form (Clemson thesis
    135, abstract), constants from the worked example of repco.com.

    >>> plank = StressEnergy(63.69, 0.016598)
    >>> round(peak_g(plank, stress_kpa=8.274, drop_height_m=0.6096, thickness_m=0.0508), 1)
    40.0
    """
    require_between("stress_kpa", value=stress_kpa, least=0.001, most=10_000.0)
    require_between("drop_height_m", value=drop_height_m, least=0.01, most=3.0)
    require_between("thickness_m", value=thickness_m, least=0.001, most=1.0)
    exponent = curve.b_m3_kj * stress_kpa * drop_height_m / thickness_m
    return min(10_000.0, curve.a_kpa / stress_kpa * math.exp(min(exponent, 50.0)))


class Impact(IntEnum):
    """How many faces meet the floor at once."""

    FACE = 1
    EDGE = 2
    CORNER = 3


def projected_area_share(impact: Impact) -> float:
    """Return the area that equal pads show in a fall on an edge or corner, as a share of one: sqrt(n).

    1.414 for an edge at 45 degrees, 1.732 for a perfect corner (geometry). A face without a pad shows
    nothing.

    >>> [round(projected_area_share(impact), 3) for impact in Impact]
    [1.0, 1.414, 1.732]
    """
    return math.sqrt(impact)


def oblique_peak_g(
    curve: StressEnergy, *, stress_kpa: float, drop_height_m: float, thickness_m: float, impact: Impact
) -> float:
    """Return the peak acceleration along the fall on a face, edge or corner with like pads all round.

    G = sqrt(n) (a / s) exp(b s h / (n t)), `stress_kpa` that of one face. Ranges, refusals (OutOfRange) and
    limit as `peak_g`, which it equals for a face. Derived from the stress-energy form by geometry; like pads
    on all faces that meet the floor, no friction and no help from the carton's own edge. Near the optimum
    stress it is lower than on a face (0.86 on an edge, 0.89 on a corner), below about 0.7 of the optimum it
    is higher.
    """
    on_face = peak_g(
        curve, stress_kpa=stress_kpa, drop_height_m=drop_height_m / impact, thickness_m=thickness_m
    )
    return min(10_000.0, projected_area_share(impact) * on_face)


def optimum_stress_kpa(curve: StressEnergy, *, drop_height_m: float, thickness_m: float) -> float:
    """Return the static stress at which a cushion works best: s = t / (b h), in kPa.

    Derived: the minimum of the stress-energy form lies at E = 1 / b. Range: height 0.01 to 3 m, thickness
    1 mm to 1 m. Raises: OutOfRange.
    """
    require_between("drop_height_m", value=drop_height_m, least=0.01, most=3.0)
    require_between("thickness_m", value=thickness_m, least=0.001, most=1.0)
    return thickness_m / (curve.b_m3_kj * drop_height_m)


def least_cushion_factor(curve: StressEnergy) -> float:
    """Return the smallest cushion factor of a material, C = a b e.

    No unit; t = C h / G at the optimum stress. Derived from the stress-energy form; about 2 is the best
    physics allows, 2.9 to 7 are usual.

    >>> round(least_cushion_factor(StressEnergy(63.69, 0.016598)), 3)
    2.874
    """
    return curve.a_kpa * curve.b_m3_kj * math.e


def least_peak_g(curve: StressEnergy, *, drop_height_m: float, thickness_m: float) -> float:
    """Return the lowest peak a cushion can reach, at its optimum stress: G = a b e h / t.

    Derived from the stress-energy form. Range: height 0.01 to 3 m, thickness 1 mm to 1 m. Raises: OutOfRange.
    """
    require_between("drop_height_m", value=drop_height_m, least=0.01, most=3.0)
    require_between("thickness_m", value=thickness_m, least=0.001, most=1.0)
    return least_cushion_factor(curve) * drop_height_m / thickness_m


def required_thickness_m(
    curve: StressEnergy, *, stress_kpa: float, drop_height_m: float, allowed_g: float
) -> float:
    """Return the thickness at which a cushion under a given stress just keeps to an allowed peak.

    t = b s h / ln(G s / a), in metres: derived, the inverse of `peak_g`. Range: stress 0.001 to 10000 kPa,
    height 0.01 to 3 m, peak 1 to 1000 G. Raises: OutOfRange, also when G s is not above a: the pad is then
    too large (its stress too low) for any thickness, and a smaller pad is needed.
    """
    require_between("drop_height_m", value=drop_height_m, least=0.01, most=3.0)
    require_between("allowed_g", value=allowed_g, least=1.0, most=1000.0)
    require_between("stress_kpa", value=stress_kpa, least=0.001, most=10_000.0)
    if allowed_g * stress_kpa <= curve.a_kpa * (1 + 1e-9):
        raise OutOfRange(
            "stress_kpa", value=round(stress_kpa, 4), least=round(curve.a_kpa / allowed_g, 4), most=10_000.0
        )
    return curve.b_m3_kj * stress_kpa * drop_height_m / math.log(allowed_g * stress_kpa / curve.a_kpa)


def usable_stresses_kpa(
    curve: StressEnergy, *, drop_height_m: float, thickness_m: float, allowed_g: float
) -> tuple[float, float] | None:
    """Return the least and most static stress that keep the peak to `allowed_g`, or None when none does.

    Solves G(s) = G_allowed on both sides of the optimum by bisection, to 1e-9 of the stress. Range: height
    0.01 to 3 m, thickness 1 mm to 1 m, peak 1 to 1000 G. Raises: OutOfRange. Source: the worked example of
    repco.com reads the same two ends off its curve.
    """
    require_between("allowed_g", value=allowed_g, least=1.0, most=1000.0)
    best = optimum_stress_kpa(curve, drop_height_m=drop_height_m, thickness_m=thickness_m)
    if least_peak_g(curve, drop_height_m=drop_height_m, thickness_m=thickness_m) > allowed_g:
        return None

    def excess(stress_kpa: float) -> float:
        exponent = curve.b_m3_kj * stress_kpa * drop_height_m / thickness_m
        return math.log(curve.a_kpa / (stress_kpa * allowed_g)) + exponent

    return _bisect(excess, inside_kpa=best, outside_kpa=best * 1e-6), _bisect(
        excess, inside_kpa=best, outside_kpa=best * 1e3
    )


def _bisect(excess: Callable[[float], float], *, inside_kpa: float, outside_kpa: float) -> float:
    for _ in range(200):
        middle = (inside_kpa + outside_kpa) / 2
        if excess(middle) <= 0:
            inside_kpa = middle
        else:
            outside_kpa = middle
        if abs(outside_kpa - inside_kpa) <= 1e-9 * inside_kpa:
            break
    return inside_kpa


def deepest_strain(
    curve: StressEnergy, *, stress_kpa: float, drop_height_m: float, thickness_m: float
) -> float:
    """Return the share of its thickness by which a cushion gives: (1 - exp(-b E)) / (a b), at most 1.

    Derived from the stress-energy form by integrating dE / stress; no published check beyond the usual 0.5
    to 0.65. Range: as `peak_g`. Raises: OutOfRange.
    """
    require_between("stress_kpa", value=stress_kpa, least=0.001, most=10_000.0)
    require_between("drop_height_m", value=drop_height_m, least=0.01, most=3.0)
    require_between("thickness_m", value=thickness_m, least=0.001, most=1.0)
    energy = stress_kpa * drop_height_m / thickness_m
    return min(1.0, (1 - math.exp(-curve.b_m3_kj * energy)) / (curve.a_kpa * curve.b_m3_kj))


def stop_distance_m(drop_height_m: float, *, allowed_g: float) -> float:
    """Return the shortest stopping distance physics allows: d = h / G, a constant deceleration.

    In metres (physics). Range: height 0.01 to 3 m, peak 1 to 1000 G. Raises: OutOfRange.

    >>> round(stop_distance_m(30 * 0.0254, allowed_g=50) / 0.0254, 6)  # inches
    0.6
    """
    require_between("drop_height_m", value=drop_height_m, least=0.01, most=3.0)
    require_between("allowed_g", value=allowed_g, least=1.0, most=1000.0)
    return drop_height_m / allowed_g


def spring_peak_g(mass_kg: float, *, stiffness_n_m: float, drop_height_m: float) -> float:
    """Return the peak on a linear spring: G = sqrt(2 h k / W), W = m g in newtons, k in N/m (physics).

    Range: mass 1 g to 1000 kg, stiffness 1 to 1e9 N/m, height 0.01 to 3 m. Raises: OutOfRange.

    >>> round(spring_peak_g(4.5359, stiffness_n_m=87_563, drop_height_m=0.762), 1)  # 10 lb, 500 lb/in, 30 in
    54.8
    """
    require_between("mass_kg", value=mass_kg, least=0.001, most=1000.0)
    require_between("stiffness_n_m", value=stiffness_n_m, least=1.0, most=1e9)
    require_between("drop_height_m", value=drop_height_m, least=0.01, most=3.0)
    return math.sqrt(2 * drop_height_m * stiffness_n_m / (mass_kg * GRAVITY_M_S2))


def buckling_area_m2(thickness_m: float) -> float:
    """Return the smallest area of one pad that does not fold over sideways.

    A = (1.33 t)^2 in square metres; for cut pads, not for paper that fills a whole side. Range: thickness
    1 mm to 1 m. Raises: OutOfRange. Source: Kerstner, from memory.
    """
    require_between("thickness_m", value=thickness_m, least=0.001, most=1.0)
    return (BUCKLING_SLENDERNESS * thickness_m) ** 2


def settled_thickness_m(thickness_m: float, *, settles_share: float) -> float:
    """Return what is left of a cushion after it settled on the way: t (1 - share).

    Range: thickness 0 to 5 m, share 0 to 0.9. Raises: OutOfRange. Source: creep of commonly 10 %, from
    memory.
    """
    require_between("thickness_m", value=thickness_m, least=0.0, most=5.0)
    require_between("settles_share", value=settles_share, least=0.0, most=0.9)
    return thickness_m * (1 - settles_share)


def laid_thickness_m(thickness_m: float, *, settles_share: float) -> float:
    """Return what has to be laid so that `thickness_m` is left after settling: t / (1 - share).

    Range: thickness 0 to 5 m, share 0 to 0.9. Raises: OutOfRange. Derived: the inverse of
    `settled_thickness_m`.
    """
    require_between("thickness_m", value=thickness_m, least=0.0, most=5.0)
    require_between("settles_share", value=settles_share, least=0.0, most=0.9)
    return thickness_m / (1 - settles_share)
