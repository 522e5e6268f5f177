"""How is each margin told to a person: the sentence, the source, and how sure its figures are?"""

from packing.catalogue.schema import Carrier, Origin
from packing.parcel.arrangement import NO_CUSHION_G, Arrangement
from packing.parcel.board import wall_puncture_j
from packing.parcel.drop import drop_energy_j, show_drop_height
from packing.parcel.figures import figures_of, formula_of
from packing.parcel.margin import Margin, holds
from packing.parcel.margins import all_margins, material_refusal
from packing.parcel.outcome import Check, Force
from packing.parcel.padding import TIP_RESERVE_MM, WALL_DISTANCE_MM
from packing.parcel.tables import load_table
from packing.parcel.unit import BASE, FACES
from packing.quantities import UnitChoice, show_length, show_mass

FACE_NAMES = {
    "left": "left side",
    "right": "right side",
    "front": "front",
    "back": "back",
    "base": "base",
    "top": "top",
}


def length(value_mm: float) -> str:
    """Return a length in both units for a sentence."""
    return show_length(max(0.0, value_mm), choice=UnitChoice.METRIC)


def mass(value_kg: float) -> str:
    """Return a mass in both units for a sentence."""
    return show_mass(max(0.0, value_kg), choice=UnitChoice.METRIC)


def _fall(drop_height_m: float) -> str:
    return show_drop_height(drop_height_m, choice=UnitChoice.METRIC)


def side_name(at: int) -> str:
    """Return a carton side in words by its index in `FACES`."""
    return FACE_NAMES[FACES[at].value]


def checks_of(packed: Arrangement, *, carrier: Carrier | None) -> tuple[Check, ...]:
    """Return every check of an arrangement, in the order a packer would ask them."""
    return tuple(
        _check(margin, packed=packed, carrier=carrier) for margin in all_margins(packed, carrier=carrier)
    )


def limiting(checks: tuple[Check, ...]) -> Check:
    """Return the check that decides: the least margin at the bad end, causes before what follows from them.

    A tip that has less than half the room it needs comes first, then a material that will not do, then
    clearance and wall distance, since a cushion without room is also too hard. Rules that must hold come
    before advised ones.
    """
    failed = [check for check in checks if not check.holds]
    among = [check for check in failed if check.force is Force.MUST] or failed or list(checks)
    return min(among, key=lambda check: (_rank(check) if failed else 0, check.margin_ratio_least))


def _rank(check: Check) -> int:
    if check.slug == "clearance":
        return 0 if check.margin_ratio_least < 0.5 else 2
    return {"material": 1, "wall_distance": 2}.get(check.slug, 3)


def _check(margin: Margin, *, packed: Arrangement, carrier: Carrier | None) -> Check:
    source, origin = _evidence(margin, packed=packed, carrier=carrier)
    return Check(
        slug=margin.slug,
        sentence=_sentence(margin, packed=packed, carrier=carrier),
        margin_ratio=margin.ratio,
        required=margin.required,
        actual=margin.actual,
        unit=margin.unit,
        source=source,
        origin=origin,
        margin_ratio_least=margin.ratio_least,
        margin_ratio_most=margin.ratio_most,
        force=margin.force,
        formula=formula_of(margin),
        figures=figures_of(margin, packed=packed),
        band_share=margin.band_share,
    )


