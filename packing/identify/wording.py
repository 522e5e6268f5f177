"""What a person is told about why a number fits: one sentence, in the order of the characters."""

from collections.abc import Iterable, Mapping

from packing.catalogue.schema import NumberKind
from packing.identify.distance import Difference, Misreading, differences
from packing.identify.parts import PartFit, Place

KIND_WORDS: Mapping[NumberKind, str] = {
    NumberKind.CASTING: "casting number",
    NumberKind.LIST: "list number",
    NumberKind.TAG: "tag number",
    NumberKind.DATE: "date code",
}


NAMED_MOST = 5
CASTING_SHARED = "A casting number may be shared by models that we do not list."


def explain(read: str, *, stamped: str, kind: NumberKind, stated: NumberKind | None) -> str:
    """Return why `stamped` may have been read as `read`, with a warning where the kind of number asks for it.

    >>> explain("KV4O8I", stamped="KV4081B", kind=NumberKind.LIST, stated=None)
    'Fits if O is read as 0 and I as 1; one character may be missing (B).'
    """
    sentences = [_fit(read, stamped=stamped)]
    if stated is not None and stated is not kind:
        sentences.append(f"You called it a {KIND_WORDS[stated]}; we know it as a {KIND_WORDS[kind]}.")
    if kind is NumberKind.CASTING:
        sentences.append(CASTING_SHARED)
    return " ".join(sentences)


PLACE_WORDS: Mapping[Place, str] = {
    Place.START: "begins like what you read",
    Place.END: "ends like what you read",
    Place.INSIDE: "has what you read in it",
}


def explain_part(read: str, *, fit: PartFit, stamped: str, kind: NumberKind) -> str:
    """Return why `stamped` may be the number of which `read` is a part.

    >>> explain_part("O81B", fit=PartFit(Place.END, "081B", 2), stamped="KV4081B", kind=NumberKind.LIST)
    'KV4081B ends like what you read, if O is read as 0.'
    """
    found = differences(read, stamped=fit.part)
    taken = [f"{each.read} is read as {each.stamped}" for each in found if each.kind is Misreading.TAKEN_FOR]
    unread = [each.stamped for each in found if each.kind is Misreading.UNREADABLE]
    sentence = f"{stamped} {PLACE_WORDS[fit.place]}"
    if taken:
        sentence += f", if {list_models(taken)}"
    sentences = [f"{sentence}.", *([_sentence(_unread_words(unread))] if unread else [])]
    if kind is NumberKind.CASTING:
        sentences.append(CASTING_SHARED)
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
    unread = [each.stamped for each in found if each.kind is Misreading.UNREADABLE]
    phrases = [_PHRASES[each.kind].format(each=each) for each in found if each.kind in _PHRASES]
    text = "; ".join([*([_unread_words(unread)] if unread else []), *phrases])
    if not any(each.kind is Misreading.TAKEN_FOR for each in found):
        return text[:1].upper() + text[1:]
    return f"; {text}" if text else ""


def _unread_words(stamped: Iterable[str]) -> str:
    """Return what the characters that could not be read would be, all in one clause."""
    characters = list(stamped)
    character = "character" if len(characters) == 1 else "characters"
    return f"the {character} you could not read would be {list_models(characters)}"


def _sentence(clause: str) -> str:
    return f"{clause[:1].upper()}{clause[1:]}."


_PHRASES: Mapping[Misreading, str] = {
    Misreading.SWAPPED: "{each.read} may be {each.stamped}, swapped",
    Misreading.MISSING: "one character may be missing ({each.stamped})",
    Misreading.ADDED: "one character may be too many ({each.read})",
}
