"""The strip-and-pack page as steps to tick: the frozen strip list part by part, then the frozen plan."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from packing.catalogue.schema import StripAction
from packing.parcel.outcome import ParcelPlan, Verdict
from packing.parcel.reader import hold_together
from packing.parcel.shopping import Need, things_to_get
from packing.quantities import UnitChoice
from packing.strip.safety import DEFERRAL
from packing.strip.strip_list import StripItem, StripList

A = StripAction

ACTION_WORDS = {
    A.PHOTOGRAPH: gettext_lazy("Photograph first"),
    A.DRAIN: gettext_lazy("Drain and air"),
    A.CAP: gettext_lazy("Cap or cover"),
    A.TAKE_OFF: gettext_lazy("Take off and keep"),
    A.LEAVE_ON: gettext_lazy("Leave on"),
    A.SEND_ALONG: gettext_lazy("Send along"),
}

TAKE_OFF_AND_SEND = gettext_lazy("Take off; it goes into the box")

SENTENCE_END = re.compile(r"(?<=[.!?]) (?=[A-Z])")

GENERAL_STEPS = (
    (
        "wrap",
        gettext_lazy("Put the unit into a plastic bag, and the slip into a second bag beside it."),
        gettext_lazy(
            "Paper dust stays out of the ports, and a parcel without a label still has a name in it."
        ),
    ),
    (
        "carton",
        gettext_lazy(
            "Take a sound carton of double-wall board, at least 100 mm (4 in) longer, wider and higher than "
            "the unit with everything that sticks out. Tape the bottom with plastic tape 50 mm (2 in) or "
            "more wide, in the shape of an H."
        ),
        gettext_lazy("That leaves 50 mm (2 in) of cushion on every side, the usual least."),
    ),
    (
        "cushion",
        gettext_lazy(
            "Press balled paper hard into the bottom, stand the unit on its machined face, and fill all four "
            "sides and the top the same way. No loose chips, no air pillows round a heavy unit."
        ),
        gettext_lazy("A heavy unit wanders through loose fill until it meets the wall."),
    ),
    (
        "block",
        gettext_lazy(
            "Nothing that sticks out may touch the carton or carry the weight: slip card tube over it."
        ),
        gettext_lazy("A lever that meets the wall bends its shaft."),
    ),
    (
        "close",
        gettext_lazy("Fill until it stands a little over the edge, close, and tape the top as an H."),
        gettext_lazy("The fill settles on the way."),
    ),
    (
        "push_test",
        gettext_lazy("Push on the closed lid with a flat hand, then shake the carton gently."),
        gettext_lazy("Anything that is heard or felt to move needs more fill."),
    ),
)


@dataclass(frozen=True, slots=True)
class TickStep:
    """One step to tick, as `_tick_step.html` draws it: what to do first, `more` after it."""

    key: str
    words: str
    more: str
    why: str
    caution: str
    ticked: bool


@dataclass(frozen=True, slots=True)
class StepGroup:
    """Steps of one kind under their heading."""

    title: str
    steps: tuple[TickStep, ...]


def strip_groups(listed: StripList, *, ticked: frozenset[str]) -> tuple[StepGroup, ...]:
    """Return what is done before draining, in its order, cut where the kind of step changes."""
    wet = set(_from_draining_on(listed))
    return _grouped((item for item in listed.items if item not in wet), listed=listed, ticked=ticked)


def draining_groups(listed: StripList, *, ticked: frozenset[str]) -> tuple[StepGroup, ...]:
    """Return the draining and what can only be done after it; nothing for a unit that is not drained."""
    return _grouped(_from_draining_on(listed), listed=listed, ticked=ticked)


def _from_draining_on(listed: StripList) -> tuple[StripItem, ...]:
    if not listed.only(A.DRAIN):
        return ()
    return tuple(
        item
        for item in listed.items
        if item.action in (A.DRAIN, A.CAP) or (item.action is A.TAKE_OFF and item.once_empty)
    )


def _grouped(
    items: Iterable[StripItem], *, listed: StripList, ticked: frozenset[str]
) -> tuple[StepGroup, ...]:
    kept = set(listed.kept_at_home())
    groups: list[tuple[str, list[TickStep]]] = []
    for item in items:
        if item.action is A.SEND_ALONG:
            continue
        sent = item.action is A.TAKE_OFF and item not in kept
        title = str(TAKE_OFF_AND_SEND if sent else ACTION_WORDS[item.action])
        if not groups or groups[-1][0] != title:
            groups.append((title, []))
        groups[-1][1].append(_strip_step(item, ticked=ticked))
    return tuple(StepGroup(title, tuple(steps)) for title, steps in groups)


def pack_steps(plan: ParcelPlan | None, *, listed: StripList, ticked: frozenset[str]) -> tuple[TickStep, ...]:
    """Return what is sent along, then the plan's packing steps, or the general ones when there is no plan.

    By a plan that does not pass nothing is packed: it has no steps here.
    """
    along = tuple(_strip_step(item, ticked=ticked) for item in listed.only(A.SEND_ALONG))
    if plan is not None and plan.verdict is Verdict.NO:
        return along
    rows = [(step.slug, step.instruction, step.why) for step in plan.steps] if plan else GENERAL_STEPS
    return (
        *along,
        *(_step(f"pack-{slug}", str(words), str(why), ticked=ticked) for slug, words, why in rows),
    )


def needs(plan: ParcelPlan | None, *, units: str) -> tuple[Need, ...]:
    """Return what to get together before packing, by the plan or in general; nothing for a refused plan."""
    if plan is not None and plan.verdict is Verdict.NO:
        return ()
    found = things_to_get(plan, choice=UnitChoice(units)) if plan else _general_needs()
    return tuple(Need(need.slug, hold_together(need.amount), hold_together(need.name)) for need in found)


def without_deferral(cautions: Sequence[str]) -> tuple[str, ...]:
    """Return the cautions without the sentence that ends each, which the page says once below them."""
    return tuple(caution.removesuffix(DEFERRAL).strip() for caution in cautions)


def inside_parts(listed: StripList) -> tuple[str, ...]:
    """Return the names of the loose parts that travel with the unit, for the slip."""
    return tuple(item.part for item in listed.only(A.SEND_ALONG))


def kept_parts(listed: StripList) -> tuple[str, ...]:
    """Return the names of the parts the customer takes off and keeps, for the slip."""
    return tuple(item.part for item in listed.kept_at_home())


def _strip_step(item: StripItem, *, ticked: frozenset[str]) -> TickStep:
    key = f"strip-{item.slug}"
    return _step(key, item.instruction, item.why, ticked=ticked, caution=item.caution)


def _step(key: str, words: str, why: str, *, ticked: frozenset[str], caution: str = "") -> TickStep:
    first, *rest = SENTENCE_END.split(words, maxsplit=1)
    return TickStep(key, first, "".join(rest), why, caution, key in ticked)


def _general_needs() -> tuple[Need, ...]:
    size = _("of double-wall board, 100 mm (4 in) longer, wider and higher than the unit with its levers")
    return (
        Need("carton", _("1 sound carton"), size),
        Need("paper", _("paper"), _("to ball: grocery bags, or strong brown paper")),
        Need("tubes", _("card tube"), _("to slip over what sticks out")),
        Need("bags", _("2 plastic bags"), _("– one for the unit, one for the slip")),
        Need("tape", _("plastic tape"), _("50 mm (2 in) wide or wider")),
    )
