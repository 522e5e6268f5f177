"""What stands on the slip: number, code to scan, contact, what is declared, what is inside, and the times."""

from dataclasses import dataclass
from datetime import date, datetime

from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from jobs.domain.replay import JobState
from jobs.models import Customer, Job
from jobs.selectors import customer_jobs, parcels, shop
from jobs.selectors.customer_findings import ParcelSeen
from packing.catalogue.schema import StripAction
from packing.strip.strip_list import StripList
from portal.customer.pack_steps import inside_parts, kept_parts
from portal.shared.scan_code import qr_svg, scan_address

PARTS_SHOWN = 8


@dataclass(frozen=True, slots=True)
class Slip:
    """The slip of one job, ready for paper."""

    job: Job
    customer: Customer
    qr: SafeString
    address: str
    declared: str
    unit_words: str
    inside: tuple[str, ...]
    inside_words: str
    kept: tuple[str, ...]
    kept_words: str
    ticked_words: str
    drained_at: datetime | None
    smell_checked_at: datetime | None
    holds_fuel: bool
    magnetised: bool
    gross_mass_kg: float | None
    zone_name: str
    posted_on: date | None


def slip_of(job: Job, *, customer: Customer, state: JobState, parcel: ParcelSeen | None) -> Slip:
    """Return the slip; the page that shows it has asked the gate before."""
    listed = parcels.strip_list(job)
    family = parcels.family_of(job)
    plan = parcels.plan_in(job)
    holds_fuel = family is None or family.holds_fuel
    inside = inside_parts(listed) if listed else ()
    kept = kept_parts(listed) if listed else ()
    ticked = parcels.ticked_steps(job)
    # What was recorded before the unit turned out to hold no fuel is not declared.
    drains = parcels.needs_draining(family)
    return Slip(
        job=job,
        customer=customer,
        qr=qr_svg(scan_address(job.number)),
        address=scan_address(job.number),
        declared=_declared(family.name if family else _("unit"), holds_fuel=holds_fuel),
        unit_words=customer_jobs.unit_words(job),
        inside=inside[:PARTS_SHOWN],
        inside_words=_inside_words(len(inside)),
        kept=kept[:PARTS_SHOWN],
        kept_words=_kept_words(len(kept)),
        ticked_words=_ticked_words(listed, ticked=ticked) if listed else "",
        drained_at=state.drained_at if drains else None,
        smell_checked_at=state.smell_checked_at if drains else None,
        holds_fuel=holds_fuel,
        magnetised=bool(family and family.magnetised),
        gross_mass_kg=plan.gross_mass_kg if plan else None,
        zone_name=shop.zone().key,
        posted_on=parcel.on if parcel else None,
    )


def _declared(family_name: str, *, holds_fuel: bool) -> str:
    name = family_name[:1].lower() + family_name[1:]
    if holds_fuel:
        return _("Used %(name)s, drained and aired, no fuel") % {"name": name}
    return _("Used %(name)s, no fuel, no battery") % {"name": name}


def _inside_words(count: int) -> str:
    """Return what the list asks for; what is really inside, only the one who opens the box can say."""
    return _("The unit, and what the list asks to send along") if count else _("The unit")


def _kept_words(count: int) -> str:
    return _("What the list says to take off and keep") if count else _("Nothing has to come off by the list")


def _ticked_words(listed: StripList, *, ticked: frozenset[str]) -> str:
    """Return how many of the steps for these parts the sender has ticked."""
    steps = (*listed.only(StripAction.SEND_ALONG), *listed.only(StripAction.TAKE_OFF))
    if not steps:
        return ""
    done = sum(f"strip-{step.slug}" in ticked for step in steps)
    return _("As the strip list says; ticked as done by the sender: %(done)d of %(count)d.") % {
        "done": done,
        "count": len(steps),
    }
