"""What stops a family, or the strip list it shares with its models, from being published."""

from collections.abc import Iterable
from itertools import chain

from packing.catalogue.documents import slug_problem
from packing.catalogue.field_rules import between, blank, longer, repeated
from packing.catalogue.schema import Family, Shot, StripAction, StripStep
from packing.catalogue.wording import dangers_in
from packing.plain import Problem

MASS_LEAST_KG, MASS_MOST_KG = 0.02, 70.0
AIR_HOURS_MOST = 336.0
ZONE_LENGTH_MOST = 60
ALWAYS_CAPPED = frozenset({"injection_pump", "injector"})


def step_problems(steps: tuple[StripStep, ...], *, magnetised: bool) -> tuple[Problem, ...]:
    """Return what is wrong with each strip step by itself: slug, empty text, dangerous wording."""
    problems: list[Problem] = [*repeated((step.slug for step in steps), key="strip_steps")]
    for step in steps:
        key = f"strip_steps “{step.slug}”"
        problems += slug_problem(step.slug, key=f"{key} slug")
        problems += blank(
            {f"{key} part": step.part, f"{key} instruction": step.instruction, f"{key} why": step.why}
        )
        for name, text in (
            ("instruction", step.instruction),
            ("why", step.why),
            ("caution", step.caution),
        ):
            dangers = dangers_in(text, magnetised=magnetised)
            problems += [(f"{key} {name}", f"this {sentence}") for sentence in dangers]
    return tuple(problems)


def shot_problems(shots: tuple[Shot, ...]) -> tuple[Problem, ...]:
    """Return what is wrong with the short names of the photos that are asked for."""
    wrong = (slug_problem(shot.slug, key=f"shots “{shot.slug}” slug") for shot in shots)
    return (*repeated((shot.slug for shot in shots), key="shots"), *chain.from_iterable(wrong))


def caps_every_port(steps: Iterable[StripStep]) -> bool:
    """Return whether some cap step says that every (or all) ports are capped."""
    wanted = ("every port", "every open port", "all ports", "all open ports")
    return any(
        step.action is StripAction.CAP and any(words in step.instruction.lower() for words in wanted)
        for step in steps
    )


def list_problems(steps: tuple[StripStep, ...], *, family: Family) -> tuple[Problem, ...]:
    """Return what a whole strip list, family and model steps together, still lacks."""
    problems: list[Problem] = []
    actions = {step.action for step in steps}
    if family.holds_fuel:
        for action in (StripAction.PHOTOGRAPH, StripAction.DRAIN):
            if action not in actions:
                problems.append(
                    (
                        "strip_steps",
                        f"a unit that holds fuel needs a {action.value} step; add one here or to the family.",
                    )
                )
    if (family.ports_capped or family.slug in ALWAYS_CAPPED) and not caps_every_port(steps):
        problems.append(
            ("strip_steps", "dirt ruins this family; add a step that caps and says to cap every port.")
        )
    return tuple(problems)


def family_problems(family: Family) -> tuple[Problem, ...]:
    """Return everything that stops a family from being published."""
    problems: list[Problem] = [
        *blank({"name": family.name, "plural": family.plural}),
        *between(family.air_hours, least=0.0, most=AIR_HOURS_MOST, key="air_hours", unit="hours"),
        *between(
            family.mass_least_kg, least=MASS_LEAST_KG, most=MASS_MOST_KG, key="mass_least_kg", unit="kg"
        ),
        *between(family.mass_most_kg, least=MASS_LEAST_KG, most=MASS_MOST_KG, key="mass_most_kg", unit="kg"),
        *repeated((symptom.slug for symptom in family.symptoms), key="symptoms"),
        *repeated(family.zones, key="zones"),
        *longer(family.zones, most=ZONE_LENGTH_MOST, key="zones"),
        *repeated((question.slug for question in family.questions), key="questions"),
        *shot_problems(family.shots),
        *step_problems(family.strip_steps, magnetised=family.magnetised),
        *list_problems(family.strip_steps, family=family),
    ]
    if family.mass_least_kg >= family.mass_most_kg:
        problems.append(
            ("mass_most_kg", "the heaviest unit is not heavier than the lightest; exchange the two.")
        )
    if family.holds_fuel and family.air_hours <= 0.0:
        problems.append(("air_hours", "a unit that holds fuel has to stand in moving air; give the hours."))
    if family.slug in ALWAYS_CAPPED and not family.ports_capped:
        problems.append(("ports_capped", "dirt ruins this family; say here that every port is capped."))
    for symptom in family.symptoms:
        problems += slug_problem(symptom.slug, key=f"symptoms “{symptom.slug}” slug")
    for question in family.questions:
        key = f"questions “{question.slug}”"
        problems += slug_problem(question.slug, key=f"{key} slug")
        problems += repeated(question.answers, key=f"{key} answers")
        if len(question.answers) < 2:
            problems.append((f"{key} answers", "a question needs two answers or more to split models."))
    for at, sentence in enumerate(family.never, 1):
        if not sentence.lower().startswith(("never ", "do not ")):
            problems.append((f"never[{at}]", "begin this sentence with “Never” or “Do not”."))
    return tuple(problems)
