"""The refusals of the packing package, each a sentence a person can act on."""

import math
import re

# Endings of our own names, the longest first, as the words a person reads behind a figure.
UNITS = {
    "kn_m": "kN/m",
    "kg_m3": "kg/m³",
    "g_m2": "g/m²",
    "m3_kj": "m³/kJ",
    "n_m": "N/m",
    "kpa": "kPa",
    "psi": "psi",
    "mm": "mm",
    "kg": "kg",
    "lb": "lb",
    "m2": "m²",
    "in": "in",
    "m": "m",
    "g": "times gravity",
}
_NAME = re.compile(rf"\b([a-z][a-z_]*?)_({'|'.join(UNITS)})\b")
_SNAKE = re.compile(r"\b[a-z]+(?:_[a-z]+)+\b")


class PackingError(Exception):
    """Base of every refusal raised in `packing`; `str(error)` is shown to people as it is."""


class OutOfRange(PackingError):
    """A quantity lies outside the range in which its rule holds.

    >>> print(OutOfRange("Pump: length_mm", value=3000.0, least=10.0, most=900.0))
    Pump: length is 3000 mm: it has to be between 10 and 900 mm.
    """

    def __init__(self, name: str, *, value: object, least: object, most: object) -> None:
        self.name, self.value, self.least, self.most = name, value, least, most
        found = _NAME.search(name)
        unit = f" {UNITS[found[2]]}" if found else ""
        label = _SNAKE.sub(lambda part: part[0].replace("_", " "), _NAME.sub(r"\1", name))
        shown = "not a number" if isinstance(value, float) and math.isnan(value) else f"{_plain(value)}{unit}"
        within = f"it has to be between {_plain(least)} and {_plain(most)}{unit}."
        self.sentence = f"{shown} cannot be right; {within}"
        """What to say beside the quantity, where its name stands already."""
        super().__init__(f"{label} is {shown}: {within}")


def _plain(value: object) -> str:
    return f"{value:.12g}" if isinstance(value, float) else str(value)


class CatalogueError(PackingError):
    """A catalogue document cannot be used; `problems` names each key and what to do about it."""

    def __init__(self, problems: "tuple[tuple[str, str], ...]") -> None:
        self.problems = problems
        super().__init__(" ".join(f"{key}: {sentence}" for key, sentence in problems))


class RevisionTaken(CatalogueError):
    """Somebody else published a revision after the one that this change was made from."""


class FieldsRefused(PackingError, ValueError):
    """The fields of one dataclass cannot stand together; `problems` names each and what to do about it.

    >>> print(FieldsRefused(("first", "give the first day."), ("last", "give the last day.")))
    first: give the first day. last: give the last day.
    """

    def __init__(self, *problems: "tuple[str, str]") -> None:
        self.problems = problems
        super().__init__(" ".join(f"{name}: {sentence}" for name, sentence in problems))


def refuse_fields(*checks: "tuple[bool, str, str]") -> None:
    """Raise FieldsRefused with (name, sentence) of every check (is it so, name, sentence) that holds."""
    problems = tuple((name, sentence) for is_so, name, sentence in checks if is_so)
    if problems:
        raise FieldsRefused(*problems)


class UnknownEntry(PackingError):
    """No catalogue entry has this kind and slug."""
