"""Where does the signing key come from when nobody gave one? It is made once, at the first run."""

import os
import secrets
import stat
from pathlib import Path

from django.core.exceptions import ImproperlyConfigured

KEY_BYTES = 48


def read_or_make_secret_key(path: Path) -> str:
    """Return the signing key kept in `path`; the first process to ask makes it.

    The key is written whole to a file of its own and then linked to its name, which only one process
    can do: processes that start together agree on one key, and none reads half of one.

    Raises: ImproperlyConfigured when other accounts of the machine can read the file, or it is too short.
    """
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    if not path.exists():
        _make(path)
    mode = stat.S_IMODE(path.stat().st_mode)
    if mode & 0o077:
        raise ImproperlyConfigured(
            f"{path} can be read by other accounts (mode {mode:03o}): run `chmod 600` on it, "
            "or delete it to have a new key made, which signs everybody out."
        )
    key = path.read_text(encoding="ascii").strip()
    if len(key) < KEY_BYTES:
        raise ImproperlyConfigured(f"{path} holds too short a key: delete it to have a new one made.")
    return key


def _make(path: Path) -> None:
    draft = path.with_name(f".{path.name}.{secrets.token_hex(8)}")
    descriptor = os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    try:
        with os.fdopen(descriptor, "w", encoding="ascii") as file:
            file.write(secrets.token_urlsafe(KEY_BYTES))
            file.flush()
            os.fsync(file.fileno())
        try:
            os.link(draft, path)
        except FileExistsError:
            return
    finally:
        draft.unlink()
