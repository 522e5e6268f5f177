"""Every rule that the database itself keeps, broken on purpose behind the backs of forms and services."""

from datetime import date, timedelta
from uuid import uuid4

import pytest
from django.apps import apps
from django.db import IntegrityError, connection, models, transaction
from django.db.models import ProtectedError

from jobs.models import (
    Booking,
    ExtraWork,
    FamilyForecast,
    Job,
    JobEvent,
    JobForecast,
    KeptQuote,
    Mark,
    OutboxMessage,
    OutlookPart,
    Photo,
    PrivateLink,
    QuoteRefusal,
    ShopRevision,
    StepTick,
    WhatIfRun,
    WorkClaim,
)
from jobs.services import links
from packing.models import CatalogueRevision
from tests.factories import NOW, make_job

pytestmark = pytest.mark.django_db
DAY = date(2026, 4, 1)

CHECKS = {
    "job_stage_known": (Job, {"stage": "lost"}),
    "job_hold_known": (Job, {"hold": "weather"}),
    "job_has_events": (Job, {"event_count": 0}),
    "job_severity_known": (Job, {"worst_severity": 6}),
    "job_promise_in_order": (
        Job,
        {"promise_earliest_on": DAY, "promise_latest_on": DAY - timedelta(days=1)},
    ),
    "mark_severity_known": (Mark, {"severity": 6}),
    "mark_x_on_photo": (Mark, {"x_share": 1.01}),
    "mark_y_on_photo": (Mark, {"y_share": -0.01}),
    "outbox_state_known": (OutboxMessage, {"state": "lost"}),
    "photo_belongs": (Photo, {"job": None, "booking": None}),
    "photo_state_known": (Photo, {"state": "lost"}),
    "photo_role_known": (Photo, {"role": "holiday"}),
    "link_purpose_known": (PrivateLink, {"purpose": "all"}),
    "extra_work_decision_known": (ExtraWork, {"decision": "maybe", "decided_at": NOW}),
    "extra_work_decision_dated": (ExtraWork, {"decision": "approved", "decided_at": None}),
    "quote_moment_known": (KeptQuote, {"moment": "later"}),
    "quote_of_promise_names_event": (KeptQuote, {"event_number": 2}),
    "what_if_state_known": (WhatIfRun, {"state": "lost"}),
    "shop_revision_from_one": (ShopRevision, {"revision": 0}),
    "catalogue_revision_from_one": (CatalogueRevision, {"revision": 0}),
    "catalogue_kind_known": (CatalogueRevision, {"kind": "box"}),
}
EVENT_CHECKS = {
    "event_number_from_one": {"number": 0},
    "event_happened_before_recorded": {"number": 99, "happened_at": NOW + timedelta(seconds=1)},
}
UNIQUE_TOGETHER = {
    "event_number_once": JobEvent,
    "extra_work_number_once": ExtraWork,
    "shop_revision_once": ShopRevision,
    "step_ticked_once": StepTick,
    "catalogue_revision_once": CatalogueRevision,
    "outlook_part_once": OutlookPart,
    "quote_on_arrival_once": KeptQuote,
    "quote_of_promise_once": KeptQuote,
}
ROW_OF = {"quote_of_promise_once": {"moment": "promise"}}
UNIQUE_FIELDS = {
    (Job, "number"),
    (Job, "submission_key"),
    (Booking, "reference"),
    (Booking, "submission_key"),
    (Booking, "job"),
    (PrivateLink, "token_hash"),
    (OutboxMessage, "key"),
    (Photo, "reference"),
    (FamilyForecast, "family"),
    (JobForecast, "job"),
    (WhatIfRun, "reference"),
    (WorkClaim, "name"),
    (QuoteRefusal, "job"),
}


def owned_models():
    return [*apps.get_app_config("jobs").get_models(), *apps.get_app_config("packing").get_models()]


def plain(model):
    """Return the rows without the manager's own refusals."""
    return models.QuerySet(model)


