"""The jobs app: jobs, their history, messages and photos."""

from django.apps import AppConfig


class JobsConfig(AppConfig):
    """Settings of the app."""

    name = "jobs"
    label = "jobs"
