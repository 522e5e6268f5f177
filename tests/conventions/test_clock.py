"""The time is asked for at the edge and handed down."""

import ast

from tests.conventions.sources import PACKAGES, name_of, python_files, tree_of

CLOCK_CALLS = {
    ("timezone", "now"),
    ("timezone", "localdate"),
    ("datetime", "now"),
    ("datetime", "utcnow"),
    ("datetime", "today"),
    ("date", "today"),
    ("time", "time"),
}
EDGES = ("views", "tasks.py", "management", "middleware.py", "gates.py", "sessions.py", "health.py")


def clock_calls(tree):
    """Yield the line of each call that reads the clock."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
            owner = node.func.value
            owner_name = owner.attr if isinstance(owner, ast.Attribute) else getattr(owner, "id", "")
            if (owner_name, node.func.attr) in CLOCK_CALLS:
                yield node.lineno


def is_edge(path):
    return any(
        part.removesuffix(".py") in {edge.removesuffix(".py") for edge in EDGES} for part in path.parts
    )


def test_only_the_edges_read_the_clock():
    files = python_files(*PACKAGES)
    reading = [
        f"{name_of(path)}:{line}"
        for path in files
        if not is_edge(path)
        for line in clock_calls(tree_of(path))
    ]
    assert reading == []


def test_the_clock_rule_sees_a_reading():
    assert list(clock_calls(ast.parse("from django.utils import timezone\nx = timezone.now()"))) == [2]


def test_time_and_actor_have_no_default():
    lax = []
    for path in python_files("jobs/services", "jobs/domain", "packing"):
        for node in ast.walk(tree_of(path)):
            if isinstance(node, ast.FunctionDef):
                given = [*zip(node.args.kwonlyargs, node.args.kw_defaults, strict=True)]
                lax += [
                    f"{name_of(path)}:{node.lineno} {node.name}"
                    for argument, default in given
                    if argument.arg in {"now", "today", "actor"} and default is not None
                ]
    assert lax == []
