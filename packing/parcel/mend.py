"""What one or two changes would make a refused parcel pass? Each is computed through before it is told."""

import math
from collections.abc import Sequence
from dataclasses import replace

from packing.catalogue.schema import Carrier, Carton, Material, MaterialKind, Wall
from packing.parcel.arrangement import Arrangement, Arranger
from packing.parcel.box_facts import box_facts
from packing.parcel.carriers import carrier_limits
from packing.parcel.checks import length, mass
from packing.parcel.margin import Margin, holds
from packing.parcel.margins import all_margins, material_refusal
from packing.parcel.nearest import nearest
from packing.parcel.outcome import Change, Force
from packing.parcel.regions import Mix, needed_inside_mm, one_material
from packing.parcel.tables import stock_materials
from packing.parcel.unit import PackUnit, stances
from packing.quantities import UnitChoice, show_size

STEP_MM = 5.0
LONGER_MOST_MM = 150.0  # a single side is asked for longer up to here; beyond, another carton
SIDE_MOST_MM = 1200.0
EASE = {
    MaterialKind.BALLED_PAPER: 0,
    MaterialKind.BOARD_PAD: 1,
    MaterialKind.BUBBLE: 2,
    MaterialKind.PLANK: 3,
}
# 48 lb/in, 275 lb test, BC flute, and its usual mass; the mass from memory
STRONGER_ECT_KN_M, STRONGER_BURST_KPA, STRONGER_CALIPER_MM, STRONGER_G_M2 = 8.41, 1896.1, 7.0, 900.0
BOARD_SLUGS = frozenset({"board_mass", "board_size", "stacking", "certificate", "used_carton"})
SIDE_WORDS = ("longer", "wider", "higher")
ADVICE = Change(
    "advice",
    "Ask the shop before packing: it has to be fixed in an inner box first, with 76 mm (3 in) of cushion all "
    "round that box.",  # handling.toml, double_box
)


def find_changes(
    packed: Arrangement, *, arranger: Arranger, at_hand: Sequence[Material], carrier: Carrier | None
) -> tuple[Change, ...]:
    """Return one or two changes after which every rule that must hold does, the easiest first.

    Tried in this order: stronger board alone; a material that is easy to get; one side of the carton longer
    by up to 150 mm, or one part off; any stock material; a larger carton. Stronger board or another service
    may come beside one of them. Each is computed through before it is proposed.
    """
    failed = {margin.slug for margin in _failed(packed, carrier=carrier)}
    changes: list[Change] = []
    if any(slug.startswith("carrier_") for slug in failed) and carrier is not None:
        over = _over(packed, carrier=carrier)
        changes.append(Change("carrier", f"Choose another service: {over}."))
    carton = packed.box.carton
    if failed & BOARD_SLUGS:
        carton = stronger(carton)
        changes.append(Change("board", "Take a new double-wall carton of the same size.", carton=carton))
    usable = [item for item in at_hand if not material_refusal(packed.unit, material=item)]
    if usable and passing_mix(arranger, carton=carton, materials=usable) is not None:
        return tuple(changes) or (ADVICE,)
    known = {item.slug for item in at_hand}
    more = sorted(stock_materials(), key=lambda item: EASE.get(item.kind, 9))
    more = [
        item for item in more if item.slug not in known and not material_refusal(packed.unit, material=item)
    ]
    easy = [item for item in more if item.easy_to_get]
    room = (
        _material(packed, carton=carton, arranger=arranger, usable=usable[:2], more=easy)
        or _one_side(packed, carton=carton, arranger=arranger, usable=usable)
        or _material(packed, carton=carton, arranger=arranger, usable=usable[:2], more=more)
        or _larger(packed, carton=carton, arranger=arranger, choices=[*usable, *more])
    )
    if room is None:
        return (*changes, ADVICE)[:2]
    if room.carton is not None:
        # The larger carton is told with its board: no second change for it.
        changes = [change for change in changes if change.slug != "board"]
    return (*changes, room)[:2]


def stronger(carton: Carton) -> Carton:
    """Return the same size in new double-wall board of 48 lb/in; heavier board is left as it is."""
    return replace(
        carton,
        slug=f"{carton.slug}-double",
        wall=Wall.DOUBLE if carton.wall is Wall.SINGLE else carton.wall,
        ect_kn_m=max(carton.ect_kn_m, STRONGER_ECT_KN_M),
        burst_kpa=max(carton.burst_kpa or 0.0, STRONGER_BURST_KPA),
        caliper_mm=max(carton.caliper_mm, STRONGER_CALIPER_MM),
        board_g_m2=max(carton.board_g_m2, STRONGER_G_M2),
        puncture_j=None,
        certificate_gross_kg=None,
        used=False,
    )


def passing_mix(arranger: Arranger, *, carton: Carton, materials: Sequence[Material]) -> Mix | None:
    """Return the roomiest mix with which the unit keeps every rule that must hold in a carton, or None."""
    box = box_facts(carton)
    near = nearest(arranger, standing=stances(arranger.unit), boxes=[box], materials=materials, carrier=None)
    if near.ratio < 1:
        return None
    packed = arranger.arrange(near.stance, box=box, mix=near.mix)
    return near.mix if not _failed(packed, carrier=None) else None


def _failed(packed: Arrangement, *, carrier: Carrier | None) -> list[Margin]:
    return [
        margin
        for margin in all_margins(packed, carrier=carrier)
        if margin.force is Force.MUST and not holds(margin)
    ]


