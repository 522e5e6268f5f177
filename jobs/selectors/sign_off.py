"""What is still missing on paper before a unit is signed off, and who may not be the one who signs?"""

from jobs.domain.actors import Actor
from jobs.domain.settings_noted import lacks_settings
from jobs.domain.signing import is_tester
from jobs.domain.stages import Stage
from jobs.models import ExtraWork, Job
from jobs.selectors.bench import JobAtBench, SettingLine, model_of
from jobs.selectors.shop_state import states_at
from packing import selectors as catalogue
from packing.catalogue.schema import UnitModel

SECOND_PERSON_SEVERITY = 3


def needs_second_person(job: Job, *, worst_severity: int) -> bool:
    """Return whether a second person has to sign: by the model's rule or by the damage found."""
    return _asks_for_two(model_of(job), worst_severity=worst_severity)


def not_for(actor: Actor) -> frozenset[str]:
    """Return the numbers of the tested jobs that somebody else than this person has to sign off.

    By the models as they are published now, in two queries; what counts is asked again at the signing.
    """
    states, models = states_at(Stage.TESTED), catalogue.catalogue().unit_models
    tested = Job.objects.filter(stage=Stage.TESTED.value).only("number", "unit_model", "worst_severity")
    return frozenset(
        job.number
        for job in tested
        if job.pk in states
        and is_tester(actor, state=states[job.pk])
        and _asks_for_two(models.get(job.unit_model), worst_severity=job.worst_severity)
    )


def _asks_for_two(model: UnitModel | None, *, worst_severity: int) -> bool:
    return worst_severity >= SECOND_PERSON_SEVERITY or bool(model and model.second_signature)


def find_open_papers(seen: JobAtBench) -> tuple[str, ...]:
    """Return what is not written down yet, and approved extra work to be checked, each as a sentence."""
    settings = [sentence for line in seen.settings if (sentence := _setting_sentence(line))]
    parts = [] if seen.parts_used else ["No part is entered as used."]
    extra = [_extra_sentence(each) for each in seen.extra_work if each.decision == "approved"]
    return (*settings, *parts, *extra)


def has_no_settings(seen: JobAtBench) -> bool:
    """Return whether the model names settings and not one of them was written down."""
    return lacks_settings(seen.model.settings if seen.model else (), entries=seen.entries)


def _setting_sentence(line: SettingLine) -> str:
    missing = [words for words, value in (("found", line.as_found), ("left", line.as_left)) if not value]
    return f"{line.name}: not noted as {' or as '.join(missing)}." if missing else ""


def _extra_sentence(extra: ExtraWork) -> str:
    works = ", ".join(str(line["text"]) for line in extra.lines)
    return f"Extra work of request {extra.number} was approved: {works}. Look that it is done."
