"""What a strip list is: the steps a customer follows before packing, each with its reason."""

from dataclasses import dataclass

from packing.catalogue.schema import StripAction


@dataclass(frozen=True, slots=True)
class StripItem:
    """One step: what to do with one part, why, and what to beware of."""

    slug: str
    action: StripAction
    part: str
    instruction: str
    why: str
    caution: str = ""
    once_empty: bool = False


@dataclass(frozen=True, slots=True)
class StripList:
    """The steps in the order they are done; `model` is empty when the unit could not be named.

    It is frozen onto the job through `packing.plain`, so it carries all that a page or a check needs.
    """

    family: str
    family_name: str
    model: str
    model_name: str
    air_hours: float
    magnetised: bool
    ports_capped: bool
    items: tuple[StripItem, ...]
    cautions: tuple[str, ...]

    def only(self, action: StripAction) -> tuple[StripItem, ...]:
        """Return the steps of one kind, in order."""
        return tuple(item for item in self.items if item.action is action)

    def kept_at_home(self) -> tuple[StripItem, ...]:
        """Return the steps that take off what the customer keeps, which what is sent along is not."""
        along = {item.part for item in self.only(StripAction.SEND_ALONG)}
        return tuple(item for item in self.only(StripAction.TAKE_OFF) if item.part not in along)
