"""What a packaging engineer reads first: the examples are true, and each formula has its range and source."""

import doctest
import importlib
import inspect
import pkgutil
import re

import pytest

import packing
import packing.parcel
from packing.parcel import board, box, carriers, compression, curve_fit, cushion, drop, fill

PURE = sorted(
    found.name
    for found in pkgutil.walk_packages(packing.__path__, "packing.")
    if not found.ispkg and not re.search(r"\.(models|services|selectors|apps|migrations)\b", found.name)
)
SENTENCES = (str, tuple[str, ...])
FORMULAS = [
    (module.__name__, name)
    for module in (board, box, carriers, compression, curve_fit, cushion, drop, fill)
    for name, item in vars(module).items()
    if inspect.isfunction(item)
    and item.__module__ == module.__name__
    and not name.startswith("_")
    and item.__annotations__["return"] not in SENTENCES
]
EVIDENCE = re.compile(
    r"Source|[Dd]erived|\(physics\)|\(geometry\)|from memory|no published source|judgement|no source|Estimate"
)


def text_of(module, name):
    return inspect.getdoc(getattr(importlib.import_module(module), name)) or ""


def takes_numbers(module, name):
    parameters = inspect.signature(getattr(importlib.import_module(module), name)).parameters.values()
    return any(parameter.annotation in (float, "float") for parameter in parameters)


def test_the_whole_package_is_read():
    assert len(PURE) > 40
    assert len(FORMULAS) > 45


@pytest.mark.parametrize("module", PURE)
def test_every_example_in_a_docstring_is_true(module):
    result = doctest.testmod(importlib.import_module(module))
    assert result.failed == 0


def test_the_examples_are_found():
    modules = (
        "packing.parcel.cushion",
        "packing.parcel.carriers",
        "packing.parcel.board",
        "packing.quantities",
    )
    for module in modules:
        assert doctest.testmod(importlib.import_module(module)).attempted >= 4


@pytest.mark.parametrize(("module", "name"), FORMULAS)
def test_every_computation_says_where_it_comes_from(module, name):
    assert EVIDENCE.search(text_of(module, name)), text_of(module, name)


@pytest.mark.parametrize(("module", "name"), [formula for formula in FORMULAS if takes_numbers(*formula)])
def test_every_computation_of_numbers_tells_its_range_and_its_refusal(module, name):
    text = text_of(module, name)
    assert re.search(r"\bRanges?\b", text), text
    assert "OutOfRange" in text or "refusals as" in text, text
