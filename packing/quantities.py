"""How lengths, masses and loads are converted, shown in both units, and read from what a person types.

Inside the project everything is millimetres, kilograms, kilopascals, kilonewtons a metre and joules. The
factors are exact by definition: the inch is 25.4 mm and the avoirdupois pound 0.45359237 kg (international
yard and pound agreement, 1959); standard gravity is 9.80665 m/s2 (3rd CGPM, 1901). All others follow from
these three.
"""

import math
import re
import unicodedata
from collections.abc import Mapping
from enum import StrEnum

from packing.errors import PackingError

MM_PER_IN = 25.4
KG_PER_LB = 0.45359237
KG_PER_OZ = KG_PER_LB / 16
GRAVITY_M_S2 = 9.80665
N_PER_LBF = KG_PER_LB * GRAVITY_M_S2
KPA_PER_PSI = N_PER_LBF / (MM_PER_IN / 1000) ** 2 / 1000
KN_M_PER_LB_IN = N_PER_LBF / MM_PER_IN

LENGTH_LEAST_MM, LENGTH_MOST_MM = 1.0, 3000.0
MASS_LEAST_KG, MASS_MOST_KG = 0.01, 150.0
CALIPER_BELOW_MM = 10.0


class UnitChoice(StrEnum):
    """Which units the reader wants first; the others always follow in brackets."""

    METRIC = "metric"
    IMPERIAL = "imperial"


class NotAQuantity(PackingError):
    """What was typed cannot be read as a length or a mass."""


def mm_from_in(length_in: float) -> float:
    """Return inches as millimetres, exactly: x 25.4."""
    return length_in * MM_PER_IN


def in_from_mm(length_mm: float) -> float:
    """Return millimetres as inches, exactly: / 25.4."""
    return length_mm / MM_PER_IN


def kg_from_lb(mass_lb: float) -> float:
    """Return avoirdupois pounds as kilograms, exactly: x 0.45359237."""
    return mass_lb * KG_PER_LB


def lb_from_kg(mass_kg: float) -> float:
    """Return kilograms as avoirdupois pounds, exactly: / 0.45359237."""
    return mass_kg / KG_PER_LB


def kpa_from_psi(pressure_psi: float) -> float:
    """Return pounds-force a square inch as kilopascals (board burst strength)."""
    return pressure_psi * KPA_PER_PSI


def psi_from_kpa(pressure_kpa: float) -> float:
    """Return kilopascals as pounds-force a square inch."""
    return pressure_kpa / KPA_PER_PSI


def kn_m_from_lb_in(force_lb_in: float) -> float:
    """Return pounds-force an inch of edge as kilonewtons a metre (edge crush strength)."""
    return force_lb_in * KN_M_PER_LB_IN


def lb_in_from_kn_m(force_kn_m: float) -> float:
    """Return kilonewtons a metre as pounds-force an inch of edge."""
    return force_kn_m / KN_M_PER_LB_IN


# --- shown -----------------------------------------------------------------------------------------


def show_length(length_mm: float, *, choice: UnitChoice) -> str:
    """Return a length in both units, whole millimetres and inches to the nearest 1/8.

    >>> show_length(88.9, choice=UnitChoice.IMPERIAL)
    '3 1/2 in (89 mm)'
    >>> show_length(88.9, choice=UnitChoice.METRIC)
    '89 mm (3 1/2 in)'
    """
    return _both(f"{_whole_mm(length_mm)} mm", f"{_eighths(length_mm)} in", choice=choice)


def show_stated_length(length_mm: float, *, length_in: float, choice: UnitChoice) -> str:
    """Return a length whose source states both units, each as stated and neither converted.

    >>> show_stated_length(760, length_in=30, choice=UnitChoice.METRIC)
    '760 mm (30 in)'
    """
    return _both(f"{_whole_mm(length_mm)} mm", f"{_eighths(length_in * MM_PER_IN)} in", choice=choice)


def show_thickness(thickness_mm: float, *, choice: UnitChoice) -> str:
    """Return what a caliper measures, below 10 mm: tenths of a millimetre and hundredths of an inch.

    A fraction in eighths would call B and C flute the same. From 10 mm on: as `show_length`.

    >>> show_thickness(4.5, choice=UnitChoice.METRIC), show_thickness(3.0, choice=UnitChoice.IMPERIAL)
    ('4.5 mm (0.18 in)', '0.12 in (3 mm)')
    """
    _check_shown("thickness_mm", value=thickness_mm)
    if thickness_mm >= CALIPER_BELOW_MM:
        return show_length(thickness_mm, choice=choice)
    if 0 < thickness_mm < 0.05:
        return _both("under 0.1 mm", "under 0.01 in", choice=choice)
    if thickness_mm == 0:
        return _both("0 mm", "0 in", choice=choice)
    metric = f"{_round_half_up(thickness_mm * 10) / 10:g} mm"
    return _both(metric, f"{_round_half_up(in_from_mm(thickness_mm) * 100) / 100:.2f} in", choice=choice)


