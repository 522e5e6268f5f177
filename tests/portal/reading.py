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
    return read


def _put(read: FormRead, name: str, value: str, *, into: list[str]) -> None:
    read.values.setdefault(name, []).append(value)
    if name not in into:
        into.append(name)
