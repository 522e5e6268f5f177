"""The catalogue takes short names of 60 characters; a family's had 40 in these columns."""

from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ("jobs", "0012_mails_not_sent_any_more"),
    ]

    operations = [
        migrations.AlterField(
            model_name="job",
            name="family",
            field=models.CharField(max_length=60),
        ),
        migrations.AlterField(
            model_name="familyforecast",
            name="family",
            field=models.CharField(max_length=60, unique=True),
        ),
        migrations.AlterField(
            model_name="keptquote",
            name="family",
            field=models.CharField(max_length=60),
        ),
        migrations.AlterField(
            model_name="outlookpart",
            name="subject",
            field=models.CharField(blank=True, max_length=60),
        ),
    ]
