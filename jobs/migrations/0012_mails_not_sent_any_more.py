"""A mail whose step was taken back before it went out is dropped, and its row stays to say so."""

from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ("jobs", "0011_photo_faults"),
    ]

    operations = [
        migrations.RemoveConstraint(model_name="outboxmessage", name="outbox_state_known"),
        migrations.AddConstraint(
            model_name="outboxmessage",
            constraint=models.CheckConstraint(
                condition=models.Q(state__in=["waiting", "sending", "sent", "given_up", "dropped"]),
                name="outbox_state_known",
            ),
        ),
    ]
