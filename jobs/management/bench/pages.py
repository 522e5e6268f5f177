"""Do pages that list jobs stay quick when the shop grows, with the same number of queries?

Every page without a variable part in its address is asked for, as the person it is for; those that read jobs
are measured, and then the pages that people open from them. The queries of a page must not grow with the
rows; its time may, by what it shows, up to a bar.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from time import process_time

from django.core.management import CommandError
from django.db import connection
from django.test import Client, override_settings
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from jobs.demo import scenario
from jobs.management.bench.addresses import AUDIENCES, list_addresses, opened_addresses
from jobs.management.bench.rows import Pattern, write_jobs
from jobs.management.bench.timing import Timing, growth, lay_out, measure
from jobs.models import Customer, Job
from jobs.services import links

LIST_MOST_MS = 40
PAGE_MOST_MS = 100
PLAIN_STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}


@dataclass(frozen=True, slots=True)
class PageFigures:
    """What one page cost with one number of jobs; a list is held to `LIST_MOST_MS`."""

    is_list: bool
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
            "Milliseconds are the processor's, so that other work on the machine hardly counts.",
            lay_out(heads, rows=rows),
            f"Queries that grow with the jobs: {', '.join(more) or 'none'}.",
            say_slow({name: page for name, page in many.items() if not page.is_list}, most_ms=PAGE_MOST_MS),
            say_slow({name: page for name, page in many.items() if page.is_list}, most_ms=LIST_MOST_MS),
        )
    )


def say_slow(pages: Mapping[str, PageFigures], *, most_ms: int) -> str:
    """Return which of the pages take longer than they may, the slowest first."""
    kind = "Lists" if most_ms == LIST_MOST_MS else "Other pages"
    order = sorted(pages, key=lambda name: -pages[name].timing.median_ms)
    said = [f"{name} {pages[name].timing.median_ms:.0f} ms" for name in order]
    slow = [words for name, words in zip(order, said, strict=True) if pages[name].timing.median_ms > most_ms]
    if slow:
        return f"{kind} above {most_ms} ms: {', '.join(slow)}."
    return f"{kind} above {most_ms} ms: none; the slowest is {said[0]}." if said else f"{kind}: none."


def _grew(name: str, few: dict[str, PageFigures], many: dict[str, PageFigures]) -> bool:
    """Say whether a list costs more queries; what is opened from it is another job each time."""
    return name in many and many[name].is_list and many[name].queries > few[name].queries


def _measure_all(owner: Customer, *, repeats: int, now: datetime) -> dict[str, PageFigures]:
    browsers = {member.role: _sign_in(member.email) for member in scenario.STAFF}
    browsers["customer"] = _open_link(owner, now=now)
    figures: dict[str, PageFigures] = {}
    for audience in AUDIENCES:
        for name, address in list_addresses(audience):
            measured = _measure(browsers[audience], address=address, is_list=True, repeats=repeats)
            if measured is not None:
                figures[name] = measured
        for name, address in opened_addresses(audience, owner=owner):
            measured = _measure(browsers[audience], address=address, is_list=False, repeats=repeats)
            if measured is not None:
                figures[f"{audience}: {name}"] = measured
    if not figures:
        raise CommandError("No page that lists jobs was found: look at the addresses of the three audiences.")
    return figures


def _measure(browser: Client, *, address: str, is_list: bool, repeats: int) -> PageFigures | None:
    """Return the figures of a page, or None when it shows something else, or is a list and reads no job."""
    browser.get(address)
    with CaptureQueriesContext(connection) as queries:
        answer = browser.get(address)
    reads_jobs = any('"jobs_job"' in query["sql"] for query in queries)
    if answer.status_code != 200 or (is_list and not reads_jobs):
        return None
    return PageFigures(
        is_list=is_list,
        queries=len(queries),
        timing=measure(lambda: browser.get(address), repeats=repeats, clock=process_time),
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
