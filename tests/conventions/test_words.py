"""Sentences for people are plain: they say what to do, and use our own words."""

import ast
import re

from tests.conventions.sources import PACKAGES, ROOT, known_files, name_of, python_files, tree_of

BANNED = re.compile(r"\b(please|sorry|oops|ticket|tickets|kanban|RMA|RMAs)\b", re.IGNORECASE)
ACCUSING = re.compile(r"\b(invalid|illegal)\b", re.IGNORECASE)
NOT_OURS = re.compile(r"/(home|root|Users)/\w+|/work/\w+")


def sentences(tree):
    """Yield (line, text) of each string that reads as words for people."""
    docstrings = {
        id(node.body[0].value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Module | ast.FunctionDef | ast.ClassDef)
        and node.body
        and isinstance(node.body[0], ast.Expr)
    }
    for node in ast.walk(tree):
        is_words = (
            isinstance(node, ast.Constant) and isinstance(node.value, str) and " " in node.value.strip()
        )
        if is_words and id(node) not in docstrings:
            yield node.lineno, node.value


def test_sentences_for_people_are_plain():
    found = [
        (path, line, text) for path in python_files(*PACKAGES) for line, text in sentences(tree_of(path))
    ]
    assert len(found) > 100
    rude = [
        f"{name_of(path)}:{line} {text!r}"
        for path, line, text in found
        if BANNED.search(text) or (ACCUSING.search(text) and text[:1].isupper())
    ]
    assert rude == []


def test_no_file_names_a_place_on_somebodys_machine():
    text_suffixes = {".py", ".md", ".toml", ".html", ".txt", ".css", ".js", ".ini", ".json"}
    naming = [
        name_of(path)
        for path in known_files()
        if path.suffix in text_suffixes
        and path != ROOT / "tests/conventions/test_words.py"
        and NOT_OURS.search(path.read_text("utf-8"))
    ]
    assert naming == []


TRANSLATING = {"_", "_t", "gettext", "gettext_lazy", "ngettext", "ngettext_lazy"}
FOR_DEVELOPERS = {"ChartError", "ForeignAddress", "LookupError", "Limit", "execute"}
"""What these say is read in a fault's report or by the code, and never stands on a page."""
NOT_PAGES = (
    "portal/settings/",  # named at the start of the site, on the machine
    "portal/owner/samples.py",  # invented words of the style guide
    "portal/owner/chart_samples.py",
)
SENTENCE = re.compile(r"\b[\w'’-]{2,}[ ,]+[\w'’-]+[ ,]+[a-z'’-]{2,}\b|[a-z’'] [a-z’']+\.$")
"""Three words, or two with a full stop."""


def called(node):
    return getattr(node.func, "id", "") or getattr(node.func, "attr", "")


def untranslated(tree):
    """Yield (line, text) of each string that reads as a sentence and is not looked up in the translations."""
    passed = {
        id(part)
        for node in ast.walk(tree)
        if isinstance(node, ast.Call) and called(node) in TRANSLATING | FOR_DEVELOPERS
        for part in ast.walk(node)
    }
    for node in ast.walk(tree):
        is_bare = isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
        passed |= {id(node.value)} if is_bare else set()  # docstrings, and those below a constant
    for line, text in (
        (node.lineno, node.value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in passed
    ):
        if SENTENCE.search(text) and "<" not in text:
            yield line, text


def test_what_people_read_is_looked_up_in_the_translations():
    files = [path for path in python_files("portal") if not name_of(path).startswith(NOT_PAGES)]
    assert len(files) > 100
    found = [
        f"{name_of(path)}:{line} {text!r}" for path in files for line, text in untranslated(tree_of(path))
    ]
    assert found == []


def test_the_translation_rule_sees_a_bare_sentence():
    tree = ast.parse(
        'raise LinkRefused(f"This link is older than {minutes} minutes.")\nsay(_("All is well."))'
    )
    assert [text for _, text in untranslated(tree)] == ["This link is older than "]
