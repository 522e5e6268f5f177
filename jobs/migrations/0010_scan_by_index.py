"""What a scan looks for has an index.

The number on the box was read out of every arrival of the log, and the number found out of the whole rows of
jobs, papers and all.
"""

from django.db import migrations, models

BATCH = 500


def fill(apps, schema_editor):
    """Copy what the log says; the log itself is only read."""
    job_rows, events = apps.get_model("jobs", "Job").objects, apps.get_model("jobs", "JobEvent").objects
    taken_back = {
        (job, facts["corrects"])
        for job, facts in events.filter(kind="corrected").values_list("job_id", "facts")
    }
    seen = {}
    arrivals = events.filter(kind__in=["arrived", "box_recorded"]).order_by("job_id", "number")
    for job, number, facts in arrivals.values_list("job_id", "number", "facts").iterator(chunk_size=BATCH):
        if (job, number) not in taken_back:
            signs = str(facts.get("parcel_number", "")).upper()
            seen[job] = "".join(sign for sign in signs if sign.isascii() and sign.isalnum())[:60]
    rows = [job_rows.model(pk=job, parcel_seen=number) for job, number in seen.items() if number]
    job_rows.bulk_update(rows, ["parcel_seen"], batch_size=BATCH)


class Migration(migrations.Migration):

    dependencies = [
        ("jobs", "0009_claims_and_refused_quotes"),
    ]

    operations = [
        migrations.AddField(
            model_name="job",
            name="parcel_seen",
            field=models.CharField(blank=True, default="", max_length=60),
            preserve_default=False,
        ),
        migrations.AddIndex(
            model_name="job",
            index=models.Index(fields=["parcel_seen"], name="job_parcel_seen"),
        ),
        migrations.AddIndex(
            model_name="job",
            index=models.Index(fields=["number_found"], name="job_number_found"),
        ),
        migrations.RunPython(fill, migrations.RunPython.noop),
    ]
