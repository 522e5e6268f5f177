"""How does a computed arrangement become the plan that people read and the job keeps?"""

from packing.catalogue.schema import Carrier
from packing.parcel.arrangement import Arrangement
from packing.parcel.board import used_refusal
from packing.parcel.carriers import bill, surcharge_notes
from packing.parcel.checks import checks_of, length, limiting, mass, side_name
from packing.parcel.influence import find_influences
from packing.parcel.laid import is_cut_to_size, layer_count
from packing.parcel.layers import block_pad_mm, crown_of, layers_of, pad_size_mm
from packing.parcel.margins import required_clearance_mm
from packing.parcel.outcome import (
    Block,
    BlockKind,
    Change,
    Check,
    Clearance,
    CushionFace,
    Orientation,
    ParcelPlan,
    Place,
    Verdict,
)
from packing.parcel.padding import WALL_DISTANCE_MM
from packing.parcel.sequence import fills_of, steps_of
from packing.parcel.tables import load_table
from packing.parcel.unit import BASE, FACES, Turn, overshoot_mm

CARRIER_CAUTION = "The carrier's own rules and local law decide in every case."


def assemble(
    packed: Arrangement,
    *,
    verdict: Verdict,
    carrier: Carrier | None,
    changes: tuple[Change, ...],
    notes: tuple[str, ...],
) -> ParcelPlan:
    """Return the whole plan of an arrangement; `notes` come before its own."""
    checks = checks_of(packed, carrier=carrier)
    worst = limiting(checks)
    box, sides = packed.box, packed.sides
    billing = None if carrier is None else bill(box.outside, gross_mass_kg=packed.gross_kg, carrier=carrier)
    return ParcelPlan(
        unit=packed.unit.slug,
        unit_name=packed.unit.name,
        leg=packed.unit.leg,
        verdict=verdict,
        headline=_headline(packed, verdict=verdict, worst=worst),
        carton=box.carton,
        outside_length_mm=box.outside.length_mm,
        outside_width_mm=box.outside.width_mm,
        outside_height_mm=box.outside.height_mm,
        orientation=_orientation(packed),
        place=Place(left_mm=sides[0].gap_mm, front_mm=sides[2].gap_mm, floor_mm=sides[BASE].gap_mm),
        cushions=tuple(_cushion(packed, at=at) for at in range(6)),
        block=_block(packed),
        clearances=_clearances(packed),
        fills=fills_of(packed),
        unit_mass_kg=packed.unit.mass_kg,
        gross_mass_kg=packed.gross_kg,
        dimensional_kg=billing.dimensional_kg if billing else 0.0,
        billed_mass_kg=billing.billed_kg if billing else packed.gross_kg,
        carrier=carrier.slug if carrier else "",
        carrier_name=f"{carrier.name} {carrier.service}" if carrier else "",
        drop=packed.drop,
        checks=checks,
        limiting_check=worst.slug,
        changes=changes,
        layers=layers_of(packed),
        crown_mm=crown_of(packed),
        steps=steps_of(packed),
        notes=(*notes, *_notes(packed, carrier=carrier)),
        influences=find_influences(packed, carrier=carrier),
    )


def _headline(packed: Arrangement, *, verdict: Verdict, worst: Check) -> str:
    carton = packed.box.carton.name
    if verdict is Verdict.PASS:
        return f"{packed.unit.name} travels safely in the carton {carton} {_with_what(packed)}."
    if verdict is Verdict.PASS_WITH_CHANGES:
        return f"The carton {carton} will do if it is packed as told here."
    return f"Not like this: {worst.sentence}"


def _with_what(packed: Arrangement) -> str:
    mix = packed.mix
    if len(mix.materials) == 1:
        return f"with {mix.base.name.lower()} on every side"
    return f"on {mix.base.name.lower()}, {mix.sides.name.lower()} round it and {mix.top.name.lower()} on top"


def _orientation(packed: Arrangement) -> Orientation:
    stance = packed.stance
    along = "lengthwise in" if stance.turn is Turn.ALONG else "across"
    return Orientation(
        down=stance.down,
        turn=stance.turn,
        length_mm=stance.size_mm[0],
        width_mm=stance.size_mm[1],
        height_mm=stance.size_mm[2],
        sentence=f"{_stands(packed)} on its {stance.down.value}, {along} the carton.",
    )


