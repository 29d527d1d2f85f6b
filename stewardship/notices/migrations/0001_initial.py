import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models

import stewardship.journal.ids


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("accounts", "0001_initial"),
    ]

    operations = [
        migrations.CreateModel(
            name="Letter",
            fields=[
                (
                    "id",
                    models.UUIDField(
                        default=stewardship.journal.ids.new_id, editable=False, primary_key=True, serialize=False
                    ),
                ),
                ("address", models.EmailField(max_length=254, verbose_name="where it goes")),
                (
                    "message_id",
                    models.CharField(
                        max_length=200, unique=True, verbose_name="its Message-ID, the same each time it is tried"
                    ),
                ),
                ("subject", models.CharField(max_length=300)),
                ("text", models.TextField()),
                ("html", models.TextField()),
                (
                    "state",
                    models.CharField(
                        choices=[("queued", "Queued"), ("sending", "Sending"), ("sent", "Sent"), ("failed", "Failed")],
                        default="queued",
                        max_length=10,
                    ),
                ),
                ("run_after", models.DateTimeField(verbose_name="when it is tried next")),
                ("attempts", models.PositiveIntegerField(default=0)),
                (
                    "lease_until",
                    models.DateTimeField(
                        null=True, verbose_name="until when the run that is sending it has it for itself"
                    ),
                ),
                (
                    "error",
                    models.CharField(
                        blank=True, max_length=500, verbose_name="what the mail server said, or what is not known"
                    ),
                ),
                ("made_at", models.DateTimeField()),
                ("finished_at", models.DateTimeField(null=True)),
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
                    "member",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="accounts.member",
                    ),
                ),
                (
                    "unclear_ends",
                    models.PositiveIntegerField(
                        default=0, verbose_name="attempts of which nobody knows whether the letter went"
                    ),
                ),
            ],
            options={
                "indexes": [
                    models.Index(
                        condition=models.Q(("state__in", ["queued", "sending"])),
                        fields=["group", "run_after"],
                        name="letters_that_are_not_sent",
                    ),
                    models.Index(fields=["group", "member"], name="letters_of_a_member"),
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("state", "sending"), _negated=True),
                            ("lease_until__isnull", False),
                            _connector="OR",
                        ),
                        name="a_letter_that_is_being_sent_has_a_lease",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("finished_at__isnull", True), ("state__in", ["queued", "sending"])),
                            models.Q(("finished_at__isnull", False), ("state__in", ["sent", "failed"])),
                            _connector="OR",
                        ),
                        name="a_letter_has_its_end_once_it_is_finished",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Notice",
            fields=[
                (
                    "id",
                    models.UUIDField(
                        default=stewardship.journal.ids.new_id, editable=False, primary_key=True, serialize=False
                    ),
                ),
                ("kind", models.CharField(max_length=40)),
                ("key", models.CharField(max_length=200, verbose_name="what it is about; told once under it")),
                ("subject", models.CharField(max_length=200)),
                ("text", models.TextField()),
                ("path", models.CharField(blank=True, max_length=200, verbose_name="the page where one acts on it")),
                ("due_at", models.DateTimeField(verbose_name="from when on it is told")),
                ("made_at", models.DateTimeField()),
                (
                    "handled_at",
                    models.DateTimeField(null=True, verbose_name="when a letter took it, or it was left to the page"),
                ),
                (
                    "read_at",
                    models.DateTimeField(null=True, verbose_name="when it was seen on the page, or told by phone"),
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
                    "letter",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="notices",
                        to="notices.letter",
                    ),
                ),
                (
                    "member",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="accounts.member",
                    ),
                ),
                (
                    "told_by",
                    models.ForeignKey(
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="accounts.member",
                    ),
                ),
            ],
            options={
                "indexes": [
                    models.Index(fields=["group", "member", "-due_at"], name="notices_of_a_member"),
                    models.Index(
                        condition=models.Q(("handled_at", None)), fields=["group", "due_at"], name="notices_not_handled"
                    ),
                ],
                "constraints": [
                    models.UniqueConstraint(fields=("group", "member", "key"), name="a_member_is_told_each_thing_once"),
                    models.CheckConstraint(
                        condition=models.Q(("letter", None), ("handled_at__isnull", False), _connector="OR"),
                        name="a_notice_in_a_letter_is_handled",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="NotificationSettings",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                ("rev", models.PositiveIntegerField(default=1, verbose_name="revisions so far")),
                ("entered_at", models.DateTimeField()),
                (
                    "page_only",
                    models.JSONField(
                        default=list, verbose_name="kinds of notices that stay on the page and do not come by mail"
                    ),
                ),
                (
                    "digest",
                    models.CharField(
                        choices=[("daily", "once a day, everything in one mail"), ("at_once", "as things happen")],
                        default="daily",
                        max_length=10,
                    ),
                ),
                (
                    "digest_hour",
                    models.PositiveSmallIntegerField(
                        default=7, verbose_name="hour of the group's clock of the daily mail"
                    ),
                ),
                (
                    "lead_days",
                    models.JSONField(
                        null=True, verbose_name="days before the end when they are reminded; null: as the group does"
                    ),
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
                    "member",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="accounts.member",
                    ),
                ),
                (
                    "person",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "abstract": False,
                "indexes": [models.Index(fields=["group", "id"], name="notificationsettings_in_group")],
                "constraints": [
                    models.UniqueConstraint(fields=("group", "member"), name="a_member_says_once_how_to_be_told"),
                    models.CheckConstraint(
                        condition=models.Q(("digest_hour__lte", 23)), name="a_digest_comes_at_an_hour_of_the_day"
                    ),
                ],
            },
        ),
    ]
