"""The job: one unit from booking to return."""

from django.db import models

STAGES = [
    "booked",
    "cleared",
    "posted",
    "arrived",
    "inspected",
    "stripped",
    "cleaned",
    "machined",
    "assembled",
    "tested",
    "signed_off",
    "packed",
    "sent_back",
    "closed",
    "declined",
    "cancelled",
    "returned_unrepaired",
]
HOLDS = ["", "answer", "parts", "outside", "payment"]


class Job(models.Model):
    """What was booked, plus caches of what the log says (stage, hold, priority, event count, promise).

    `strip_list` and `plan` are frozen copies of what the customer was told, `unit_model_revision` the
    catalogue revision they came from.
    """

    number = models.CharField(max_length=7, unique=True)
    submission_key = models.UUIDField(unique=True)
    customer = models.ForeignKey("jobs.Customer", null=True, on_delete=models.PROTECT, related_name="jobs")

    family = models.CharField(max_length=60)
    unit_model = models.CharField(max_length=80, blank=True)
    unit_model_revision = models.PositiveIntegerField(null=True)
    number_as_read = models.CharField(max_length=120, blank=True)
    number_where = models.CharField(max_length=120, blank=True)
    identified_by = models.CharField(max_length=240, blank=True)
    number_found = models.CharField(max_length=120, blank=True)

    fitted_to = models.CharField(max_length=200, blank=True)
    symptoms = models.JSONField(default=list)
    flags = models.JSONField(default=list)
    own_words = models.TextField(blank=True)
    wished_on = models.DateField(null=True)
    spend_limit_pence = models.PositiveIntegerField(default=0)
    customer_carton = models.JSONField(null=True)

    strip_list = models.JSONField(null=True)
    plan = models.JSONField(null=True)
    plan_back = models.JSONField(null=True)

    stage = models.CharField(max_length=24)
    hold = models.CharField(max_length=8, blank=True)
    hold_reason = models.CharField(max_length=240, blank=True)
    hold_since = models.DateTimeField(null=True)
    stage_since = models.DateTimeField()
    working_step = models.CharField(max_length=16, blank=True)
    event_count = models.PositiveIntegerField(default=0)
    worst_severity = models.PositiveSmallIntegerField(default=0)
    priority = models.BooleanField(default=False)
    transit_damage = models.BooleanField(default=False)
    name_missing = models.BooleanField(default=False)
    tracking_in = models.CharField(max_length=60, blank=True)
    tracking_out = models.CharField(max_length=60, blank=True)
    parcel_seen = models.CharField(max_length=60, blank=True)  # the number that stood on the box when it came

    promise_earliest_on = models.DateField(null=True)
    promise_likely_on = models.DateField(null=True)
    promise_latest_on = models.DateField(null=True)

    booked_at = models.DateTimeField()
    arrived_at = models.DateTimeField(null=True)
    ended_at = models.DateTimeField(null=True)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=models.Q(stage__in=STAGES), name="job_stage_known"),
            models.CheckConstraint(condition=models.Q(hold__in=HOLDS), name="job_hold_known"),
            models.CheckConstraint(condition=models.Q(event_count__gte=1), name="job_has_events"),
            models.CheckConstraint(
                condition=models.Q(worst_severity__gte=0, worst_severity__lte=5), name="job_severity_known"
            ),
            models.CheckConstraint(
                condition=models.Q(promise_latest_on__isnull=True)
                | models.Q(promise_latest_on__gte=models.F("promise_earliest_on")),
                name="job_promise_in_order",
            ),
        ]
        indexes = [
            models.Index(fields=["stage", "stage_since"], name="job_stage_since"),
            models.Index(fields=["stage", "booked_at", "id"], name="job_stage_booked"),
            models.Index(fields=["customer", "booked_at"], name="job_customer_booked"),
            models.Index(fields=["booked_at", "id"], name="job_booked"),
            models.Index(fields=["arrived_at"], name="job_arrived"),
            models.Index(fields=["hold", "hold_since"], name="job_hold"),
            models.Index(fields=["promise_latest_on"], name="job_promise"),
            models.Index(fields=["tracking_in"], name="job_tracking_in"),
            models.Index(fields=["tracking_out"], name="job_tracking_out"),
            models.Index(fields=["parcel_seen"], name="job_parcel_seen"),
            models.Index(fields=["number_as_read"], name="job_number_as_read"),
            models.Index(fields=["number_found"], name="job_number_found"),
            models.Index(fields=["ended_at"], name="job_ended"),
        ]

    def __str__(self) -> str:
        return self.number
