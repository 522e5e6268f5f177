"""How Django finds the website package."""

from django.apps import AppConfig


class PortalConfig(AppConfig):
    """The website: addresses, pages and people."""

    name = "portal"
    verbose_name = "Portal"
