"""What is every page made of? Each component once, for those who build pages."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from portal.owner.samples import style_sample


@require_safe
def styleguide(request: HttpRequest) -> HttpResponse:
    """Show the components with sample content."""
    return render(request, "owner/styleguide.html", style_sample(today=timezone.localdate()))
