"""In which order is the parcel packed, step by step, and why? Short, countable, in the packer's order."""

from packing.catalogue.schema import Material, MaterialKind
from packing.parcel.arrangement import Arrangement
from packing.parcel.checks import length, side_name
from packing.parcel.fill import PACK_OUT_LEAST_MM, count_sentence, fill_count
from packing.parcel.fills import balls_of_paper, fills_of
from packing.parcel.laid import is_cut_to_size
from packing.parcel.layers import block_pad_mm, crown_of, layers_of, pad_size_mm
from packing.parcel.outcome import BlockKind, PackStep
from packing.parcel.shopping import TAPED_BAG
from packing.parcel.tables import load_table
from packing.parcel.unit import BASE, FACES, TOP, Leg
from packing.quantities import UnitChoice, show_length

__all__ = ["crown_of", "fills_of", "layers_of", "pad_size_mm", "steps_of"]

SPREADS = "The side of the unit alone is too small: it would sink into the cushion."
# How a material that is not cut to size is put in.
_PUT_IN = {
    MaterialKind.BALLED_PAPER: "Put in",
    MaterialKind.FLAT_PAPER: "Lay in",
    MaterialKind.BUBBLE: "Lay in, flat on each other,",
    MaterialKind.AIR_PILLOW: "Put in",
    MaterialKind.LOOSE_FILL: "Pour in",
    MaterialKind.WADDING: "Lay in, flat on each other,",
}


def steps_of(packed: Arrangement) -> tuple[PackStep, ...]:
    """Return the packer's steps with their reasons: the unit, the carton layer by layer, the lid."""
    return (
        *_ready_unit(packed),
        *_bottom(packed),
        *_seat(packed),
        *_round_it(packed),
        *_closing(packed),
    )


def _ready_unit(packed: Arrangement) -> list[PackStep]:
    slip = "the slip with the job number" if packed.unit.leg is Leg.TO_SHOP else "the job sheet"
    steps = []
    splinted = {item.slug for item in packed.unit.splinted}
    tubed = []
    for item in packed.stance.projections:
        if item.slug in splinted:
            steps.append(
                PackStep(
                    f"splint_{item.slug}",
                    f"Tie the {item.name} to a strip of stiff card as long as it is; let the card "
                    "bear on the "
                    f"body, and bend nothing.",
                    "On a splint it travels like a part of the body.",
                )
            )
        elif not item.may_be_touched:
            tubed.append(item)
    if tubed:
        named = [f"the {item.name}" for item in tubed]
        parts = f"each of these: {', '.join(named[:-1])} and {named[-1]}" if len(named) > 1 else named[0]
        bears = "each tube bears" if len(named) > 1 else "it bears"
        words = f"Slip card tube over {parts}, so that {bears} on the body."
        steps.append(PackStep("tubes", words, "The load then goes round it.", len(tubed)))
    # The bag comes last: tubes and splints have to bear on the body, not on plastic.
    steps.append(
        PackStep(
            "wrap",
            f"Put the unit into a plastic bag, and {slip} into a second bag beside it.",
            "Paper dust stays out of the ports, and a parcel without a label still has a name in it.",
        )
    )
    return steps


def _bottom(packed: Arrangement) -> list[PackStep]:
    tape, base = load_table("handling")["tape"], packed.sides[BASE]
    width_mm = tape["width_least_in"] * 25.4
    carton = packed.box.carton
    steps = [
        PackStep(
            "carton",
            f"Take the carton {carton.name}. Tape its bottom as an H with plastic tape "
            f"{length(width_mm)} or wider.",
            "The seams at the ends open first.",
        ),
        PackStep(
            "base",
            _under(packed),
            "A loose base goes flat on the way and the unit ends on the carton floor.",
        ),
    ]
    if base.packed_out_mm >= PACK_OUT_LEAST_MM:
        steps.insert(
            1,
            PackStep(
                "pack_out",
                f"First lay {length(base.packed_out_mm)} of folded board in the middle of the floor, "
                "no larger than "
                f"the pads.",
                "The pads alone do not fill the height under the unit.",
            ),
        )
    return steps


def _under(packed: Arrangement) -> str:
    base, material = packed.sides[BASE], packed.mix.base
    if is_cut_to_size(material):
        return f"{_pads(packed, at=BASE)}{_corners(packed, region=0)}"
    put_in = (
        f"{_PUT_IN.get(material.kind, 'Put in')} {count_sentence(_flat_count(packed), material=material)}"
    )
    return f"{put_in}, and press down hard until the base stands {length(base.flat_mm)} high all over."


