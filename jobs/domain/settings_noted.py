"""Was a single one of the settings written down that the customer was told would be?"""

from collections.abc import Iterable, Sequence

from jobs.domain.facts import SettingsRecorded, load_facts
from jobs.domain.replay import LogEntry, standing_events
from jobs.domain.stages import EventKind


def lacks_settings(named: Sequence[str], *, entries: Iterable[LogEntry]) -> bool:
    """Return whether the model names settings and the last record holds none of them, as found or as left."""
    if not named:
        return False
    last: SettingsRecorded | None = None
    for entry in standing_events(entries):
        if entry.kind is EventKind.SETTINGS_RECORDED:
            last = load_facts(entry.kind, stored=entry.facts)
    return last is None or not any((*last.as_found.values(), *last.as_left.values()))
