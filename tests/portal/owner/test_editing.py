"""A document is changed in steps that lose nothing: type, look, publish; nobody's work is overwritten."""

import pytest
from django.http import QueryDict
from django.urls import reverse

from jobs.domain.shop import ShopKind
from jobs.models import Job, ShopRevision
from packing import selectors as catalogue
from packing.models import CatalogueRevision
from packing.plain import to_plain
from portal.owner import kinds, typed
from portal.owner.editor import DocumentForm
from portal.owner.effects import MODELS_AT_ONCE
from tests.factories import MODEL, make_job, open_shop
from tests.portal.owner.test_editor import posted
from tests.portal.reading import parse

pytestmark = pytest.mark.django_db

CARTON = "single-12x12x12"


@pytest.fixture
def owner(db, person, client_of):
    open_shop()
    return client_of(person("owner"))


def sent_for(kind_key, slug, **changes):
    kind = kinds.BY_KEY[kind_key]
    tree = typed.from_document(to_plain(kinds.published(kind)[slug]), shapes=kind.shapes)
    sent: QueryDict = posted(DocumentForm(kind, tree=tree, fixed_slug=slug, is_sent=False))
    for name, value in changes.items():
        sent[name] = value
    return dict(sent.lists())


def edit_url(kind, slug):
    return reverse("owner:edit", args=[kind, slug])


def preview_url(kind, slug):
    return reverse("owner:preview", args=[kind, slug])


def test_a_unit_model_s_parcels_are_drawn_below_the_form_after_each_change(owner):
    here = edit_url("unit_model", MODEL)
    page = owner.get(here).content.decode()
    assert f'action="{here}"' in page
    assert f'hx-post="{here}"' in page
    answer = owner.post(here, sent_for("unit_model", MODEL, mass_kg="3.6 kg"), follow=True)
    fetched = answer.content.decode().split('<div id="effects">')[1]
    assert 'class="dw-sheet"' in fetched


def look(owner, kind, slug, **changes):
    """Return the panel below the form, as it comes without leaving the page."""
    answer = owner.post(edit_url(kind, slug), {**sent_for(kind, slug, **changes), "look": ["plan"]})
    assert answer.status_code == 200
    return answer.content.decode().split('<div id="effects">')[1]


def test_the_plan_of_a_unit_model_is_shown_without_leaving_the_form(owner):
    panel = look(owner, "unit_model", MODEL, mass_kg="3.6 kg")
    assert panel.count('<figure class="drawing">') == 2
    assert "Gross mass" in panel.split('class="reflow changes"')[1]


@pytest.mark.parametrize(("kind", "slug"), [("carton", CARTON), ("material", "grocery-bags")])
def test_the_plan_of_one_model_is_drawn_below_the_form_of_what_touches_all(owner, kind, slug):
    page = owner.get(edit_url(kind, slug)).content.decode()
    assert f'hx-post="{edit_url(kind, slug)}"' in page
    assert f'formaction="{edit_url(kind, slug)}#effects"' in page  # and without script
    panel = look(owner, kind, slug, look_model="tolvane-ds45")
    assert "The plan as it would be: Tolvane DS45" in panel
    assert panel.count('<figure class="drawing">') == 2
    assert "Nothing of this parcel changes." in panel


def test_the_panel_tells_verdict_and_margin_before_and_after(owner):
    used = look(owner, "carton", CARTON).split("<dt>Carton</dt><dd>")[1].split("<")[0]
    slug = next(each.slug for each in kinds.published(kinds.BY_KEY["carton"]).values() if each.name == used)
    panel = look(owner, "carton", slug, ect_kn_m="1.2")
    changes = panel.split('class="reflow changes"')[1]
    assert f"<del>{used}</del>" in changes
    assert "Least margin" in changes


def plans(job):
    return (job.plan, job.plan_back)


def test_the_model_to_look_with_is_the_one_most_sent_in_with_that_carton(owner):
    for model in ("pellmar-pt55", "tolvane-ds45", "tolvane-ds45"):
        make_job(stage="cleared", unit_model=model)
    boxes = {
        model: {plan["carton"]["slug"] for job in Job.objects.filter(unit_model=model) for plan in plans(job)}
        for model in ("pellmar-pt55", "tolvane-ds45")
    }
    carton = min(boxes["pellmar-pt55"] - boxes["tolvane-ds45"])
    chosen = '<option value="{}" selected>'
    assert chosen.format("pellmar-pt55") in owner.get(edit_url("carton", carton)).content.decode()
    new = reverse("owner:new", args=["carton"])
    assert chosen.format("tolvane-ds45") in owner.get(new).content.decode()


def test_what_cannot_be_read_draws_no_plan(owner):
    panel = look(owner, "carton", CARTON, ect_kn_m="strong")
    assert "once everything can be read" in panel
    assert "dw-sheet" not in panel