def _flat_count(packed: Arrangement) -> int:
    """Return how much of the base's fill lies flat; what is left of it makes the block."""
    base, inside_mm = packed.sides[BASE], packed.box.inside_mm
    total = fill_count(packed.fills[0].litres, material=packed.mix.base)
    if base.block is not BlockKind.BUILT_UP:
        return total
    flat_litres = inside_mm[0] * inside_mm[1] * base.flat_mm / 1e6
    return min(fill_count(flat_litres, material=packed.mix.base), max(total - 1, 0))


def _seat(packed: Arrangement) -> list[PackStep]:
    base = packed.sides[BASE]
    pad, thick = _size(*block_pad_mm(packed)), length(base.spreader_mm)
    through = ""
    if packed.stance.openings:
        through = f", with an opening for the {' and the '.join(packed.stance.openings)}"
    if base.block is BlockKind.RIGID:
        block = _size(*packed.stance.support_mm)
        words = (
            f"In the middle lay a folded board pad {pad}, {thick} thick, and on it a block of glued board "
            f"{block}, {length(base.block_mm)} high{through}."
        )
        why = "What hangs below the support face then hangs free instead of carrying the unit."
    elif base.block is BlockKind.BUILT_UP and is_cut_to_size(packed.mix.base):
        words = (
            f"On it lay a folded board pad {pad}, {thick} thick{through}. Leave room beside the pads for "
            f"the {_hanging(packed)}."
        )
        why = "The support face carries the unit, and what hangs below it hangs free."
    elif base.block is BlockKind.BUILT_UP:
        tight = "balled" if packed.mix.base.kind is MaterialKind.BALLED_PAPER else "packed"
        more = fill_count(packed.fills[0].litres, material=packed.mix.base) - _flat_count(packed)
        words = (
            f"In the middle set a block {pad}, {length(base.block_mm)} high, of about {more} more "
            f"of the same, {tight} tight {TAPED_BAG}{through}, and a folded board pad of that size on it. "
            f"Leave a hollow for the {_hanging(packed)}."
        )
        why = "The support face carries the unit, and what hangs below it hangs free."
    elif base.spreader_mm > 0:
        words = f"In the middle lay a folded board pad {pad}, {thick} thick."
        why = "The support face alone is too small: it would sink into the cushion."
    else:
        return []
    return [PackStep("block" if base.block else "pad", words, why)]


def _hanging(packed: Arrangement) -> str:
    """Return the names of the parts that hang below the support face."""
    floor_mm = -packed.stance.size_mm[2] / 2
    return " and the ".join(
        item.name for item in packed.stance.projections if item.low_mm[2] < floor_mm - 0.5
    )


def _size(first_mm: float, second_mm: float) -> str:
    metric = " × ".join(_metric(side_mm) for side_mm in (first_mm, second_mm))
    return f"{metric} mm ({_inches(first_mm)} × {_inches(second_mm)} in)"


def _round_it(packed: Arrangement) -> list[PackStep]:
    sides, top = packed.mix.sides, packed.mix.top
    down = packed.stance.down.value
    steps = [
        PackStep(
            "set",
            f"Stand the unit in the middle on its {down}: {length(packed.sides[0].gap_mm)} from the "
            "left wall, "
            f"{length(packed.sides[2].gap_mm)} from the front.",
            "Every part that stands out then has the room it needs.",
        )
    ]
    if is_cut_to_size(sides):
        steps += [
            PackStep(
                f"sides_{side_name(at).split()[0]}",
                _pads(packed, at=at, where=where) + _spreading(packed, at=at) + _packing_out(packed, at=at),
                "A pad larger than told is too hard, a smaller one goes flat.",
            )
            for at, where in _told_together(packed)
        ]
        rest = _corners(packed, region=1)
        if rest:
            steps.append(PackStep("corners", rest.strip(), "Nothing may move when the carton is shaken."))
    else:
        fill = packed.fills[1]
        against = [
            f"{_size(*pad_size_mm(packed, at=at))} at the {where}"
            for at, where in _told_together(packed)
            if packed.sides[at].spreader_mm > 0
        ]
        if against:
            thick = length(packed.sides[_spread_at(packed)[0]].spreader_mm)
            words = f"Set folded board pads, {thick} thick, against the unit: {'; '.join(against)}."
            steps.append(PackStep("spreaders", words, SPREADS, len(_spread_at(packed))))
        steps.append(
            PackStep(
                "cushion",
                f"{_amount(fill.litres, material=sides)}, round the four sides up to the top of the unit"
                + ("" if not packed.stance.projections else "; round what stands out, press only beside it")
                + ".",
                "The unit must not move when the carton is shaken: what moves, travels to the wall.",
            )
        )
    if is_cut_to_size(top):
        words = f"{_pads(packed, at=TOP)}{_spreading(packed, at=TOP)}{_packing_out(packed, at=TOP)}"
        words += _corners(packed, region=2)
    else:
        words = f"{_amount(packed.fills[2].litres, material=top)}, over the unit.{_spreading(packed, at=TOP)}"
    steps.append(PackStep("top", words, "A parcel is dropped on its lid as often as on its floor."))
    return steps


