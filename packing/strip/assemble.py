"""What a customer takes off, leaves on and sends along, in the order it is done, and why.

The family's steps come first, the model's own after them, only the model's own draining before the
family's, which ends with the airing, and after what holds for all draining; a model step with a family
step's slug replaces it. What the catalogue leaves out and safety or the bench needs is added here. The
order of the steps is common practice, no published source: photographs before anything is moved; off comes
what would be in the way of turning the unit; then it is drained and capped; then comes off what would have
let fuel run out.
"""

from collections.abc import Collection, Iterable, Iterator, Sequence
from enum import StrEnum

from packing.catalogue.family_rules import caps_every_port
from packing.catalogue.schema import Family, StripAction, StripStep, UnitModel
from packing.errors import CatalogueError, UnknownEntry
from packing.strip.safety import CAP_EVERY_PORT, cautions, needs_capping
from packing.strip.strip_list import StripItem, StripList

__all__ = ["StripFlag", "StripItem", "StripList", "assemble_strip_list", "family_strip_list"]

ORDER = (
    StripAction.PHOTOGRAPH,
    StripAction.TAKE_OFF,
    StripAction.DRAIN,
    StripAction.CAP,
    StripAction.LEAVE_ON,
    StripAction.SEND_ALONG,
)


class StripFlag(StrEnum):
    """What a customer said about the state of the unit that changes the strip list."""

    IN_PIECES = "in_pieces"
    SEIZED = "seized"
    BROKEN = "broken"
    NUMBER_UNREADABLE = "number_unreadable"


BEFORE_DRAINING = StripItem(
    slug="before_draining",
    action=StripAction.DRAIN,
    part="the place and yourself",
    instruction=(
        "Before you open anything: outdoors, engine cold, battery off, no flame, pilot light or switch near. "
        "Put on gloves and eye protection, and stand a proper fuel can under the unit."
    ),
    why="Fuel runs as soon as a plug or screw is loose, and its vapour finds sparks far away.",
)

_FLAG_ITEMS = {
    StripFlag.IN_PIECES: StripItem(
        slug="bag_the_pieces",
        action=StripAction.SEND_ALONG,
        part="every loose piece",
        instruction=(
            "Photograph all pieces laid out on clean card, then bag and label them by where they came from."
        ),
        why="A box of loose parts cannot be counted; what is missing is found out weeks later.",
    ),
    StripFlag.SEIZED: StripItem(
        slug="leave_what_is_stuck",
        action=StripAction.LEAVE_ON,
        part="whatever will not move or come off",
        instruction="Leave it on and write on the slip what is stuck.",
        why="A part forced off breaks the casting round it, and that cannot be bought again.",
        caution="Where this list says to take a stuck part off, leave it on: use no force.",
    ),
    StripFlag.BROKEN: StripItem(
        slug="photograph_the_break",
        action=StripAction.PHOTOGRAPH,
        part="every break and crack",
        instruction=(
            "Photograph each break from close by, with a ruler beside it, and keep the broken pieces to send."
        ),
        why="Your photo shows that it was so before it was posted.",
        caution="Broken edges are sharp.",
    ),
    StripFlag.NUMBER_UNREADABLE: StripItem(
        slug="photograph_the_number",
        action=StripAction.PHOTOGRAPH,
        part="the place of the number",
        instruction="Photograph it four times with the lamp held low from each of the four sides.",
        why="A worn stamp shows in its shadows; paint and labels stay as they are.",
    ),
}


def assemble_strip_list(
    model: UnitModel, *, family: Family, symptoms: Collection[str] = (), flags: Collection[str] = ()
) -> StripList:
    """Return the strip list of `model` for a customer who ticked `symptoms` and declared `flags`.

    `symptoms` are slugs of the family's symptoms; `flags` are values of StripFlag.
    Raises: CatalogueError when `model` belongs to another family, UnknownEntry for a flag not known here.
    """
    if model.family != family.slug:
        raise CatalogueError(
            (("family", f"“{model.slug}” belongs to {model.family}, not to {family.slug}."),)
        )
    steps = _merge(family.strip_steps, own=model.strip_steps)
    items = [*map(_item, steps), *_projections_taken_off(model, steps=steps)]
    shared = {step.slug for step in family.strip_steps}
    if family.holds_fuel and any(
        step.action is StripAction.DRAIN and step.slug not in shared for step in model.strip_steps
    ):
        items.insert(0, BEFORE_DRAINING)
    return _complete(items, family=family, model=model, symptoms=symptoms, flags=flags)


def family_strip_list(
    family: Family, *, symptoms: Collection[str] = (), flags: Collection[str] = ()
) -> StripList:
    """Return the strip list of a unit that could not be named: what holds for its whole family.

    Nothing more is taken off than the family's own steps say; the shop tells the rest once it knows the unit.
    """
    items = [_item(step) for step in family.strip_steps]
    return _complete(items, family=family, model=None, symptoms=symptoms, flags=flags)


