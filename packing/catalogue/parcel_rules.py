"""What is wrong, or only odd, with a material, a carton or a carrier that one field alone cannot show."""

from packing.catalogue.curves import curve_problems
from packing.catalogue.field_rules import between, blank, figure, repeated, share_between
from packing.catalogue.schema import Carrier, Carton, Material
from packing.parcel.entries import (
    SETTLES_MOST_SHARE,
    UNCERTAINTY_MOST_SHARE,
    impossible_in_board,
    impossible_in_material,
)
from packing.plain import Problem

CARTON_SIDE_LEAST_MM, CARTON_SIDE_MOST_MM = 40.0, 2000.0
CALIPER_LEAST_MM, CALIPER_MOST_MM = 0.5, 25.0
ECT_LEAST_KN_M, ECT_MOST_KN_M = 1.0, 40.0
BOARD_LEAST_G_M2, BOARD_MOST_G_M2 = 150.0, 3000.0
CARRIER_MASS_MOST_KG = 1500.0
DIVISOR_LEAST_CM3_KG, DIVISOR_MOST_CM3_KG = 2000.0, 10000.0


def material_problems(material: Material) -> tuple[Problem, ...]:
    """Return everything that stops a material from being published."""
    problems: list[Problem] = [*blank({"name": material.name, "count_name": material.count_name})]
    shares = {"settles_share": SETTLES_MOST_SHARE, "uncertainty_share": UNCERTAINTY_MOST_SHARE}
    for key, most in shares.items():  # typed, and so told, in percent
        problems += share_between(getattr(material, key), least=0.0, most=most, key=key)
    refused = impossible_in_material(material)
    problems += ((key, refusal.sentence) for key, refusal in refused if key not in shares)
    if not 0.0 < material.stress_least_kpa < material.stress_most_kpa:
        problems.append(
            ("stress_most_kpa", "the usable stresses run backwards; the least is above 0 and below the most.")
        )
    return (*problems, *curve_problems(material))


def carton_problems(carton: Carton) -> tuple[Problem, ...]:
    """Return everything that stops a carton from being published."""
    problems: list[Problem] = [*blank({"name": carton.name})]
    for key, side_mm in (
        ("length_mm", carton.length_mm),
        ("width_mm", carton.width_mm),
        ("height_mm", carton.height_mm),
    ):
        problems += between(side_mm, least=CARTON_SIDE_LEAST_MM, most=CARTON_SIDE_MOST_MM, key=key, unit="mm")
    problems += between(
        carton.caliper_mm, least=CALIPER_LEAST_MM, most=CALIPER_MOST_MM, key="caliper_mm", unit="mm"
    )
    problems += between(
        carton.ect_kn_m, least=ECT_LEAST_KN_M, most=ECT_MOST_KN_M, key="ect_kn_m", unit="kN/m"
    )
    problems += between(
        carton.board_g_m2, least=BOARD_LEAST_G_M2, most=BOARD_MOST_G_M2, key="board_g_m2", unit="g/m²"
    )
    return (*problems, *((key, refusal.sentence) for key, refusal in impossible_in_board(carton)))


def carton_warnings(carton: Carton) -> tuple[Problem, ...]:
    """Return what is odd about a carton: sides that are not named longest first."""
    if carton.length_mm < carton.width_mm:
        return (("length_mm", "the length is shorter than the width; cartons are named by length first."),)
    return ()


def carrier_problems(carrier: Carrier) -> tuple[Problem, ...]:
    """Return everything that stops a carrier service from being published."""
    problems: list[Problem] = [*blank({"name": carrier.name, "service": carrier.service})]
    problems += between(
        carrier.mass_most_kg, least=0.1, most=CARRIER_MASS_MOST_KG, key="mass_most_kg", unit="kg"
    )
    for key, value in (
        ("length_most_mm", carrier.length_most_mm),
        ("length_girth_most_mm", carrier.length_girth_most_mm),
        ("handling_length_mm", carrier.handling_length_mm),
    ):
        if value is not None:
            problems += between(value, least=100.0, most=20_000.0, key=key, unit="mm")
    if carrier.divisor_cm3_kg is not None:
        problems += between(
            carrier.divisor_cm3_kg,
            least=DIVISOR_LEAST_CM3_KG,
            most=DIVISOR_MOST_CM3_KG,
            key="divisor_cm3_kg",
            unit="cm³/kg",
        )
    problems += share_between(carrier.other_shape_share, least=0.1, most=1.0, key="other_shape_share")
    problems += between(carrier.bill_step_kg, least=0.0, most=50.0, key="bill_step_kg", unit="kg")
    problems += between(carrier.volume_free_cm3, least=0.0, most=1e6, key="volume_free_cm3", unit="cm³")
    if carrier.handling_mass_kg is not None and not 0.0 < carrier.handling_mass_kg <= carrier.mass_most_kg:
        problems.append(
            (
                "handling_mass_kg",
                f"give a value above 0 and up to the heaviest parcel, {figure(carrier.mass_most_kg)} kg.",
            )
        )
    if not 0 <= carrier.days_least <= carrier.days_most:
        problems.append(("days_most", "the days run backwards; give the fewest first."))
    problems += repeated((charge.slug for charge in carrier.surcharges), key="surcharges")
    for charge in carrier.surcharges:
        figures = (
            charge.length_over_mm,
            charge.second_over_mm,
            charge.length_girth_over_mm,
            charge.volume_over_cm3,
            charge.mass_over_kg,
        )
        if not any(figure is not None and figure > 0.0 for figure in figures):
            problems.append(
                (f"surcharges “{charge.slug}”", "give at least one figure above which it applies.")
            )
    if carrier.tracking_url and not carrier.tracking_url.startswith("https://"):
        problems.append(("tracking_url", "begin the address with https://."))
    return tuple(problems)
