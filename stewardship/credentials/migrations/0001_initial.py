import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("accounts", "0001_initial"),
        ("accounts", "__first__"),
    ]

    operations = [
        migrations.CreateModel(
            name="CredentialType",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                ("rev", models.PositiveIntegerField(default=1, verbose_name="revisions so far")),
                ("entered_at", models.DateTimeField()),
                (
                    "reference_key",
                    models.CharField(
                        blank=True, max_length=80, verbose_name="key of the reference row it was copied from, if any"
                    ),
                ),
                ("source", models.TextField(blank=True, verbose_name="where its facts are published")),
                ("note", models.TextField(blank=True)),
                (
                    "retired_at",
                    models.DateTimeField(null=True, verbose_name="taken out of use; what was recorded with it stays"),
                ),
                ("name", models.CharField(max_length=200)),
                ("authority", models.CharField(blank=True, max_length=200, verbose_name="who issues it")),
                (
                    "jurisdiction",
                    models.CharField(blank=True, max_length=6, verbose_name="ISO 3166 code; empty: none in particular"),
                ),
                (
                    "covers",
                    models.CharField(
                        choices=[
                            ("herbicide_application", "herbicide credential"),
                            ("saw", "saw certificate"),
                            ("first_aid", "first-aid certificate"),
                            ("burning", "burn certificate"),
                            ("training", "training"),
                        ],
                        max_length=40,
                    ),
                ),
                ("categories", models.JSONField(default=list)),
                ("validity", models.JSONField(verbose_name="the rule that its last day follows from")),
                (
                    "grace_days",
                    models.PositiveIntegerField(
                        default=0, verbose_name="days after its end in which it can still be renewed"
                    ),
                ),
                ("needs", models.JSONField(default=list, verbose_name="what else must be good on the day")),
                (
                    "needs_types",
                    models.JSONField(
                        default=list, verbose_name="ids of types of which one must be good on the day, each"
                    ),
                ),
                (
                    "names_products",
                    models.BooleanField(default=False, verbose_name="good for the products named on it only"),
                ),
                (
                    "names_properties",
                    models.BooleanField(default=False, verbose_name="good on the lands named on it only"),
                ),
                (
                    "admits_restricted",
                    models.BooleanField(default=False, verbose_name="good for restricted-use products"),
                ),
                (
                    "minimum_age_years",
                    models.PositiveSmallIntegerField(null=True, verbose_name="of its holder; none: not stated"),
                ),
                (
                    "training_minutes",
                    models.PositiveSmallIntegerField(
                        null=True, verbose_name="least length of a training; none: not stated"
                    ),
                ),
                ("credits", models.JSONField(default=list, verbose_name="credits wanted in each cycle")),
                (
                    "credit_cycle_years",
                    models.PositiveSmallIntegerField(null=True, verbose_name="none: no credits are wanted"),
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
                "indexes": [models.Index(fields=["group", "id"], name="credentialtype_in_group")],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("source", ""), _negated=True), name="a_credential_type_names_its_source"
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Credential",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                ("rev", models.PositiveIntegerField(default=1, verbose_name="revisions so far")),
                ("entered_at", models.DateTimeField()),
                (
                    "covers",
                    models.CharField(
                        choices=[
                            ("herbicide_application", "herbicide credential"),
                            ("saw", "saw certificate"),
                            ("first_aid", "first-aid certificate"),
                            ("burning", "burn certificate"),
                            ("training", "training"),
                        ],
                        max_length=40,
                    ),
                ),
                ("authority", models.CharField(blank=True, max_length=200, verbose_name="who issued it")),
                ("number", models.CharField(blank=True, max_length=100, verbose_name="number as printed")),
                ("issued_on", models.DateField(null=True, verbose_name="none while it is not issued")),
                ("expires_on", models.DateField(null=True, verbose_name="last day on which it counts")),
                ("never_expires", models.BooleanField(default=False)),
                (
                    "grace_days",
                    models.PositiveIntegerField(
                        default=0, verbose_name="days after its end in which it can still be renewed"
                    ),
                ),
                (
                    "received_on",
                    models.DateField(null=True, verbose_name="none while it is not in hand: it does not count yet"),
                ),
                ("categories", models.JSONField(default=list, verbose_name="codes of the categories printed on it")),
                (
                    "products",
                    models.JSONField(default=list, verbose_name="ids of the products that it is good for; none: any"),
                ),
                (
                    "properties",
                    models.JSONField(default=list, verbose_name="ids of the lands that it is good on; none: any"),
                ),
                (
                    "suspensions",
                    models.JSONField(default=list, verbose_name="days on which it did not count: first, last, reason"),
                ),
                ("evidence", models.JSONField(default=list, verbose_name="named files: scans of the document")),
                ("note", models.TextField(blank=True)),
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
                    "group",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="accounts.group",
                    ),
                ),
                (
                    "holder",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="credentials",
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
                (
                    "type",
                    models.ForeignKey(
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="credentials.credentialtype",
                    ),
                ),
            ],
            options={
                "abstract": False,
                "indexes": [
                    models.Index(fields=["group", "id"], name="credential_in_group"),
                    models.Index(fields=["group", "holder"], name="credentials_of_a_member"),
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("expires_on", None), ("never_expires", True)),
                            models.Q(("expires_on__isnull", False), ("never_expires", False)),
                            models.Q(("issued_on", None), ("never_expires", False), ("type__isnull", False)),
                            _connector="OR",
                        ),
                        name="a_credential_ends_on_a_day_or_never",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("expires_on__gte", models.F("issued_on"))),
                        name="a_credential_ends_after_its_issue",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("received_on", None), ("issued_on__isnull", False), _connector="OR"),
                        name="a_credential_in_hand_was_issued",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Credit",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                ("rev", models.PositiveIntegerField(default=1, verbose_name="revisions so far")),
                ("entered_at", models.DateTimeField()),
                (
                    "category",
                    models.CharField(
                        blank=True, max_length=40, verbose_name="code of the type's category; empty: core"
                    ),
                ),
                (
                    "mode",
                    models.CharField(
                        choices=[
                            ("in_person", "in person"),
                            ("online", "online"),
                            ("self_study", "by self-study"),
                            ("other", "otherwise"),
                        ],
                        max_length=20,
                    ),
                ),
                ("amount", models.CharField(max_length=20, verbose_name="decimal text")),
                ("on_date", models.DateField()),
                ("title", models.CharField(max_length=200)),
                ("provider", models.CharField(blank=True, max_length=200)),
                ("course_number", models.CharField(blank=True, max_length=100)),
                ("evidence", models.JSONField(default=list, verbose_name="named files")),
                ("note", models.TextField(blank=True)),
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
                (
                    "type",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="credentials.credentialtype",
                    ),
                ),
            ],
            options={
                "abstract": False,
                "indexes": [
                    models.Index(fields=["group", "id"], name="credit_in_group"),
                    models.Index(fields=["group", "member"], name="credits_of_a_member"),
                ],
            },
        ),
        migrations.CreateModel(
            name="Training",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                ("rev", models.PositiveIntegerField(default=1, verbose_name="revisions so far")),
                ("entered_at", models.DateTimeField()),
                ("terms", models.JSONField(verbose_name="what the rule said when it was entered")),
                (
                    "trainer_name",
                    models.CharField(blank=True, max_length=200, verbose_name="where the trainer is no member"),
                ),
                ("trainer_licence_number", models.CharField(blank=True, max_length=100)),
                (
                    "trainer_licence_ends_on",
                    models.DateField(null=True, verbose_name="last day of that licence, as stated; none: not told"),
                ),
                (
                    "sponsor",
                    models.CharField(
                        blank=True, max_length=200, verbose_name="the body for whose land the trainee volunteers"
                    ),
                ),
                ("on_date", models.DateField()),
                ("last_on", models.DateField(null=True, verbose_name="last day on which it counts; none: no end")),
                ("place", models.CharField(blank=True, max_length=400, verbose_name="where it was given")),
                ("title", models.CharField(max_length=200)),
                ("topics", models.TextField(blank=True, verbose_name="what it was about")),
                ("minutes", models.PositiveIntegerField(verbose_name="how long it took")),
                (
                    "products",
                    models.JSONField(default=list, verbose_name="ids of the products whose labels were gone through"),
                ),
                ("properties", models.JSONField(default=list, verbose_name="ids of the lands it was given for")),
                ("methods", models.JSONField(default=list, verbose_name="methods instructed on")),
                ("equipment", models.CharField(blank=True, max_length=400, verbose_name="equipment instructed on")),
                (
                    "label_copies",
                    models.BooleanField(
                        null=True, verbose_name="whether copies of the labels were given; none: not told"
                    ),
                ),
                ("signed_at", models.DateTimeField(null=True)),
                (
                    "signed_from",
                    models.TextField(blank=True, verbose_name="the signed sheet that a coordinator entered it from"),
                ),
                ("evidence", models.JSONField(default=list, verbose_name="named files")),
                ("note", models.TextField(blank=True)),
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
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "signed_by",
                    models.ForeignKey(
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="accounts.member",
                    ),
                ),
                (
                    "trainee",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="accounts.member",
                    ),
                ),
                (
                    "trainer",
                    models.ForeignKey(
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="accounts.member",
                    ),
                ),
                (
                    "type",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="credentials.credentialtype",
                    ),
                ),
            ],
            options={
                "abstract": False,
                "indexes": [
                    models.Index(fields=["group", "id"], name="training_in_group"),
                    models.Index(fields=["group", "trainee"], name="trainings_of_a_member"),
                    models.Index(fields=["group", "on_date"], name="trainings_by_date"),
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("trainer", None), models.Q(("trainer_name", ""), _negated=True)),
                            models.Q(("trainer__isnull", False), ("trainer_name", "")),
                            _connector="OR",
                        ),
                        name="a_training_has_one_trainer",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("signed_at", None), ("signed_by", None), ("signed_from", "")),
                            models.Q(("signed_at__isnull", False), ("signed_by__isnull", False)),
                            _connector="OR",
                        ),
                        name="a_signature_says_who_and_when",
                    ),
                ],
            },
        ),
    ]
