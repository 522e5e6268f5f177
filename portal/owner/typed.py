"""How does a whole document become what stands in a form's inputs, and back?

A typed tree has the document's structure with the texts of the inputs in it: a mapping for a group, a list of
mappings for rows, a list of texts for a list. It keeps everything that was typed, readable or not, and goes
into a session as it is. The name of an input is its path, such as `steps-0-waits-1-kind`.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from django.http import QueryDict
from django.utils.text import slugify

from packing.catalogue.fields import FieldShape, Measure, Shape
from packing.plain import Problem
from portal.owner.measures import write

Typed = dict[str, Any]
JOIN = "-"
COUNT = "count"
MOST_ROWS = 200
ROWS_AT_ONCE = {"curve_readings": 3}
NAMING = ("name", "label", "title", "part", "text", "subject", "on")


def from_document(document: Mapping[str, Any], *, shapes: Sequence[FieldShape]) -> Typed:
    """Return the texts that stand for a plain document; fields it leaves out stand at their default."""
    typed: Typed = {}
    for shape in shapes:
        value = document.get(shape.name, shape.default)
        match shape.shape:
            case Shape.GROUP:
                typed[shape.name] = from_document(value or {}, shapes=shape.inner)
            case Shape.ROWS:
                typed[shape.name] = [from_document(row, shapes=shape.inner) for row in value or ()]
            case Shape.LIST:
                item = shape.item or Shape.TEXT
                typed[shape.name] = [write(each, shape=item, measure=shape.measure) for each in value or ()]
            case _:
                typed[shape.name] = write(value, shape=shape.shape, measure=shape.measure)
    return typed


def from_post(post: QueryDict, *, shapes: Sequence[FieldShape], path: str = "") -> Typed:
    """Return what a form sent, as it was typed."""
    typed: Typed = {}
    for shape in shapes:
        name = join(path, shape.name)
        match shape.shape:
            case Shape.GROUP:
                typed[shape.name] = from_post(post, shapes=shape.inner, path=name)
            case Shape.ROWS:
                count = _count(post.get(join(name, COUNT), ""))
                typed[shape.name] = [
                    from_post(post, shapes=shape.inner, path=join(name, str(at))) for at in range(count)
                ]
            case Shape.LIST:
                texts = [line for text in post.getlist(name) for line in text.splitlines()]
                typed[shape.name] = [line.strip() for line in texts if line.strip()]
            case _:
                typed[shape.name] = post.get(name, "").replace("\r\n", "\n")
    return typed


def _count(text: str) -> int:
    return min(int(text), MOST_ROWS) if text.isdecimal() and len(text) < 7 else 0


def join(path: str, name: str) -> str:
    """Return the path of a name inside a path."""
    return f"{path}{JOIN}{name}" if path else name


def flatten(typed: Typed, *, shapes: Sequence[FieldShape], path: str = "") -> Iterator[tuple[str, Any]]:
    """Yield (input name, text or texts) for every input of the tree."""
    for shape in shapes:
        name, value = join(path, shape.name), typed.get(shape.name)
        match shape.shape:
            case Shape.GROUP:
                yield from flatten(value or {}, shapes=shape.inner, path=name)
            case Shape.ROWS:
                for at, row in enumerate(value or []):
                    yield from flatten(row, shapes=shape.inner, path=join(name, str(at)))
            case _:
                yield name, value if value is not None else ""


def blank_row(shapes: Sequence[FieldShape]) -> Typed:
    """Return a row in which nothing was typed yet; its fields stand at their defaults."""
    return from_document({}, shapes=shapes)


def is_blank(typed: Typed, *, shapes: Sequence[FieldShape]) -> bool:
    """Say whether nothing was typed into a row or a group, beyond what a blank one brings with it."""
    return all(_is_blank(typed.get(shape.name), shape=shape) for shape in shapes)


def _is_blank(value: Any, *, shape: FieldShape) -> bool:
    match shape.shape:
        case Shape.GROUP:
            return is_blank(value or {}, shapes=shape.inner)
        case Shape.ROWS:
            return all(is_blank(row, shapes=shape.inner) for row in value or [])
        case Shape.LIST:
            return not value
    default = write(shape.default, shape=shape.shape, measure=shape.measure)
    return str(value or "").strip() in {"", default}


def rows_at(typed: Typed, *, path: str) -> list[Typed]:
    """Return the rows at a path such as `steps-0-waits`.

    Raises: LookupError when the path leads to no rows.
    """
    place: Any = typed
    for part in path.split(JOIN):
        place = place[int(part)] if isinstance(place, list) and part.isdecimal() else _inside(place, part)
    if not isinstance(place, list):
        raise LookupError(path)
    return place


def _inside(place: Any, part: str) -> Any:
    if not isinstance(place, dict):
        raise LookupError(part)
    return place[part]


def add_row(typed: Typed, *, path: str, shapes: Sequence[FieldShape]) -> str:
    """Add a blank row, or as many as are usual, at the end of the rows at `path`; return the first's path.

    Raises: LookupError when the path leads to no rows.
    """
    rows = rows_at(typed, path=path)
    first, shape = len(rows), shape_at(shapes, path=path)
    rows.extend(blank_row(shape.inner) for _ in range(ROWS_AT_ONCE.get(shape.name, 1)))
    return join(path, str(first))


def remove_row(typed: Typed, *, path: str) -> None:
    """Remove the row at a path such as `steps-2`.

    Raises: LookupError when there is no such row.
    """
    rows_path, _, at = path.rpartition(JOIN)
    del rows_at(typed, path=rows_path)[int(at)]


def shape_at(shapes: Sequence[FieldShape], *, path: str) -> FieldShape:
    """Return the description of the field at a path.

    Raises: LookupError when there is none.
    """
    names = [part for part in path.split(JOIN) if not part.isdecimal()]
    found: FieldShape | None = None
    for name in names:
        found = next((shape for shape in shapes if shape.name == name), None)
        if found is None:
            raise LookupError(path)
        shapes = found.inner
    if found is None:
        raise LookupError(path)
    return found


def name_slugs(document: dict[str, Any]) -> dict[str, Any]:
    """Return the document with every empty slug made from the words beside it, rows included.

    >>> name_slugs({"slug": "", "name": "Throttle lever"})["slug"]
    'throttle-lever'
    """
    filled = {
        name: [name_slugs(row) if isinstance(row, dict) else row for row in value]
        if isinstance(value, list)
        else value
        for name, value in document.items()
    }
    if filled.get("slug") == "":
        words = next((str(filled[name]) for name in NAMING if filled.get(name)), "")
        filled["slug"] = slugify(words)[:60].strip("-")
    return filled


# --- where a problem belongs ---------------------------------------------------------------------------

PART = re.compile(r"(?P<name>[a-z][a-z0-9_]*)(?:\[(?P<at>\d+)\])?(?:\s+“(?P<slug>[^”]*)”)?")


def place_problem(problem: Problem, *, typed: Typed, shapes: Sequence[FieldShape], slug: str) -> str:
    """Return the input a problem's key speaks of, as a path; "" when it is about none or about several.

    Keys look like `envelope.length_mm`, `numbers[2].text`, or `projections “throttle-lever” reach_mm`.
    """
    key = problem[0].removeprefix(f"{slug}.")
    path, place, known = "", typed, tuple(shapes)
    for part in re.finditer(PART, key):
        shape = next((each for each in known if each.name == part["name"]), None)
        if shape is None or not isinstance(place, dict):
            break
        path, value, known = join(path, shape.name), place.get(shape.name), shape.inner
        if shape.shape is Shape.ROWS:
            at = _row_at(value or [], number=part["at"], slug=part["slug"])
            if at is None:
                return path
            path, value = join(path, str(at)), (value or [])[at]
        place = value if isinstance(value, dict) else {}
    return path


def _row_at(rows: list[Typed], *, number: str | None, slug: str | None) -> int | None:
    if number is not None:
        return int(number) - 1 if 1 <= int(number) <= len(rows) else None
    if slug is None:
        return None
    for at, row in enumerate(rows):
        if slug in {row.get(name) for name in ("slug", "face", "question")}:
            return at
        if slug == slugify(next((str(row[name]) for name in NAMING if row.get(name)), "")):
            return at
    return None


def is_measured(shape: FieldShape) -> bool:
    """Say whether a field is a length, a mass or a stress, which are typed and shown in both units."""
    return shape.measure in {Measure.LENGTH, Measure.MASS, Measure.STRESS}