def show_offset(offset_mm: float, *, choice: UnitChoice) -> str:
    """Return a length that may lie either side of its reference, with its sign in both units.

    >>> show_offset(-10, choice=UnitChoice.METRIC), show_offset(0, choice=UnitChoice.IMPERIAL)
    ('−10 mm (−3/8 in)', '0 in (0 mm)')
    """
    shown = show_thickness(abs(offset_mm), choice=choice)
    if offset_mm >= 0:
        return shown
    if offset_mm > -0.05:
        return _both("0 mm", "0 in", choice=choice)
    first, second = shown.removesuffix(")").split(" (")
    return f"−{first} (−{second})"


def show_size(length_mm: float, width_mm: float, height_mm: float, *, choice: UnitChoice) -> str:
    """Return length by width by height in both units.

    >>> show_size(230, 180, 140, choice=UnitChoice.METRIC)
    '230 × 180 × 140 mm (9 × 7 1/8 × 5 1/2 in)'
    """
    sides = (length_mm, width_mm, height_mm)
    metric = " × ".join(_whole_mm(side) for side in sides)
    imperial = " × ".join(_eighths(side) for side in sides)
    return _both(f"{metric} mm", f"{imperial} in", choice=choice)


def show_mass(mass_kg: float, *, choice: UnitChoice) -> str:
    """Return a mass in both units, no finer than a kitchen or a parcel scale can tell.

    Grams in tens below 1 kg, hundredths of a kilogram below 3 kg, tenths above; ounces alone below a pound,
    pounds and ounces below 20 lb, whole pounds above.

    >>> show_mass(2.4, choice=UnitChoice.METRIC)
    '2.40 kg (5 lb 5 oz)'
    >>> show_mass(2.4, choice=UnitChoice.IMPERIAL)
    '5 lb 5 oz (2.40 kg)'
    """
    return _both(_metric_mass(mass_kg), _imperial_mass(mass_kg), choice=choice)


def _both(metric: str, imperial: str, *, choice: UnitChoice) -> str:
    first, second = (metric, imperial) if choice is UnitChoice.METRIC else (imperial, metric)
    return f"{first} ({second})"


def _whole_mm(length_mm: float) -> str:
    _check_shown("length_mm", value=length_mm)
    return "under 1" if 0 < length_mm < 0.5 else str(_round_half_up(length_mm))


def _eighths(length_mm: float) -> str:
    eighths = _round_half_up(length_mm / MM_PER_IN * 8)
    if eighths == 0 and length_mm > 0:
        return "under 1/8"
    whole, rest = divmod(eighths, 8)
    if not rest:
        return str(whole)
    shared = math.gcd(rest, 8)
    fraction = f"{rest // shared}/{8 // shared}"
    return f"{whole} {fraction}" if whole else fraction


def _metric_mass(mass_kg: float) -> str:
    _check_shown("mass_kg", value=mass_kg)
    grams = _round_half_up(mass_kg * 100) * 10
    if mass_kg > 0 and grams == 0:
        return "under 10 g"
    if grams < 1000:
        return f"{grams} g"
    return f"{grams / 1000:.2f} kg" if grams < 3000 else f"{_round_half_up(mass_kg * 10) / 10:.1f} kg"


def _imperial_mass(mass_kg: float) -> str:
    ounces = _round_half_up(mass_kg / KG_PER_OZ)
    if ounces == 0 and mass_kg > 0:
        return "under 1 oz"
    if ounces >= 20 * 16:
        return f"{_round_half_up(mass_kg / KG_PER_LB)} lb"
    pounds, rest = divmod(ounces, 16)
    parts = ([f"{pounds} lb"] if pounds else []) + ([f"{rest} oz"] if rest or not pounds else [])
    return " ".join(parts)


def _check_shown(name: str, *, value: float) -> None:
    if not math.isfinite(value) or value < 0:
        raise NotAQuantity(f"{name} is {value}: only a finite quantity of zero or more can be shown.")


def _round_half_up(value: float) -> int:
    return math.floor(value + 0.5)


# --- typed -----------------------------------------------------------------------------------------

_LENGTH_UNITS_MM: Mapping[str, float] = {
    "mm": 1.0, "millimetre": 1.0, "millimetres": 1.0, "millimeter": 1.0, "millimeters": 1.0,
    "cm": 10.0, "centimetre": 10.0, "centimetres": 10.0, "centimeter": 10.0, "centimeters": 10.0,
    "m": 1000.0, "metre": 1000.0, "metres": 1000.0, "meter": 1000.0, "meters": 1000.0,
    "in": MM_PER_IN, "inch": MM_PER_IN, "inches": MM_PER_IN, '"': MM_PER_IN, "″": MM_PER_IN,
    "ft": 12 * MM_PER_IN, "foot": 12 * MM_PER_IN, "feet": 12 * MM_PER_IN, "'": 12 * MM_PER_IN,
    "′": 12 * MM_PER_IN,
}  # fmt: skip
_MASS_UNITS_KG: Mapping[str, float] = {
    "kg": 1.0, "kgs": 1.0, "kilo": 1.0, "kilos": 1.0, "kilogram": 1.0, "kilograms": 1.0,
    "g": 0.001, "gr": 0.001, "gram": 0.001, "grams": 0.001, "gramme": 0.001, "grammes": 0.001,
    "lb": KG_PER_LB, "lbs": KG_PER_LB, "pound": KG_PER_LB, "pounds": KG_PER_LB,
    "oz": KG_PER_OZ, "ounce": KG_PER_OZ, "ounces": KG_PER_OZ,
}  # fmt: skip
_NUMBER = r"\d+[ -]+\d+/\d+|\d+/\d+|\d*[.,]\d+|\d+[.,]?"
_PART = re.compile(rf"\s*(?:and\s+)?(?P<number>{_NUMBER})\s*(?P<unit>[a-z]+|[\"'″′])?\.?\s*")


