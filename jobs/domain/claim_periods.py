"""The periods within which carriers and transport law want damage, delay or loss reported, as published.

Figures marked secondary come from pages about a carrier, not from the carrier; check them at the carrier
before a claim depends on them. Nothing here is legal advice: the carrier's terms and local law
decide.
"""

import re
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

READ_ON = date(2026, 11, 25)


class StartsAt(StrEnum):
    """The day a period starts with; acceptance by the carrier counts as posting."""

    POSTING = "posting"
    DELIVERY = "delivery"


class Counting(StrEnum):
    """Which days of a period count."""

    CALENDAR_DAYS = "calendar_days"
    BUSINESS_DAYS = "business_days"
    NO_SUNDAYS_OR_HOLIDAYS = "no_sundays_or_holidays"


class Party(StrEnum):
    """Who has to report, seen from the parcel."""

    SENDER = "sender"
    RECIPIENT = "recipient"
    EITHER = "either"


class Service(StrEnum):
    """Which carriage a period belongs to; a parcel follows the one its carrier works under."""

    CMR_ROAD = "cmr_road"
    MONTREAL_AIR = "montreal_air"
    US_FREIGHT = "us_freight"
    US_INTERSTATE = "us_interstate"
    UPS_US = "ups_us"
    UPS_EUROPE = "ups_europe"
    FEDEX_US = "fedex_us"
    FEDEX_INTERNATIONAL = "fedex_international"
    USPS = "usps"
    ROYAL_MAIL = "royal_mail"
    DHL_EXPRESS = "dhl_express"
    DHL_ECOMMERCE_UK = "dhl_ecommerce_uk"
    DPD_UK = "dpd_uk"
    UK_PARTS_COURIER = "uk_parts_courier"


@dataclass(frozen=True, slots=True)
class ClaimPeriod:
    """One published period: what it covers, how long, from when, who acts, and its source."""

    slug: str
    service: Service
    name: str
    matter: str
    days: int
    starts: tuple[StartsAt, ...]
    party: Party
    source: str
    counting: Counting = Counting.CALENDAR_DAYS
    months: int = 0
    note: str = ""
    read_on: date = READ_ON


_POSTING = (StartsAt.POSTING,)
_DELIVERY = (StartsAt.DELIVERY,)
_CMR = "CMR Art. 30, Carriage of Goods by Road Act 1965, Schedule (secondary)"
_MONTREAL = "Montreal Convention Art. 31; lexology.com on notice by the recipient only"

