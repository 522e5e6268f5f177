"""Claim clocks against worked dates: parcel posted Tuesday 10 March 2026, delivered Thursday 12 March 2026.

The periods are published (CMR Art. 30, Montreal Convention Art. 31, NMFC item 300135-A, carriers' terms); the
dates were worked on a paper calendar. Holidays of the Easter case: Good Friday and Easter Monday 2026.
"""

from datetime import date

import holidays
import pytest

from jobs.domain.attribution import Cause, DamageEvidence, attribute
from jobs.domain.claim_periods import OF_LAW, PERIODS, periods_of
from jobs.domain.claims import Actor, claim_clocks
from jobs.domain.condition import CartonState, PackingFound, Severity
from packing.parcel.unit import Leg

POSTED, DELIVERED = date(2026, 3, 10), date(2026, 3, 12)


def clock(slug, *, leg=Leg.TO_SHOP, posted_on=POSTED, delivered_on=DELIVERED, closed_days=()):
    found = claim_clocks(leg=leg, posted_on=posted_on, delivered_on=delivered_on, closed_days=closed_days)
    [one] = [each for each in found if each.period.slug == slug]
    return one


@pytest.mark.parametrize(
    ("slug", "last_on"),
    [
        ("us_freight_concealed", date(2026, 3, 19)),
        ("cmr_hidden", date(2026, 3, 20)),
        ("montreal_damage", date(2026, 3, 26)),
        ("ups_europe_damage", date(2026, 3, 26)),
        ("montreal_delay", date(2026, 4, 2)),
        ("fedex_international_damage", date(2026, 4, 2)),
        ("dhl_express_damage", date(2026, 4, 9)),
        ("usps_damage", date(2026, 5, 9)),
        ("ups_us_notice", date(2026, 5, 11)),
        ("royal_mail_loss", date(2026, 5, 29)),
        ("uk_parts_courier_damage", date(2026, 3, 15)),
        ("us_interstate_file", date(2026, 12, 12)),
    ],
)
def test_worked_date(slug, last_on):
    assert clock(slug).last_on == last_on


def test_easter_moves_the_road_clock_to_13_april():
    closed = holidays.country_holidays("GB", subdiv="ENG", years=2026)
    easter = clock(
        "cmr_hidden", posted_on=date(2026, 3, 31), delivered_on=date(2026, 4, 2), closed_days=closed
    )
    assert easter.last_on == date(2026, 4, 13)


def test_disagreeing_sources_take_the_earlier_day_and_say_so():
    us = clock("fedex_us_damage")
    assert us.last_on == date(2026, 5, 9)  # 60 days from posting, not 11 May from delivery
    assert "Sources differ" in us.sentence


def test_air_clock_is_the_recipients():
    assert clock("montreal_damage", leg=Leg.TO_SHOP).actor is Actor.SHOP
    assert clock("montreal_damage", leg=Leg.TO_CUSTOMER).actor is Actor.CUSTOMER


def test_damage_without_a_photo_from_before_posting_is_cannot_tell():
    evidence = DamageEvidence(
        severity=Severity.MINOR,
        carton=CartonState.TORN,
        packing=PackingFound.NONE,
        piece_or_dust_in_box=True,
        carton_mark_lines_up=True,
        people=2,
    )
    assert attribute(evidence).cause is Cause.CANNOT_TELL


@pytest.mark.parametrize(
    ("named", "own"),
    [
        ("UPS Ground", {"ups_us_notice", "ups_us_file", "ups_europe_damage"}),
        ("FedEx", {"fedex_us_damage", "fedex_international_damage"}),
        ("usps", {"usps_damage"}),
        ("Royal Mail, Tracked 48", {"royal_mail_loss"}),
        ("DHL Express", {"dhl_express_damage"}),
        ("dhl", {"dhl_express_damage", "dhl_ecommerce_uk_damage"}),
        ("DPD Local", {"dpd_uk_damage"}),
    ],
)
def test_a_carrier_that_was_named_shows_its_own_periods_and_those_of_law(named, own):
    found = periods_of(named)
    assert {period.slug for period in found if period.service not in OF_LAW} == own
    assert {period for period in PERIODS if period.service in OF_LAW} <= set(found)


@pytest.mark.parametrize("named", ["", "Harbour Couriers", "groups", "upstairs delivery"])
def test_for_a_carrier_nobody_published_a_period_of_all_are_shown(named):
    assert periods_of(named) == PERIODS
