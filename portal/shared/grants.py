"""Which customer is looking? A browser that redeemed a private link carries a grant in its session.

A grant names the customer and the link it came from, ends by itself, and ends at once when the link is
revoked. It opens the customer's own pages and nothing of the shop's.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.apps import apps
from django.conf import settings
from django.http import HttpRequest

SESSION_KEY = "customer_grant"


@dataclass(frozen=True, slots=True)
class CustomerGrant:
    """The right to see one customer's pages, won by one private link, until a moment."""

    customer_id: int
    link_id: int
    until: float


def give_grant(request: HttpRequest, *, customer_id: int, link_id: int, now: datetime) -> CustomerGrant:
    """Return the grant, kept in the session under a new session key.

    Whoever was signed in on this browser is signed out: one browser is one person at a time.
    """
    until = (now + timedelta(days=settings.CUSTOMER_GRANT_DAYS)).timestamp()
    grant = CustomerGrant(customer_id=customer_id, link_id=link_id, until=until)
    if request.user.is_authenticated:
        request.session.flush()
    else:
        request.session.cycle_key()
    request.session[SESSION_KEY] = [customer_id, link_id, until]
    return grant


def current_grant(request: HttpRequest, *, now: datetime) -> CustomerGrant | None:
    """Return the browser's grant, or None when it has none, it is over, or its link was revoked."""
    if settings.SESSION_COOKIE_NAME not in request.COOKIES and not request.session.session_key:
        return None
    kept = request.session.get(SESSION_KEY)
    if not kept:
        return None
    grant = CustomerGrant(*kept)
    if grant.until <= now.timestamp() or not _link_is_open(grant, now=now):
        request.session.pop(SESSION_KEY, None)
        return None
    return grant


def end_grant(request: HttpRequest) -> None:
    """Forget the customer on this browser."""
    request.session.flush()


def _link_is_open(grant: CustomerGrant, *, now: datetime) -> bool:
    links = apps.get_model("jobs", "PrivateLink").objects
    row = links.filter(pk=grant.link_id, customer_id=grant.customer_id, revoked_at=None).first()
    return row is not None and (row.purpose != "job" or row.expires_at is None or row.expires_at > now)
