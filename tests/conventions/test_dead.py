"""What nobody calls is not kept: a function that only tests call promises what no page keeps."""

import ast
import re
from collections import Counter

from tests.conventions.sources import PACKAGES, ROOT, name_of, python_files, templates, tree_of

WORD = re.compile(r"[A-Za-z_][A-Za-z0-9_]*")
FOR_HANDS_AND_TESTS = {
    "refresh_all": "every part of the outlook at one go, which the worker takes one by one",
    "measure_coverage": "how good forecasts were, which the tests judge them by",
    "score_crps": "the same",
    "score_crps_normal": "the same",
}
# Formulas of the parcel and of the trade stay beside their kin: they are checked against published figures.
FORMULAS = ("packing/",)
OF_THE_FORM_PACK = "templates/sheet/"
"""These are asked for by the form library, by names of its own."""


def words_of_the_product():
    """Return how often each word stands in the code and the templates, tests left out."""
    counted = Counter()
    for path in [*python_files(*PACKAGES), *templates()]:
        counted.update(WORD.findall(path.read_text("utf-8")))
    return counted


def test_every_function_is_called_by_the_product():
    words = words_of_the_product()
    found = [
        (path, node.name)
        for path in python_files(*PACKAGES)
        if not name_of(path).startswith(FORMULAS)
        for node in tree_of(path).body
        if isinstance(node, ast.FunctionDef) and not node.decorator_list
    ]
    assert len(found) > 1000
    dead = [
        f"{name_of(path)} {name}"
        for path, name in found
        if words[name] < 2 and name not in FOR_HANDS_AND_TESTS
    ]
    assert dead == []
    assert FOR_HANDS_AND_TESTS.keys() <= {name for _, name in found}


def text_constants():
    """Return every string of the product's code."""
    return {
        node.value
        for path in python_files(*PACKAGES)
        for node in ast.walk(tree_of(path))
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
    }


def test_every_template_is_named_by_what_shows_it():
    texts = {path: path.read_text("utf-8") for path in [*python_files(*PACKAGES), *templates()]}
    constants = text_constants()
    found = [path for path in templates() if not name_of(path).startswith(OF_THE_FORM_PACK)]
    assert len(found) > 100
    dead = []
    for path in found:
        whole = path.relative_to(ROOT / "templates").as_posix()
        # A mail's folder, a question's page and a list's page are named by one word of the code.
        part = path.parent.name if path.stem == "body" else path.stem.removeprefix("book_")
        if part not in constants and not any(whole in text for other, text in texts.items() if other != path):
            dead.append(whole)
    assert dead == []