@pytest.fixture
def job():
    """Return a booked job with one row of every kind beside it."""
    job = make_job()
    links.issue_job_link(job, now=NOW)
    Mark.objects.create(
        job=job, zone="body", damage_kind="crack", severity=1, origin="cannot_tell", recorded_at=NOW
    )
    Photo.objects.create(reference=uuid4(), job=job, role="before", by_role="customer", uploaded_at=NOW)
    ExtraWork.objects.create(job=job, number=1, lines=[], price_pence=100, asked_at=NOW)
    StepTick.objects.create(job=job, step="drain", ticked_at=NOW)
    span = {"earliest_on": DAY, "likely_on": DAY, "latest_on": DAY, "based_on": "seed", "computed_at": NOW}
    FamilyForecast.objects.create(family="carburettor", **span)
    JobForecast.objects.create(job=job, **span)
    for moment, event_number in (("arrival", None), ("promise", 2)):
        KeptQuote.objects.create(
            job=job,
            moment=moment,
            event_number=event_number,
            family=job.family,
            quantile_hours=[],
            quoted_levels={},
            **span,
        )
    OutlookPart.objects.create(part="weeks", run_at=NOW, computed_at=NOW)
    WhatIfRun.objects.create(changes=[], asked_by="Ada", asked_at=NOW)
    WorkClaim.objects.create(name="forecast")
    QuoteRefusal.objects.create(job=job, sentence="No bench.", refused_at=NOW)
    return job


def test_every_named_rule_of_the_models_is_broken_here():
    named = {rule.name for model in owned_models() for rule in model._meta.constraints}
    assert named == {*CHECKS, *EVENT_CHECKS, *UNIQUE_TOGETHER}


def test_every_unique_field_of_the_models_is_broken_here():
    unique = {
        (model, field.name)
        for model in owned_models()
        for field in model._meta.local_fields
        if field.unique and not field.primary_key
    }
    assert unique == UNIQUE_FIELDS


@pytest.mark.parametrize("name", CHECKS)
def test_a_wrong_value_is_refused(job, name):
    model, wrong = CHECKS[name]
    row = plain(model).first()
    with pytest.raises(IntegrityError, match=name), transaction.atomic():
        plain(model).filter(pk=row.pk).update(**wrong)


@pytest.mark.parametrize("name", EVENT_CHECKS)
def test_a_wrong_log_row_is_refused(job, name):
    row = JobEvent.objects.get(job=job, number=1)
    row.pk, row.happened_at = None, NOW
    for field, value in EVENT_CHECKS[name].items():
        setattr(row, field, value)
    with pytest.raises(IntegrityError, match=name), transaction.atomic():
        plain(JobEvent).bulk_create([row])


@pytest.mark.parametrize("name", UNIQUE_TOGETHER)
def test_a_second_row_of_the_same_is_refused(job, name):
    model = UNIQUE_TOGETHER[name]
    copy = plain(model).filter(**ROW_OF.get(name, {})).first()
    copy.pk = None
    with pytest.raises(IntegrityError, match=r"(?i)unique"), transaction.atomic():
        plain(model).bulk_create([copy])


@pytest.mark.parametrize(("model", "field"), sorted(UNIQUE_FIELDS, key=str), ids=str)
def test_a_value_that_another_row_has_is_refused(job, model, field):
    first = plain(model).first()
    other = plain(model).get(pk=first.pk)
    other.pk = None
    for name in {name for owner, name in UNIQUE_FIELDS if owner is model} - {field}:
        kind = model._meta.get_field(name)
        fresh = uuid4() if isinstance(kind, models.UUIDField) else uuid4().hex[:7]
        setattr(other, name, None if kind.is_relation else fresh)
    with pytest.raises(IntegrityError, match=r"(?i)unique"), transaction.atomic():
        plain(model).bulk_create([other])


def countable():
    return [
        (model, field.name)
        for model in owned_models()
        for field in model._meta.local_fields
        if isinstance(field, models.PositiveIntegerField | models.PositiveSmallIntegerField)
        and model is not JobEvent
    ]


@pytest.mark.parametrize(("model", "field"), countable(), ids=str)
def test_money_and_counts_below_nothing_are_refused(job, model, field):
    row = plain(model).first()
    with pytest.raises(IntegrityError), transaction.atomic():
        plain(model).filter(pk=row.pk).update(**{field: -1})


@transaction.atomic
def write_and_check(row):
    plain(type(row)).bulk_create([row])
    connection.check_constraints()


@pytest.mark.parametrize("model", [JobEvent, Mark, Photo, ExtraWork, StepTick, OutboxMessage, PrivateLink])
def test_a_row_of_a_job_that_is_not_there_is_refused(job, model):
    copy = plain(model).filter(job=job).first()
    copy.pk, copy.job_id = None, 999_999
    for name, fresh in (("token_hash", "x"), ("key", "x"), ("reference", uuid4())):
        if hasattr(copy, name):
            setattr(copy, name, fresh)
    with pytest.raises(IntegrityError):
        write_and_check(copy)


def test_a_job_with_a_log_cannot_be_deleted(job):
    with pytest.raises(ProtectedError):
        job.delete()


def test_a_customer_with_a_job_cannot_be_deleted(job):
    with pytest.raises(ProtectedError):
        job.customer.delete()
