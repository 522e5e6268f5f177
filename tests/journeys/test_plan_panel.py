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
