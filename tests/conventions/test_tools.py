"""The checkers that read the whole project are part of its tests."""

import subprocess
import sys

import pytest

from tests.conventions.sources import ROOT


def run(*command):
    return subprocess.run(
        [sys.executable, "-m", *command], cwd=ROOT, capture_output=True, text=True, check=False
    )


def test_the_code_is_clean():
    checked = run("ruff", "check", "--no-cache", ".")
    assert checked.returncode == 0, checked.stdout


def test_the_code_is_laid_out_alike():
    checked = run("ruff", "format", "--check", "--no-cache", ".")
    assert checked.returncode == 0, checked.stdout


@pytest.mark.slow
def test_the_types_fit():
    checked = run("mypy")
    assert checked.returncode == 0, checked.stdout + checked.stderr
