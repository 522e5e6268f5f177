"""Where does the strip-and-pack page lead, and what does it say of the ticks that are saved?"""

from dataclasses import dataclass

from django.urls import reverse
from django.utils.translation import gettext as _

from jobs.models import Job
from portal.customer.pack_progress import PackProgress, PartProgress


@dataclass(frozen=True, slots=True)
class Way:
    """A page reached with a button, so that the ticks go along; one without words has its own place."""

    key: str
    url: str
    words: str = ""


def ways_on(job: Job) -> tuple[Way, ...]:
    """Return the pages that follow on stripping and packing, the main one first."""
    pdf = reverse("customer:slip_pdf", args=[job.number])
    return (
        Way("slip", reverse("customer:slip", args=[job.number]), _("Print the slip")),
        Way("pdf_a4", f"{pdf}?paper=a4", _("PDF, A4")),
        Way("pdf_letter", f"{pdf}?paper=letter", _("PDF, Letter")),
        Way("posted", reverse("customer:posted", args=[job.number]), _("I have posted it")),
        Way("carton", reverse("customer:carton", args=[job.number])),
    )


def count_words(progress: PackProgress) -> dict[str, str]:
    """Return how much is ticked, in words, for each place of the page that says so."""
    return {
        "all": _("%(done)d of %(count)d steps ticked.")
        % {"done": progress.done_count, "count": progress.count},
        "strip": part_words(progress.strip),
        "draining": part_words(progress.draining),
        "packing": part_words(progress.packing),
    }


def part_words(part: PartProgress) -> str:
    """Return how much of one part is ticked."""
    if part.is_done:
        return _("all %(count)d ticked") % {"count": part.count}
    return _("%(done)d of %(count)d ticked") % {"done": part.done_count, "count": part.count}
