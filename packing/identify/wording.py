"""What a person is told about why a number fits: one sentence, in the order of the characters."""

from collections.abc import Iterable, Mapping

from packing.catalogue.schema import NumberKind
from packing.identify.distance import Difference, Misreading, differences

KIND_WORDS: Mapping[NumberKind, str] = {
    NumberKind.CASTING: "casting number",
    NumberKind.LIST: "list number",
    NumberKind.TAG: "tag number",
    NumberKind.DATE: "date code",
}


NAMED_MOST = 5


def explain(read: str, *, stamped: str, kind: NumberKind, stated: NumberKind | None) -> str:
    """Return why `stamped` may have been read as `read`, with a warning where the kind of number asks for it.

    >>> explain("KV4O8I", stamped="KV4081B", kind=NumberKind.LIST, stated=None)
    'Fits if O is read as 0 and I as 1; one character may be missing (B).'
    """
    sentences = [_fit(read, stamped=stamped)]
    if stated is not None and stated is not kind:
        sentences.append(f"You called it a {KIND_WORDS[stated]}; we know it as a {KIND_WORDS[kind]}.")
    if kind is NumberKind.CASTING:
        sentences.append("A casting number may be shared by models that we do not list.")
    return " ".join(sentences)


def list_models(names: Iterable[str]) -> str:
    """Return names as "A", "A and B" or "A, B and C"; beyond five the rest is counted."""
    *most, last = names
    if len(most) >= NAMED_MOST:
        most, last = most[: NAMED_MOST - 1], f"{len(most) - NAMED_MOST + 2} more"
    return f"{', '.join(most)} and {last}" if most else last


def _fit(read: str, *, stamped: str) -> str:
    if read == stamped:
        return "Reads exactly as stamped."
    if stamped in read and len(read) - len(stamped) > 1:
        return f"{stamped} stands within what was typed; the rest was left out."
    found = differences(read, stamped=stamped)
    return f"{_taken_for(found)}{_others(found)}."


def _taken_for(found: Iterable[Difference]) -> str:
    pairs = [
        f"{each.read} is read as {each.stamped}" if at == 0 else f"{each.read} as {each.stamped}"
        for at, each in enumerate(each for each in found if each.kind is Misreading.TAKEN_FOR)
    ]
    return f"Fits if {list_models(pairs)}" if pairs else ""


def _others(found: Iterable[Difference]) -> str:
    found = tuple(found)
    phrases = [
        _PHRASES[each.kind].format(each=each) for each in found if each.kind is not Misreading.TAKEN_FOR
    ]
    text = "; ".join(phrases)
    if len(phrases) == len(found):
        return text[:1].upper() + text[1:]
    return f"; {text}" if text else ""


_PHRASES: Mapping[Misreading, str] = {
    Misreading.UNREADABLE: "the character that could not be read would be {each.stamped}",
    Misreading.SWAPPED: "{each.read} may be {each.stamped}, swapped",
    Misreading.MISSING: "one character may be missing ({each.stamped})",
    Misreading.ADDED: "one character may be too many ({each.read})",
}