PERIODS: tuple[ClaimPeriod, ...] = (
    ClaimPeriod(
        "cmr_apparent", Service.CMR_ROAD, "CMR, road between states", "damage that can be seen", 0, _DELIVERY,
        Party.RECIPIENT, _CMR,
        note="Write it on the carrier's note: a clean signature counts as good delivery.",
    ),
    ClaimPeriod(
        "cmr_hidden", Service.CMR_ROAD, "CMR, road between states", "hidden damage, in writing,", 7,
        _DELIVERY, Party.RECIPIENT, _CMR, counting=Counting.NO_SUNDAYS_OR_HOLIDAYS,
    ),
    ClaimPeriod(
        "cmr_delay", Service.CMR_ROAD, "CMR, road between states", "delay", 21, _DELIVERY, Party.RECIPIENT,
        "Halsbury's Laws, para 620 (21 days delay)",
    ),
    ClaimPeriod(
        "montreal_damage", Service.MONTREAL_AIR, "Montreal Convention, air", "damage", 14, _DELIVERY,
        Party.RECIPIENT, _MONTREAL, note="One court held that a sender's notice is no notice.",
    ),
    ClaimPeriod(
        "montreal_delay", Service.MONTREAL_AIR, "Montreal Convention, air", "delay", 21, _DELIVERY,
        Party.RECIPIENT, _MONTREAL,
    ),
    ClaimPeriod(
        "us_freight_concealed", Service.US_FREIGHT, "US freight", "concealed damage", 5, _DELIVERY,
        Party.RECIPIENT, "NMFC item 300135-A, as reprinted at nafem.org", counting=Counting.BUSINESS_DAYS,
        note="Later, the recipient has to prove that it was not made there. Keep carton and goods as found.",
    ),
    ClaimPeriod(
        "us_interstate_file", Service.US_INTERSTATE, "US interstate law", "the claim itself", 0, _DELIVERY,
        Party.EITHER, "49 USC 14706(e)", months=9,
        note="A carrier may not set less than nine months to file.",
    ),
    ClaimPeriod(
        "ups_us_notice", Service.UPS_US, "UPS in the US", "damage", 60, _DELIVERY, Party.EITHER,
        "UPS terms of 2019 as summarised at icclogistics.com; ups.com claim pages",
        note="For a lost parcel the scheduled delivery day counts.",
    ),
    ClaimPeriod(
        "ups_us_file", Service.UPS_US, "UPS in the US", "the claim itself", 0, _DELIVERY, Party.EITHER,
        "UPS terms of 2019 as summarised at icclogistics.com", months=9,
    ),
    ClaimPeriod(
        "ups_europe_damage", Service.UPS_EUROPE, "UPS in some European countries", "damage", 14, _DELIVERY,
        Party.EITHER, "one trader's page (secondary)",
    ),
    ClaimPeriod(
        "fedex_us_damage", Service.FEDEX_US, "FedEx in the US", "damage or missing contents", 60,
        (StartsAt.POSTING, StartsAt.DELIVERY), Party.EITHER,
        "walb.com/story/37116599 (delivery); other pages (shipment date)",
    ),
    ClaimPeriod(
        "fedex_international_damage", Service.FEDEX_INTERNATIONAL, "FedEx international",
        "damage, visible or hidden,", 21, _DELIVERY, Party.EITHER, "FedEx international conditions, claims",
        note="A clean signature counts as good delivery, except for hidden damage.",
    ),
    ClaimPeriod(
        "usps_damage", Service.USPS, "USPS domestic, insured", "damage or missing contents", 60, _POSTING,
        Party.EITHER, "USPS DMM 609.1.3-1.4; Publication 122",
        note="At once is better; 60 days is the last day.",
    ),
    ClaimPeriod(
        "royal_mail_loss", Service.ROYAL_MAIL, "Royal Mail", "loss", 80, _POSTING, Party.SENDER,
        "a UK merchant's help page (secondary)", note="Damage as soon as possible; the sender is preferred.",
    ),
    ClaimPeriod(
        "dhl_express_damage", Service.DHL_EXPRESS, "DHL Express", "damage or loss", 30, _POSTING,
        Party.SENDER, "a UK merchant's help page (secondary)",
    ),
    ClaimPeriod(
        "dhl_ecommerce_uk_damage", Service.DHL_ECOMMERCE_UK, "DHL eCommerce UK", "damage", 14, _POSTING,
        Party.SENDER, "a UK merchant's help page (secondary)",
    ),
    ClaimPeriod(
        "dpd_uk_damage", Service.DPD_UK, "DPD UK", "damage", 14, _POSTING, Party.SENDER,
        "a UK merchant's help page (secondary)",
    ),
    ClaimPeriod(
        "uk_parts_courier_damage", Service.UK_PARTS_COURIER, "a UK vehicle-parts courier", "damage", 3,
        _DELIVERY, Party.RECIPIENT, "a UK vehicle-parts courier's conditions of carriage",
        note="Sign “unchecked” or “damaged”; with a sound outer carton the claim is refused.",
    ),
)  # fmt: skip

OF_LAW = frozenset({Service.CMR_ROAD, Service.MONTREAL_AIR, Service.US_FREIGHT, Service.US_INTERSTATE})
"""Carriage whose periods come from law, whoever carries."""

_BY_NAME = (
    ("ups", frozenset({Service.UPS_US, Service.UPS_EUROPE})),
    ("fedex", frozenset({Service.FEDEX_US, Service.FEDEX_INTERNATIONAL})),
    ("usps", frozenset({Service.USPS})),
    ("royal mail", frozenset({Service.ROYAL_MAIL})),
    ("dhl express", frozenset({Service.DHL_EXPRESS})),
    ("dhl ecommerce", frozenset({Service.DHL_ECOMMERCE_UK})),
    ("dhl", frozenset({Service.DHL_EXPRESS, Service.DHL_ECOMMERCE_UK})),
    ("dpd", frozenset({Service.DPD_UK})),
)


def periods_of(carrier_name: str) -> tuple[ClaimPeriod, ...]:
    """Return the periods of a carrier as it was named on posting, with those of law; all for another name.

    >>> [period.slug for period in periods_of("DPD next day") if period.service not in OF_LAW]
    ['dpd_uk_damage']
    """
    named = f" {' '.join(re.findall('[a-z]+', carrier_name.lower()))} "
    for words, services in _BY_NAME:
        if f" {words} " in named:
            return tuple(period for period in PERIODS if period.service in services | OF_LAW)
    return PERIODS
