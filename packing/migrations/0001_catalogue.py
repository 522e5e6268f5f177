"""The catalogue's revisions."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = [migrations.swappable_dependency(settings.AUTH_USER_MODEL)]

    operations = [
        migrations.CreateModel(
            name="CatalogueRevision",
            fields=[
                (
                    "id",
                    models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"),
                ),
                ("kind", models.CharField(max_length=16)),
                ("slug", models.CharField(max_length=60)),
                ("revision", models.PositiveIntegerField()),
                ("document", models.JSONField()),
                ("published_at", models.DateTimeField()),
                ("note", models.CharField(blank=True, max_length=500)),
                ("withdrawn", models.BooleanField(default=False)),
                (
                    "published_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ["kind", "slug", "revision"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("kind", "slug", "revision"), name="catalogue_revision_once"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("revision__gte", 1)), name="catalogue_revision_from_one"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("kind__in", ["family", "unit_model", "material", "carton", "carrier"])
                        ),
                        name="catalogue_kind_known",
                    ),
                ],
            },
        ),
    ]
