"""Which unit model carries the number that somebody read off a worn casting, and may it be proposed.

A model is proposed only when its number lies within 0.6 of what was read and every other model lies at least
0.4 further away; else a person is asked. Nothing is ever corrected: the raw text, the number proposed and the
reason stand side by side. The limits are our own proposal, no published figure exists; worked values are in
`tests/published/test_numbers.py`.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from packing.catalogue.schema import NumberKind, StampedNumber, TraitQuestion, UnitModel
from packing.identify.distance import near
from packing.identify.normalise import UNREADABLE, ReadNumber, normalise
from packing.identify.parts import PLACE_ORDER, READABLE_LEAST, PartFit, part_fits, readable_count
from packing.identify.questions import answers_against, answers_for, best_question
from packing.identify.wording import KIND_WORDS, explain, explain_part, list_models

PROPOSE_MOST_TENTHS = 6
APART_LEAST_TENTHS = 4
CONFIRMED_MOST_TENTHS = 10
ASK_MOST_TENTHS = 16
CHARACTERS_MOST = 40
CANDIDATES_MOST = 8
CONTAINED_LEAST_CHARACTERS = 5


class Decision(StrEnum):
    """What may be done with the reading."""

    PROPOSE = "propose"
    ASK = "ask"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Candidate:
    """A unit model that may be meant: which of its numbers fits, how far off, and why."""

    model: str
    name: str
    number: str
    kind: NumberKind
    distance_tenths: int
    reason: str
    against: tuple[str, ...] = ()

    @property
    def distance(self) -> float:
        """The weighted distance in whole characters: 0.2 is one look-alike, 1.0 one character missing."""
        return self.distance_tenths / 10


@dataclass(frozen=True, slots=True)
class Identification:
    """What was read, what it may be, and what to do: propose, ask a question, or say that it is not known."""

    read: ReadNumber
    decision: Decision
    candidates: tuple[Candidate, ...]
    reason: str
    question: TraitQuestion | None = None

    @property
    def proposed(self) -> Candidate | None:
        """The model to propose, or None where a person has to decide."""
        return self.candidates[0] if self.decision is Decision.PROPOSE else None


def identify(
    number_as_read: str,
    *,
    models: Sequence[UnitModel],
    traits: Mapping[str, str] | None = None,
    kind: NumberKind | None = None,
    questions: Sequence[TraitQuestion] = (),
) -> Identification:
    """Return the models whose numbers fit `number_as_read`, nearest first, and the decision with its reason.

    `traits` are answers by question slug ("" = cannot tell); they split models that fit alike, and a model
    that an answer speaks against is shown but not proposed. Where answers rule a rival out, one missing
    character (1.0) may be proposed. `kind` is what the reader thinks the number is; it ranks and warns, but
    never hides a model. `questions` are those that may be asked next.
    """
    read = normalise(number_as_read)
    refusal = _refusal(read, kind=kind)
    if refusal:
        return Identification(read=read, decision=Decision.UNKNOWN, candidates=(), reason=refusal)
    answers = traits or {}
    candidates = sorted(
        _candidates(read, models=models, traits=answers, kind=kind),
        key=lambda candidate: (candidate.distance_tenths, bool(candidate.against), candidate.model),
    )
    by_slug = {model.slug: model for model in models}
    if not candidates:
        parts = _part_candidates(read, models=models, traits=answers, kind=kind)
        return _ask_about_parts(read, parts, by_slug=by_slug, traits=answers, questions=questions)
    return _decide(read, candidates=candidates, by_slug=by_slug, traits=answers, questions=questions)


def _refusal(read: ReadNumber, *, kind: NumberKind | None) -> str:
    """Return why this reading cannot be looked up, or ""."""
    signs = len(read.compact)
    if signs == 0:
        return "No letters or figures to look up: type the number as read, or say that you cannot read it."
    if signs > CHARACTERS_MOST:
        return f"That is {signs} characters; give one number at a time, as it is stamped."
    if read.compact.count(UNREADABLE) * 2 > signs:
        return (
            "More than half of the characters could not be read; photograph the number and go on without it."
        )
    if kind is NumberKind.DATE:
        return (
            "A date code tells when a unit was made, not which it is; look for a list, tag or casting number."
        )
    return ""


def _ask_limit_tenths(read: ReadNumber) -> int:
    """Short numbers are near to everything, so they must fit better to be worth asking about."""
    signs = len(read.compact)
    if signs >= 6:
        return ASK_MOST_TENTHS
    if signs >= 4:
        return CONFIRMED_MOST_TENTHS
    return PROPOSE_MOST_TENTHS if signs == 3 else 0


def _candidates(
    read: ReadNumber, *, models: Sequence[UnitModel], traits: Mapping[str, str], kind: NumberKind | None
) -> Iterator[Candidate]:
    """Yield one candidate for each model that fits, by the number of it that fits best."""
    carried = _carried(models)
    fits = near(
        read.compact, stamped=(compact for _, _, compact in carried), cutoff_tenths=_ask_limit_tenths(read)
    ) or _contained(read, numbers={compact for _, _, compact in carried})
    best: dict[str, tuple[tuple[int, bool, bool], UnitModel, StampedNumber, str]] = {}
    for model, number, compact in carried:
        if compact not in fits:
            continue
        rank = (
            fits[compact],
            kind is not None and number.kind is not kind,
            number.kind is NumberKind.CASTING,
        )
        if model.slug not in best or rank < best[model.slug][0]:
            best[model.slug] = (rank, model, number, compact)
    for rank, model, number, compact in best.values():
        yield Candidate(
            model=model.slug,
            name=model.name,
            number=number.text,
            kind=number.kind,
            distance_tenths=rank[0],
            reason=explain(read.compact, stamped=compact, kind=number.kind, stated=kind),
            against=answers_against(model, traits=traits),
        )


def _carried(models: Sequence[UnitModel]) -> list[tuple[UnitModel, StampedNumber, str]]:
    """Return every number that names a unit, with its model and its compact form."""
    return [
        (model, number, normalise(number.text).compact)
        for model in models
        for number in model.numbers
        if number.kind is not NumberKind.DATE
    ]


def _part_candidates(
    read: ReadNumber, *, models: Sequence[UnitModel], traits: Mapping[str, str], kind: NumberKind | None
) -> list[Candidate]:
    """Return one candidate for each model of whose numbers `read` is a part, the likeliest first."""
    carried = _carried(models)
    fits = part_fits(read.compact, stamped=(compact for _, _, compact in carried))
    ranked = sorted(
        (
            (*_part_rank(fits[compact], number=number, kind=kind), model.slug, model, number, compact)
            for model, number, compact in carried
            if compact in fits
        ),
        key=lambda row: row[:4],
    )
    best: dict[str, Candidate] = {}
    for _, _, _, slug, model, number, compact in ranked:
        if slug not in best:
            best[slug] = Candidate(
                model=slug,
                name=model.name,
                number=number.text,
                kind=number.kind,
                distance_tenths=ASK_MOST_TENTHS + fits[compact].part_tenths,
                reason=explain_part(read.compact, fit=fits[compact], stamped=compact, kind=number.kind),
                against=answers_against(model, traits=traits),
            )
    return sorted(best.values(), key=lambda candidate: bool(candidate.against))


def _part_rank(fit: PartFit, *, number: StampedNumber, kind: NumberKind | None) -> tuple[int, int, bool]:
    other_kind = kind is not None and number.kind is not kind
    return fit.part_tenths, PLACE_ORDER.index(fit.place), other_kind


def _ask_about_parts(
    read: ReadNumber,
    candidates: Sequence[Candidate],
    *,
    by_slug: Mapping[str, UnitModel],
    traits: Mapping[str, str],
    questions: Sequence[TraitQuestion],
) -> Identification:
    """Return the question about numbers of which `read` is a part: a part alone is never proposed."""
    if not candidates:
        return Identification(read, Decision.UNKNOWN, (), _why_unknown(read))
    agreeing = [candidate for candidate in candidates if not candidate.against]
    asked = [by_slug[candidate.model] for candidate in agreeing or candidates]
    question = best_question(asked, questions=questions, answered=traits)
    shown = tuple(candidates[:CANDIDATES_MOST])
    first = candidates[0]
    if len(candidates) == 1:
        reason = f"{first.reason} A part alone is not enough to tell: compare the unit with it."
    else:
        numbers = list_models(dict.fromkeys(candidate.number for candidate in candidates))
        else_words = "answer a question" if question else "compare the unit with them"
        reason = f"{read.raw} may be a part of {numbers}. Read more of it, or {else_words}."
    return Identification(read, Decision.ASK, shown, reason, question)


def _why_unknown(read: ReadNumber) -> str:
    if readable_count(read.compact) < READABLE_LEAST:
        least = f"read at least {READABLE_LEAST} characters of the number"
        return f"{read.compact} is too little to look up: {least}."
    return f"We know no unit with a number like {read.raw}, in whole or in part."


def _contained(read: ReadNumber, *, numbers: set[str]) -> dict[str, int]:
    """Return the numbers that stand whole within a longer reading, such as a whole plate copied down."""
    return {
        number: ASK_MOST_TENTHS
        for number in numbers
        if len(number) >= CONTAINED_LEAST_CHARACTERS and number in read.compact
    }


def _decide(
    read: ReadNumber,
    *,
    candidates: Sequence[Candidate],
    by_slug: Mapping[str, UnitModel],
    traits: Mapping[str, str],
    questions: Sequence[TraitQuestion],
) -> Identification:
    shown = tuple(candidates[:CANDIDATES_MOST])
    agreeing = [candidate for candidate in candidates if not candidate.against]
    nearest = candidates[0]
    if nearest.against and (not agreeing or nearest.distance_tenths < agreeing[0].distance_tenths):
        but = f"but {nearest.against[0]}; a tag or cover may be from another unit"
        reason = f"The number fits {nearest.name}, {but}."
        return Identification(read, Decision.ASK, shown, reason)
    best = agreeing[0]
    rivals = [
        other for other in agreeing[1:] if other.distance_tenths - best.distance_tenths < APART_LEAST_TENTHS
    ]
    # An answer that every candidate shares proves nothing: it must also have ruled one out.
    ruled_out = any(candidate.against for candidate in candidates)
    confirmed = ruled_out and answers_for(by_slug[best.model], traits=traits) > 0
    limit_tenths = CONFIRMED_MOST_TENTHS if confirmed else PROPOSE_MOST_TENTHS
    if not rivals and best.distance_tenths <= limit_tenths:
        return Identification(
            read, Decision.PROPOSE, shown, f"{best.reason} A photo of the number confirms it."
        )
    asked = [by_slug[candidate.model] for candidate in ((best, *rivals) if rivals else agreeing)]
    question = best_question(asked, questions=questions, answered=traits)
    return Identification(
        read, Decision.ASK, shown, _why_ask(best, rivals=rivals, question=question), question
    )


def _inside(sentence: str) -> str:
    """Return a sentence as it stands behind a colon."""
    return sentence[:1].lower() + sentence[1:]


def _why_ask(best: Candidate, *, rivals: Sequence[Candidate], question: TraitQuestion | None) -> str:
    """Return why a person has to decide."""
    if not rivals:
        return f"The nearest is {best.number} ({best.name}), too far off to propose. {best.reason}"
    equal = [best, *(rival for rival in rivals if rival.distance_tenths == best.distance_tenths)]
    same_number = [one for one in equal if normalise(one.number).compact == normalise(best.number).compact]
    if len(same_number) > 1:
        names = list_models(one.name for one in same_number)
        look = f"look for a list or tag number, or {'answer a question' if question else 'compare the unit'}"
        return f"{best.number} is a {KIND_WORDS[best.kind]} shared by {names}; {look}."
    if len(equal) > 1:
        numbers = list_models(one.number for one in equal)
        return f"{numbers} fit equally. For {best.number}: {_inside(best.reason)}"
    near_by = list_models(one.number for one in rivals)
    return f"{best.number} fits best, but {near_by} nearly as well. {best.reason}"
