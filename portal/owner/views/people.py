"""Who signs in to the shop's pages, and who may open what?"""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from portal.accounts import people as accounts
from portal.accounts.models import User
from portal.accounts.people import PeopleError
from portal.accounts.roles import ROLE_LABELS, Role
from portal.owner.forms import ChangePersonForm, NewPersonForm
from portal.owner.navigation import page


@require_safe
def people(request: HttpRequest) -> HttpResponse:
    """Show everybody who signs in."""
    listed = [(person, str(ROLE_LABELS[Role(person.role)])) for person in User.objects.order_by("name")]
    return render(request, "owner/people.html", page("people", people=listed))


@require_http_methods(["GET", "HEAD", "POST"])
def new(request: HttpRequest) -> HttpResponse:
    """Add a person."""
    form = NewPersonForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data
        try:
            person = accounts.add_person(given["email"], name=given["name"], role=Role(given["role"]))
        except PeopleError as refusal:
            form.add_error("email", str(refusal))
        else:
            messages.success(request, _("%(name)s can sign in now.") % {"name": person.name})
            return redirect("owner:people")
    return render(request, "owner/person.html", page("people", form=form, person=None))


@require_http_methods(["GET", "HEAD", "POST"])
def person(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a person's name, what they may open, and whether they may sign in."""
    somebody = get_object_or_404(User, pk=pk)
    present = {"name": somebody.name, "role": somebody.role, "is_active": somebody.is_active}
    form = ChangePersonForm(request.POST if request.method == "POST" else None, initial=present)
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data
        try:
            accounts.change_person(
                somebody, name=given["name"], role=Role(given["role"]), is_active=given["is_active"]
            )
        except PeopleError as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, _("%(name)s is changed.") % {"name": given["name"]})
            return redirect("owner:people")
    return render(request, "owner/person.html", page("people", form=form, person=somebody))


@require_POST
def end_sessions(request: HttpRequest, pk: int) -> HttpResponse:
    """Sign a person out everywhere."""
    somebody = get_object_or_404(User, pk=pk)
    accounts.end_sessions(somebody)
    messages.success(request, _("%(name)s is signed out everywhere.") % {"name": somebody.name})
    return redirect("owner:people")
