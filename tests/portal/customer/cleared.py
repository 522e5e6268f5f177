"""A job that was cleared to be sent, and the way of its unit through the gate."""

from datetime import timedelta

from django.utils import timezone

from jobs.services import parcels
from tests.factories import WORKSHOP, make_job


def cleared(**changes):
    return make_job(stage="cleared", now=timezone.now() - timedelta(days=5), **changes)


def drain(job, *, hours_ago):
    now = timezone.now()
    parcels.record_drained(job.number, drained_at=now - timedelta(hours=hours_ago), actor=WORKSHOP, now=now)


def pass_gate(job):
    drain(job, hours_ago=30)
    parcels.record_smell(job.number, smells=False, actor=WORKSHOP, now=timezone.now())
