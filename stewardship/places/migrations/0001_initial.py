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
            name="Property",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                ("rev", models.PositiveIntegerField(default=1, verbose_name="revisions so far")),
                ("entered_at", models.DateTimeField()),
                ("name", models.CharField(max_length=200)),
                ("boundary", models.JSONField(null=True, verbose_name="GeoJSON geometry, coordinates as decimal text")),
                ("area_mm2", models.BigIntegerField(null=True, verbose_name="geodesic area within the boundary [mm²]")),
                ("note", models.TextField(blank=True)),
                ("address", models.TextField(blank=True)),
                ("legal_description", models.TextField(blank=True, verbose_name="as the deed words it")),
                (
                    "county_section",
                    models.CharField(blank=True, max_length=200, verbose_name="county, range, township and section"),
                ),
                (
                    "map_number",
                    models.CharField(blank=True, max_length=100, verbose_name="number on a map of the authority's"),
                ),
                (
                    "time_zone",
                    models.CharField(blank=True, max_length=60, verbose_name="IANA time zone, if not the group's"),
                ),
                (
                    "jurisdiction",
                    models.CharField(blank=True, max_length=6, verbose_name="ISO 3166 code, if not the group's"),
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
                "indexes": [models.Index(fields=["group", "id"], name="property_in_group")],
            },
        ),
        migrations.CreateModel(
            name="LandPermission",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                ("rev", models.PositiveIntegerField(default=1, verbose_name="revisions so far")),
                ("entered_at", models.DateTimeField()),
                ("valid_from", models.DateField(verbose_name="first day")),
                ("valid_to", models.DateField(null=True, verbose_name="last day; none: until it is withdrawn")),
                ("document", models.TextField(blank=True, verbose_name="where the paper is kept")),
                ("note", models.TextField(blank=True)),
                ("withdrawn_on", models.DateField(null=True, verbose_name="first day on which it holds no more")),
                ("withdrawn_why", models.TextField(blank=True)),
                ("given_by", models.CharField(max_length=200)),
                ("relation", models.CharField(max_length=200, verbose_name="to the land: owner, tenant, agency")),
                ("given_on", models.DateField()),
                ("herbicide", models.BooleanField(verbose_name="whether it takes in herbicide")),
                (
                    "excluded_actives",
                    models.JSONField(default=list, verbose_name="names of active ingredients that it leaves out"),
                ),
                ("excluded_methods", models.JSONField(default=list)),
                ("notice", models.JSONField(null=True)),
                (
                    "copy_wanted",
                    models.BooleanField(default=False, verbose_name="whether they want copies of the records"),
                ),
                ("copies", models.JSONField(default=list)),
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
            ],
            options={
                "abstract": False,
                "indexes": [
                    models.Index(fields=["group", "id"], name="landpermission_in_group"),
                    models.Index(fields=["group", "property"], name="permissions_of_a_property"),
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("valid_to", None), ("valid_to__gte", models.F("valid_from")), _connector="OR"
                        ),
                        name="a_permission_ends_after_it_begins",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("withdrawn_on", None), ("withdrawn_why", "")),
                            models.Q(("withdrawn_on__isnull", False), models.Q(("withdrawn_why", ""), _negated=True)),
                            _connector="OR",
                        ),
                        name="a_withdrawn_permission_says_why",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Permit",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                ("rev", models.PositiveIntegerField(default=1, verbose_name="revisions so far")),
                ("entered_at", models.DateTimeField()),
                ("valid_from", models.DateField(verbose_name="first day")),
                ("valid_to", models.DateField(null=True, verbose_name="last day; none: until it is withdrawn")),
                ("document", models.TextField(blank=True, verbose_name="where the paper is kept")),
                ("note", models.TextField(blank=True)),
                ("withdrawn_on", models.DateField(null=True, verbose_name="first day on which it holds no more")),
                ("withdrawn_why", models.TextField(blank=True)),
                ("authority", models.CharField(max_length=200)),
                ("number", models.CharField(max_length=100)),
                (
                    "what",
                    models.CharField(
                        choices=[
                            ("waters", "work in or over waters"),
                            ("protected_area", "work in a protected area"),
                            ("burning", "burning"),
                            ("other", "other work"),
                        ],
                        max_length=20,
                    ),
                ),
                ("units", models.JSONField(default=list)),
                ("actives", models.JSONField(default=list, verbose_name="names of active ingredients")),
                ("methods", models.JSONField(default=list)),
                ("conditions", models.TextField(blank=True)),
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
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="places.property",
                    ),
                ),
            ],
            options={
                "abstract": False,
                "indexes": [models.Index(fields=["group", "id"], name="permit_in_group")],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("valid_to", None), ("valid_to__gte", models.F("valid_from")), _connector="OR"
                        ),
                        name="a_permit_ends_after_it_begins",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("withdrawn_on", None), ("withdrawn_why", "")),
                            models.Q(("withdrawn_on__isnull", False), models.Q(("withdrawn_why", ""), _negated=True)),
                            _connector="OR",
                        ),
                        name="a_withdrawn_permit_says_why",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="NeighbourNotice",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                ("rev", models.PositiveIntegerField(default=1, verbose_name="revisions so far")),
                ("entered_at", models.DateTimeField()),
                ("name", models.CharField(max_length=200)),
                ("address", models.TextField(blank=True, verbose_name="in words")),
                ("distance_nm", models.BigIntegerField(null=True, verbose_name="from the work [nm]")),
                ("distance_value", models.CharField(max_length=40, null=True)),
                ("distance_unit", models.CharField(max_length=20, null=True)),
                (
                    "registered",
                    models.BooleanField(
                        null=True, verbose_name="in a register of people who must be told; none: not known"
                    ),
                ),
                ("first_on", models.DateField(verbose_name="first day of the work")),
                ("last_on", models.DateField(verbose_name="last day of the work")),
                ("attempts", models.JSONField(default=list)),
                ("told_at", models.DateTimeField(null=True, verbose_name="when they were told last")),
                ("note", models.TextField(blank=True)),
                ("voided_at", models.DateTimeField(null=True)),
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
                    "permission",
                    models.ForeignKey(
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="places.landpermission",
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
            ],
            options={
                "abstract": False,
                "indexes": [
                    models.Index(fields=["group", "id"], name="neighbournotice_in_group"),
                    models.Index(fields=["group", "property", "last_on"], name="notices_of_a_property"),
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("last_on__gte", models.F("first_on"))),
                        name="a_notice_is_for_a_first_and_a_last_day",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="SensitiveArea",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                ("rev", models.PositiveIntegerField(default=1, verbose_name="revisions so far")),
                ("entered_at", models.DateTimeField()),
                ("name", models.CharField(max_length=200)),
                (
                    "what",
                    models.CharField(
                        choices=[
                            ("water", "Water"),
                            ("well", "Well"),
                            ("rare_species", "Rare Species"),
                            ("neighbour", "Neighbour"),
                            ("other", "Other"),
                        ],
                        max_length=20,
                    ),
                ),
                (
                    "geometry",
                    models.JSONField(verbose_name="GeoJSON point, line or polygon, coordinates as decimal text"),
                ),
                (
                    "needs_permit",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("waters", "work in or over waters"),
                            ("protected_area", "work in a protected area"),
                            ("burning", "burning"),
                            ("other", "other work"),
                        ],
                        max_length=20,
                        verbose_name="herbicide near it takes a permit for it",
                    ),
                ),
                ("note", models.TextField(blank=True)),
                ("source", models.TextField(verbose_name="who says so")),
                ("retired_at", models.DateTimeField(null=True, verbose_name="since when it is out of use")),
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
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="places.property",
                    ),
                ),
            ],
            options={
                "abstract": False,
                "indexes": [models.Index(fields=["group", "id"], name="sensitivearea_in_group")],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("source", ""), _negated=True), name="a_sensitive_area_names_its_source"
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Unit",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                ("rev", models.PositiveIntegerField(default=1, verbose_name="revisions so far")),
                ("entered_at", models.DateTimeField()),
                ("name", models.CharField(max_length=200)),
                ("boundary", models.JSONField(null=True, verbose_name="GeoJSON geometry, coordinates as decimal text")),
                ("area_mm2", models.BigIntegerField(null=True, verbose_name="geodesic area within the boundary [mm²]")),
                ("note", models.TextField(blank=True)),
                (
                    "used_in_years",
                    models.JSONField(
                        default=dict, verbose_name="the area-year ledger: year -> cells, as in rules.area_years"
                    ),
                ),
                (
                    "used_on",
                    models.JSONField(default=dict, verbose_name="product -> date -> how many lines used it here then"),
                ),
                (
                    "site_type",
                    models.CharField(
                        blank=True,
                        max_length=200,
                        verbose_name="what kind of place it is, where a session does not say",
                    ),
                ),
                (
                    "needs_permit",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("waters", "work in or over waters"),
                            ("protected_area", "work in a protected area"),
                            ("burning", "burning"),
                            ("other", "other work"),
                        ],
                        max_length=20,
                        verbose_name="herbicide here takes a permit for it",
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
                    "property",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="units",
                        to="places.property",
                    ),
                ),
            ],
            options={
                "abstract": False,
                "indexes": [
                    models.Index(fields=["group", "id"], name="unit_in_group"),
                    models.Index(fields=["group", "property"], name="units_of_a_property"),
                ],
            },
        ),
    ]
