"""How well does a fitted cushion curve meet its readings: the picture, the table, and the sentence?

Drawn as peak stress over energy. In the stress-energy form readings at every height, thickness and stress lie
on one curve, so one picture holds a supplier's whole sheet.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass

from django.utils.translation import gettext as _

from packing.catalogue.curves import fit_readings
from packing.catalogue.schema import Material
from packing.parcel.curve_fit import CurveFit, PointFit
from packing.parcel.cushion import least_cushion_factor
from packing.quantities import UnitChoice, psi_from_kpa, show_length
from portal.owner.axes import LETTER_WIDTH, TEXT_HEIGHT, Tick, nice_ticks, plain_number

WIDTH, HEIGHT = 460.0, 300.0
RIGHT_MARGIN = 14.0
CURVE_POINTS = 48


@dataclass(frozen=True, slots=True)
class Dot:
    """One reading in the picture, with the end of the line that leads to the curve."""

    number: int
    x: float
    y: float
    curve_y: float
    label_x: float
    label_y: float


@dataclass(frozen=True, slots=True)
class MissRow:
    """One reading in the table: what was read, what the curve gives, and by how much it misses."""

    number: int
    stress: str
    height: str
    thickness: str
    read_g: str
    fitted_g: str
    miss: str
    is_worst: bool


@dataclass(frozen=True, slots=True)
class CurveShown:
    """A fitted curve ready for a page."""

    a_words: str
    b_words: str
    factor_words: str
    fit_words: str
    source: str
    summary: str
    width: float
    height: float
    left: float
    right: float
    bottom: float
    tick_y: float
    unit_y: float
    path: str
    x_ticks: tuple[Tick, ...]
    y_ticks: tuple[Tick, ...]
    dots: tuple[Dot, ...]
    rows: tuple[MissRow, ...]


def show_curve(material: Material) -> CurveShown | None:
    """Return the fit of a material's readings, or None for one that has none.

    Raises: CatalogueError for readings no curve goes through.
    """
    if not material.curve_readings:
        return None
    fit = fit_readings(material.curve_readings)
    curve = fit.curve
    most_energy = max(map(_energy, fit.points)) * 1.05
    peaks_kpa = [each.point.peak_g * each.point.static_stress_kpa for each in fit.points]
    most_stress = max(*peaks_kpa, curve.a_kpa * math.exp(curve.b_m3_kj * most_energy))
    across, up = nice_ticks(0.0, most_energy), nice_ticks(0.0, most_stress)
    left = max(len(plain_number(value)) for value in up) * LETTER_WIDTH + 12
    right, top, bottom = WIDTH - RIGHT_MARGIN, TEXT_HEIGHT + 12, HEIGHT - 2 * TEXT_HEIGHT - 8

    def x_of(energy: float) -> float:
        return round(left + energy / across[-1] * (right - left), 2)

    def y_of(stress_kpa: float) -> float:
        return round(bottom - stress_kpa / up[-1] * (bottom - top), 2)

    def fitted_y(energy: float) -> float:
        return y_of(curve.a_kpa * math.exp(curve.b_m3_kj * energy))

    steps = [most_energy * step / CURVE_POINTS for step in range(CURVE_POINTS + 1)]
    return CurveShown(
        a_words=_("%(a).4g kPa (%(psi).4g psi)") % {"a": curve.a_kpa, "psi": psi_from_kpa(curve.a_kpa)},
        b_words=_("%(b).4g m³/kJ (%(inch).4g in³/in-lb)")
        % {"b": curve.b_m3_kj, "inch": curve.b_m3_kj / psi_from_kpa(1.0)},
        factor_words=f"{least_cushion_factor(curve):.2f}",
        fit_words=_fit_words(fit),
        source=material.curve_source,
        summary=_("The curve rises from %(first)s to %(last)s kPa; %(count)d readings stand beside it.")
        % {
            "first": plain_number(round(curve.a_kpa)),
            "last": plain_number(round(curve.a_kpa * math.exp(curve.b_m3_kj * most_energy))),
            "count": len(fit.points),
        },
        width=WIDTH,
        height=HEIGHT,
        left=left,
        right=right,
        bottom=bottom,
        tick_y=bottom + TEXT_HEIGHT,
        unit_y=bottom + 2 * TEXT_HEIGHT,
        path=" ".join(f"{x_of(energy):g},{fitted_y(energy):g}" for energy in steps),
        x_ticks=tuple(Tick(value, plain_number(value), x_of(value)) for value in across),
        y_ticks=tuple(Tick(value, plain_number(value), y_of(value)) for value in up),
        dots=tuple(
            _dot(number, each, x=x_of(_energy(each)), y_of=y_of, curve_y=fitted_y(_energy(each)))
            for number, each in enumerate(fit.points, 1)
        ),
        rows=tuple(_row(number, each, fit=fit) for number, each in enumerate(fit.points, 1)),
    )


def _energy(each: PointFit) -> float:
    """Return the energy of a reading in kJ/m3."""
    return each.point.static_stress_kpa * each.point.drop_height_m / each.point.thickness_m


def _dot(number: int, each: PointFit, *, x: float, y_of: Callable[[float], float], curve_y: float) -> Dot:
    y = y_of(each.point.peak_g * each.point.static_stress_kpa)
    # Its number stands on the side away from the curve.
    return Dot(number, x, y, curve_y, x, y - 9 if y <= curve_y else y + 19)


def _row(number: int, each: PointFit, *, fit: CurveFit) -> MissRow:
    point = each.point
    return MissRow(
        number,
        stress=f"{point.static_stress_kpa:.3g} kPa ({psi_from_kpa(point.static_stress_kpa):.3g} psi)",
        height=show_length(point.drop_height_m * 1000, choice=UnitChoice.METRIC),
        thickness=show_length(point.thickness_m * 1000, choice=UnitChoice.METRIC),
        read_g=f"{point.peak_g:.1f}",
        fitted_g=f"{each.fitted_g:.1f}",
        miss=f"{each.miss_share:+.1%}".replace("-", "−").replace("%", " %"),
        is_worst=len(fit.points) > 2 and abs(each.miss_share) == fit.worst_share,
    )


def _fit_words(fit: CurveFit) -> str:
    if len(fit.points) == 2:
        return _("Two readings: the curve goes through both, so nothing is left to check it by. Add a third.")
    return _(
        "%(count)d readings; the largest miss is %(worst)s, and the curve explains %(share)s of their spread."
    ) % {
        "count": len(fit.points),
        "worst": f"{fit.worst_share:.1%}".replace("%", " %"),
        "share": f"{fit.r_squared:.1%}".replace("%", " %"),
    }