def test_the_preview_shows_the_change_and_publishes_nothing(owner):
    before = CatalogueRevision.objects.count()
    answer = owner.post(edit_url("carton", CARTON), sent_for("carton", CARTON, ect_kn_m="7.9"))
    assert answer.url == preview_url("carton", CARTON)
    page = owner.get(answer.url).content.decode()
    assert "5.6 kN/m (32 lb/in)" in page
    assert "7.9 kN/m (45 lb/in)" in page
    assert CatalogueRevision.objects.count() == before


def test_publishing_keeps_the_note_and_the_name(owner):
    owner.post(edit_url("carton", CARTON), sent_for("carton", CARTON, ect_kn_m="7.9"))
    answer = owner.post(preview_url("carton", CARTON), {"note": "Stronger board from the new supplier"})
    assert answer.url == reverse("owner:entry", args=["carton", CARTON])
    row = CatalogueRevision.objects.filter(slug=CARTON).latest("revision")
    assert (row.revision, row.note, str(row.published_by)) == (
        2,
        "Stronger board from the new supplier",
        "Somebody of the owner",
    )
    assert row.document["ect_kn_m"] == 7.9


def test_a_mail_text_with_a_word_that_is_not_filled_in_is_refused_by_name(owner):
    here = edit_url("message", "cleared")
    page = owner.post(here, sent_for("message", "cleared", subject="{nummer} may come")).content.decode()
    assert "“{nummer}” is not filled in by this mail. Write {number} and {shop}" in page
    assert "{nummer} may come" in page
    page = owner.post(edit_url("message", "sign_in"), sent_for("message", "sign_in", subject="{number}"))
    assert "Write {shop}, or leave the braces out" in page.content.decode()


def test_a_mail_text_is_previewed_with_a_number_filled_in(owner):
    owner.post(edit_url("message", "cleared"), sent_for("message", "cleared", subject="{number} may come"))
    preview = owner.get(preview_url("message", "cleared")).content.decode()
    assert "482\N{NO-BREAK SPACE}109-5 may come" in preview or "482 109-5 may come" in preview


def test_the_whole_mail_is_previewed_as_html_that_runs_nothing_and_as_text(owner):
    typed_words = {"opening": "Off <b>with</b> it to {shop}.", "closing": "M. Q."}
    owner.post(edit_url("message", "cleared"), sent_for("message", "cleared", **typed_words))
    page = parse(owner.get(preview_url("message", "cleared")).content)
    (frame,) = page.xpath("//iframe")
    (text,) = page.xpath("//pre")
    assert frame.get("sandbox") == ""
    for words in ("Ada Thornby,", "Do not post it yet", "local law decide", "M. Q.", "/open/"):
        assert words in frame.get("srcdoc")
        assert words in text.text
    assert "Off &lt;b&gt;with&lt;/b&gt; it to Quillfeather Fuel &amp; Spark." in frame.get("srcdoc")
    assert "Off <b>with</b> it to Quillfeather Fuel & Spark." in text.text


def test_publishing_needs_a_note(owner):
    owner.post(edit_url("carton", CARTON), sent_for("carton", CARTON, ect_kn_m="7.9"))
    page = owner.post(preview_url("carton", CARTON), {"note": ""})
    assert "Enter the note" in page.content.decode()
    assert CatalogueRevision.objects.filter(slug=CARTON).count() == 1


def test_a_second_owner_cannot_overwrite_what_was_published_meanwhile(owner, person, client_of):
    other = client_of(person("owner", email="second@quillfeather.example"))
    for client, strength in ((owner, "7.9"), (other, "8.4")):
        client.post(edit_url("carton", CARTON), sent_for("carton", CARTON, ect_kn_m=strength))
    owner.post(preview_url("carton", CARTON), {"note": "first"})
    answer = other.post(preview_url("carton", CARTON), {"note": "second"})
    assert answer.status_code == 409
    assert CatalogueRevision.objects.filter(slug=CARTON).latest("revision").document["ect_kn_m"] == 7.9
    assert f'href="{preview_url("carton", CARTON)}"' in answer.content.decode()
    assert "8.4 kN/m" in other.get(preview_url("carton", CARTON)).content.decode()


def test_adding_a_row_keeps_everything_that_was_typed(owner):
    sent = sent_for("route", "carburettor", name="Half a na")
    answer = owner.post(edit_url("route", "carburettor"), {**sent, "add": "steps"})
    assert "#row-steps-7" in answer.url
    page = owner.get(answer.url.split("#")[0]).content.decode()
    assert "Half a na" in page
    assert 'name="steps-7-median_hours"' in page


def test_removing_a_row_removes_that_row(owner):
    sent = sent_for("route", "carburettor")
    owner.post(edit_url("route", "carburettor"), {**sent, "remove": "steps-6"})
    page = owner.get(edit_url("route", "carburettor")).content.decode()
    assert 'name="steps-5-median_hours"' in page
    assert 'name="steps-6-median_hours"' not in page


