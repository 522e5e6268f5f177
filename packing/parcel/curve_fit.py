"""How do a supplier's figures become the two constants of a cushion material, and how well do they fit?"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from packing.errors import OutOfRange
from packing.parcel.cushion import StressEnergy, peak_g
from packing.parcel.ranges import require_between


@dataclass(frozen=True, slots=True)
class CurvePoint:
    """One reading of a drop on a cushion: peak acceleration in multiples of gravity."""

    static_stress_kpa: float
    drop_height_m: float
    thickness_m: float
    peak_g: float

    def __post_init__(self) -> None:
        """Refuse readings no drop test gives. Raises: OutOfRange."""
        require_between("static_stress_kpa", value=self.static_stress_kpa, least=0.001, most=1000.0)
        require_between("drop_height_m", value=self.drop_height_m, least=0.05, most=3.0)
        require_between("thickness_m", value=self.thickness_m, least=0.002, most=0.5)
        require_between("peak_g", value=self.peak_g, least=1.0, most=2000.0)


@dataclass(frozen=True, slots=True)
class PointFit:
    """One reading, what the fitted curve gives there, and by which share it misses the reading."""

    point: CurvePoint
    fitted_g: float
    miss_share: float


@dataclass(frozen=True, slots=True)
class CurveFit:
    """A fitted curve with how it meets its readings.

    `r_squared` is the share of the spread of ln(G s) that the line explains (1 for two readings);
    `worst_share` the largest miss, which is the least uncertainty the material should be given.
    """

    curve: StressEnergy
    points: tuple[PointFit, ...]
    r_squared: float
    worst_share: float


def fit_curve(points: Sequence[CurvePoint]) -> StressEnergy:
    """Return the constants through two points, or the least-squares ones through more: ln(G s) = ln a + b E.

    E = s h / t. Range of the readings: `CurvePoint`. 15 readings at 3 energies are usual. Source: the method
    of the Clemson thesis 135 (abstract). Raises: OutOfRange for fewer than two points, when all carry the
    same energy, or when the peak stress falls with the energy, which no cushion does.
    """
    if len(points) < 2:
        raise OutOfRange("number of curve points", value=len(points), least=2, most="any number")
    energies, logs = _coordinates(points)
    mean_energy, mean_log = sum(energies) / len(points), sum(logs) / len(points)
    spread = sum((energy - mean_energy) ** 2 for energy in energies)
    if spread <= 1e-12 * mean_energy**2:
        raise OutOfRange("spread of the drop energies", value=0, least="two different energies", most="any")
    pairs = zip(energies, logs, strict=True)
    slope = sum((energy - mean_energy) * (log - mean_log) for energy, log in pairs) / spread
    return StressEnergy(a_kpa=math.exp(mean_log - slope * mean_energy), b_m3_kj=slope)


def fit_with_residuals(points: Sequence[CurvePoint]) -> CurveFit:
    """Return the fitted curve and how far it lies from each reading: fitted G / read G - 1.

    R squared is taken on ln(G s). Derived. Raises: OutOfRange, as `fit_curve`.
    """
    curve = fit_curve(points)
    fits = []
    for point in points:
        fitted_g = peak_g(
            curve,
            stress_kpa=point.static_stress_kpa,
            drop_height_m=point.drop_height_m,
            thickness_m=point.thickness_m,
        )
        fits.append(PointFit(point, fitted_g, fitted_g / point.peak_g - 1))
    _, logs = _coordinates(points)
    mean_log = sum(logs) / len(logs)
    total = sum((log - mean_log) ** 2 for log in logs)
    missed = sum(math.log1p(fit.miss_share) ** 2 for fit in fits)
    r_squared = 1.0 if total <= 1e-15 else 1 - missed / total
    return CurveFit(curve, tuple(fits), r_squared, max(abs(fit.miss_share) for fit in fits))


def curve_from_factor(
    least_factor: float, *, optimum_stress_kpa: float, drop_height_m: float, thickness_m: float
) -> StressEnergy:
    """Return the constants of a material known by its least cushion factor and where that is reached.

    b = t / (s h) at the optimum stress, a = C / (b e). Range: factor 1.5 to 20, stress 0.01 to
    1000 kPa, height 0.05 to 3 m, thickness 2 mm to 0.5 m. Raises: OutOfRange. Derived from C = a b e.

    >>> curve = curve_from_factor(2.874, optimum_stress_kpa=5.02, drop_height_m=0.6096, thickness_m=0.0508)
    >>> round(curve.a_kpa, 1), round(curve.b_m3_kj, 4)
    (63.7, 0.0166)
    """
    require_between("least_factor", value=least_factor, least=1.5, most=20.0)
    require_between("optimum_stress_kpa", value=optimum_stress_kpa, least=0.01, most=1000.0)
    require_between("drop_height_m", value=drop_height_m, least=0.05, most=3.0)
    require_between("thickness_m", value=thickness_m, least=0.002, most=0.5)
    b_m3_kj = thickness_m / (optimum_stress_kpa * drop_height_m)
    return StressEnergy(a_kpa=least_factor / (b_m3_kj * math.e), b_m3_kj=b_m3_kj)


def _coordinates(points: Sequence[CurvePoint]) -> tuple[list[float], list[float]]:
    """Return the energy of each reading (kJ/m3) and the logarithm of its peak stress."""
    energies = [point.static_stress_kpa * point.drop_height_m / point.thickness_m for point in points]
    return energies, [math.log(point.peak_g * point.static_stress_kpa) for point in points]