def parse_length_mm(text: str, *, choice: UnitChoice) -> float:
    """Return what a person typed as millimetres; a bare number is mm or inches by the reader's choice.

    Reads "89", "89mm", "8,5 cm", "3 1/2", "3-1/2 in", "3½″", "1 ft 2 in", and what `show_length` wrote.
    Range: 1 mm to 3 m. Raises: NotAQuantity, with what to type instead.

    >>> parse_length_mm("3 1/2", choice=UnitChoice.IMPERIAL)
    88.9
    >>> parse_length_mm("8,5 cm", choice=UnitChoice.IMPERIAL)
    85.0
    """
    bare = "mm" if choice is UnitChoice.METRIC else "in"
    example = "“89 mm” or “3 1/2 in”"
    length_mm = _total(text, units=_LENGTH_UNITS_MM, bare=bare, example=example)
    if not LENGTH_LEAST_MM <= length_mm <= LENGTH_MOST_MM:
        raise NotAQuantity(
            f"“{_quote(text)}” comes to {length_mm:.0f} mm; give a length between 1 mm and 3 m, "
            f"such as {example}."
        )
    return length_mm


def parse_mass_kg(text: str, *, choice: UnitChoice) -> float:
    """Return what a person typed as kilograms; a bare number is kg or lb by the reader's choice.

    Reads "2.4", "2,4 kg", "850 g", "5 lb 4 oz", and what `show_mass` wrote. Range: 10 g to 150 kg.
    Raises: NotAQuantity, with what to type instead.

    >>> parse_mass_kg("850 g", choice=UnitChoice.IMPERIAL)
    0.85
    """
    bare = "kg" if choice is UnitChoice.METRIC else "lb"
    example = "“2.4 kg” or “5 lb 4 oz”"
    mass_kg = _total(text, units=_MASS_UNITS_KG, bare=bare, example=example)
    if not MASS_LEAST_KG <= mass_kg <= MASS_MOST_KG:
        raise NotAQuantity(
            f"“{_quote(text)}” comes to {mass_kg:.3f} kg; give a mass between 10 g and 150 kg, "
            f"such as {example}."
        )
    return mass_kg


def _total(text: str, *, units: Mapping[str, float], bare: str, example: str) -> float:
    """Return the sum of the parts of `text`, such as 5 lb + 4 oz, in the base unit of `units`."""
    tidy = _tidy(text)
    refusal = NotAQuantity(f"“{_quote(text)}” cannot be read; type it like {example}.")
    if not tidy or len(tidy) > 40:
        raise refusal
    if re.search(r"(?<!\d)[1-9]\d{0,2},\d{3}(?!\d)", tidy):
        raise NotAQuantity(
            f"“{_quote(text)}”: the comma could mean two things; write it without, like {example}."
        )
    total, at, last_unit = 0.0, 0, math.inf
    while at < len(tidy):
        part = _PART.match(tidy, at)
        if part is None:
            raise refusal
        unit = units.get(part["unit"] or (bare if at == 0 else ""), 0.0)
        if not 0 < unit < last_unit:  # each next part is a smaller unit: 5 lb 4 oz, never 4 oz 5 lb
            raise refusal
        amount = _amount(part["number"])
        if amount is None:
            raise refusal
        total += amount * unit
        at, last_unit = part.end(), unit
    return round(total, 9)


def _amount(number: str) -> float | None:
    if "/" not in number:
        return float(number.rstrip(".,").replace(",", "."))
    *whole, fraction = re.split(r"[ -]+", number)
    above, below = (int(part) for part in fraction.split("/"))
    if below == 0 or (whole and above >= below):
        return None
    return (int(whole[0]) if whole else 0) + above / below


def _tidy(text: str) -> str:
    """Return `text` in plain lower-case ASCII digits, fractions spelled out, a trailing bracket dropped."""
    spaced = re.sub(r"(?<=\d)(?=[¼½¾⅐-⅞])", " ", text)
    plain = unicodedata.normalize("NFKC", spaced).replace("⁄", "/").replace("’", "'").replace("”", '"')
    plain = plain.replace("′′", '"').replace("''", '"')
    plain = "".join(str(unicodedata.digit(sign)) if sign.isdecimal() else sign for sign in plain.lower())
    return re.sub(r"\s*\([^()]*\)\s*$", "", plain).strip()


def _quote(text: str) -> str:
    return text.strip()[:30]