def _evidence(margin: Margin, *, packed: Arrangement, carrier: Carrier | None) -> tuple[str, Origin]:
    """Return the source of a check and how sure it is."""
    handling, board = load_table("handling"), load_table("item222")
    if margin.slug.startswith("carrier_") and carrier is not None:
        return carrier.source.text, carrier.source.origin
    judged = "the shop's judgement; no published source"
    material = packed.mix.at(margin.side) if margin.side >= 0 else packed.mix.base
    limited = next((item for item in packed.mix.materials if item.mass_most_kg is not None), None)
    evidence: dict[str, tuple[str, Origin]] = {
        "clearance": (
            f"strain from the stress-energy form (derived); {material.source.text}",
            Origin.ESTIMATE,
        ),
        "wall_distance": (handling["clearance"]["source"], Origin.PUBLISHED),
        "material": (
            handling["paper_fill"]["source"] if limited else f"common practice; {judged}",
            Origin.PUBLISHED if limited else Origin.ESTIMATE,
        ),
        "peak_g": (material.source.text, material.source.origin),
        "edge_corner": (
            f"projected areas (geometry); impacts: {handling['impacts']['source']}; {material.source.text}",
            Origin.ESTIMATE,
        ),
        "stress": (material.source.text, material.source.origin),
        "buckling": ("Kerstner's rule, from memory", Origin.ESTIMATE),
        "smallest_face": (load_table("drop_heights")["smallest_face_source"]["text"], Origin.ESTIMATE),
        "puncture": (
            "board by DIN 55468-1 or as stated; energy left behind the tip by the stress-energy form "
            "(derived)",
            Origin.ESTIMATE,
        ),
        "board_mass": (board["source"]["text"], Origin.PUBLISHED),
        "board_size": (board["source"]["text"], Origin.PUBLISHED),
        "advised_mass": (board["advised_source"]["text"], Origin.PUBLISHED),
        "dense_goods": (board["postal_source"]["text"], Origin.PUBLISHED),
        "stacking": (
            "McKee's simplified formula, ±25 %, derated for 10 days, 80 % humidity and rough handling; stack "
            "of 1.5 m assumed",
            Origin.ESTIMATE,
        ),
        "certificate": ("the box maker's certificate on the flap", packed.box.carton.source.origin),
        "used_carton": (handling["reuse"]["source"], Origin.ESTIMATE),
    }
    return evidence[margin.slug]


def _sentence(margin: Margin, *, packed: Arrangement, carrier: Carrier | None) -> str:
    if margin.slug.startswith("carrier_") and carrier is not None:
        return _carrier_sentence(margin, service=f"{carrier.name} {carrier.service}")
    if margin.slug == "clearance":
        return _clearance_sentence(margin, packed=packed)
    if margin.slug == "material":
        refusals = [material_refusal(packed.unit, material=item) for item in packed.mix.materials]
        will_do = packed.mix.words
        return next((found for found in refusals if found), f"{will_do.capitalize()} will do for this unit.")
    where = side_name(margin.side) if margin.side >= 0 else ""
    if margin.slug == "peak_g" and margin.actual >= NO_CUSHION_G:
        return f"There is no cushion at the {where}: nothing stops the unit before the wall."
    kept = "within" if margin.ratio_least >= 1 - 1e-6 else "above"
    amount = _with_its_worst(margin)
    sentences = {
        "wall_distance": f"The least distance between the unit's body and a carton wall is "
        f"{length(margin.actual)}, at the {where}; {length(WALL_DISTANCE_MM)} is the published minimum.",
        "peak_g": f"A fall of {_fall(packed.fall.drop_height_m)} on the {where} stops the unit with "
        f"{amount}; it may take {margin.required:.0f} G.",
        "edge_corner": f"A fall on an edge or a corner at the {where} stops the unit with {amount} against "
        f"each face; it may take {margin.required:.0f} G.",
        "stress": f"The cushion at the {where} carries {margin.actual:.2f} kPa; the "
        f"material works up to {margin.required:.2g} kPa.",
        "buckling": f"The pad at the {where} has {margin.actual:.0f} cm²; under {margin.required:.0f} cm² "
        f"a pad of its thickness folds over sideways.",
        "smallest_face": f"A fall of {_fall(packed.fall.deepest_drop_height_m)} on the smallest face "
        f"squeezes the cushion by {amount}; beyond {margin.required:.0f} % it "
        f"bottoms out.",
        "puncture": _puncture_sentence(margin, where=where),
        "board_mass": f"The parcel weighs {mass(margin.actual)}, {kept} the {mass(margin.required)} that "
        f"the freight rule allows this board.",
        "board_size": f"Length, width and height together are {length(margin.actual)}, {kept} the "
        f"{length(margin.required)} that the freight rule allows this board.",
        "advised_mass": f"For dense metal this board is advised up to {mass(margin.required)}; the parcel "
        f"weighs {mass(margin.actual)}.",
        "dense_goods": f"For dense goods of this mass the post asks for a {margin.required:.0f} lb burst "
        f"test; this board reaches {int(margin.ratio * 100 + 1e-4) / 100:.2f} of it.",
        "stacking": f"Equal parcels stacked on top load it with {margin.actual:.0f} N; worn by the journey "
        f"it still carries {_carried(margin)}.",
        "certificate": f"The certificate on the carton allows {mass(margin.required)}; the parcel weighs "
        f"{mass(margin.actual)}.",
        "used_carton": f"A used carton is taken up to {mass(margin.required)} only, one grade lower; the "
        f"parcel weighs {mass(margin.actual)}.",
    }
    return sentences[margin.slug]


