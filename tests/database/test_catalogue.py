"""The catalogue in the database: revisions are added, never changed, and what was told stays told."""

from dataclasses import replace
from datetime import UTC, datetime
from functools import partial

import pytest
from django.db import IntegrityError, transaction

from packing.catalogue.documents import dump_entry, kind_of
from packing.catalogue.schema import EntryKind
from packing.errors import CatalogueError, RevisionTaken, UnknownEntry
from packing.models import CatalogueRevision, RevisionError
from packing.selectors import (
    catalogue,
    current_revision,
    entry_at,
    newest_revisions,
    published,
    revisions_of,
)
from packing.services import (
    FirstEntries,
    first_entries,
    publish_entry,
    publish_first_revisions,
    withdraw_entry,
)
from tests.database.crowd import at_once
from tests.packing.catalogue.entries import CARTON, FAMILY, MATERIAL, MODEL

NOW = datetime(2026, 3, 10, 9, 0, tzinfo=UTC)
LATER = datetime(2026, 3, 11, 9, 0, tzinfo=UTC)


@pytest.fixture
def owner_id(person):
    return person("owner").pk


def seen(entry):
    """Return the newest revision, as somebody sees it who looks at the entry now."""
    return newest_revisions().get((kind_of(entry).value, entry.slug), 0)


def publish(entry, *, based_on=None, note="", actor_user_id=None, now=NOW):
    based_on = seen(entry) if based_on is None else based_on
    return publish_entry(entry, based_on=based_on, note=note, actor_user_id=actor_user_id, now=now)


def withdraw(entry, *, kind=EntryKind.CARTON, based_on=None):
    based_on = seen(entry) if based_on is None else based_on
    return withdraw_entry(
        kind, slug=entry.slug, based_on=based_on, note="gone", actor_user_id=None, now=LATER
    )


@pytest.mark.django_db
def test_a_published_entry_reads_back_equal(owner_id):
    publish(CARTON, note="new size", actor_user_id=owner_id)
    assert published(EntryKind.CARTON) == {CARTON.slug: CARTON}
    (row,) = revisions_of(EntryKind.CARTON, CARTON.slug)
    assert (row.revision, row.note, row.published_by_id, row.published_at) == (1, "new size", owner_id, NOW)


@pytest.mark.django_db
def test_a_change_is_a_new_revision_and_the_old_one_stays_readable():
    publish(CARTON)
    wider = replace(CARTON, width_mm=320.0)
    assert publish(wider, now=LATER).revision == 2
    assert published(EntryKind.CARTON) == {CARTON.slug: wider}
    assert entry_at(EntryKind.CARTON, CARTON.slug, revision=1) == CARTON
    assert entry_at(EntryKind.CARTON, CARTON.slug, revision=2) == wider
    assert current_revision(EntryKind.CARTON, CARTON.slug) == 2
    assert [row.revision for row in revisions_of(EntryKind.CARTON, CARTON.slug)] == [2, 1]


@pytest.mark.django_db
def test_publishing_the_same_document_adds_nothing():
    first = publish(CARTON)
    assert publish(CARTON, now=LATER).pk == first.pk
    assert CatalogueRevision.objects.count() == 1


@pytest.mark.django_db
def test_what_the_rules_refuse_is_not_published():
    with pytest.raises(CatalogueError) as refusal:
        publish(replace(CARTON, length_mm=0.0))
    assert [key for key, _ in refusal.value.problems] == ["length_mm"]
    assert not CatalogueRevision.objects.exists()


@pytest.mark.django_db
def test_a_unit_model_is_checked_against_the_published_families():
    with pytest.raises(CatalogueError, match="there is no family"):
        publish(MODEL)
    publish(FAMILY)
    assert publish(MODEL).revision == 1


@pytest.mark.django_db
def test_a_note_that_is_too_long_is_refused():
    with pytest.raises(CatalogueError, match="shorten"):
        publish(CARTON, note="x" * 501)


