"""A shop that customers reach over the internet: refuses to start until the needed settings are there."""

import os
from urllib.parse import urlsplit

from django.core.exceptions import ImproperlyConfigured

from portal.settings.base import *
from portal.settings.base import ALLOWED_HOSTS, DATA_DIR, DEBUG, SECRET_KEY, SITE_URL, TRUSTED_PROXIES
from portal.settings.secret import read_or_make_secret_key

NEEDED = {
    "ALLOWED_HOSTS": "the host names that the site answers to",
    "SITE_URL": "the address of the site, beginning with https://",
    "MAIL_URL": "the mail server that sends to customers",
    "MAIL_FROM": "the sender of the shop's mails",
}

_problems = [f"Set {name}: {what}." for name, what in NEEDED.items() if not os.environ.get(name, "").strip()]
if os.environ.get("SITE_URL", "").strip() and urlsplit(SITE_URL).scheme != "https":
    _problems.append("Let SITE_URL begin with https://, since private links travel over it.")
if "*" in ALLOWED_HOSTS:
    _problems.append("Name the hosts in ALLOWED_HOSTS one by one: * lets a stranger's name into the pages.")
if TRUSTED_PROXIES < 1:
    _problems.append(
        "Set TRUSTED_PROXIES to the number of proxies of your own in front of the site, at least 1: the site"
        " itself speaks plain http, and only a proxy's word tells that a visitor came over https."
    )
if DEBUG:
    _problems.append("Take DEBUG away: it shows the inside of the site to everybody.")
if _problems:
    raise ImproperlyConfigured(" ".join(_problems))

DATA_DIR.mkdir(mode=0o700, parents=True, exist_ok=True)
if not SECRET_KEY:
    SECRET_KEY = read_or_make_secret_key(DATA_DIR / "secret_key")

SECURE_SSL_REDIRECT = True
SECURE_REDIRECT_EXEMPT = [r"^healthz$", r"^readyz$"]
SECURE_HSTS_SECONDS = 365 * 24 * 3600
SECURE_HSTS_INCLUDE_SUBDOMAINS = True
SECURE_HSTS_PRELOAD = True
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
SESSION_COOKIE_SECURE = True
SESSION_COOKIE_NAME = "__Host-sheet"
CSRF_COOKIE_SECURE = True
CSRF_COOKIE_NAME = "__Host-form"
SIGN_IN_COOKIE_NAME = "__Host-asked"
