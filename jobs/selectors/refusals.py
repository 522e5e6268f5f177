"""Why could the last forecast work nothing out, and does that still hold?"""

from django.utils.translation import gettext as _

from jobs.models import ForecastRun, ShopRevision


def refusal_of(run: ForecastRun | None) -> str:
    """Return why this run could work nothing out, "" where it could, or that a newer one is on its way."""
    said = str(run.overview.get("refusal", "")) if run else ""
    if run and said and ShopRevision.objects.filter(published_at__gt=run.computed_at).exists():
        return _("Something was published since dates were last worked out. Look again in a minute or two.")
    return said


def last_refusal() -> str:
    """Return why the last run could work nothing out, or "": what is stored then is out of date."""
    return refusal_of(ForecastRun.objects.order_by("-computed_at").only("overview", "computed_at").first())
