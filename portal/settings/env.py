"""How does a setting get its value? From the environment, through one typed reader per kind.

Each call is recorded in `REGISTRY` with its meaning, so that a test can compare the settings that are
read with the ones that `.env.example` and DEVELOPERS.md explain. A file named `.env` beside `manage.py`
is read first when it exists; the environment wins over it.
"""

import os
from dataclasses import dataclass
from pathlib import Path
from typing import Final
from urllib.parse import SplitResult, unquote, urlsplit

from django.core.exceptions import ImproperlyConfigured

TRUE_WORDS: Final = frozenset({"1", "true", "yes", "on"})
FALSE_WORDS: Final = frozenset({"0", "false", "no", "off"})


@dataclass(frozen=True, slots=True)
class Setting:
    """One name that the site reads from the environment, and what it means."""

    name: str
    kind: str
    default: str
    meaning: str


REGISTRY: Final[dict[str, Setting]] = {}


def text(name: str, *, default: str = "", meaning: str) -> str:
    """Return the setting as text, without surrounding spaces."""
    return _read(name, kind="text", default=default, meaning=meaning)


def words(name: str, *, default: str = "", meaning: str) -> list[str]:
    """Return the setting as a list: the parts between commas."""
    value = _read(name, kind="list", default=default, meaning=meaning)
    return [part.strip() for part in value.split(",") if part.strip()]


def flag(name: str, *, default: bool, meaning: str) -> bool:
    """Return the setting as true or false.

    Raises: ImproperlyConfigured when the word is neither a yes nor a no.
    """
    value = _read(name, kind="flag", default="1" if default else "0", meaning=meaning).lower()
    if value in TRUE_WORDS:
        return True
    if value in FALSE_WORDS:
        return False
    raise ImproperlyConfigured(f"{name} is {value!r}: write 1 or 0.")


def number(name: str, *, default: int, least: int = 0, meaning: str) -> int:
    """Return the setting as a whole number that is not under `least`.

    Raises: ImproperlyConfigured when it is not a whole number, or too small.
    """
    value = _read(name, kind="number", default=str(default), meaning=meaning)
    if not value.lstrip("-").isdecimal() or int(value) < least:
        raise ImproperlyConfigured(f"{name} is {value!r}: write a whole number, {least} or more.")
    return int(value)


def url(name: str, *, schemes: tuple[str, ...], default: str = "", meaning: str) -> SplitResult | None:
    """Return the setting as the parts of an address, or None when it is empty.

    Raises: ImproperlyConfigured when the scheme is not one of `schemes`.
    """
    value = _read(name, kind="address", default=default, meaning=meaning)
    if not value:
        return None
    parts = urlsplit(value)
    if parts.scheme not in schemes:
        expected = " or ".join(f"{scheme}://" for scheme in schemes)
        raise ImproperlyConfigured(f"{name} has to start with {expected}.")
    return parts


def read_env_file(path: Path) -> None:
    """Put the `NAME=value` lines of a file into the environment, where the name is not there yet."""
    if not path.is_file():
        return
    for raw_line in path.read_text(encoding="utf-8").splitlines():
        line = raw_line.strip()
        if not line or line.startswith("#"):
            continue
        name, separator, value = line.partition("=")
        if not separator:
            raise ImproperlyConfigured(f"{path.name}: {line!r} is not NAME=value.")
        os.environ.setdefault(name.strip(), value.strip().strip("\"'"))


def _read(name: str, *, kind: str, default: str, meaning: str) -> str:
    REGISTRY[name] = Setting(name=name, kind=kind, default=default, meaning=meaning)
    value = os.environ.get(name, "").strip()
    return value or default


def decoded(part: str | None) -> str:
    """Return a name or password out of an address with its %-escapes undone."""
    return unquote(part or "")
