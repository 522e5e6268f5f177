"""What is wrong, or only odd, with a unit model that one field alone cannot show.

Problems stop publication; warnings are shown to the owner, who decides. The mass and size bands behind the
warnings are common practice, no published source: they query a slip of the pen and refuse no rare unit.
"""

from collections.abc import Mapping
from itertools import chain

from packing.catalogue.documents import slug_problem
from packing.catalogue.family_rules import (
    MASS_LEAST_KG,
    MASS_MOST_KG,
    list_problems,
    shot_problems,
    step_problems,
)
from packing.catalogue.field_rules import between, blank, figure, repeated
from packing.catalogue.schema import (
    Envelope,
    Face,
    Family,
    NumberKind,
    Projection,
    StripAction,
    StripStep,
    UnitModel,
)
from packing.identify.normalise import normalise
from packing.plain import Problem

FRAGILITY_LEAST_G, FRAGILITY_MOST_G = 5.0, 200.0
SIDE_LEAST_MM, SIDE_MOST_MM = 10.0, 900.0
REACH_MOST_MM = 600.0
FOOTPRINT_SLACK_MM = 0.5
IDENTIFYING = frozenset({NumberKind.LIST, NumberKind.TAG})


def face_size_mm(envelope: Envelope, *, face: Face) -> tuple[float, float]:
    """Return the horizontal (across) and the other (up) side of one face of an envelope."""
    if face in (Face.FRONT, Face.BACK):
        return envelope.length_mm, envelope.height_mm
    if face in (Face.LEFT, Face.RIGHT):
        return envelope.width_mm, envelope.height_mm
    return envelope.length_mm, envelope.width_mm


def unit_model_problems(model: UnitModel, *, families: Mapping[str, Family]) -> tuple[Problem, ...]:
    """Return everything that stops a unit model from being published."""
    return (
        *_field_problems(model),
        *_support_problems(model),
        *chain.from_iterable(_projection_problems(item, model=model) for item in model.projections),
        *_link_problems(model),
        *_family_link_problems(model, families=families),
    )


def _field_problems(model: UnitModel) -> tuple[Problem, ...]:
    envelope = model.envelope
    sides = {"length_mm": envelope.length_mm, "width_mm": envelope.width_mm, "height_mm": envelope.height_mm}
    problems: list[Problem] = [
        *blank({"name": model.name, "make": model.make, "description": model.description})
    ]
    for name, side_mm in sides.items():
        problems += between(
            side_mm, least=SIDE_LEAST_MM, most=SIDE_MOST_MM, key=f"envelope.{name}", unit="mm"
        )
    problems += between(model.mass_kg, least=MASS_LEAST_KG, most=MASS_MOST_KG, key="mass_kg", unit="kg")
    problems += between(
        model.fragility_g, least=FRAGILITY_LEAST_G, most=FRAGILITY_MOST_G, key="fragility_g", unit="g"
    )
    problems += repeated((f"{n.kind.value} {_compact(n.text)}" for n in model.numbers), key="numbers")
    for at, number in enumerate(model.numbers, 1):
        if not any(sign.isalnum() for sign in number.text):
            problems.append(
                (f"numbers[{at}]", "this number has no letter or digit; write it as it is stamped.")
            )
    if not 0 <= model.price_from_pence <= model.price_to_pence:
        problems.append(("price_to_pence", "the price band runs backwards; give the lower price first."))
    for line in model.test_lines:
        if line.least is not None and line.most is not None and line.least > line.most:
            problems.append(
                (f"test_lines “{line.slug}” least", "the limits run backwards; exchange least and most.")
            )
    return tuple(problems)


def _support_problems(model: UnitModel) -> tuple[Problem, ...]:
    if not model.support_faces:
        return (("support_faces", "name at least one face that can carry the unit in its carton."),)
    problems: list[Problem] = [
        *repeated((face.face.value for face in model.support_faces), key="support_faces")
    ]
    for support in model.support_faces:
        across_mm, up_mm = face_size_mm(model.envelope, face=support.face)
        if not (0 < support.length_mm <= across_mm and 0 < support.width_mm <= up_mm):
            problems.append(
                (
                    f"support_faces “{support.face.value}”",
                    f"{figure(support.length_mm)} by {figure(support.width_mm)} mm does not lie on a side of "
                    f"{figure(across_mm)} by {figure(up_mm)} mm; measure the face again.",
                )
            )
    return tuple(problems)


def _projection_problems(item: Projection, *, model: UnitModel) -> tuple[Problem, ...]:
    key = f"projections “{item.slug}”"
    problems: list[Problem] = [
        *slug_problem(item.slug, key=f"{key} slug"),
        *blank({f"{key} name": item.name}),
    ]
    problems += between(item.reach_mm, least=1.0, most=REACH_MOST_MM, key=f"{key} reach_mm", unit="mm")
    for name, side_mm in (("breadth_mm", item.breadth_mm), ("depth_mm", item.depth_mm)):
        problems += between(side_mm, least=1.0, most=SIDE_MOST_MM, key=f"{key} {name}", unit="mm")
    across_mm, up_mm = face_size_mm(model.envelope, face=item.face)
    for name, place_mm, side_mm, face_mm in (
        ("across_mm", item.across_mm, item.breadth_mm, across_mm),
        ("up_mm", item.up_mm, item.depth_mm, up_mm),
    ):
        if not abs(place_mm) + side_mm / 2 <= face_mm / 2 + FOOTPRINT_SLACK_MM:
            problems.append(
                (
                    f"{key} {name}",
                    f"it hangs over the edge of the {item.face.value} face ({figure(face_mm)} mm); measure "
                    "its place from the middle of that face again.",
                )
            )
    return tuple(problems)


