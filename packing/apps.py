"""How Django finds the packing package."""

from django.apps import AppConfig


class PackingConfig(AppConfig):
    """The unit and its parcel."""

    default_auto_field = "django.db.models.BigAutoField"
    name = "packing"
    verbose_name = "Packing"
