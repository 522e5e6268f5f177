"""A form sent after the session ran out waits beside the link by which its sender signs in again."""

from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ("accounts", "0001_people"),
    ]

    operations = [
        migrations.AddField(
            model_name="signinlink",
            name="kept",
            field=models.TextField(blank=True, default=""),
        ),
    ]
