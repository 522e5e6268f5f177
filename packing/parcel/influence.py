"""Which input moves the limiting margin most?"""

from collections.abc import Callable
from dataclasses import replace

from packing.catalogue.schema import Carrier, Material
from packing.parcel.arrangement import Arrangement, pack_side
from packing.parcel.margins import all_margins
from packing.parcel.outcome import Force, Influence
from packing.parcel.padding import Fall, SideNeed
from packing.parcel.regions import Mix
from packing.parcel.unit import MASS_MOST_KG

STEP_SHARE = 0.10
STEP_MM = 10.0

# slug, sentence, and the arrangement with that input moved to the bad side.
_MOVES: tuple[tuple[str, str, Callable[[Arrangement], Arrangement]], ...] = (
    ("fragility", "the unit bears 10 % less", lambda it: _with(it, fragility_factor=1 - STEP_SHARE)),
    ("fall", "the parcel falls 10 % deeper", lambda it: _with(it, fall_factor=1 + STEP_SHARE)),
    ("mass", "the unit weighs 10 % more", lambda it: _with(it, mass_factor=1 + STEP_SHARE)),
    (
        "bearing",
        "10 % less of the unit bears on the cushion",
        lambda it: _with(it, area_factor=1 - STEP_SHARE),
    ),
    ("hardness", "the cushion is 10 % harder", lambda it: _with(it, hard_factor=1 + STEP_SHARE)),
    (
        "stiffening",
        "the cushion stiffens 10 % sooner",
        lambda it: _with(it, stiff_factor=1 + STEP_SHARE),
    ),
    (
        "settling",
        "the cushion settles 5 % of its thickness more",
        lambda it: _with(it, settles_share=0.05),
    ),
    ("room", "every gap is 10 mm (3/8 in) smaller", lambda it: _with(it, gap_mm=-STEP_MM)),
)


def find_influences(packed: Arrangement, *, carrier: Carrier | None) -> tuple[Influence, ...]:
    """Return what the least margin becomes when one input moves to the bad side, the strongest first.

    The parcel stays packed as it is; only the input is another than thought. The least margin is that of the
    rules that must hold, at the bad end of the estimates. Inputs that move it by less than 0.005 are left
    out.
    """
    before = _least(packed, carrier=carrier)
    found = []
    for slug, sentence, move in _MOVES:
        after = _least(move(packed), carrier=carrier)
        if before - after >= 0.005:
            words = f"If {sentence}, the least margin goes from {_cut(before):.2f} to {_cut(after):.2f}."
            found.append(Influence(slug, words, after, before - after))
    return tuple(sorted(found, key=lambda item: -item.loss_ratio))


def _cut(ratio: float) -> float:
    """Return a margin in whole hundredths, cut as it is shown elsewhere, so that no miss reads as 1."""
    return int(ratio * 100 + 1e-4) / 100


def _least(packed: Arrangement, *, carrier: Carrier | None) -> float:
    margins = all_margins(packed, carrier=carrier)
    return min(margin.ratio_least for margin in margins if margin.force is Force.MUST)


def _with(
    packed: Arrangement,
    *,
    fragility_factor: float = 1.0,
    fall_factor: float = 1.0,
    mass_factor: float = 1.0,
    area_factor: float = 1.0,
    hard_factor: float = 1.0,
    stiff_factor: float = 1.0,
    settles_share: float = 0.0,
    gap_mm: float = 0.0,
) -> Arrangement:
    """Return the same parcel with some inputs multiplied, the settling and the gaps added to."""
    unit = replace(
        packed.unit,
        fragility_g=max(5.0, packed.unit.fragility_g * fragility_factor),
        mass_kg=min(MASS_MOST_KG, packed.unit.mass_kg * mass_factor),
    )
    falls = Fall(packed.fall.drop_height_m * fall_factor, packed.fall.deepest_drop_height_m * fall_factor)
    needs = tuple(_need(need, mass_factor=mass_factor, area_factor=area_factor) for need in packed.needs)
    mix = Mix(*(
        _material(item, hard_factor=hard_factor, stiff_factor=stiff_factor, settles_share=settles_share)
        for item in (packed.mix.base, packed.mix.sides, packed.mix.top)
    ))  # fmt: skip
    sides = tuple(
        pack_side(need, max(0.0, side.gap_mm + gap_mm), material=mix.at(at), fall=falls, at=at)
        for at, (need, side) in enumerate(zip(needs, packed.sides, strict=True))
    )
    gross_kg = packed.gross_kg + unit.mass_kg - packed.unit.mass_kg
    return replace(packed, unit=unit, fall=falls, needs=needs, mix=mix, sides=sides, gross_kg=gross_kg)


def _need(need: SideNeed, *, mass_factor: float, area_factor: float) -> SideNeed:
    return replace(
        need, stress_kpa=need.stress_kpa * mass_factor / area_factor, area_m2=need.area_m2 * area_factor
    )


def _material(
    material: Material, *, hard_factor: float, stiff_factor: float, settles_share: float
) -> Material:
    return replace(
        material,
        curve_a_kpa=material.curve_a_kpa * hard_factor,
        curve_b_m3_kj=material.curve_b_m3_kj * stiff_factor,
        settles_share=min(0.9, material.settles_share + settles_share),
    )
