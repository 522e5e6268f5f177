"""Reading a page of HTML as a browser would: its forms with what stands in them, its words, its errors."""

from dataclasses import dataclass, field

from lxml import html

TYPED = {"text", "email", "tel", "url", "search", "password", "number", "date", "time", "datetime-local"}


@dataclass(slots=True)
class FormRead:
    """One form: where it goes, what it would send, and which of its fields a person types into."""

    action: str
    method: str
    is_novalidate: bool
    values: dict[str, list[str]] = field(default_factory=dict)
    typed: list[str] = field(default_factory=list)
    chosen: list[str] = field(default_factory=list)
    files: list[str] = field(default_factory=list)
    hidden: list[str] = field(default_factory=list)
    controls: dict[str, "Typed"] = field(default_factory=dict)
    offered: dict[str, str] = field(default_factory=dict)

    def emptied(self) -> dict[str, list[str]]:
        """Return what is sent when a person clears every field and unticks every choice."""
        return {
            name: [""] * len(values) if name in self.typed else values
            for name, values in self.values.items()
            if name not in self.chosen and name not in self.files
        }

    def filled_with(self, words: str) -> dict[str, list[str]]:
        """Return what is sent when the same words stand in every field that is typed into."""
        return self.emptied() | {name: [words] for name in self.typed}

    def filled_up_to(self, length: int) -> dict[str, list[str]]:
        """Return what is sent with words as long as the page allows, `length` at most."""
        chosen = {name: self.values.get(name) or [value] for name, value in self.offered.items()}
        typed = {name: [control.longest(length)] for name, control in self.controls.items()}
        kept = {name: self.values[name] for name, words in typed.items() if words == [""]}
        return self.values | chosen | typed | kept


@dataclass(frozen=True, slots=True)
class Typed:
    """A control that a person types into: its kind, and the length at which a browser cuts, 0 for none."""

    kind: str
    most: int

    def longest(self, length: int) -> str:
        """Return the longest words of `length` at most that fit the kind; nothing where no words do."""
        most = min(length, self.most or length)
        if self.kind == "email":
            return f"{'a' * 64}@{'.'.join(['b' * 63] * 9)}"[: most - 8].rstrip(".") + ".example"
        return "x" * most if self.kind == "words" else ""


def parse(text: str):
    """Return the document as a tree."""
    return html.document_fromstring(text)


def words_of(tree) -> str:
    """Return all text a person can read on the page, without scripts and styles."""
    return " ".join(
        " ".join(tree.xpath("//body//text()[not(ancestor::script) and not(ancestor::style)]")).split()
    )


def forms_in(tree, *, of: str = "//main//form") -> list[FormRead]:
    """Return the forms below an XPath, in the order of the page."""
    return [_read(form) for form in tree.xpath(of)]


def _read(form) -> FormRead:
    read = FormRead(
        action=form.get("action", ""),
        method=form.get("method", "get").lower(),
        is_novalidate="novalidate" in form.attrib,
    )
    for control in form.xpath(".//input | .//select | .//textarea"):
        name, kind = control.get("name"), control.get("type", "text")
        if not name or kind in {"submit", "image", "button"}:
            continue
        if control.tag == "textarea":
            # A browser drops the one line break that follows the opening tag.
            _put(read, name, (control.text or "").removeprefix("\n"), into=read.typed)
        elif control.tag == "select":
            chosen = control.xpath("./option[@selected] | ./optgroup/option[@selected]")
            options = chosen or control.xpath(".//option")[:1]
            for option in options:
                _put(read, name, option.get("value", option.text or ""), into=read.chosen)
        elif kind in {"radio", "checkbox"}:
            if name not in read.chosen:
                read.chosen.append(name)
            if "checked" in control.attrib:
                read.values.setdefault(name, []).append(control.get("value", "on"))
        elif kind == "file":
            _put(read, name, "", into=read.files)
        else:
            _put(read, name, control.get("value", ""), into=read.hidden if kind == "hidden" else read.typed)
        _note(read, name, control, kind=kind)
    return read


def _note(read: FormRead, name: str, control, *, kind: str) -> None:
    """Keep what may be typed or chosen; figures and days are left as they stand."""
    if control.tag == "select":
        values = (option.get("value", option.text or "") for option in control.xpath(".//option"))
        read.offered[name] = next((value for value in values if value), "")
    elif kind == "radio":
        read.offered.setdefault(name, control.get("value", "on"))
    elif name in read.typed:
        is_words = control.tag == "textarea" or (
            kind in {"text", "search"} and "inputmode" not in control.attrib
        )
        shown = "words" if is_words else kind
        read.controls[name] = Typed(shown, int(control.get("maxlength", 0)))


def _put(read: FormRead, name: str, value: str, *, into: list[str]) -> None:
    read.values.setdefault(name, []).append(value)
    if name not in into:
        into.append(name)