def _stands(packed: Arrangement) -> str:
    supports = {face.face for face in packed.unit.support_faces}
    return "Standing" if packed.stance.down in supports else "Lying"


def _cushion(packed: Arrangement, *, at: int) -> CushionFace:
    side, material = packed.sides[at], packed.mix.at(at)
    pad_length_mm, pad_width_mm = pad_size_mm(packed, at=at)
    return CushionFace(
        face=FACES[at],
        material=material.slug,
        name=material.name,
        gap_mm=side.gap_mm,
        thickness_mm=side.laid_mm,
        layers=layer_count(side.laid_mm, material=material),
        area_cm2=side.area_m2 * 1e4,
        pad_length_mm=pad_length_mm,
        pad_width_mm=pad_width_mm,
        cut_to_size=is_cut_to_size(material),
        spreader_mm=side.spreader_mm,
        packed_out_mm=side.packed_out_mm,
        static_stress_kpa=side.stress_kpa,
        peak_g=side.peak_g,
        compression_mm=side.deepest_mm,
        peak_g_most=side.peak_g_most,
        kind=material.kind.value,
    )


def _block(packed: Arrangement) -> Block | None:
    side = packed.sides[BASE]
    if side.block_mm <= 0 or side.block is None:
        return None
    pad_length_mm, pad_width_mm = block_pad_mm(packed)
    length_mm, width_mm = packed.stance.support_mm
    if side.block is BlockKind.BUILT_UP:
        length_mm, width_mm = pad_length_mm, pad_width_mm
    return Block(
        height_mm=side.block_mm,
        length_mm=length_mm,
        width_mm=width_mm,
        pad_length_mm=pad_length_mm,
        pad_width_mm=pad_width_mm,
        pad_thickness_mm=side.spreader_mm,
        kind=side.block,
        openings=packed.stance.openings,
    )


def _clearances(packed: Arrangement) -> tuple[Clearance, ...]:
    """Return the body's clearance on six sides, then every tip's on each side on which it stands out."""
    found = [
        Clearance(
            face=FACES[at],
            projection="",
            name=f"body, {side_name(at)}",
            at_rest_mm=side.gap_mm,
            at_deepest_mm=side.gap_mm - side.deepest_mm,
            required_mm=max(WALL_DISTANCE_MM, required_clearance_mm(packed, at=at)),
        )
        for at, side in enumerate(packed.sides)
    ]
    for item in packed.stance.projections:
        for at, side in enumerate(packed.sides):
            reach_mm = overshoot_mm(item, at=at, size_mm=packed.stance.size_mm)
            if reach_mm > 0:
                found.append(
                    Clearance(
                        face=FACES[at],
                        projection=item.slug,
                        name=item.name,
                        at_rest_mm=side.gap_mm - reach_mm,
                        at_deepest_mm=side.gap_mm - reach_mm - side.deepest_mm,
                        required_mm=required_clearance_mm(packed, at=at),
                    )
                )
    return tuple(found)


def _notes(packed: Arrangement, *, carrier: Carrier | None) -> tuple[str, ...]:
    notes: list[str] = []
    handling = load_table("handling")
    if packed.gross_kg > handling["lift"]["one_person_kg"]:
        notes.append(f"The parcel weighs {mass(packed.gross_kg)}: lift it with two people and mark it.")
    if packed.box.carton.used:
        notes.append("A used carton has to be rigid, dry and whole; take off every old label.")
        refusal = used_refusal(packed.box.carton, gross_mass_kg=packed.gross_kg)
        notes += [refusal] if refusal else []
    for material in packed.mix.materials:
        if material.single_drop:
            notes.append(f"{material.name} give their best once: {material.note}")
        if material.source.origin == "estimate":
            notes.append(
                f"The cushion figures of {material.name.lower()} are estimates, "
                f"±{material.uncertainty_share:.0%}; the verdict is given at the bad end."
            )
    if packed.sides[BASE].packed_out_mm > 0:
        notes.append(f"Pack out {length(packed.sides[BASE].packed_out_mm)} under the base with folded board.")
    if carrier is not None:
        notes += surcharge_notes(packed.box.outside, gross_mass_kg=packed.gross_kg, carrier=carrier)
    return (*notes, CARRIER_CAUTION)
