"""How Django finds the jobs package."""

from django.apps import AppConfig


class JobsConfig(AppConfig):
    """The job and its history."""

    default_auto_field = "django.db.models.BigAutoField"
    name = "jobs"
    verbose_name = "Jobs"
