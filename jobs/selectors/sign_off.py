"""What is still missing on paper before a unit is signed off, and what has to be looked at once more?"""

from jobs.domain.settings_noted import lacks_settings
from jobs.models import ExtraWork
from jobs.selectors.bench import JobAtBench, SettingLine


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
