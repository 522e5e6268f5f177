"""How a change that is asked for is written down and read again."""

from collections.abc import Iterable, Mapping
from typing import Any

from jobs.leadtime.changes import (
    Benches,
    Change,
    ClosedWeek,
    IntakeCapped,
    IntakePaused,
    JobFirst,
    OnePersonFewer,
    OnePersonMore,
    PersonAway,
    RunsPerWeek,
)
from jobs.leadtime.errors import ChangeRefused
from packing.plain import from_plain, to_plain

KINDS: Mapping[str, type[Change]] = {
    "benches": Benches,
    "person_more": OnePersonMore,
    "person_fewer": OnePersonFewer,
    "person_away": PersonAway,
    "closed_week": ClosedWeek,
    "intake_paused": IntakePaused,
    "intake_capped": IntakeCapped,
    "job_first": JobFirst,
    "runs_per_week": RunsPerWeek,
}
_NAMES = {kind: name for name, kind in KINDS.items()}


def write_changes(changes: Iterable[Change]) -> list[dict[str, Any]]:
    """Return the changes as plain values, each with its kind.

    >>> write_changes([IntakeCapped(4)])
    [{'kind': 'intake_capped', 'most_per_week': 4}]
    """
    return [{"kind": _NAMES[type(change)], **to_plain(change)} for change in changes]


def read_changes(stored: Iterable[Mapping[str, Any]]) -> tuple[Change, ...]:
    """Return the changes that were written; `words` beside the values are left alone.

    Raises: ChangeRefused for a kind that is not known; CatalogueError for a value that does not fit.
    """
    return tuple(_read(each) for each in stored)


def _read(stored: Mapping[str, Any]) -> Change:
    kind = KINDS.get(str(stored.get("kind")))
    if kind is None:
        raise ChangeRefused(f"There is no change “{stored.get('kind')}”: choose one of those on the page.")
    values = {key: value for key, value in stored.items() if key not in {"kind", "words"}}
    change: Change = from_plain(kind, values)
    return change
