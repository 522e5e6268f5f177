"""What the tests run on: fixed values, quick hashing, and the same database rules as in use.

`TEST_DATABASE_URL` runs the same tests on PostgreSQL, `TEST_REDIS_URL` those that need a broker.
"""

import os
import tempfile
from pathlib import Path
from urllib.parse import urlsplit

from portal.settings import database
from portal.settings.base import *
from portal.settings.base import BASE_DIR, TEMPLATES

SECRET_KEY = "a fixed key of no worth, long enough for the checks of the framework"  # noqa: S105
SECRET_KEY_FALLBACKS = []
DEBUG = False
SITE_URL = "http://testserver"
CSRF_TRUSTED_ORIGINS = [SITE_URL]
ALLOWED_HOSTS = ["testserver", "localhost", "127.0.0.1"]
TRUSTED_PROXIES = 0
DEFAULT_FROM_EMAIL = "counter@quillfeather.example"
SHOP_TIME_ZONE = TIME_ZONE = "Europe/London"
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"

# Everything that a run writes lies in one folder of its own, so that runs beside each other do not meet.
# tests/conftest.py makes the folder and takes it away.
RUN_DIR = Path(tempfile.gettempdir()) / f"sheet-tests-{os.getuid()}-{os.getpid()}"
DATA_DIR = RUN_DIR
MEDIA_ROOT = RUN_DIR / "media"
STATIC_ROOT = RUN_DIR / "static"
BACKUP_DIR = RUN_DIR / "backups"
BACKUP_NIGHTLY = False
EMAIL_FILE_PATH = str(RUN_DIR / "mail")
STATICFILES_DIRS = [BASE_DIR / "static"]
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}

_address = os.environ.get("TEST_DATABASE_URL") or os.environ.get("DATABASE_URL", "")
if _address:
    DATABASES = {"default": database.postgresql_at(urlsplit(_address))}
else:
    # A file, not memory: threads must meet each other's locks as they do in use. OFF spares the disk.
    DATABASES = {"default": database.sqlite_at(RUN_DIR / "unused.sqlite3", synchronous="OFF")}
    DATABASES["default"]["TEST"] = {"NAME": str(RUN_DIR / "tests.sqlite3")}
DATABASES["default"]["CONN_MAX_AGE"] = 0

REDIS_URL = os.environ.get("TEST_REDIS_URL", "")
CELERY_BROKER_URL = REDIS_URL or "memory://"


class UndefinedVariable(str):
    """Stands where a template names a variable that nobody gave it, and refuses to be printed."""

    __slots__ = ()

    def __contains__(self, part: object) -> bool:
        """Say that the name goes in here, which makes the template engine call `%`."""
        return part == "%s"

    def __mod__(self, name: object) -> str:
        """Raise with the name of the variable."""
        raise AssertionError(f"The template uses {name}, which is not in its context.")


TEMPLATES[0]["OPTIONS"]["string_if_invalid"] = UndefinedVariable("%s")  # type: ignore[index]
