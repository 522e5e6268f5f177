"""The default: a demonstration or a developer's desk, on this machine, with nothing to set up."""

from portal.settings.base import *
from portal.settings.base import DATA_DIR, SECRET_KEY
from portal.settings.secret import read_or_make_secret_key

DATA_DIR.mkdir(mode=0o700, parents=True, exist_ok=True)
if not SECRET_KEY:
    SECRET_KEY = read_or_make_secret_key(DATA_DIR / "secret_key")
