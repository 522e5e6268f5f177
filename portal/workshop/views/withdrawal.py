"""Withdrawing a photo that should not be there, after it was said what that means."""

from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods

from jobs.domain.stages import EventKind, Role
from jobs.models import Photo
from jobs.selectors import receiving
from jobs.services import photo_withdrawal
from portal.workshop.forms.staff import WithdrawForm, WithdrawTheirsForm
from portal.workshop.pages import photo_views
from portal.workshop.views._acting import METHODS, Page, enter, find_or_404


@require_http_methods(METHODS)
def withdraw_photo(request: HttpRequest, number: str, reference: UUID) -> HttpResponse:
    """Withdraw one photo of a job, with the reason; who comes back to it afterwards is told so."""
    seen = find_or_404(request, number)
    photo = receiving.photo_ever_of(seen.job, reference=reference)
    if photo is None:
        raise Http404
    if photo.withdrawn_at is not None:
        messages.info(request, _("This photo is withdrawn already."))
        return redirect("workshop:job", number)
    is_customers = photo.by_role == Role.CUSTOMER.value
    (shown,) = photo_views((photo,), title=_("From the customer") if is_customers else _("Taken here"))
    form_class = WithdrawTheirsForm if is_customers else WithdrawForm
    page = Page(
        title=_("Withdraw a photo"),
        button=_("Withdraw it and delete its file"),
        done=_("Withdrawn. Its file is deleted; the log keeps your reason."),
        lead=_(
            "For a photo of another unit, or with a person in it. Nobody sees it any more, and there is no "
            "way back. Back-ups made until now keep it until they are cleared away."
        ),
        cautions=_what_it_costs(photo, is_customers=is_customers),
        stops=True,
        template="workshop/withdraw_photo.html",
        more={"photo": shown},
    )
    return enter(
        request,
        seen,
        kind=EventKind.PHOTO_WITHDRAWN,
        page=page,
        make_form=lambda data: form_class(data, job=seen.job),
        send=lambda form, sent: photo_withdrawal.withdraw_shown(
            number, photo=reference, reason=form.cleaned_data["text"], **sent
        ),
    )


def _what_it_costs(photo: Photo, *, is_customers: bool) -> tuple[str, ...]:
    """Return what goes with the photo: marks that lie on it, and proof for the carrier."""
    said = []
    count = receiving.marks_on(photo)
    if count:
        marks = ngettext(
            "%d mark lies on it. The mark stays, and says that its photo was withdrawn.",
            "%d marks lie on it. They stay, and say that their photo was withdrawn.",
            count,
        )
        said.append(marks % count)
    if is_customers:
        said.append(
            _("The customer sent it, and reads on their page that you withdrew it. No mail goes out.")
        )
    elif photo.role in receiving.PROOF_ROLES:
        said.append(_("It is proof of how the box came. Take it again if carton and unit are as they were."))
    return tuple(said)
