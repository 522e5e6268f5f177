"""Which files do the conventions speak of?"""

import ast
import subprocess
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PACKAGES = ("packing", "jobs", "portal")
PURE_FOLDERS = (
    "packing/catalogue",
    "packing/identify",
    "packing/strip",
    "packing/parcel",
    "packing/drawing",
    "jobs/domain",
    "jobs/leadtime",
)
PURE_FILES = ("packing/quantities.py", "packing/plain.py", "packing/errors.py")


@cache
def known_files() -> frozenset[Path]:
    """Return the files that belong to the project: tracked, or new and not ignored."""
    listed = subprocess.run(
        ["git", "-c", "safe.directory=*", "ls-files", "--cached", "--others", "--exclude-standard"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    ).stdout
    return frozenset(ROOT / line for line in listed.splitlines() if (ROOT / line).is_file())


def python_files(*folders: str) -> list[Path]:
    """Return the Python files below the folders, migrations left out, in order."""
    found = [
        path
        for folder in folders
        for path in (ROOT / folder).rglob("*.py")
        if "migrations" not in path.parts and path in known_files()
    ]
    assert found, f"no Python file below {folders}"
    return sorted(found)


def pure_files() -> list[Path]:
    """Return the files of the pure parts."""
    return python_files(*PURE_FOLDERS) + [ROOT / name for name in PURE_FILES if (ROOT / name).exists()]


def templates() -> list[Path]:
    """Return every template."""
    found = sorted(
        path for path in (ROOT / "templates").rglob("*") if path.suffix in {".html", ".txt", ".svg"}
    )
    assert found, "no templates"
    return found


@cache
def tree_of(path: Path) -> ast.Module:
    """Return the parsed file."""
    return ast.parse(path.read_text(encoding="utf-8"), filename=str(path))


def name_of(path: Path) -> str:
    """Return the path as it is named in a message."""
    return path.relative_to(ROOT).as_posix()
