"""Which job may this browser see? Only one of the customer whose private link it opened."""

from collections.abc import Callable
from functools import wraps
from typing import cast

from django.http import Http404, HttpRequest, HttpResponseBase

from jobs.domain.actors import Actor
from jobs.models import Customer, Job
from jobs.selectors import customer_jobs
from portal.shared.actors import customer_actor
from portal.shared.grants import CustomerGrant

View = Callable[..., HttpResponseBase]


def grant_of(request: HttpRequest) -> CustomerGrant:
    """Return the grant that the gate found on this request."""
    return cast(CustomerGrant, request.customer_grant)  # type: ignore[attr-defined]


def own_job(view: View) -> View:
    """Give the view the customer's own job as `job` in place of its number; any other number is 404."""

    @wraps(view)
    def with_job(request: HttpRequest, number: str, *args: object, **kwargs: object) -> HttpResponseBase:
        job = customer_jobs.find_job(number, customer_id=grant_of(request).customer_id)
        if job is None:
            raise Http404
        return view(request, *args, job=job, **kwargs)

    return with_job


def customer_of(job: Job) -> Customer:
    """Return the customer of a job that `own_job` gave."""
    if job.customer is None:
        raise Http404
    return job.customer


def actor_of(job: Job) -> Actor:
    """Return the customer of the job as the log names them."""
    return customer_actor(customer_of(job))
