"""How Django finds the people who may sign in."""

from django.apps import AppConfig


class AccountsConfig(AppConfig):
    """People of the shop, how they sign in, and the counters that slow guessing."""

    default_auto_field = "django.db.models.BigAutoField"
    name = "portal.accounts"
    verbose_name = "People"