def _with_its_worst(margin: Margin) -> str:
    """Return the figure by the middle of its estimate and at the bad end, first the one that decides a no."""
    middle, most = (
        f"{min(value, 100):.0f} %" if margin.unit == "%" else f"{value:.0f} G"
        for value in (margin.actual, margin.actual * (1 + margin.band_share))
    )
    return _worst_first(margin, middle=middle, worst=most)


def _carried(margin: Margin) -> str:
    least_n = margin.required * (1 - margin.band_share)
    return _worst_first(margin, middle=f"{margin.required:.0f} N", worst=f"{least_n:.0f} N")


def _worst_first(margin: Margin, *, middle: str, worst: str) -> str:
    if margin.band_share <= 0:
        return middle
    if holds(margin):
        return f"{middle}, {worst} at worst"
    return f"{worst} at worst ({middle} by the middle of the estimate)"


def _puncture_sentence(margin: Margin, *, where: str) -> str:
    if margin.actual <= 0:
        return (
            "The cushion stops the unit before any tip meets the wall; "
            f"{margin.required:g} J would pierce it."
        )
    return (
        f"A tip would meet the wall at the {where} with {margin.actual:.1f} J left behind it; about "
        f"{margin.required:g} J pierce this wall."
    )


def _carrier_sentence(margin: Margin, *, service: str) -> str:
    show = mass if margin.unit == "kg" else length
    name = {
        "carrier_mass": "weigh",
        "carrier_length": "measure along its longest side",
        "carrier_width": "measure along its second side",
        "carrier_height": "measure along its shortest side",
        "carrier_length_girth": "measure in length plus girth",
    }[margin.slug]
    return f"With {service} a parcel may {name} {show(margin.required)}; this one has {show(margin.actual)}."


def _clearance_sentence(margin: Margin, *, packed: Arrangement) -> str:
    at = margin.side
    tips = [
        item.name for item in packed.stance.projections if _stands_out(item.low_mm, item.high_mm, at, packed)
    ]
    who = tips[0] if tips else "unit's body"
    wall = (
        "carton floor"
        if at == BASE
        else "carton lid"
        if at == BASE + 1
        else f"carton wall at the {side_name(at)}"
    )
    if margin.ratio_least >= 1 - 1e-6:
        rest = f"the deepest fall takes {length(margin.required - TIP_RESERVE_MM)} of it."
    else:
        rest = f"the deepest fall would need {length(margin.required)}, so it would strike."
    more = _puncture(packed, struck=margin.ratio_least < 1 - 1e-6)
    return f"Between the {who} and the {wall} there is {length(margin.actual)}; {rest}{more}"


def _stands_out(low: tuple[float, ...], high: tuple[float, ...], at: int, packed: Arrangement) -> bool:
    axis, upper = divmod(at, 2)
    half = packed.stance.size_mm[axis] / 2
    reach = high[axis] - half if upper else -half - low[axis]
    return abs(reach - packed.stance.reaches_mm[at]) < 1e-6 and reach > 0


def _puncture(packed: Arrangement, *, struck: bool) -> str:
    """Return what a tip that meets the wall would do, for a failed clearance."""
    wall_j = wall_puncture_j(packed.box.carton)
    if not struck or wall_j is None:
        return ""
    energy_j = drop_energy_j(packed.unit.mass_kg, drop_height_m=packed.fall.drop_height_m)
    return f" It would carry {energy_j:.0f} J; this wall is pierced by about {wall_j:g} J."
