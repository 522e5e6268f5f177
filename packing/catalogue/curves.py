"""How do a supplier's readings, or a cushion factor, become the two constants of a material?"""

from collections.abc import Mapping, Sequence
from typing import Any

from packing.catalogue.field_rules import between
from packing.catalogue.schema import CurveReading, Material
from packing.catalogue.schema import CushionFactor as Factor
from packing.errors import CatalogueError, OutOfRange
from packing.parcel.curve_fit import CurveFit, CurvePoint, curve_from_factor, fit_with_residuals
from packing.parcel.cushion import StressEnergy
from packing.plain import Problem, from_plain, to_plain

READINGS, FACTOR = "curve_readings", "cushion_factor"
A, B = "curve_a_kpa", "curve_b_m3_kj"
LEAST_READINGS = 2
SAME_SHARE = 0.005
"""How far constants may lie from those that the readings give and still be the same, rounded."""
SAME_ENERGY = (
    "every reading carries the same energy (stress times height over thickness), so no curve can be told; "
    "add one at another stress, height or thickness."
)
FALLS = (
    "the peak stress falls where the energy grows, which no cushion does; compare each reading with the "
    "source, its unit first."
)


def fill_curve(document: Mapping[str, Any]) -> dict[str, Any]:
    """Return a material's document with a and b fitted to its readings, or taken from its cushion factor.

    A document with neither is returned as it is. Raises: CatalogueError with the key of each wrong reading.
    """
    filled = dict(document)
    readings = _read_rows(filled.get(READINGS) or ())
    if readings and filled.get(FACTOR):
        raise CatalogueError(((FACTOR, "there are readings too; keep the readings and leave this empty."),))
    if readings:
        curve = fit_readings(readings).curve
    elif filled.get(FACTOR):
        curve = _from_factor(filled[FACTOR])
    elif A in filled or B in filled:
        return filled
    else:
        sentence = "type a and b, or two or more readings of the supplier's curve, or a cushion factor."
        raise CatalogueError(((A, sentence),))
    # Rounded to more figures than any reading has, so that the document reads well.
    return {**filled, A: float(f"{curve.a_kpa:.6g}"), B: float(f"{curve.b_m3_kj:.6g}")}


def fit_readings(readings: Sequence[CurveReading]) -> CurveFit:
    """Return the curve through two readings, or the least-squares one through more, with every miss.

    Raises: CatalogueError with the key of each reading that no drop test gives, or of all together.
    """
    problems = [
        problem for at, reading in enumerate(readings, 1) for problem in _reading_problems(reading, at=at)
    ]
    if len(readings) < LEAST_READINGS:
        problems.append((READINGS, "one reading gives no curve; add a second at another energy."))
    if problems:
        raise CatalogueError(tuple(problems))
    points = [point_of(reading) for reading in readings]
    try:
        return fit_with_residuals(points)
    except OutOfRange as refusal:
        is_level = refusal.name == "spread of the drop energies"
        raise CatalogueError(((READINGS, SAME_ENERGY if is_level else FALLS),)) from refusal


def point_of(reading: CurveReading) -> CurvePoint:
    """Return a reading in the units of the computation."""
    return CurvePoint(
        static_stress_kpa=reading.static_stress_kpa,
        drop_height_m=reading.drop_height_mm / 1000,
        thickness_m=reading.thickness_mm / 1000,
        peak_g=reading.peak_g,
    )


def curve_problems(material: Material) -> tuple[Problem, ...]:
    """Return what stands against the readings, the cushion factor and the constants that go with them."""
    if not material.curve_readings and material.cushion_factor is None:
        return ()
    try:
        found = fill_curve(to_plain(material))
    except CatalogueError as refusal:
        return refusal.problems
    problems: list[Problem] = [
        (
            key,
            f"{typed:g} is not what the readings or the factor give ({found[key]:g}); leave it empty.",
        )
        for key, typed in ((A, material.curve_a_kpa), (B, material.curve_b_m3_kj))
        if abs(typed / found[key] - 1) > SAME_SHARE
    ]
    if not material.curve_source.strip():
        problems.append(
            ("curve_source", "say whose curve it is and where it is printed, so that it can be checked.")
        )
    return tuple(problems)


