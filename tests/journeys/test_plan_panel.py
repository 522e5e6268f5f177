"""The owner changes a carton and sees the plan follow, with a script by itself and without by a button."""

import pytest
from playwright.sync_api import expect

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
CARTON = "/owner/data/carton/single-14x14x14/edit/"


@pytest.mark.parametrize("has_script", [True, False], ids=["with scripts", "without scripts"])
def test_the_plan_of_the_chosen_model_follows_what_is_typed(shop, sign_in, has_script):
    owner = sign_in(shop, name="Maren Quillfeather", role="owner", has_script=has_script)
    owner.visit(CARTON)
    panel = owner.page.locator("#effects")
    expect(panel.locator("svg")).to_have_count(0)
    owner.page.get_by_label("Unit model to show the plan with").select_option("tolvane-kv4081")
    if not has_script:
        owner.click("Show the plan")
    expect(panel.get_by_role("heading", level=2)).to_have_text("The plan as it would be: Tolvane KV28")
    expect(panel).to_contain_text("Nothing of this parcel changes.")
    owner.page.locator("[name=length_mm]").fill("200 mm")
    if has_script:
        owner.page.keyboard.press("Tab")
    else:
        owner.click("Show the plan")
    expect(panel.locator("del").first).to_contain_text("14 x 14 x 14 in single-wall")
    assert owner.page.url.split("#")[0].endswith(CARTON)


@pytest.mark.parametrize("has_script", [True, False], ids=["with scripts", "without scripts"])
def test_before_publishing_all_unit_models_are_looked_at_a_few_at_a_time(shop, sign_in, has_script):
    owner = sign_in(shop, name="Maren Quillfeather", role="owner", has_script=has_script)
    owner.visit(CARTON)
    owner.page.locator("[name=length_mm]").fill("200 mm")
    owner.page.locator("button.action[value=preview]").click()
    seen = owner.page.locator(".model-changes")
    expect(seen.first).to_contain_text("Unit models 1 to 4 of 23")
    while not has_script and owner.page.get_by_role("link", name="Look at the next unit models").count():
        owner.page.get_by_role("link", name="Look at the next unit models").click()
    expect(owner.page.get_by_text("All are looked at.")).to_be_visible()
    expect(seen.last).to_contain_text("of 23")
    expect(seen).to_have_count(6 if has_script else 1)
