"""Which question splits look-alike models best, and which models an answer speaks against.

Questions are answered by counting or looking, never by opening the unit. A model whose trait is not recorded
is never ruled out by an answer.
"""

from collections import Counter
from collections.abc import Mapping, Sequence

from packing.catalogue.schema import TraitQuestion, UnitModel


def best_question(
    models: Sequence[UnitModel], *, questions: Sequence[TraitQuestion], answered: Mapping[str, str]
) -> TraitQuestion | None:
    """Return the unanswered question that leaves the fewest models on average, or None when none splits them.

    The average is over the models' own answers, each taken as equally likely; a model without an answer stays
    in whatever the answer. An answer of "" (cannot tell) counts as answered, so nobody is asked twice. The
    first of equal questions wins: the owner's order is kept.
    """
    best: TraitQuestion | None = None
    fewest_left = float(len(models))
    for question in questions:
        left = (
            float(len(models)) if question.slug in answered else _models_left(models, question=question.slug)
        )
        if left < fewest_left - 1e-9:
            best, fewest_left = question, left
    return best


def _models_left(models: Sequence[UnitModel], *, question: str) -> float:
    answers = [_answer(model, question=question) for model in models]
    known = Counter(answer for answer in answers if answer)
    if len(known) < 2:
        return float(len(models))
    blank = len(answers) - known.total()
    return sum(count * (count + blank) for count in known.values()) / known.total()


def answers_against(model: UnitModel, *, traits: Mapping[str, str]) -> tuple[str, ...]:
    """Return one sentence for each answered trait that differs from what `model` is known to have."""
    return tuple(
        f"you answered “{said}” where this model has “{trait.answer}”"
        for trait in model.traits
        if (said := traits.get(trait.question, "")).strip() and _plain(said) != _plain(trait.answer)
    )


def answers_for(model: UnitModel, *, traits: Mapping[str, str]) -> int:
    """Return how many answered traits agree with what `model` is known to have."""
    return sum(_plain(traits.get(trait.question, "")) == _plain(trait.answer) for trait in model.traits)


def _answer(model: UnitModel, *, question: str) -> str:
    return next((_plain(trait.answer) for trait in model.traits if trait.question == question), "")


def _plain(answer: str) -> str:
    return answer.strip().casefold()
