"""The seeded shop for tests that only look at pages: written once for each module."""

from contextlib import contextmanager

import pytest

from tests.portal.site import seed_site


@contextmanager
def open_for_looking(blocker, *, media):
    """Fill the database for as long as it is looked at, and empty it afterwards."""
    from django.core.management import call_command
    from django.test import override_settings

    with blocker.unblock(), override_settings(MEDIA_ROOT=media):
        yield seed_site()
        call_command("flush", verbosity=0, interactive=False)


@pytest.fixture(scope="module")
def seeded(django_db_setup, django_db_blocker, tmp_path_factory):
    """Return the filled shop; its rows stay until the module's last test."""
    with open_for_looking(django_db_blocker, media=tmp_path_factory.mktemp("media")) as site:
        yield site


@pytest.fixture(autouse=True)
def _own_media(request, settings, tmp_path):
    """Give every test its own folder for photos; tests on the seeded shop share that shop's folder."""
    if "seeded" not in request.fixturenames:
        settings.MEDIA_ROOT = tmp_path / "media"