@pytest.mark.django_db
def test_a_withdrawn_entry_is_no_longer_offered_but_still_readable():
    publish(CARTON)
    assert withdraw(CARTON).withdrawn
    assert published(EntryKind.CARTON) == {}
    assert catalogue().cartons == {}
    assert entry_at(EntryKind.CARTON, CARTON.slug, revision=1) == CARTON
    with pytest.raises(UnknownEntry):
        current_revision(EntryKind.CARTON, CARTON.slug)


@pytest.mark.django_db
def test_withdrawing_twice_adds_nothing():
    publish(CARTON)
    assert withdraw(CARTON).pk == withdraw(CARTON).pk


@pytest.mark.django_db
def test_a_withdrawn_entry_comes_back_by_publishing_it_again():
    publish(CARTON)
    withdraw(CARTON)
    assert publish(CARTON, now=LATER).revision == 3
    assert published(EntryKind.CARTON) == {CARTON.slug: CARTON}


@pytest.mark.django_db
def test_what_was_never_published_cannot_be_withdrawn_or_read():
    with pytest.raises(UnknownEntry):
        withdraw(CARTON)
    with pytest.raises(UnknownEntry):
        entry_at(EntryKind.CARTON, CARTON.slug, revision=1)
    assert revisions_of(EntryKind.CARTON, CARTON.slug) == ()


@pytest.mark.django_db
def test_a_family_with_models_cannot_be_withdrawn():
    publish(FAMILY)
    publish(MODEL)
    with pytest.raises(CatalogueError, match="Tolvane KV28"):
        withdraw(FAMILY, kind=EntryKind.FAMILY)
    withdraw(MODEL, kind=EntryKind.UNIT_MODEL)
    assert withdraw(FAMILY, kind=EntryKind.FAMILY).withdrawn


@pytest.mark.django_db
def test_the_same_slug_in_two_kinds_is_two_entries():
    publish(CARTON)
    publish(replace(MATERIAL, slug=CARTON.slug))
    assert current_revision(EntryKind.MATERIAL, CARTON.slug) == 1
    assert current_revision(EntryKind.CARTON, CARTON.slug) == 1


@pytest.mark.django_db
def test_a_revision_cannot_be_changed_or_removed():
    row = publish(CARTON)
    row.note = "other"
    for change in (
        row.save,
        row.delete,
        CatalogueRevision.objects.all().delete,
        lambda: CatalogueRevision.objects.update(note="other"),
    ):
        with pytest.raises(RevisionError):
            change()
    assert CatalogueRevision.objects.get().note == ""


@pytest.mark.django_db
@pytest.mark.parametrize(
    "wrong", [{"revision": 1}, {"revision": 0}, {"kind": "box"}], ids=["twice", "below one", "unknown kind"]
)
def test_the_database_itself_refuses_a_wrong_row(wrong):
    publish(CARTON)
    sound = {"kind": "carton", "slug": CARTON.slug, "revision": 2}
    row = CatalogueRevision(document=dump_entry(CARTON), published_at=NOW, **{**sound, **wrong})
    with pytest.raises(IntegrityError), transaction.atomic():
        row.save()


@pytest.mark.django_db
def test_reading_the_whole_catalogue_is_one_query(django_assert_num_queries):
    publish_first_revisions(FirstEntries.DEMO, now=NOW)
    with django_assert_num_queries(1):
        whole = catalogue()
    assert len(whole.unit_models) > 20
    with django_assert_num_queries(1):
        assert published(EntryKind.UNIT_MODEL) == whole.unit_models


@pytest.mark.django_db
def test_a_read_within_a_change_that_is_rolled_back_leaves_nothing_behind():
    publish(CARTON)
    wider = replace(CARTON, width_mm=320.0)
    with transaction.atomic():
        CatalogueRevision(
            kind="carton", slug=CARTON.slug, revision=2, document=dump_entry(wider), published_at=NOW
        ).save()
        assert published(EntryKind.CARTON) == {CARTON.slug: wider}
        transaction.set_rollback(True)
    assert published(EntryKind.CARTON) == {CARTON.slug: CARTON}


