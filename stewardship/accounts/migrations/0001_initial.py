import django.db.models.deletion
import django.db.models.functions.text
from django.conf import settings
from django.db import migrations, models

import stewardship.accounts.models.groups
import stewardship.journal.ids


class Migration(migrations.Migration):
    initial = True

    dependencies = []

    operations = [
        migrations.CreateModel(
            name="Attempts",
            fields=[
                (
                    "key",
                    models.CharField(
                        max_length=64,
                        primary_key=True,
                        serialize=False,
                        verbose_name="what is tried, by which account or address; hashed",
                    ),
                ),
                ("moments", models.JSONField(default=list, verbose_name="microseconds since 1970 began")),
                ("forget_at", models.DateTimeField(db_index=True, verbose_name="when the newest no longer counts")),
            ],
        ),
        migrations.CreateModel(
            name="Person",
            fields=[
                ("password", models.CharField(max_length=128, verbose_name="password")),
                ("last_login", models.DateTimeField(blank=True, null=True, verbose_name="last login")),
                (
                    "id",
                    models.UUIDField(
                        default=stewardship.journal.ids.new_id, editable=False, primary_key=True, serialize=False
                    ),
                ),
                (
                    "email",
                    models.EmailField(
                        blank=True,
                        max_length=254,
                        null=True,
                        unique=True,
                        verbose_name="in lower case; none for who works along only",
                    ),
                ),
                ("is_active", models.BooleanField(default=True)),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("email", django.db.models.functions.text.Lower("email"))),
                        name="an_email_is_in_lower_case",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Device",
            fields=[
                (
                    "id",
                    models.UUIDField(
                        default=stewardship.journal.ids.new_id, editable=False, primary_key=True, serialize=False
                    ),
                ),
                ("name", models.CharField(max_length=100)),
                ("secret_hash", models.CharField(max_length=64, unique=True, verbose_name="SHA-256 of the token")),
                ("created_at", models.DateTimeField()),
                ("last_seen_at", models.DateTimeField(null=True)),
                ("revoked_at", models.DateTimeField(null=True)),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="devices", to=settings.AUTH_USER_MODEL
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Group",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                ("rev", models.PositiveIntegerField(default=1, verbose_name="revisions so far")),
                ("entered_at", models.DateTimeField()),
                ("name", models.CharField(max_length=200)),
                ("time_zone", models.CharField(max_length=60, verbose_name="IANA time zone")),
                (
                    "jurisdiction",
                    models.CharField(
                        blank=True,
                        max_length=6,
                        verbose_name="ISO 3166 code whose rule profiles it follows; empty: none",
                    ),
                ),
                ("volume_unit", models.CharField(default="fl_oz", max_length=20)),
                ("mass_unit", models.CharField(default="lb", max_length=20)),
                ("area_unit", models.CharField(default="acre", max_length=20)),
                (
                    "wants_waivers",
                    models.BooleanField(default=False, verbose_name="whoever comes to a work day has signed a waiver"),
                ),
                (
                    "wants_briefings",
                    models.BooleanField(default=False, verbose_name="whoever comes to a work day signs a briefing"),
                ),
                (
                    "lead_days",
                    models.JSONField(
                        default=stewardship.accounts.models.groups.every_lead,
                        verbose_name="days before something ends when people are reminded",
                    ),
                ),
                (
                    "escalate_after_days",
                    models.PositiveSmallIntegerField(
                        default=1, verbose_name="days after its end when it comes to the second coordinator"
                    ),
                ),
                (
                    "wants_approved_tasks",
                    models.BooleanField(default=False, verbose_name="whether a work day serves an approved task"),
                ),
                (
                    "wants_permissions",
                    models.BooleanField(
                        default=False, verbose_name="whether herbicide work takes a landowner's permission"
                    ),
                ),
                (
                    "wants_registrations",
                    models.BooleanField(
                        default=False, verbose_name="whether it takes products whose registration is on record"
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
            ],
            options={
                "abstract": False,
                "indexes": [models.Index(fields=["group", "id"], name="group_in_group")],
                "constraints": [
                    models.CheckConstraint(condition=models.Q(("id", models.F("group_id"))), name="a_group_owns_itself")
                ],
            },
        ),
        migrations.CreateModel(
            name="ConsentText",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                ("rev", models.PositiveIntegerField(default=1, verbose_name="revisions so far")),
                ("entered_at", models.DateTimeField()),
                (
                    "what",
                    models.CharField(
                        choices=[
                            ("waiver", "waiver"),
                            ("guardian_consent", "guardian's consent"),
                            ("photo", "consent to photographs"),
                        ],
                        max_length=20,
                    ),
                ),
                ("title", models.CharField(max_length=200)),
                ("text", models.TextField()),
                ("from_on", models.DateField(verbose_name="first day on which it is asked for")),
                (
                    "renewal",
                    models.CharField(
                        choices=[
                            ("never", "until it is withdrawn"),
                            ("months", "for some months"),
                            ("calendar_year", "until the end of the calendar year"),
                        ],
                        default="never",
                        max_length=20,
                    ),
                ),
                (
                    "renew_months",
                    models.PositiveSmallIntegerField(
                        null=True, verbose_name="how many months a consent lasts; none: no number"
                    ),
                ),
                ("only_under_18", models.BooleanField(default=False, verbose_name="asked of those under 18 only")),
                ("retired_at", models.DateTimeField(null=True, verbose_name="when it was taken out of use")),
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
                "indexes": [models.Index(fields=["group", "id"], name="consenttext_in_group")],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("renew_months__gte", 1), ("renewal", "months")),
                            models.Q(models.Q(("renewal", "months"), _negated=True), ("renew_months", None)),
                            _connector="OR",
                        ),
                        name="a_consent_for_months_says_how_many",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Member",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                ("rev", models.PositiveIntegerField(default=1, verbose_name="revisions so far")),
                ("entered_at", models.DateTimeField()),
                ("display_name", models.CharField(max_length=200)),
                (
                    "role",
                    models.CharField(
                        choices=[("coordinator", "Coordinator"), ("volunteer", "Volunteer"), ("reviewer", "Reviewer")],
                        max_length=20,
                    ),
                ),
                ("ended_at", models.DateTimeField(null=True)),
                ("suspended_at", models.DateTimeField(null=True, verbose_name="since when they may not act or read")),
                (
                    "erased_at",
                    models.DateTimeField(null=True, verbose_name="when what is personal of them was erased"),
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
                    "person",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="memberships",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "abstract": False,
                "indexes": [models.Index(fields=["group", "id"], name="member_in_group")],
                "constraints": [
                    models.UniqueConstraint(fields=("person", "group"), name="a_person_is_a_member_once"),
                    models.CheckConstraint(
                        condition=models.Q(("erased_at", None), ("ended_at__isnull", False), _connector="OR"),
                        name="who_is_erased_has_left",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Invitation",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                ("rev", models.PositiveIntegerField(default=1, verbose_name="revisions so far")),
                ("entered_at", models.DateTimeField()),
                ("email", models.EmailField(max_length=254, verbose_name="the address it is bound to, in lower case")),
                (
                    "role",
                    models.CharField(
                        choices=[("coordinator", "Coordinator"), ("volunteer", "Volunteer"), ("reviewer", "Reviewer")],
                        max_length=20,
                    ),
                ),
                ("display_name", models.CharField(max_length=200, verbose_name="the name that rosters will show")),
                (
                    "state",
                    models.CharField(
                        choices=[("sent", "Sent"), ("accepted", "Accepted"), ("withdrawn", "Withdrawn")],
                        default="sent",
                        max_length=10,
                    ),
                ),
                ("sent_at", models.DateTimeField(verbose_name="when the letter was last asked for")),
                ("expires_at", models.DateTimeField(verbose_name="the moment from which on it opens nothing")),
                ("ended_at", models.DateTimeField(null=True, verbose_name="when it was accepted or withdrawn")),
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
                    "became",
                    models.ForeignKey(
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="accounts.member",
                        verbose_name="the membership of who accepted it",
                    ),
                ),
                (
                    "member",
                    models.ForeignKey(
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="accounts.member",
                        verbose_name="who works along already and now gets a sign-in",
                    ),
                ),
            ],
            options={
                "abstract": False,
                "indexes": [models.Index(fields=["group", "id"], name="invitation_in_group")],
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("state", "sent")),
                        fields=("group", "email"),
                        name="an_address_has_one_invitation_at_a_time",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("ended_at", None), ("state", "sent")),
                            models.Q(models.Q(("state", "sent"), _negated=True), ("ended_at__isnull", False)),
                            _connector="OR",
                        ),
                        name="an_invitation_that_ended_says_when",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="InvitationSecret",
            fields=[
                (
                    "invitation",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        primary_key=True,
                        related_name="secret",
                        serialize=False,
                        to="accounts.invitation",
                    ),
                ),
                ("secret_hash", models.CharField(max_length=64, unique=True, verbose_name="SHA-256 of the secret")),
                (
                    "of_letter",
                    models.DateTimeField(verbose_name="the asking that it was made for: a later letter ends it"),
                ),
            ],
        ),
        migrations.CreateModel(
            name="EmergencyContact",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                ("rev", models.PositiveIntegerField(default=1, verbose_name="revisions so far")),
                ("entered_at", models.DateTimeField()),
                ("name", models.CharField(max_length=200)),
                ("phone", models.CharField(max_length=60)),
                ("relation", models.CharField(blank=True, max_length=100, verbose_name="what they are to the member")),
                ("place", models.PositiveSmallIntegerField(default=1, verbose_name="1 is called first")),
                ("removed_at", models.DateTimeField(null=True, verbose_name="when they were taken off")),
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
                    "person",
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
            ],
            options={
                "abstract": False,
                "indexes": [
                    models.Index(fields=["group", "id"], name="emergencycontact_in_group"),
                    models.Index(fields=["group", "member"], name="contacts_of_a_member"),
                ],
            },
        ),
        migrations.CreateModel(
            name="Consent",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                ("rev", models.PositiveIntegerField(default=1, verbose_name="revisions so far")),
                ("entered_at", models.DateTimeField()),
                ("given_on", models.DateField(verbose_name="local date, by the group's clock")),
                (
                    "given_by",
                    models.CharField(
                        blank=True, max_length=200, verbose_name="name of the guardian who gave it; empty: the member"
                    ),
                ),
                (
                    "relation",
                    models.CharField(blank=True, max_length=100, verbose_name="what the guardian is to the member"),
                ),
                (
                    "how",
                    models.CharField(
                        choices=[("signed_in", "signed in as themselves"), ("signed_sheet", "signed on a sheet")],
                        max_length=20,
                    ),
                ),
                (
                    "sheet",
                    models.CharField(
                        blank=True, max_length=200, verbose_name="which sheet was signed, and where it is kept"
                    ),
                ),
                ("time_zone", models.CharField(max_length=60, verbose_name="the group's zone when it was given")),
                ("ends_on", models.DateField(null=True, verbose_name="last day on which it counts; none: no end")),
                ("withdrawn_at", models.DateTimeField(null=True)),
                ("voided_at", models.DateTimeField(null=True, verbose_name="when it was called a mistaken entry")),
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
                    "person",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "text",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="consents",
                        to="accounts.consenttext",
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
            ],
            options={
                "abstract": False,
                "indexes": [
                    models.Index(fields=["group", "id"], name="consent_in_group"),
                    models.Index(fields=["group", "member"], name="consents_of_a_member"),
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("ends_on__gte", models.F("given_on"))),
                        name="a_consent_ends_after_it_was_given",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("how", "signed_in"), ("sheet", "")),
                            models.Q(("how", "signed_sheet"), models.Q(("sheet", ""), _negated=True)),
                            _connector="OR",
                        ),
                        name="a_signed_sheet_is_named",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="PersonalDetails",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                ("rev", models.PositiveIntegerField(default=1, verbose_name="revisions so far")),
                ("entered_at", models.DateTimeField()),
                ("born_on", models.DateField(null=True, verbose_name="date of birth; none: not told")),
                (
                    "adult_from",
                    models.DateField(
                        null=True, verbose_name="day from which they are known to be 18 or over; none: not told"
                    ),
                ),
                (
                    "under_18",
                    models.BooleanField(default=False, verbose_name="under 18 until adult_from, or no day is told"),
                ),
                ("address", models.TextField(blank=True)),
                ("phone", models.CharField(blank=True, max_length=60)),
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
                "indexes": [models.Index(fields=["group", "id"], name="personaldetails_in_group")],
                "constraints": [
                    models.UniqueConstraint(fields=("group", "member"), name="a_member_has_personal_details_once"),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("born_on", None), models.Q(("adult_from", None), ("under_18", False)), _connector="OR"
                        ),
                        name="an_age_is_told_in_one_way",
                    ),
                ],
            },
        ),
        migrations.AddField(
            model_name="Group",
            name="second_coordinator",
            field=models.ForeignKey(
                db_index=False,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="accounts.member",
            ),
        ),
    ]
