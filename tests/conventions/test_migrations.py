"""Migrations match the models, stand alone, and carry names that say what they do."""

import ast
import re
from io import StringIO

import pytest
from django.core.management import call_command

from tests.conventions.sources import PACKAGES, ROOT, name_of

OURS = set(PACKAGES)


def migrations():
    found = [
        path
        for package in PACKAGES
        for path in (ROOT / package).rglob("migrations/*.py")
        if path.name != "__init__.py"
    ]
    assert found
    return sorted(found)


@pytest.mark.django_db
def test_no_model_has_changed_without_a_migration():
    said = StringIO()
    try:
        call_command("makemigrations", "--check", "--dry-run", stdout=said, stderr=said)
    except SystemExit:
        pytest.fail(said.getvalue())


@pytest.mark.parametrize("path", migrations(), ids=name_of)
def test_a_migration_imports_nothing_of_ours(path):
    imported = set()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            imported |= {alias.name.split(".")[0] for alias in node.names}
        if isinstance(node, ast.ImportFrom):
            imported.add((node.module or "").split(".")[0])
    assert imported & OURS == set()


@pytest.mark.parametrize("path", migrations(), ids=name_of)
def test_a_migration_is_named_by_hand(path):
    assert not re.search(r"_auto_|_alter_.*_and_more|\d{8}", path.stem), path.stem
