"""What does a back-up hold? A list of its files with their SHA-256, and how many rows each table had."""

import hashlib
import json
from dataclasses import dataclass
from datetime import datetime
from enum import Enum
from pathlib import Path

from jobs.backups.errors import BackupDamaged
from packing.errors import CatalogueError
from packing.plain import from_plain, to_plain

MANIFEST = "manifest.json"
MEDIA = "media"
FORM = 1


class Engine(Enum):
    """The database that the back-up was taken from, and can be put back into."""

    SQLITE = "sqlite"
    POSTGRESQL = "postgresql"


class Photos(Enum):
    """Where the photos are: in the back-up, or still in the bucket, which has copies of its own."""

    HERE = "here"
    BUCKET = "bucket"


@dataclass(frozen=True, slots=True)
class KeptFile:
    """One file, by its path inside the back-up."""

    path: str
    size_bytes: int
    sha256: str


@dataclass(frozen=True, slots=True)
class Manifest:
    """A back-up: when it was made, of what, and what has to be in it."""

    form: int
    made_at: datetime
    engine: Engine
    photos: Photos
    migrations: tuple[str, ...]
    rows: dict[str, int]
    files: tuple[KeptFile, ...]


def describe_file(path: Path, *, within: Path) -> KeptFile:
    """Return the file's path inside the back-up, its size and its SHA-256."""
    with path.open("rb") as file:
        digest = hashlib.file_digest(file, "sha256").hexdigest()
    return KeptFile(path.relative_to(within).as_posix(), path.stat().st_size, digest)


def write_manifest(manifest: Manifest, *, folder: Path) -> None:
    """Write the list into the back-up, readable by its owner only."""
    text = json.dumps(to_plain(manifest), indent=1, sort_keys=True)
    file = folder / MANIFEST
    file.touch(mode=0o600)
    file.write_text(text, encoding="utf-8")


def read_manifest(folder: Path) -> Manifest:
    """Return the list of a back-up. Raises: BackupDamaged when there is none that can be read."""
    try:
        data = json.loads((folder / MANIFEST).read_text(encoding="utf-8"))
        manifest = from_plain(Manifest, data)
    except FileNotFoundError as error:
        raise BackupDamaged(f"{folder} holds no {MANIFEST}: name the folder of one back-up.") from error
    except (OSError, ValueError, CatalogueError) as error:
        raise BackupDamaged(f"The {MANIFEST} in {folder} cannot be read: use another back-up.") from error
    if manifest.form != FORM:
        raise BackupDamaged(f"{folder} was made by a newer version: bring this one up to date first.")
    return manifest


def check_files(manifest: Manifest, *, folder: Path) -> None:
    """Compare every file with the list. Raises: BackupDamaged naming the first that differs."""
    for kept in manifest.files:
        path = folder / kept.path
        if not path.resolve().is_relative_to(folder.resolve()):
            raise BackupDamaged(f"The list names {kept.path}, which lies outside the back-up: use another.")
        if not path.is_file():
            raise BackupDamaged(f"{kept.path} is missing from the back-up: use another one.")
        if describe_file(path, within=folder) != kept:
            raise BackupDamaged(f"{kept.path} is not what was backed up: use another back-up.")
