"""The rows of the jobs package, one subject a file."""

from jobs.models.booking import Booking
from jobs.models.customer import Customer, PrivateLink
from jobs.models.event import JobEvent
from jobs.models.extra_work import ExtraWork
from jobs.models.forecast import FamilyForecast, ForecastRun, JobForecast, KeptQuote, QuoteRefusal
from jobs.models.job import Job
from jobs.models.mark import Mark
from jobs.models.outbox import OutboxMessage
from jobs.models.outlook import OutlookPart, WhatIfRun, WorkClaim
from jobs.models.photo import Photo
from jobs.models.shop import ShopRevision
from jobs.models.step_tick import StepTick

__all__ = [
    "Booking",
    "Customer",
    "ExtraWork",
    "FamilyForecast",
    "ForecastRun",
    "Job",
    "JobEvent",
    "JobForecast",
    "KeptQuote",
    "Mark",
    "OutboxMessage",
    "OutlookPart",
    "Photo",
    "PrivateLink",
    "QuoteRefusal",
    "ShopRevision",
    "StepTick",
    "WhatIfRun",
    "WorkClaim",
]
