"""The shop's own documents that are neither catalogue nor working time: identity, closed days, messages."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum


class ShopKind(StrEnum):
    """The kinds of document the owner publishes about the shop."""

    SHOP = "shop"
    HOURS = "hours"
    CLOSED_DAY = "closed_day"
    WORK_CENTRE = "work_centre"
    PERSON = "person"
    ROUTE = "route"
    MESSAGE = "message"


@dataclass(frozen=True, slots=True)
class ShopIdentity:
    """Name, address and house rules of the shop; slug is always `shop`."""

    slug: str
    name: str
    strapline: str
    address_lines: tuple[str, ...]
    phone: str
    email: str
    hours_sentence: str
    intake_open: bool = True
    intake_note: str = ""
    carrier_in: str = ""
    carrier_back: str = ""
    test_level: str = "ista_1a"
    labour_pence_per_hour: int = 4800
    close_after_days: int = 14
    reminder_days: tuple[int, ...] = (2, 5, 10)
    prices_include: str = ""


@dataclass(frozen=True, slots=True)
class ClosedDay:
    """A day on which the shop does not work; slug is the date as 2026-12-25."""

    slug: str
    on: date
    name: str


@dataclass(frozen=True, slots=True)
class MessageText:
    """The owner's own words in one mail; slug is the message kind."""

    slug: str
    subject: str
    opening: str
    closing: str = ""