def curve_warnings(material: Material) -> tuple[Problem, ...]:
    """Return what the owner ought to look at again: a fit worse than stated, stresses never measured."""
    if len(material.curve_readings) < LEAST_READINGS:
        return ()
    worst_share = fit_readings(material.curve_readings).worst_share
    warnings: list[Problem] = []
    if worst_share > material.uncertainty_share:
        sentence = (
            f"one reading lies {worst_share:.0%} off the fitted curve; the uncertainty of "
            f"{material.uncertainty_share:.0%} is too good for it."
        )
        warnings.append(("uncertainty_share", sentence))
    stresses = [reading.static_stress_kpa for reading in material.curve_readings]
    if material.stress_least_kpa < min(stresses) * 0.99 or material.stress_most_kpa > max(stresses) * 1.01:
        reach = f"{min(stresses):g} to {max(stresses):g} kPa"
        sentence = f"the readings go from {reach}; outside them the curve is a guess."
        warnings.append(("stress_most_kpa", sentence))
    return tuple(warnings)


def _read_rows(rows: Sequence[object]) -> tuple[CurveReading, ...]:
    readings, problems = [], []
    for at, row in enumerate(rows, 1):
        try:
            readings.append(from_plain(CurveReading, row))
        except CatalogueError as refusal:
            problems += [(f"{READINGS}[{at}].{key}", sentence) for key, sentence in refusal.problems]
    if problems:
        raise CatalogueError(tuple(problems))
    return tuple(readings)


def _reading_problems(reading: CurveReading, *, at: int) -> list[Problem]:
    """Return a problem for each figure outside what drop tests give; the bounds are those of the fit."""
    found: list[Problem] = []
    for name, least, most, unit in (
        ("static_stress_kpa", 0.001, 1000.0, "kPa"),
        ("drop_height_mm", 50.0, 3000.0, "mm"),
        ("thickness_mm", 2.0, 500.0, "mm"),
        ("peak_g", 1.0, 2000.0, "times gravity"),
    ):
        key = f"{READINGS}[{at}].{name}"
        found += between(getattr(reading, name), least=least, most=most, key=key, unit=unit)
    return found


def _from_factor(row: object) -> StressEnergy:
    try:
        factor = from_plain(Factor, row)
    except CatalogueError as refusal:
        problems = tuple((f"{FACTOR}.{key}", sentence) for key, sentence in refusal.problems)
        raise CatalogueError(problems) from refusal
    problems = (
        *between(factor.least_factor, least=1.5, most=20.0, key=f"{FACTOR}.least_factor", unit="(no unit)"),
        *between(
            factor.static_stress_kpa, least=0.01, most=1000.0, key=f"{FACTOR}.static_stress_kpa", unit="kPa"
        ),
        *between(factor.drop_height_mm, least=50.0, most=3000.0, key=f"{FACTOR}.drop_height_mm", unit="mm"),
        *between(factor.thickness_mm, least=2.0, most=500.0, key=f"{FACTOR}.thickness_mm", unit="mm"),
    )
    if problems:
        raise CatalogueError(problems)
    try:
        return curve_from_factor(
            factor.least_factor,
            optimum_stress_kpa=factor.static_stress_kpa,
            drop_height_m=factor.drop_height_mm / 1000,
            thickness_m=factor.thickness_mm / 1000,
        )
    except OutOfRange as refusal:
        sentence = (
            "no cushion has this factor at this stress, height and thickness; compare them with the source."
        )
        raise CatalogueError(((f"{FACTOR}.static_stress_kpa", sentence),)) from refusal