def _material(
    packed: Arrangement,
    *,
    carton: Carton,
    arranger: Arranger,
    usable: Sequence[Material],
    more: Sequence[Material],
) -> Change | None:
    """Return the first material that mends it, in as few regions as will do; elsewhere what is at hand."""
    box = box_facts(carton)
    ways = tuple(dict.fromkeys((packed.stance, *stances(packed.unit))))
    for item in more:
        mixes = [
            mix
            for hand in usable
            for mix in (
                Mix(item, hand, hand),
                Mix(hand, hand, item),
                Mix(hand, item, hand),
                Mix(item, hand, item),
            )
        ]
        for mix in (*mixes, one_material(item)):
            for stance in ways:
                found = arranger.arrange(stance, box=box, mix=mix)
                if not _failed(found, carrier=None):
                    return Change(
                        "material",
                        f"Use {item.name.lower()} {_where(mix, item)}: then it will do.",
                        materials=tuple(used.slug for used in mix.materials),
                    )
    return None


def _where(mix: Mix, item: Material) -> str:
    regions = [
        words
        for words, used in (("under the unit", mix.base), ("round the sides", mix.sides), ("on top", mix.top))
        if used.slug == item.slug
    ]
    return "on every side" if len(regions) == 3 else " and ".join(regions)


def _one_side(
    packed: Arrangement, *, carton: Carton, arranger: Arranger, usable: Sequence[Material]
) -> Change | None:
    """Return the carton with one side longer, or one part off, with the materials at hand."""
    if not usable:
        return None
    needs = arranger.mixed_needs(packed.stance, mix=packed.mix, drop_height_m=packed.fall.drop_height_m)
    needed = needed_inside_mm(packed.stance, needs=needs)
    short = [max(0.0, need - inside) for need, inside in zip(needed, packed.box.inside_mm, strict=True)]
    lacking = [axis for axis in range(3) if short[axis] > 0]
    longer: tuple[Carton, str] | None = None
    if len(lacking) == 1 and short[lacking[0]] <= LONGER_MOST_MM:
        axis = lacking[0]
        key = ("length_mm", "width_mm", "height_mm")[axis]
        more_mm = math.ceil(short[axis] / STEP_MM) * STEP_MM
        while more_mm <= LONGER_MOST_MM and longer is None:
            tried = replace(carton, slug="", name="", **{key: getattr(carton, key) + more_mm})
            if passing_mix(arranger, carton=tried, materials=usable) is not None:
                longer = tried, f"{length(more_mm)} {SIDE_WORDS[axis]}"
            more_mm += STEP_MM
    off = _part_off(packed, carton=carton, arranger=arranger)
    or_off = f"take off the {off}, if your strip list allows it" if off else ""
    if longer is not None:
        alternative = f", or {or_off}" if off else ""
        return Change(
            "carton",
            f"Take a carton {longer[1]}, otherwise the same{alternative}.",
            carton=longer[0],
            take_off=(off,) if off else (),
        )
    if off:
        return Change("take_off", f"{or_off.capitalize()}: then there is room enough.", take_off=(off,))
    return None


def _part_off(packed: Arrangement, *, carton: Carton, arranger: Arranger) -> str:
    """Return the name of the one part without which the unit passes, or nothing.

    Parts that a splint or nothing holds are not asked for: only such as stand out of the body on this leg.
    """
    for item in packed.unit.projections:
        if item.reach_mm <= 0:
            continue
        without = _without(packed.unit, slug=item.slug)
        other = Arranger(without, drop_test=arranger.drop_test)
        if passing_mix(other, carton=carton, materials=packed.mix.materials) is not None:
            return item.name
    return ""


def _without(unit: PackUnit, *, slug: str) -> PackUnit:
    return replace(unit, projections=tuple(item for item in unit.projections if item.slug != slug))


def _larger(
    packed: Arrangement, *, carton: Carton, arranger: Arranger, choices: Sequence[Material]
) -> Change | None:
    """Return the smallest carton, in 5 mm steps, in which the first material that can has its room."""
    asked = packed.box.carton
    plain = "carton" if carton is asked else "new double-wall carton"
    for material in choices:
        for stance in (packed.stance, *stances(packed.unit)):
            needs = arranger.needs(stance, material=material, drop_height_m=packed.fall.drop_height_m)
            sides = [math.ceil(side / STEP_MM) * STEP_MM for side in needed_inside_mm(stance, needs=needs)]
            if max(sides) > SIDE_MOST_MM:
                continue
            for grown in range(5):
                length_mm, width_mm, height_mm = (side + grown * STEP_MM for side in sides)
                size = replace(
                    carton,
                    slug="",
                    name="",
                    length_mm=max(length_mm, width_mm),
                    width_mm=min(length_mm, width_mm),
                    height_mm=height_mm,
                )
                for board, words in ((size, plain), (stronger(size), "new double-wall carton")):
                    if asked.wall is Wall.DOUBLE and not asked.used:
                        words = "double-wall carton"  # noqa: PLW2901
                    if passing_mix(arranger, carton=board, materials=[material]) is not None:
                        shown = show_size(
                            board.length_mm, board.width_mm, board.height_mm, choice=UnitChoice.METRIC
                        )
                        return Change(
                            "carton",
                            f"Take a {words} of at least {shown} inside, with {material.name.lower()} "
                            "on every "
                            f"side.",
                            carton=board,
                            materials=(material.slug,),
                        )
    return None


def _over(packed: Arrangement, *, carrier: Carrier) -> str:
    parts = []
    for limit in carrier_limits(packed.box.outside, gross_mass_kg=packed.gross_kg, carrier=carrier):
        if limit.actual > limit.most:
            actual = mass(limit.actual) if limit.unit == "kg" else f"{limit.actual:.0f} mm"
            most = mass(limit.most) if limit.unit == "kg" else f"{limit.most:.0f} mm"
            parts.append(f"{limit.name} is {actual}, and it takes {most}")
    return "; ".join(parts)
