"""Do pages that list jobs stay quick when the shop grows, with the same number of queries?

Every page without a variable part in its address is asked for, as the person it is for; those that read jobs
are measured. The queries of a page must not grow with the rows; its time may, by what it shows.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.core.management import CommandError
from django.db import connection
from django.test import Client, override_settings
from django.test.utils import CaptureQueriesContext
from django.urls import NoReverseMatch, URLPattern, get_resolver, reverse

from jobs.demo import scenario
from jobs.management.bench.rows import Pattern, write_jobs
from jobs.management.bench.timing import Timing, growth, lay_out, measure
from jobs.models import Customer, Job
from jobs.services import links

AUDIENCES = ("workshop", "owner", "customer")
PLAIN_STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}


@dataclass(frozen=True, slots=True)
class PageFigures:
    """What one page cost with one number of jobs."""

    queries: int
    timing: Timing
    kilobytes: float


def bench_pages(patterns: Sequence[Pattern], *, sizes: tuple[int, int], repeats: int, now: datetime) -> str:
    """Return the table of all pages that read jobs, with few jobs and with many, and what grew."""
    found: list[dict[str, PageFigures]] = []
    counts = []
    with override_settings(STORAGES=PLAIN_STORAGES, ALLOWED_HOSTS=["localhost"]):
        for size in sizes:
            owner = write_jobs(patterns, count=size, now=now)
            open_count = Job.objects.filter(ended_at__isnull=True).count()
            counts.append(f"{size} jobs, {open_count} of them open")
            found.append(_measure_all(owner, repeats=repeats, now=now))
    few, many = found
    rows = [
        (
            name,
            str(few[name].queries),
            str(many[name].queries),
            f"{few[name].timing.median_ms:.0f}",
            f"{many[name].timing.median_ms:.0f}",
            f"{many[name].timing.p95_ms:.0f}",
            growth(many[name].timing.median_ms, first=few[name].timing.median_ms),
            f"{many[name].kilobytes:.0f}",
        )
        for name in few
        if name in many
    ]
    heads = ("page", "queries", "queries", "median ms", "median ms", "p95 ms", "growth", "kB")
    more = [f"{name} ({few[name].queries} to {many[name].queries})" for name in few if _grew(name, few, many)]
    return "\n".join(
        (
            f"First figure of a pair: {counts[0]}; second, and the rest: {counts[1]}.",
            lay_out(heads, rows=rows),
            f"Queries that grow with the jobs: {', '.join(more) or 'none'}.",
        )
    )


def _grew(name: str, few: dict[str, PageFigures], many: dict[str, PageFigures]) -> bool:
    return name in many and many[name].queries > few[name].queries


def _measure_all(owner: Customer, *, repeats: int, now: datetime) -> dict[str, PageFigures]:
    browsers = {member.role: _sign_in(member.email) for member in scenario.STAFF}
    browsers["customer"] = _open_link(owner, now=now)
    figures: dict[str, PageFigures] = {}
    for audience in AUDIENCES:
        for name, address in _addresses(audience):
            measured = _measure(browsers[audience], address=address, repeats=repeats)
            if measured is not None:
                figures[name] = measured
    if not figures:
        raise CommandError("No page that lists jobs was found: look at the addresses of the three audiences.")
    return figures


def _addresses(audience: str) -> list[tuple[str, str]]:
    """Return (name, address) of each page of the audience whose address has no variable part."""
    _, resolver = get_resolver().namespace_dict[audience]
    found = []
    for pattern in resolver.url_patterns:
        if isinstance(pattern, URLPattern) and pattern.name:
            try:
                found.append((f"{audience}:{pattern.name}", reverse(f"{audience}:{pattern.name}")))
            except NoReverseMatch:
                continue
    return found


def _measure(browser: Client, *, address: str, repeats: int) -> PageFigures | None:
    """Return the figures of a page, or None when it shows something else or reads no job."""
    browser.get(address)
    with CaptureQueriesContext(connection) as queries:
        answer = browser.get(address)
    if answer.status_code != 200 or not any('"jobs_job"' in query["sql"] for query in queries):
        return None
    return PageFigures(
        queries=len(queries),
        timing=measure(lambda: browser.get(address), repeats=repeats),
        kilobytes=len(answer.content) / 1000 if not answer.streaming else 0.0,
    )


def _sign_in(email: str) -> Client:
    browser = Client(SERVER_NAME="localhost")
    answer = browser.post(reverse("accounts:sign_in"), {"email": email, "password": scenario.DEMO_PASSWORD})
    if answer.status_code != 302:
        raise CommandError(f"{email} could not sign in; the answer was {answer.status_code}.")
    return browser


def _open_link(owner: Customer, *, now: datetime) -> Client:
    browser = Client(SERVER_NAME="localhost")
    job = Job.objects.filter(customer=owner).order_by("pk")[0]
    answer = browser.post(reverse("customer:open_link", args=[links.issue_job_link(job, now=now)]))
    if answer.status_code != 302:
        raise CommandError(f"The private link did not open; the answer was {answer.status_code}.")
    return browser
