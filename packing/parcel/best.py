"""Which of the materials at hand keeps a unit safest in one carton?

In one stance under one fall a side's margins rest on its own region alone: the four sides on the material
round them, base and top on the two that share the height. So each region is looked at once, the least of the
regions' margins bounds every mix, and mixes are weighed in that order only until no later one can be better.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product

from packing.catalogue.schema import Carrier, Material
from packing.parcel.arrangement import Arrangement, Arranger, Room, Weighed
from packing.parcel.box_facts import BoxFacts
from packing.parcel.margin import Margin, holds
from packing.parcel.margins import board_margins, each_cushion_margin
from packing.parcel.outcome import Force
from packing.parcel.regions import Mix, one_material
from packing.parcel.search import Choice, billed_kg, drop_heights_m, free_mm, mixes
from packing.parcel.unit import BASE, TOP, Stance

ROUND_IT = tuple(range(BASE))
ENDS = (BASE, TOP)
SHOWN_STEPS = 100  # margins are shown in hundredths, cut and not rounded: what differs by less is equal
POST_MOST_KG = 30.0  # up to here (the post takes 70 lb) a heavier parcel never has the larger board margin

Rank = tuple[int, int, int, float]
"""Sorted ascending: least margin of all rules and of the cushion's (both negative), kinds, padding (kg)."""


@dataclass(frozen=True, slots=True)
class _Case:
    """One stance in the carton under one fall."""

    arranger: Arranger
    stance: Stance
    box: BoxFacts
    height_m: float


def safest(
    arranger: Arranger,
    *,
    standing: Sequence[Stance],
    box: BoxFacts,
    materials: Sequence[Material],
    carrier: Carrier | None,
) -> Choice | None:
    """Return the choice with the greatest least margin that keeps all rules that must hold, or None.

    The least margin is that of all rules, advised ones too, at the bad end of the estimates, in the
    hundredths that people see. Of equals the one whose cushion's own least margin is greatest, then the
    fewest kinds of material, then the least mass of padding, then the earlier stance. Exact over stances and
    mixes: one more material never gives a thinner least margin. Raises: OutOfRange for a parcel too heavy for
    the fall's test.
    """
    best: tuple[Rank, Choice] | None = None
    for stance, height_m in product(standing, drop_heights_m(arranger, box=box)):
        case = _Case(arranger, stance, box, height_m)
        for rank, choice in _ranked(case, materials=materials, carrier=carrier, beaten=best and best[0]):
            if best is None or rank < best[0]:
                best = rank, choice
    return best[1] if best else None


def _ranked(
    case: _Case, *, materials: Sequence[Material], carrier: Carrier | None, beaten: Rank | None
) -> Iterator[tuple[Rank, Choice]]:
    """Yield passing mixes with their rank until no later one can be better than those before or `beaten`."""
    found = list(_bounded(case, materials=materials))
    if not found:
        return
    empty_kg = case.arranger.unit.mass_kg + case.box.empty_kg
    lightest_kg, heaviest_kg = (empty_kg + pick(kg for _, kg, _ in found) for pick in (min, max))
    ceiling = math.inf
    if heaviest_kg <= POST_MOST_KG:
        of_board = board_margins(case.box, gross_kg=lightest_kg, carrier=carrier)
        if not _must_hold(of_board):
            return
        ceiling = _least(of_board)
    bounds = [
        ((_steps(min(ratio, ceiling)), _steps(ratio), len(mix.materials), padding_kg), at)
        for at, (ratio, padding_kg, mix) in enumerate(found)
    ]
    for bound, at in sorted(bounds):
        if beaten is not None and bound >= beaten:
            return
        ratio, _, mix = found[at]
        weighed = case.arranger.weigh(case.stance, box=case.box, mix=mix)
        if weighed.drop_height_m != case.height_m:
            continue
        of_board = board_margins(case.box, gross_kg=weighed.gross_kg, carrier=carrier)
        if not _must_hold(of_board):
            continue
        rank = (_steps(min(ratio, _least(of_board))), *bound[1:])
        billed = billed_kg(case.box, weighed.gross_kg, carrier=carrier)
        yield rank, Choice(case.stance, case.box, mix, 1.0, billed, weighed.gross_kg - empty_kg)
        beaten = rank if beaten is None else min(beaten, rank)


def _bounded(case: _Case, *, materials: Sequence[Material]) -> Iterator[tuple[float, float, Mix]]:
    """Yield every mix that has its room and keeps the cushion's rules, with its least margin and padding."""
    arranger, stance = case.arranger, case.stance
    rooms = arranger.rooms(stance, materials=materials, drop_height_m=case.height_m)
    along, across, upright = free_mm(stance, box=case.box)
    rows = [room for room in rooms if room.along_mm <= along and room.across_mm <= across]
    round_it = {row.material.slug: _region(case, one_material(row.material), sides=ROUND_IT) for row in rows}
    if not round_it:
        return
    ends: dict[tuple[str, str], float] = {}
    alone = [_weighed_alone(case, room) for room in rows if room.upright_mm <= upright]
    for mix, padding_kg in (*alone, *mixes(stance, box=case.box, rooms=rooms)):
        pair = mix.base.slug, mix.top.slug
        if pair not in ends:
            ends[pair] = _region(case, mix, sides=ENDS)
        ratio = min(ends[pair], round_it[mix.sides.slug])
        if ratio >= 1 - 1e-6:
            yield ratio, padding_kg, mix


def _weighed_alone(case: _Case, room: Room) -> tuple[Mix, float]:
    mix = one_material(room.material)
    gross_kg = case.arranger.padded_kg(case.stance, box=case.box, mix=mix, drop_height_m=case.height_m)
    return mix, gross_kg - case.arranger.unit.mass_kg - case.box.empty_kg


def _region(case: _Case, mix: Mix, *, sides: tuple[int, ...]) -> float:
    """Return the least margin of the cushion on some sides, 0 where a rule is not kept there."""
    found = each_cushion_margin(_packed(case, mix), sides=sides)
    least = math.inf
    for margin in found:
        if not holds(margin):
            return 0.0
        least = min(least, margin.ratio_least)
    return least


def _packed(case: _Case, mix: Mix) -> Arrangement:
    """Return the mix arranged under the fall of the case, before it is known what it weighs."""
    weighed = Weighed(case.arranger.unit.mass_kg + case.box.empty_kg, case.height_m)
    return case.arranger.arrange(case.stance, box=case.box, mix=mix, weighed=weighed)


def _must_hold(margins: Sequence[Margin]) -> bool:
    return all(holds(margin) for margin in margins if margin.force is Force.MUST)


def _least(margins: Sequence[Margin]) -> float:
    return min(margin.ratio_least for margin in margins)


def _steps(ratio: float) -> int:
    return -int(ratio * SHOWN_STEPS + 1e-4) if math.isfinite(ratio) else -(10**6)
