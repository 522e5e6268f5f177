"""What the catalogue lets the owner write fits the columns of the rows that repeat it."""

import pytest

from jobs.models import FamilyForecast, Job, KeptQuote, Mark, OutlookPart, Photo, ShopRevision, StepTick
from packing.catalogue.documents import SLUG_LENGTH_MOST
from packing.catalogue.family_rules import ZONE_LENGTH_MOST
from packing.models import CatalogueRevision

SLUGS = [
    (CatalogueRevision, "slug"),
    (ShopRevision, "slug"),
    (Job, "family"),
    (Job, "unit_model"),
    (FamilyForecast, "family"),
    (KeptQuote, "family"),
    (OutlookPart, "subject"),
    (Photo, "shot"),
]


@pytest.mark.parametrize(("model", "column"), SLUGS, ids=lambda part: getattr(part, "__name__", part))
def test_a_short_name_fits_every_column_that_holds_one(model, column):
    assert model._meta.get_field(column).max_length >= SLUG_LENGTH_MOST


def test_a_ticked_step_fits_its_column():
    assert StepTick._meta.get_field("step").max_length >= len("strip-") + SLUG_LENGTH_MOST


def test_a_zone_fits_the_column_of_a_mark():
    assert Mark._meta.get_field("zone").max_length >= ZONE_LENGTH_MOST
