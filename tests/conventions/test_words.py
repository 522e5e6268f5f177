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
