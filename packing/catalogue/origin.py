"""Where a catalogue figure comes from."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum


class Origin(StrEnum):
    """Where a figure comes from; shown beside every figure a person sees."""

    PUBLISHED = "published"
    MEASURED = "measured"
    ESTIMATE = "estimate"


@dataclass(frozen=True, slots=True)
class Source:
    """The origin of the figures of one entry, in words a reader can follow up."""

    text: str
    origin: Origin
    read_on: date | None = None
