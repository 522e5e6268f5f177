"""Coming back: a private link is looked at on GET and used on POST; a lost one is mailed again."""

from functools import partial

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from jobs.models import PrivateLink
from jobs.selectors import customer_jobs
from jobs.selectors.customer_list import list_jobs
from jobs.services import find_job, links
from portal.customer.drafts import bind_booking
from portal.customer.forms.contact import EmailForm
from portal.customer.own_jobs import grant_of
from portal.shared import ratelimit
from portal.shared.grants import give_grant
from portal.shared.refusals import too_often
from portal.shared.refused_forms import data_for, forget_refused, page_of


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def open_link(request: HttpRequest, token: str) -> HttpResponse:
    """Show a button on GET, since mail scanners open links too; let the browser in on POST."""
    now = timezone.now()
    attempt = ratelimit.count_attempt(
        ratelimit.OPEN_LINK_BY_ADDRESS, subject=ratelimit.client_address(request), now=now
    )
    if not attempt.is_allowed:
        return too_often(request, attempt=attempt)
    try:
        if request.method == "POST":
            response = _let_in(request, link=links.redeem_link(token, now=now))
        else:
            link = links.look_at_link(token, now=now)
            response = render(request, "customer/open_link.html", {"link": link})
    except links.LinkRefused as refusal:
        # What a press is refused for, looking is refused for too: that page can be loaded again.
        response = redirect(request.path) if request.method == "POST" else _refused(request, refusal=refusal)
    # Never the path, which is the secret. "no-referrer" would make browsers send the form with the origin
    # "null", and the form's protection would refuse it.
    response.headers["Referrer-Policy"] = "strict-origin"
    return response


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def find(request: HttpRequest) -> HttpResponse:
    """Mail the way back to whoever has jobs under this address; the answer is the same for all."""
    form = EmailForm(data_for(request))
    if request.method != "POST" or not form.is_valid():
        draw = partial(render, request, "customer/find.html", {"form": form})
        return page_of(request, form=form, draw=draw)
    forget_refused(request)
    now, email = timezone.now(), form.cleaned_data["email"]
    by_address = ratelimit.count_attempt(
        ratelimit.FIND_JOB_BY_ADDRESS, subject=ratelimit.client_address(request), now=now
    )
    if not by_address.is_allowed:
        return too_often(request, attempt=by_address)
    if ratelimit.count_attempt(ratelimit.FIND_JOB_BY_MAILBOX, subject=email, now=now).is_allowed:
        find_job.mail_sign_in_links(email, now=now)
    return redirect("customer:find_sent")


@require_safe
def find_sent(request: HttpRequest) -> HttpResponse:
    """Say that a mail is on its way, if there is anything under that address."""
    return render(request, "customer/find_sent.html", {"minutes": links.SIGN_IN_MINUTES})


@require_safe
def jobs(request: HttpRequest) -> HttpResponse:
    """List the customer's jobs."""
    lines = list_jobs(grant_of(request).customer_id, now=timezone.now())
    return render(request, "customer/jobs.html", {"lines": lines})


def _refused(request: HttpRequest, *, refusal: links.LinkRefused) -> HttpResponse:
    """Return the page of a link that opens nothing, with the way to a new one."""
    context = {"sentence": str(refusal), "form": EmailForm()}
    return render(request, "customer/link_refused.html", context, status=410)


def _let_in(request: HttpRequest, *, link: PrivateLink) -> HttpResponse:
    """Give this browser what the link opens, and lead it to an address without the secret."""
    if link.booking is not None:
        bind_booking(request, link.booking)
        return redirect("customer:book_check" if link.booking.job_id is None else "customer:book_sent")
    if link.customer_id is None:
        nothing = links.LinkRefused(_("There is nothing behind it any more. Ask for a new one below."))
        return _refused(request, refusal=nothing)
    give_grant(request, customer_id=link.customer_id, link_id=link.pk, now=timezone.now())
    if link.job is not None:
        return redirect("customer:job", number=link.job.number)
    lines = customer_jobs.job_lines(link.customer_id)
    if len(lines) == 1:
        return redirect("customer:job", number=lines[0].number)
    return redirect("customer:jobs")
