"""Where can the owner go, and which of it is this page?"""

from dataclasses import dataclass
from typing import Any

from django.urls import reverse
from django.utils.translation import gettext as _


@dataclass(frozen=True, slots=True)
class Link:
    """One way on: its words, its address, and whether it is this page or the part that it belongs to."""

    words: str
    url: str
    current: bool = False


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell of the title block."""

    label: str
    value: str


def page(part: str, **more: Any) -> dict[str, Any]:
    """Return the context every owner page needs: its navigation with `part` marked, and what is added."""
    links = (
        ("dashboard", _("Queue"), reverse("owner:dashboard")),
        ("weeks", _("Weeks ahead"), reverse("owner:weeks_ahead")),
        ("what_if", _("What if"), reverse("owner:what_if")),
        ("quotes", _("Past quotes"), reverse("owner:quotes")),
        ("records", _("Records"), reverse("owner:jobs")),
        ("data", _("Shop and catalogue"), reverse("owner:data")),
        ("people", _("Sign-ins"), reverse("owner:people")),
        ("workshop", _("Workshop"), reverse("workshop:counter")),
    )
    return {
        "links": tuple(Link(words, url, current=name == part) for name, words, url in links),
        "sign_out_url": reverse("accounts:sign_out"),
        "units": "metric",
        **more,
    }


def record_links(current: str) -> tuple[Link, ...]:
    """Return the three long lists."""
    lists = (("jobs", _("Jobs")), ("events", _("Events")), ("mails", _("Mails")))
    return tuple(Link(words, reverse(f"owner:{name}"), current=name == current) for name, words in lists)


def job_url(number: str) -> str:
    """Return the address of a job's page in the workshop."""
    return reverse("workshop:job", args=[number])
