"""Numbers carry their unit in their name, and modules are nouns."""

import ast
import re

from tests.conventions.sources import PACKAGES, name_of, pure_files, python_files, tree_of

UNITS = (
    "mm m cm in ft mm2 m2 mm3 m3 litres l ml kg g gn lb oz n kn n_m kn_m pa kpa mpa j kg_m3 g_m2 n_mm kg_m2 "
    "s ms minutes hours days weeks years hz m_s rpm per_day per_hour per_week "
    "share ratio factor count score probability quantile percent log weight level c deg bits pence pounds "
    "h psi cm2 cm3 lb_msf m3_kj sd units shares per_mm levels squared weeks_ahead"
)
UNIT_SUFFIXES = tuple(f"_{unit}" for unit in UNITS.split())
WHOLE = (
    "share ratio factor score probability quantile weight x y z dx dy value least most low high p q u w "
    "coverage scale median mean sd level levels quantiles residuals cumulative sample actual required "
    "reading observed effort hours days litres units per_week shares samples"
)
WHOLE_NAMES = set(WHOLE.split()) | {"readings", "ratios", "parts", "likely", "latest", "rework_effort"}
# On a drawing sheet every place is in sheet units, as packing/drawing/shapes.py says.
PLACES = "start end points inside height heights at from_x from_y top floor first ends limit"
SHEET_PLACES = set(PLACES.split())
NOT_NOUNS = {
    "utils",
    "util",
    "helpers",
    "helper",
    "common",
    "manager",
    "managers",
    "misc",
    "base_utils",
    "process",
    "data",
}


def is_float(annotation):
    """Say whether a value is a float or holds floats; what a function returns says its own name."""
    names = {node.id for node in ast.walk(annotation or ast.Pass()) if isinstance(node, ast.Name)}
    return "float" in names and "Callable" not in names


def floats_of(tree):
    """Yield (line, name) of each float parameter and each float field."""
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef):
            arguments = [*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs]
            yield from (
                (argument.lineno, argument.arg) for argument in arguments if is_float(argument.annotation)
            )
        if isinstance(node, ast.ClassDef):
            fields = [part for part in node.body if isinstance(part, ast.AnnAssign)]
            yield from (
                (part.lineno, part.target.id)
                for part in fields
                if isinstance(part.target, ast.Name) and is_float(part.annotation)
            )


def has_unit(name):
    stem = re.sub(r"_(x|y|z|low|high|least|most|min|max)$", "", name)
    whole = {name.strip("_"), stem} & WHOLE_NAMES
    return whole or name.endswith(UNIT_SUFFIXES) or stem.endswith(UNIT_SUFFIXES)


def test_every_float_of_the_pure_parts_names_its_unit():
    found = [(path, line, name) for path in pure_files() for line, name in floats_of(tree_of(path))]
    assert len(found) > 30
    bare = [
        f"{name_of(path)}:{line} {name}"
        for path, line, name in found
        if not has_unit(name) and not (path.parent.name == "drawing" and name in SHEET_PLACES)
    ]
    assert not bare, "\n".join(bare)


def test_the_unit_rule_sees_a_bare_number():
    tree = ast.parse("def f(*, thickness: float, mass_kg: float): ...")
    assert [name for _, name in floats_of(tree) if not has_unit(name)] == ["thickness"]


def test_modules_are_nouns_of_the_trade():
    vague = [name_of(path) for path in python_files(*PACKAGES) if path.stem in NOT_NOUNS]
    assert not vague