@pytest.mark.django_db
def test_the_first_revisions_are_everything_in_the_files_and_read_back_equal():
    rows = publish_first_revisions(FirstEntries.DEMO, now=NOW)
    entries = first_entries(FirstEntries.DEMO)
    assert len(rows) == len(entries) > 30
    whole = catalogue()
    kept = [
        *whole.families.values(),
        *whole.unit_models.values(),
        *whole.materials.values(),
        *whole.cartons.values(),
        *whole.carriers.values(),
    ]
    assert sorted(kept, key=repr) == sorted(entries, key=repr)


@pytest.mark.django_db
def test_bringing_the_first_revisions_again_adds_nothing():
    publish_first_revisions(FirstEntries.DEMO, now=NOW)
    assert publish_first_revisions(FirstEntries.DEMO, now=LATER) == ()


@pytest.mark.django_db
def test_first_revisions_leave_alone_what_the_owner_changed_or_withdrew():
    publish_first_revisions(FirstEntries.DEMO, now=NOW)
    slug, model = next(iter(catalogue().unit_models.items()))
    changed = replace(model, name="Renamed by the owner")
    publish(changed, now=LATER)
    other = next(entry for entry in catalogue().unit_models.values() if entry.slug != slug)
    withdraw(other, kind=EntryKind.UNIT_MODEL)
    assert publish_first_revisions(FirstEntries.DEMO, now=LATER) == ()
    assert published(EntryKind.UNIT_MODEL)[slug] == changed
    assert other.slug not in published(EntryKind.UNIT_MODEL)


WIDTHS_MM = (310.0, 320.0, 330.0, 340.0)


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("based_on", [0, 1], ids=["a new entry", "a change"])
def test_of_four_people_publishing_one_entry_at_once_one_is_taken_and_three_look_again(based_on):
    if based_on:
        publish(CARTON)
    wider = [replace(CARTON, width_mm=width_mm) for width_mm in WIDTHS_MM]
    crowd = at_once(*(partial(publish, entry, based_on=based_on, now=LATER) for entry in wider))
    assert [row.revision for row in crowd.answers] == [based_on + 1]
    assert len(crowd.of(RevisionTaken)) == len(WIDTHS_MM) - 1
    assert all("look at their revision" in str(refusal) for refusal in crowd.raised)
    rows = revisions_of(EntryKind.CARTON, CARTON.slug)
    assert [row.revision for row in rows] == list(range(based_on + 1, 0, -1))


@pytest.mark.django_db
def test_a_change_made_from_an_older_revision_is_refused_however_late_it_comes():
    publish(CARTON)
    publish(replace(CARTON, width_mm=320.0))
    with pytest.raises(RevisionTaken):
        publish(replace(CARTON, width_mm=330.0), based_on=1, now=LATER)
    assert current_revision(EntryKind.CARTON, CARTON.slug) == 2


@pytest.mark.django_db
def test_an_entry_changed_meanwhile_is_not_withdrawn():
    publish(CARTON)
    publish(replace(CARTON, width_mm=320.0))
    with pytest.raises(RevisionTaken):
        withdraw(CARTON, based_on=1)
    assert CARTON.slug in published(EntryKind.CARTON)


@pytest.mark.django_db
def test_what_another_published_in_the_same_words_is_no_conflict():
    first = publish(CARTON)
    assert publish(CARTON, based_on=0).pk == first.pk


@pytest.mark.django_db
def test_a_shop_of_its_own_begins_with_families_but_with_no_invented_unit():
    publish_first_revisions(FirstEntries.USUAL, now=NOW)
    assert len(published(EntryKind.FAMILY)) == 8
    assert published(EntryKind.MATERIAL)
    assert published(EntryKind.UNIT_MODEL) == {}
