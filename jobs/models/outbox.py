"""The outbox: what has to be sent, written in the transaction that caused it."""

from django.db import models


class OutboxMessage(models.Model):
    """One mail to one person; `key` makes a second of the same impossible.

    A `dropped` mail was no longer true when its turn came; `last_error` says why.
    """

    kind = models.CharField(max_length=40)
    key = models.CharField(max_length=160, unique=True)
    recipient = models.EmailField()
    payload = models.JSONField(default=dict)
    job = models.ForeignKey("jobs.Job", null=True, on_delete=models.PROTECT, related_name="messages")
    state = models.CharField(max_length=8, default="waiting")
    run_after = models.DateTimeField()
    tries = models.PositiveSmallIntegerField(default=0)
    lease_until = models.DateTimeField(null=True)
    last_error = models.CharField(max_length=300, blank=True)
    created_at = models.DateTimeField()
    sent_at = models.DateTimeField(null=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(state__in=["waiting", "sending", "sent", "given_up", "dropped"]),
                name="outbox_state_known",
            ),
        ]
        indexes = [
            models.Index(fields=["state", "run_after"], name="outbox_due"),
            models.Index(fields=["created_at", "id"], name="outbox_created"),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.key}"
