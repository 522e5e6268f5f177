"""What can every template use without its view saying so? The shop's identity, and an empty title block."""

from typing import Any

from django.http import HttpRequest
from django.utils.functional import SimpleLazyObject

from jobs.selectors.shop import identity


def page(request: HttpRequest) -> dict[str, Any]:
    """Return the shop as its owner published it, read only by pages that show it, and no title cells."""
    del request
    return {"shop": SimpleLazyObject(identity), "title_cells": ()}
