"""The counter: one field for every scan, what is expected today, and the box nobody announced."""

from uuid import UUID, uuid4

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from jobs.domain.errors import JobsError
from jobs.selectors import counter as selector
from jobs.selectors import queue, scan, shop
from jobs.selectors.scan import ScanResult
from jobs.services import arrivals
from portal.shared.actors import staff_actor
from portal.shared.gates import go_to
from portal.workshop.forms.counter import BoxForm, JobFilterForm, ScanForm
from portal.workshop.pages import counter_rows, nav_links, table_rows
from portal.workshop.views._acting import METHODS


@require_safe
def counter(request: HttpRequest) -> HttpResponse:
    """Show the scan field and the day's lists; a scan that means one job opens its page."""
    now = timezone.now()
    typed = request.GET.get("q", "")
    result = scan.find_by_scan(typed) if "q" in request.GET else None
    if result is not None and result.only is not None:
        return go_to(request, _opened_by_scan(result.only.number))
    lists = selector.counter_lists(now=now)
    context = {
        "form": ScanForm(initial={"q": typed}),
        "result": result,
        "hits": counter_rows(result.hits) if result else (),
        "box_url": _box_url(result),
        "zone_name": shop.zone().key,
        "lists": {name: counter_rows(getattr(lists, name)) for name in lists.__slots__},
        "nav": nav_links(request),
        "now": now,
    }
    return render(request, "workshop/counter.html", context)


@require_safe
def slip(request: HttpRequest, number: str) -> HttpResponse:
    """Lead from the address printed on the slip to the job's page."""
    result = scan.find_by_scan(f"/W/{number}")
    if result.only is not None:
        return redirect(_opened_by_scan(result.only.number))
    return redirect(f"{reverse('workshop:counter')}?{urlencode({'q': number})}")


@require_http_methods(METHODS)
def box(request: HttpRequest) -> HttpResponse:
    """Record a box that nobody announced; what was scanned is filled in already.

    The key of the record stands in the page's address: whoever comes Back to it finds the box that it
    recorded, not an empty form that records it once more.
    """
    key = _key_in(request.GET)
    if key is None and request.method != "POST":
        return redirect(f"{request.path}?{urlencode({**request.GET.dict(), 'key': str(uuid4())})}")
    recorded = selector.box_recorded_as(key) if key else ""
    if recorded and request.method != "POST":
        return render(request, "workshop/box_again.html", {"number": recorded, "nav": nav_links(request)})
    names = ("parcel_number", "number_found", "sender_on_box")
    initial = {name: request.GET.get(name, "")[:60] for name in names}
    form = BoxForm(request.POST) if request.method == "POST" else BoxForm(initial={**initial, "key": key})
    if form.is_bound and form.is_valid():
        given = form.cleaned_data
        try:
            job = arrivals.record_box(
                box=form.box(),
                family=given["family"],
                number_found=given["number_found"],
                submission_key=form.submission_key(),
                actor=staff_actor(request),
                now=timezone.now(),
            )
        except JobsError as refusal:
            form.add_error(None, str(refusal))
            form.take_new_key()
        else:
            messages.success(request, _("The box is recorded. Write this job number on it with a thick pen."))
            return redirect("workshop:job", job.number)
    context = {"form": form, "nav": nav_links(request)}
    return render(request, "workshop/box.html", context, status=422 if form.errors else 200)


@require_safe
def jobs(request: HttpRequest) -> HttpResponse:
    """List all jobs, narrowed by what stands in the address."""
    form = JobFilterForm(request.GET or None)
    today = timezone.localdate()
    found = queue.list_jobs(form.narrowed(), page_number=request.GET.get("page", 1), today=today)
    context = {
        "form": form,
        "rows": table_rows(found.lines),
        "page": found.page,
        "is_narrowed": any(value for key, value in request.GET.items() if key != "page"),
        "nav": nav_links(request),
        "now": timezone.now(),
    }
    return render(request, "workshop/jobs.html", context)


def _key_in(query: QueryDict) -> UUID | None:
    """Return the key in an address, None where there is none that could be one."""
    try:
        return UUID(query.get("key", ""))
    except ValueError:
        return None


def _opened_by_scan(number: str) -> str:
    return f"{reverse('workshop:job', args=[number])}?scanned=1"


def _box_url(result: ScanResult | None) -> str:
    known = {
        "parcel_number": result.parcel_number if result else "",
        "number_found": result.unit_number if result else "",
        "sender_on_box": result.sender if result else "",
    }
    query = urlencode({key: value for key, value in known.items() if value})
    return reverse("workshop:box") + (f"?{query}" if query else "")
