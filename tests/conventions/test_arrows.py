"""Who may import whom."""

import ast
import re
import subprocess
import sys

import pytest

from tests.conventions.sources import (
    PURE_FILES,
    PURE_FOLDERS,
    ROOT,
    name_of,
    pure_files,
    python_files,
    tree_of,
)

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


def imports_of(path):
    """Return the dotted names a file imports, what is taken from a package included."""
    names = set()
    for node in ast.walk(tree_of(path)):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        if isinstance(node, ast.ImportFrom) and node.module:
            names |= {node.module} | {f"{node.module}.{alias.name}" for alias in node.names}
    return names


def test_services_know_no_pages_and_never_call_each_other():
    services = [path for path in python_files("jobs/services") if path.name != "__init__.py"]
    public = {f"jobs.services.{path.stem}" for path in services if not path.stem.startswith("_")}
    pages = {"django.http", "django.forms", "django.shortcuts", "django.template", "django.urls"}
    knots = {name_of(path): imports_of(path) & (public | pages) for path in services}
    assert {name: found for name, found in knots.items() if found} == {}


COMPOSE = "jobs/messages/compose.py"
"""A mail makes its private link as it is rendered: the one way from a service to another."""


def test_no_service_reaches_another_through_what_it_calls():
    between = python_files("jobs/domain", "jobs/leadtime", "jobs/messages", "jobs/models", "jobs/photos")
    found = {
        name_of(path): sorted(name for name in imports_of(path) if name.startswith("jobs.services"))
        for path in [*between, *python_files("jobs/selectors")]
    }
    assert {name: names for name, names in found.items() if names} == {
        COMPOSE: ["jobs.services", "jobs.services.links"]
    }


def test_the_developers_page_names_what_services_share():
    shared = {path.name for path in python_files("jobs/services") if re.match(r"_[a-z]", path.name)}
    page = (ROOT / "DEVELOPERS.md").read_text("utf-8")
    assert len(shared) > 3
    assert {name for name in shared if f"`{name}`" not in page} == set()
    assert set(re.findall(r"`(_[a-z]+\.py)`", page)) == shared


def test_every_address_of_the_developers_page_leads_somewhere():
    page = (ROOT / "DEVELOPERS.md").read_text("utf-8")
    linked = re.findall(r"\]\(([^)#]+)\)", page)
    assert len(linked) > 8
    assert [address for address in linked if not (ROOT / address).exists()] == []


def test_services_take_what_they_concern_first_and_the_rest_by_name():
    public = [
        (path, node)
        for path in [*python_files("jobs/services"), ROOT / "packing/services.py"]
        if not path.name.startswith("_")
        for node in tree_of(path).body
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_")
    ]
    assert len(public) > 50
    assert [f"{name_of(path)} {node.name}" for path, node in public if len(node.args.args) > 1] == []


def test_forms_and_views_never_write_rows_themselves():
    writing = ("save", "create", "bulk_create", "update", "delete", "get_or_create", "update_or_create")
    found = []
    for path in python_files("portal/customer", "portal/workshop", "portal/owner"):
        for node in ast.walk(tree_of(path)):
            is_call = isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute)
            if is_call and node.func.attr in writing and "objects" in ast.unparse(node.func.value):
                found.append(f"{name_of(path)}:{node.lineno}")
    assert found == []


@pytest.mark.parametrize("folder", PURE_FOLDERS)
def test_every_pure_folder_has_files(folder):
    assert any(name_of(path).startswith(folder) for path in pure_files())
