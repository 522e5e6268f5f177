"""The refusals of the packing package, each a sentence a person can act on."""


class PackingError(Exception):
    """Base of every refusal raised in `packing`; `str(error)` is shown to people as it is."""


class OutOfRange(PackingError):
    """A quantity lies outside the range in which its rule holds."""

    def __init__(self, name: str, *, value: object, least: object, most: object) -> None:
        self.name, self.value, self.least, self.most = name, value, least, most
        super().__init__(f"{name} is {value}: it has to be between {least} and {most}.")


class CatalogueError(PackingError):
    """A catalogue document cannot be used; `problems` names each key and what to do about it."""

    def __init__(self, problems: "tuple[tuple[str, str], ...]") -> None:
        self.problems = problems
        super().__init__(" ".join(f"{key}: {sentence}" for key, sentence in problems))


class UnknownEntry(PackingError):
    """No catalogue entry has this kind and slug."""