def _complete(
    items: Iterable[StripItem],
    *,
    family: Family,
    model: UnitModel | None,
    symptoms: Collection[str],
    flags: Collection[str],
) -> StripList:
    listed = list(items)
    for added in (
        *_always(listed, family=family),
        *_for_symptoms(family, symptoms=symptoms),
        *_for_flags(flags),
    ):
        if added.slug not in {item.slug for item in listed}:
            listed.append(added)
    return StripList(
        family=family.slug,
        family_name=family.name,
        model=model.slug if model else "",
        model_name=model.name if model else "",
        air_hours=family.air_hours,
        magnetised=family.magnetised,
        ports_capped=needs_capping(family),
        items=tuple(sorted(listed, key=_place)),
        cautions=cautions(family),
    )


def _place(item: StripItem) -> float:
    """Return where a step stands: what comes off once it is empty stands behind draining and capping."""
    if item.action is StripAction.TAKE_OFF and item.once_empty:
        return ORDER.index(StripAction.CAP) + 0.5
    return ORDER.index(item.action)


def _merge(shared: Sequence[StripStep], *, own: Sequence[StripStep]) -> list[StripStep]:
    replaced = {step.slug: step for step in own}
    merged = [replaced.pop(step.slug, step) for step in shared]
    drains = [step for step in replaced.values() if step.action is StripAction.DRAIN]
    return [*drains, *merged, *(step for step in replaced.values() if step.action is not StripAction.DRAIN)]


def _item(step: StripStep) -> StripItem:
    return StripItem(
        step.slug, step.action, step.part, step.instruction, step.why, step.caution, step.once_empty
    )


def _projections_taken_off(model: UnitModel, *, steps: Iterable[StripStep]) -> Iterator[StripItem]:
    """Yield a step for each projection the parcel plan counts on being off and no step mentions."""
    mentioned = {step.projection for step in steps}
    for projection in model.projections:
        if projection.taken_off and projection.slug not in mentioned:
            yield StripItem(
                slug=f"take_off_{projection.slug}",
                action=StripAction.TAKE_OFF,
                part=projection.name,
                instruction=(
                    "Take it off and keep it safe at home. If it will not come off, leave it on and tell us."
                ),
                why=(
                    f"It sticks out {projection.reach_mm:.0f} mm and would meet the wall of the carton first."
                ),
            )


def _always(items: Sequence[StripItem], *, family: Family) -> Iterator[StripItem]:
    """Yield the steps that no list of this family may lack."""
    actions = {item.action for item in items}
    if StripAction.PHOTOGRAPH not in actions:
        yield StripItem(
            slug="photograph_all_sides",
            action=StripAction.PHOTOGRAPH,
            part="the whole unit",
            instruction="Photograph it from all sides before you take anything off.",
            why="It shows how everything stood, and that it was sound when you packed it.",
        )
    if family.holds_fuel:
        yield from _drain_and_air(family, drained=StripAction.DRAIN in actions)
    if needs_capping(family) and not caps_every_port(_as_steps(items)):
        yield CAP_EVERY_PORT


def _drain_and_air(family: Family, *, drained: bool) -> Iterator[StripItem]:
    if not drained:
        yield StripItem(
            slug="drain",
            action=StripAction.DRAIN,
            part="all fuel",
            instruction=(
                "Outdoors, engine cold, battery off, no flame or switch near, with gloves and eye "
                "protection: tip it into a proper fuel can and turn it through every position until "
                "nothing more comes."
            ),
            why="A little fuel fills a carton with vapour that a spark can light.",
            caution="Old fuel goes to a household hazardous-waste point, never down a drain.",
        )
        yield StripItem(
            slug="stand_in_air",
            action=StripAction.DRAIN,
            part="the drained unit",
            instruction=(
                f"Let it stand outdoors in moving air for at least {family.air_hours:g} hours and turn it "
                f"several "
                "times. Use no spray cleaner: that burns too."
            ),
            why="Drained is not empty: what clings to the walls has to evaporate.",
        )
    yield StripItem(
        slug="smell_on_posting_day",
        action=StripAction.DRAIN,
        part="smell test",
        instruction=(
            "On the day you post it, smell it. If it smells of fuel it goes back outside and stays unposted; "
            "only a unit without smell is bagged."
        ),
        why="A carrier refuses, and may report, a parcel that smells of fuel.",
        caution="The carrier's rules and your local law decide what may be posted.",
    )


def _for_symptoms(family: Family, *, symptoms: Collection[str]) -> Iterator[StripItem]:
    labels = [symptom.label for symptom in family.symptoms if symptom.slug in symptoms]
    if labels:
        yield StripItem(
            slug="photograph_the_fault",
            action=StripAction.PHOTOGRAPH,
            part="what you told us about",
            instruction=f"Photograph whatever shows it, if anything does: {'; '.join(labels)}.",
            why="The bench looks there first, and can tell an old mark from one made on the way.",
        )


def _for_flags(flags: Collection[str]) -> Iterator[StripItem]:
    known = {flag.value for flag in StripFlag}
    if unknown := sorted(set(flags) - known):
        raise UnknownEntry(f"“{unknown[0]}” is not known here; known are {', '.join(sorted(known))}.")
    return (_FLAG_ITEMS[flag] for flag in StripFlag if flag.value in flags)


def _as_steps(items: Iterable[StripItem]) -> Iterator[StripStep]:
    return (StripStep(item.slug, item.action, item.part, item.instruction, item.why) for item in items)
