"""Follows the rules of trade practice: gaskets stay, nothing is heated or blown out, magnetos stay closed."""

import pytest

from packing.catalogue.wording import dangers_in


@pytest.mark.parametrize(
    "text",
    [
        "Scrape off the old gasket.",
        "Use a scraper on the flange.",
        "Sand the flange flat.",
        "Clean the number with a wire brush.",
        "Rub it with emery.",
        "Have the body bead-blasted.",
        "Heat the nut until it turns.",
        "Dry it in the oven.",
        "Use a hair dryer.",
        "Blow out the passages.",
        "Clear the jets with compressed air.",
        "Never mind the dirt, scrape it off.",
        "Do not wait: scrape it off.",
        "Never post it until you have scraped the gasket.",
        "Leave the paint but sand the flange.",
        "Scraping the flange clean, look for cracks.",
    ],
)
def test_a_dangerous_instruction_is_found(text):
    assert dangers_in(text, magnetised=False)


@pytest.mark.parametrize(
    "text",
    [
        "Never scrape, sand or brush an old gasket.",
        "Do not heat it.",
        "Don’t blow through it.",
        "Leave every gasket in place; never scrape it.",
        "Keep the heat insulator at home.",
        "Let it stand in moving open air.",
        "Scraping the gasket sets fibres free.",
        "A blow on it breaks the corner of the body.",
        "Set it on a thousand sheets of paper.",
        "Turn it round and photograph the base.",
    ],
)
def test_a_harmless_sentence_is_left_alone(text):
    assert dangers_in(text, magnetised=False) == ()


@pytest.mark.parametrize(
    "text",
    [
        "Open the magneto and look.",
        "Take the rotor out.",
        "Lift out the magnets.",
        "Remove the end plate.",
        "Dismantle the drive end.",
        "Take it apart.",
        "Pull the impulse coupling.",
    ],
)
def test_opening_is_dangerous_in_a_magnetised_unit_alone(text):
    assert dangers_in(text, magnetised=True)
    assert dangers_in(text, magnetised=False) == ()


def test_the_reason_against_opening_may_be_said():
    assert dangers_in("Opening it weakens the magnets within seconds.", magnetised=True) == ()
    assert dangers_in("Never open a magneto.", magnetised=True) == ()


def test_each_danger_is_told_once_with_what_to_do_instead():
    found = dangers_in("Scrape it. Sand it. Heat it.", magnetised=False)
    assert len(found) == 2
    assert "leave gaskets" in found[0]
    assert "air the unit" in found[1]
