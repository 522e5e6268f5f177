"""How does a person of the shop sign in from a mail? By a link that works once, here, for ten minutes.

Opening the link changes nothing, since mail scanners open links too: the page shows a button, and the
button redeems. Only the SHA-256 of a token is kept; a token has 256 bits, so a plain hash is enough.
"""

import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta
from hashlib import sha256

from django.conf import settings
from django.db import transaction
from django.utils.translation import gettext as _

from portal.accounts.kept_forms import SEALED_MOST_SIGNS
from portal.accounts.models import SignInLink, User

KEEP_DAYS = 2


class LinkRefused(Exception):
    """The link does not sign anybody in; its text says what to do."""


@dataclass(frozen=True, slots=True)
class AskedLink:
    """What came of asking: the two secrets, and whom to mail; `person` is None for an unknown address."""

    link_id: int
    token: str
    browser_secret: str
    person: User | None


def ask_for_link(email: str, *, now: datetime, kept: str = "") -> AskedLink:
    """Return a new link for the person with this address, whose former links stop working.

    An unknown address gets a row too, so that asking takes the same time and tells nothing. What its page
    sealed as `kept` waits beside the link of a known one; what is longer was sealed by no page of ours.
    """
    token, browser_secret = secrets.token_urlsafe(32), secrets.token_urlsafe(32)
    person = User.objects.filter(email=email.strip().lower(), is_active=True).first()
    with transaction.atomic():
        forget_links(now=now)
        former = SignInLink.objects.filter(user=person, user__isnull=False, used_at=None)
        former.update(used_at=now, kept="")
        row = SignInLink.objects.create(
            user=person,
            token_sha256=_hashed(token),
            browser_sha256=_hashed(browser_secret),
            asked_at=now,
            expires_at=now + timedelta(minutes=settings.SIGN_IN_LINK_MINUTES),
            kept=kept if person and len(kept) <= SEALED_MOST_SIGNS else "",
        )
    return AskedLink(link_id=row.pk, token=token, browser_secret=browser_secret, person=person)


def redeem_link(token: str, *, browser_secret: str, now: datetime) -> User:
    """Return the person whom the link signs in, and use it up; of many at once exactly one succeeds.

    Raises: LinkRefused when the link is used, too old, unknown, or was asked for in another browser.
    """
    link = SignInLink.objects.filter(token_sha256=_hashed(token)).select_related("user").first()
    if link is None or link.user is None or not link.user.is_active:
        raise LinkRefused(
            _("This link is not complete. Copy the whole address from the mail, or ask for a new link.")
        )
    if link.used_at is not None:
        raise LinkRefused(_("This link has been used or replaced by a newer one. Ask for a new link."))
    if link.expires_at <= now:
        raise LinkRefused(
            _("This link is older than %(minutes)d minutes. Ask for a new link.")
            % {"minutes": settings.SIGN_IN_LINK_MINUTES}
        )
    if not secrets.compare_digest(link.browser_sha256, _hashed(browser_secret)):
        raise LinkRefused(
            _(
                "This link was asked for in another browser. Open it in the browser where you asked, or ask "
                "for a new link here."
            )
        )
    taken = SignInLink.objects.filter(pk=link.pk, used_at=None, expires_at__gt=now).update(used_at=now)
    if taken != 1:
        raise LinkRefused(_("This link has been used or replaced by a newer one. Ask for a new link."))
    return link.user


def take_kept(token: str) -> str:
    """Return the form that waits beside the link, once; "" when none does."""
    link = SignInLink.objects.filter(token_sha256=_hashed(token)).first()
    if link is None or not link.kept:
        return ""
    SignInLink.objects.filter(pk=link.pk).update(kept="")
    return link.kept


def forget_links(*, now: datetime) -> None:
    """Delete the links of some days ago, and of those that are over the form that waited beside them."""
    SignInLink.objects.filter(expires_at__lt=now - timedelta(days=KEEP_DAYS)).delete()
    SignInLink.objects.filter(expires_at__lte=now).exclude(kept="").update(kept="")


def _hashed(secret: str) -> str:
    return sha256(secret.encode()).hexdigest()
