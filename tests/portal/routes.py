"""Which pages does the site have? Read from the real resolver, so that a new page cannot be overlooked."""

import re
from dataclasses import dataclass

from django.urls import URLPattern, URLResolver, get_resolver

from portal.shared.gates import Audience

PATH_ARGUMENT = re.compile(r"<(?:\w+:)?(\w+)>")
REGEX_ARGUMENT = re.compile(r"\(\?P<(\w+)>")


@dataclass(frozen=True, slots=True)
class Route:
    """One page: its name, the names of its arguments, and for whom it is mounted."""

    name: str
    arguments: frozenset[str]
    audience: Audience


def routes(patterns=None, *, prefix="", space=""):
    """Return every route of the site, nested lists included."""
    found = []
    for entry in get_resolver().url_patterns if patterns is None else patterns:
        here = f"{prefix}{entry.pattern}"
        if isinstance(entry, URLResolver):
            inner = f"{space}{entry.namespace}:" if entry.namespace else space
            found += routes(entry.url_patterns, prefix=here, space=inner)
        elif isinstance(entry, URLPattern):
            arguments = {*PATH_ARGUMENT.findall(here), *REGEX_ARGUMENT.findall(here)}
            found.append(Route(f"{space}{entry.name}", frozenset(arguments), entry.callback.audience))
    return tuple(found)
