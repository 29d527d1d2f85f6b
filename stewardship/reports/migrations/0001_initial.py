import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("accounts", "0001_initial"),
        ("accounts", "__first__"),
        ("places", "0001_initial"),
    ]

    operations = [
        migrations.CreateModel(
            name="Season",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                ("rev", models.PositiveIntegerField(default=1, verbose_name="revisions so far")),
                ("entered_at", models.DateTimeField()),
                ("name", models.CharField(max_length=200)),
                ("first_on", models.DateField()),
                ("last_on", models.DateField()),
                (
                    "entered_by",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "group",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="accounts.group",
                    ),
                ),
            ],
            options={
                "abstract": False,
                "indexes": [models.Index(fields=["group", "id"], name="season_in_group")],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("last_on__gte", models.F("first_on"))), name="a_season_ends_after_it_begins"
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="SeasonReport",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                ("rev", models.PositiveIntegerField(default=1, verbose_name="revisions so far")),
                ("entered_at", models.DateTimeField()),
                ("job_id", models.UUIDField(null=True, verbose_name="the job that compiles it, or did last")),
                ("latest", models.PositiveIntegerField(default=0, verbose_name="number of the newest version")),
                (
                    "head",
                    models.BigIntegerField(default=0, verbose_name="number in the book up to which it is compiled"),
                ),
                (
                    "entered_by",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "group",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="accounts.group",
                    ),
                ),
                (
                    "property",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="places.property",
                    ),
                ),
                (
                    "season",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="reports.season",
                    ),
                ),
            ],
            options={
                "abstract": False,
                "indexes": [models.Index(fields=["group", "id"], name="seasonreport_in_group")],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("group", "property", "season"), name="a_property_has_one_report_a_season"
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="ReportVersion",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                ("rev", models.PositiveIntegerField(default=1, verbose_name="revisions so far")),
                ("entered_at", models.DateTimeField()),
                ("number", models.PositiveIntegerField()),
                ("figures", models.JSONField()),
                ("figures_hash", models.CharField(max_length=64, verbose_name="SHA-256 of the figures")),
                ("as_of", models.DateTimeField(verbose_name="data as of")),
                ("head", models.BigIntegerField(verbose_name="number in the book that it rests on")),
                ("head_hash", models.CharField(max_length=64)),
                (
                    "entered_by",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "group",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="accounts.group",
                    ),
                ),
                (
                    "report",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="versions",
                        to="reports.seasonreport",
                    ),
                ),
            ],
            options={
                "abstract": False,
                "indexes": [models.Index(fields=["group", "id"], name="reportversion_in_group")],
                "constraints": [
                    models.UniqueConstraint(fields=("group", "report", "number"), name="a_version_has_its_own_number")
                ],
            },
        ),
    ]