def test_what_was_typed_can_be_thrown_away(owner):
    owner.post(edit_url("carton", CARTON), sent_for("carton", CARTON, name="Something else"))
    owner.post(reverse("owner:discard", args=["carton", CARTON]))
    assert "Something else" not in owner.get(edit_url("carton", CARTON)).content.decode()


def test_a_unit_models_preview_plans_its_parcel_from_what_was_typed(owner):
    sent = sent_for("unit_model", "tolvane-kv4081", mass_kg="9 kg")
    answer = owner.post(edit_url("unit_model", "tolvane-kv4081"), sent)
    page = owner.get(answer.url).content.decode()
    assert page.count('<figure class="drawing">') == 2
    assert "Gross mass" in page


def test_a_materials_preview_names_the_parcels_that_change_a_few_models_at_a_time(owner):
    sent = sent_for("material", "grocery-bags", density_kg_m3="60")
    address = owner.post(edit_url("material", "grocery-bags"), sent).url
    page = owner.get(address).content.decode()
    count = len(catalogue.catalogue().unit_models)
    assert f"Unit models 1 to {MODELS_AT_ONCE} of {count}" in page
    assert 'data-label="After"' in page
    following = f"?models_before={MODELS_AT_ONCE}"
    assert f'href="{following}#models" hx-get="{following}"' in page
    assert "htmx-2.min.js" in page
    last = owner.get(f"{address}?models_before={count - 1}").content.decode()
    assert f"Unit models {count} to {count} of {count}" in last
    assert "All are looked at." in last


@pytest.mark.parametrize("asked", ["x", "-3", "9" * 30, "²"])
def test_a_preview_asked_for_no_number_starts_with_the_first_models(owner, asked):
    sent = sent_for("material", "grocery-bags", density_kg_m3="60")
    address = owner.post(edit_url("material", "grocery-bags"), sent).url
    assert "Unit models 1 to" in owner.get(address, {"models_before": asked}).content.decode()


def test_a_new_person_is_published_without_a_short_name(owner):
    answer = owner.post(reverse("owner:new", args=["person"]), {"name": "Ada Thornby"})
    owner.post(answer.url, {"note": "She began in March"})
    assert ShopRevision.objects.get(kind=ShopKind.PERSON.value, slug="ada-thornby").revision == 1


def test_a_new_document_never_replaces_another(owner):
    page = owner.post(reverse("owner:new", args=["person"]), {"name": "Wren Castlemoor", "slug": "wren"})
    assert "is in use already" in page.content.decode()


def test_a_withdrawn_document_leaves_the_list_and_keeps_its_history(owner):
    owner.post(
        reverse("owner:withdraw", args=["carton", CARTON]), {"note": "Not sold any more", "based_on": "1"}
    )
    assert CARTON not in kinds.published(kinds.BY_KEY["carton"])
    page = owner.get(reverse("owner:entry", args=["carton", CARTON])).content.decode()
    assert "This is withdrawn" in page
    assert "Not sold any more" in page


def test_what_is_still_needed_cannot_be_withdrawn(owner):
    page = owner.post(
        reverse("owner:withdraw", args=["family", "carburettor"]), {"note": "No more", "based_on": "1"}
    )
    assert page.status_code == 200
    assert "still use it" in page.content.decode()


def test_a_revision_shows_what_it_changed(owner):
    owner.post(edit_url("carton", CARTON), sent_for("carton", CARTON, ect_kn_m="7.9"))
    owner.post(preview_url("carton", CARTON), {"note": "Stronger"})
    page = owner.get(reverse("owner:revision", args=["carton", CARTON, 2])).content.decode()
    assert "5.6 kN/m (32 lb/in)" in page
    assert "Stronger" in page


@pytest.mark.parametrize("kind", kinds.KINDS, ids=lambda kind: kind.key)
def test_every_kind_has_its_list_its_page_and_its_editor(owner, kind):
    listed = owner.get(reverse("owner:entries", args=[kind.key]), follow=True)
    assert listed.status_code == 200
    for slug in list(kinds.published(kind))[:2]:
        name = getattr(kinds.published(kind)[slug], "slug", slug)
        assert owner.get(reverse("owner:entry", args=[kind.key, name])).status_code == 200
        assert owner.get(edit_url(kind.key, name)).status_code == 200
    if not kind.fixed_slugs:
        assert owner.get(reverse("owner:new", args=[kind.key])).status_code == 200


@pytest.mark.parametrize(
    ("kind", "slug", "said"),
    [
        ("message", "booking_received", "Change the mail text “Booking received”"),
        ("family", "carburettor", "Change the family “Carburettor”"),
    ],
)
def test_the_heading_of_an_editor_says_what_is_changed(owner, kind, slug, said):
    page = owner.get(reverse("owner:edit", args=[kind, slug])).content.decode()
    assert f"<h1>{said}</h1>" in page
    assert said.replace("“", "").replace("”", "") in page.split("</title>", 1)[0]