def _told_together(packed: Arrangement) -> list[tuple[int, str]]:
    """Return the four sides to tell of: opposite ones as one where they are packed alike."""
    told = []
    for at, both in ((0, "left and right, one each"), (2, "front and back, one each")):
        looks = [
            (side.laid_mm, side.spreader_mm, side.packed_out_mm, *pad_size_mm(packed, at=each))
            for each, side in ((at, packed.sides[at]), (at + 1, packed.sides[at + 1]))
        ]
        alike = all(abs(one - other) < 0.5 for one, other in zip(*looks, strict=True))
        told += [(at, both)] if alike else [(each, f"{FACES[each].value} only") for each in (at, at + 1)]
    return told


def _spread_at(packed: Arrangement) -> list[int]:
    return [at for at in range(BASE) if packed.sides[at].spreader_mm > 0]


def _spreading(packed: Arrangement, *, at: int) -> str:
    """Return the board pad that spreads the load between cushion and unit; nothing where there is none."""
    side = packed.sides[at]
    if side.spreader_mm <= 0:
        return ""
    size = "of its size" if is_cut_to_size(packed.mix.at(at)) else _size(*pad_size_mm(packed, at=at))
    return f" Between it and the unit: a board pad {size}, {length(side.spreader_mm)} thick."


def _closing(packed: Arrangement) -> list[PackStep]:
    return [
        PackStep(
            "close",
            f"Fill until it stands about {length(crown_of(packed))} over the edge, close, and tape "
            "the top as an H.",
            "The fill settles; a slight bulge now is no hollow later.",
        ),
        PackStep(
            "push_test",
            "Push on the closed lid with a flat hand, then shake the carton gently.",
            "A lid that can be pushed down, or anything that is heard or felt to move, means more fill.",
        ),
    ]


def _amount(litres: float, *, material: Material) -> str:
    count = fill_count(litres, material=material)
    return f"{_PUT_IN.get(material.kind, 'Put in')} {count_sentence(count, material=material)}"


def _pads(packed: Arrangement, *, at: int, where: str = "") -> str:
    """Return one pad, or the same pad twice, by its thickness and its two sides."""
    side, material = packed.sides[at], packed.mix.at(at)
    first, second = pad_size_mm(packed, at=at)
    what = "folded corrugated" if material.kind is MaterialKind.BOARD_PAD else material.name.lower()
    place = {BASE: "in the middle of the floor", TOP: "on the unit"}.get(at, where)
    return f"Lay {_layers(side.laid_mm, material=material)} of {what}, {_size(first, second)}, {place}."


def _layers(thick_mm: float, *, material: Material) -> str:
    """Return how a thickness is made of the stock, such as "70 mm (50 + 20)"."""
    rest, pieces = thick_mm + 1e-6, []
    for piece in sorted(material.thicknesses_mm, reverse=True):
        count = int(rest // piece)
        pieces += [piece] * count
        rest -= count * piece
    shown = show_length(thick_mm, choice=UnitChoice.METRIC)
    if len(pieces) <= 1:
        return shown
    if len(set(pieces)) == 1:
        return f"{shown}, {len(pieces)} layers of {pieces[0]:g} mm,"
    return f"{shown}, {' + '.join(f'{piece:g}' for piece in pieces)} mm,"


def _metric(value_mm: float) -> str:
    return show_length(value_mm, choice=UnitChoice.METRIC).split(" mm (")[0]


def _inches(value_mm: float) -> str:
    return show_length(value_mm, choice=UnitChoice.IMPERIAL).split(" in (")[0]


def _packing_out(packed: Arrangement, *, at: int) -> str:
    out_mm = packed.sides[at].packed_out_mm
    if out_mm < PACK_OUT_LEAST_MM:
        return ""
    return f" Behind it pack out {length(out_mm)} with folded board of its size."


def _corners(packed: Arrangement, *, region: int) -> str:
    fill = packed.fills[region]
    rest = balls_of_paper(fill.litres - fill.pad_litres)
    return f" Fill the corners with {rest} of paper." if rest else ""