def _link_problems(model: UnitModel) -> tuple[Problem, ...]:
    """Return slugs inside the model that point at nothing, or at which something ought to point."""
    problems: list[Problem] = [
        *repeated((item.slug for item in model.projections), key="projections"),
        *shot_problems(model.shots),
        *repeated((line.slug for line in model.test_lines), key="test_lines"),
        *repeated((trait.question for trait in model.traits), key="traits"),
    ]
    known = {item.slug for item in model.projections}
    for step in model.strip_steps:
        if step.projection and step.projection not in known:
            problems.append(
                (
                    f"strip_steps “{step.slug}” projection",
                    f"there is no projection “{step.projection}”; give the short name of one that is listed.",
                )
            )
    taken_off = {step.projection for step in model.strip_steps if step.action is StripAction.TAKE_OFF}
    left_on = {step.projection for step in model.strip_steps if step.action is StripAction.LEAVE_ON}
    for item in model.projections:
        key = f"projections “{item.slug}”"
        if item.taken_off and item.slug not in taken_off:
            problems.append(
                (f"{key} taken_off", "add a step that takes it off and names it, or say no here.")
            )
        if not item.taken_off and item.slug in taken_off:
            problems.append((f"{key} taken_off", "a step takes it off; say so here too."))
        if item.taken_off and item.slug in left_on:
            problems.append(
                (f"{key} taken_off", "one step leaves it on, and another takes it off; keep one of the two.")
            )
    return tuple(problems)


def _family_link_problems(model: UnitModel, *, families: Mapping[str, Family]) -> tuple[Problem, ...]:
    family = families.get(model.family)
    if family is None:
        known = ", ".join(sorted(families)) or "none yet"
        return (("family", f"there is no family “{model.family}”; known are {known}."),)
    problems: list[Problem] = [
        *step_problems(model.strip_steps, magnetised=family.magnetised),
        *list_problems(_whole_list(model, family=family), family=family),
    ]
    answers = {question.slug: question.answers for question in family.questions}
    for trait in model.traits:
        key = f"traits “{trait.question}”"
        if trait.question not in answers:
            problems.append(
                (key, f"the family does not ask this; it asks {', '.join(answers) or 'nothing'}.")
            )
        elif trait.answer not in answers[trait.question]:
            known = ", ".join(answers[trait.question]) or "what the family asks"
            problems.append((f"{key} answer", f"“{trait.answer}” is not an answer; choose from {known}."))
    return tuple(problems)


def _whole_list(model: UnitModel, *, family: Family) -> tuple[StripStep, ...]:
    """Return family and model steps together; a model's step replaces the family's of the same slug."""
    own = {step.slug for step in model.strip_steps}
    return (*(step for step in family.strip_steps if step.slug not in own), *model.strip_steps)


def unit_model_warnings(
    model: UnitModel, *, families: Mapping[str, Family], unit_models: Mapping[str, UnitModel]
) -> tuple[Problem, ...]:
    """Return what is odd about a unit model: shared numbers, mass or size outside the band, traits not given.

    A casting number shared between models is normal and is not mentioned.
    """
    warnings: list[Problem] = []
    for other in unit_models.values():
        if other.slug != model.slug:
            shared = _identifying_keys(model) & _identifying_keys(other)
            warnings += [
                ("numbers", f"{key} is also a number of {other.name}; customers will be asked which.")
                for key in sorted(shared)
            ]
    if not any(number.kind in IDENTIFYING for number in model.numbers):
        warnings.append(
            ("numbers", "no list or tag number; a casting number alone does not tell models apart.")
        )
    family = families.get(model.family)
    if family is None:
        return tuple(warnings)
    if not family.mass_least_kg <= model.mass_kg <= family.mass_most_kg:
        warnings.append(
            (
                "mass_kg",
                f"{model.mass_kg:g} kg is unusual: {family.plural.lower()} are mostly "
                f"{family.mass_least_kg:g} to {family.mass_most_kg:g} kg. Weigh one again.",
            )
        )
    sides_mm = (model.envelope.length_mm, model.envelope.width_mm, model.envelope.height_mm)
    if family.side_least_mm is not None and min(sides_mm) < family.side_least_mm:
        warnings.append(
            ("envelope", f"a side of {min(sides_mm):g} mm is small for this family; measure again.")
        )
    if family.side_most_mm is not None and max(sides_mm) > family.side_most_mm:
        warnings.append(
            ("envelope", f"a side of {max(sides_mm):g} mm is large for this family; measure again.")
        )
    given = {trait.question for trait in model.traits}
    for question in family.questions:
        if question.slug not in given:
            warnings.append(
                ("traits", f"no answer to “{question.text}”; look-alikes cannot be told apart by it.")
            )
    return tuple(warnings)


def _identifying_keys(model: UnitModel) -> set[str]:
    return {_compact(number.text) for number in model.numbers if number.kind in IDENTIFYING}


def _compact(number: str) -> str:
    return normalise(number).compact
