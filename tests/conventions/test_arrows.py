"""Who may import whom."""

import subprocess
import sys

import pytest

from tests.conventions.sources import PURE_FILES, PURE_FOLDERS, ROOT, name_of, pure_files

BLOCKED = """
import importlib, sys
class Refuse:
    def find_spec(self, name, path=None, target=None):
        if name.split(".")[0] in {"django", "celery", "PIL", "crispy_forms", "redis", "psycopg"}:
            raise ImportError(f"a pure part imports {name}")
sys.meta_path.insert(0, Refuse())
names = sys.argv[1:]
for name in names:
    importlib.import_module(name)
print(len(names))
"""


def test_import_contracts_are_kept():
    run = subprocess.run(
        [
            sys.executable,
            "-c",
            "from importlinter.cli import lint_imports_command; lint_imports_command()",
            "--no-cache",
        ],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert run.returncode == 0, run.stdout + run.stderr


def test_pure_parts_load_without_the_framework():
    modules = [
        name_of(path).removesuffix(".py").removesuffix("/__init__").replace("/", ".") for path in pure_files()
    ]
    run = subprocess.run(
        [sys.executable, "-c", BLOCKED, *modules], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert run.returncode == 0, run.stderr
    assert int(run.stdout) == len(modules) > len(PURE_FILES)


@pytest.mark.parametrize("folder", PURE_FOLDERS)
def test_every_pure_folder_has_files(folder):
    assert any(name_of(path).startswith(folder) for path in pure_files())
