"""What every template can use: the shop's identity."""

from typing import Any

from django.http import HttpRequest

from jobs.selectors.shop import identity


def page(request: HttpRequest) -> dict[str, Any]:
    """Return the shop as its owner published it."""
    del request
    return {"shop": identity()}
