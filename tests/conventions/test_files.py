"""Files are short, say which question they answer, and lie where the plan says."""

import ast
import subprocess

from tests.conventions.sources import PACKAGES, ROOT, known_files, name_of, python_files, tree_of

LINES_MOST = 350
TOP_LEVEL = {
    "README.md",
    "DEVELOPERS.md",
    "manage.py",
    "requirements.txt",
    "packing",
    "jobs",
    "portal",
    "templates",
    "static",
    "tests",
}
INIT_WITH_CODE = {"jobs/models/__init__.py"}


def test_the_visible_top_level_is_the_agreed_one():
    visible = {path.relative_to(ROOT).parts[0] for path in known_files()}
    assert {name for name in visible if not name.startswith(".")} == TOP_LEVEL


def test_no_file_is_longer_than_agreed():
    lengths = {
        name_of(path): len(path.read_text("utf-8").splitlines()) for path in python_files(*PACKAGES, "tests")
    }
    assert {name: count for name, count in lengths.items() if count > LINES_MOST} == {}


def test_init_files_are_empty():
    inits = [path for path in python_files(*PACKAGES, "tests") if path.name == "__init__.py"]
    full = {name_of(path) for path in inits if path.read_text("utf-8").strip()}
    assert full <= INIT_WITH_CODE


def test_every_folder_of_code_is_a_package():
    folders = {path.parent for path in python_files(*PACKAGES, "tests")}
    assert {name_of(folder) for folder in folders if not (folder / "__init__.py").exists()} == set()


def test_every_module_says_which_question_it_answers():
    silent = [
        name_of(path)
        for path in python_files(*PACKAGES)
        if path.name != "__init__.py" and not ast.get_docstring(tree_of(path))
    ]
    assert silent == []


def test_everything_public_has_a_docstring():
    silent = []
    for path in python_files(*PACKAGES):
        for node in tree_of(path).body:
            is_public = isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.name.startswith("_")
            if is_public and not ast.get_docstring(node) and path.name != "manage.py":
                silent.append(f"{name_of(path)}:{node.lineno} {node.name}")
    assert silent == []


def test_nothing_that_a_run_writes_is_kept_in_the_repository():
    ignored = subprocess.run(
        ["git", "-c", "safe.directory=*", "check-ignore", ".local/site.sqlite3", ".env", ".venv/x"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    ).stdout.split()
    assert ignored == [".local/site.sqlite3", ".env", ".venv/x"]
