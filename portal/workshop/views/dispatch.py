"""The way back: bench fluid, packing by the plan, handing over, closing; and going back unrepaired."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from jobs.domain.stages import EventKind, Stage
from jobs.selectors import parcels, shop
from jobs.selectors.bench import JobAtBench
from jobs.services import dispatch
from packing.parcel.unit import Leg
from packing.quantities import UnitChoice
from packing.strip.safety import DEFERRAL, GoodsFlag
from portal.shared.goods import to_declare
from portal.shared.parcel_drawing import draw_frozen_plan
from portal.workshop.forms.dispatch import BenchFluidForm, PackForm, SentForm, UnrepairedForm
from portal.workshop.forms.staff import NoteForm
from portal.workshop.views._acting import METHODS, Page, enter, find_or_404

E = EventKind


@require_http_methods(METHODS)
def bench_fluid(request: HttpRequest, number: str) -> HttpResponse:
    """Record that the unit was drained after the test, and whether it still smells."""
    seen = find_or_404(request, number)
    page = Page(
        title=_("Check for bench fluid"),
        button=_("Record the check"),
        done=_("Recorded."),
        lead=_("The shop is the sender of this parcel: what holds for the customer's way in holds here too."),
        cautions=(
            *((seen.smell_words,) if seen.smell_words else ()),
            _("Drain and air it away from anything that sparks or burns; wear gloves and eye protection.")
            + f" {DEFERRAL}",
        ),
    )
    return enter(
        request,
        seen,
        kind=E.BENCH_FLUID_CHECKED,
        page=page,
        make_form=lambda data: BenchFluidForm(data, job=seen.job),
        send=lambda form, sent: dispatch.check_bench_fluid(
            number, smells=form.cleaned_data["smells"] == "yes", **sent
        ),
    )


@require_http_methods(METHODS)
def pack(request: HttpRequest, number: str) -> HttpResponse:
    """Pack the unit by the plan for the way back."""
    seen = find_or_404(request, number)
    plan = parcels.plan_back(seen.job)
    page = Page(
        title=_("Pack it"),
        button=_("It is packed"),
        done=_("Packed. Hand it to the carrier."),
        template="workshop/pack.html",
        more={
            "plan": plan,
            "drawing": draw_frozen_plan(seen.job, plan=plan, units=UnitChoice.METRIC) if plan else None,
            "goods": _goods(seen),
        },
    )
    return enter(
        request,
        seen,
        kind=E.PACKED,
        page=page,
        make_form=lambda data: PackForm(data, job=seen.job, plan=plan),
        send=lambda form, sent: dispatch.pack_job(number, note=form.cleaned_data["note"], **sent),
    )


@require_http_methods(METHODS)
def send_back(request: HttpRequest, number: str) -> HttpResponse:
    """Record that the parcel back was handed over."""
    seen = find_or_404(request, number)
    page = Page(
        title=_("Send it back"),
        button=_("It is handed over"),
        done=_("On its way. The customer has a mail."),
        lead=_("To: %s") % ", ".join(_address(seen.job.customer)),
        template="workshop/send_back.html",
        more={"goods": _goods(seen)},
    )
    return enter(
        request,
        seen,
        kind=E.SENT_BACK,
        page=page,
        make_form=lambda data: SentForm(data, job=seen.job, **_days(seen)),
        send=lambda form, sent: dispatch.send_back(number, **_handed_over(form), **sent),
    )


@require_http_methods(METHODS)
def unrepaired(request: HttpRequest, number: str) -> HttpResponse:
    """Send the unit back without the repair."""
    seen = find_or_404(request, number)
    page = Page(
        title=_("Return it unrepaired"),
        button=_("Return it unrepaired"),
        done=_("Recorded. The customer has a mail."),
        lead=_("The job ends with this. The drain check holds for this parcel too."),
        template="workshop/send_back.html",
        stops=True,
        more={"goods": _goods(seen)},
    )
    return enter(
        request,
        seen,
        kind=E.RETURNED_UNREPAIRED,
        page=page,
        make_form=lambda data: UnrepairedForm(data, job=seen.job, **_days(seen)),
        send=lambda form, sent: dispatch.return_unrepaired(
            number, reason=form.cleaned_data["reason"], **_handed_over(form), **sent
        ),
    )


@require_http_methods(METHODS)
def close(request: HttpRequest, number: str) -> HttpResponse:
    """Close a job whose customer has the unit back."""
    seen = find_or_404(request, number)

    def send(form: NoteForm, sent: dict[str, Any]) -> None:
        dispatch.close_job(number, note=form.cleaned_data["note"], actor=sent["actor"], now=sent["now"])

    return enter(
        request,
        seen,
        kind=E.CLOSED,
        page=Page(
            title=_("Close the job"),
            button=_("Close the job"),
            done=_("Closed."),
            lead=_("Once the customer has the unit. A closed job is not opened again: only notes are added."),
        ),
        make_form=lambda data: NoteForm(data, job=seen.job),
        send=send,
    )


def _goods(seen: JobAtBench) -> tuple[GoodsFlag, ...]:
    """Return what is said of this parcel at the carrier's counter."""
    plan = parcels.plan_back(seen.job)
    return to_declare(
        parcels.family_of(seen.job), leg=Leg.TO_CUSTOMER, gross_mass_kg=plan.gross_mass_kg if plan else None
    )


def _handed_over(form: SentForm) -> dict[str, Any]:
    given = form.cleaned_data
    return {name: given[name] for name in ("on", "carrier", "tracking_number")}


def _days(seen: JobAtBench) -> dict[str, Any]:
    """Return the days between which it can be handed over, with today and the shop's carrier filled in."""
    came_at = seen.state.entered_at.get(Stage.ARRIVED.value, seen.job.booked_at)
    arrived_on, today = (each.astimezone(shop.zone()).date() for each in (came_at, timezone.now()))
    filled_in = {"on": today, "carrier": parcels.carrier_back_name()}
    return {"arrived_on": arrived_on, "today": today, "initial": filled_in}


def _address(customer: Any) -> tuple[str, ...]:
    if customer is None:
        return (_("no address yet: match the box with its booking first"),)
    lines = [customer.name, *customer.address_lines.splitlines(), customer.postal_code, customer.country]
    return tuple(line for line in lines if line)
