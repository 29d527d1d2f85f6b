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
            name="ActiveIngredient",
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
                ("name", models.CharField(max_length=200, verbose_name="of the acid, without the form")),
                ("form", models.CharField(max_length=200, verbose_name="acid, or the salt or ester by name")),
                ("cas", models.CharField(blank=True, max_length=12, verbose_name="CAS registry number of the form")),
                (
                    "acid_formula",
                    models.CharField(
                        blank=True, max_length=80, verbose_name="sum formula; empty where no acid equivalent is stated"
                    ),
                ),
                ("formula", models.CharField(blank=True, max_length=80, verbose_name="sum formula of the form")),
                (
                    "acids",
                    models.PositiveSmallIntegerField(default=1, verbose_name="molecules of acid in one of the form"),
                ),
                (
                    "ae_per_ai",
                    models.CharField(
                        blank=True,
                        max_length=80,
                        verbose_name="grams of acid in a gram of the form, exact text; empty: unknown",
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
                "indexes": [models.Index(fields=["group", "id"], name="activeingredient_in_group")],
            },
        ),
        migrations.CreateModel(
            name="Product",
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
                ("name", models.CharField(max_length=200, verbose_name="plain description")),
                ("registration_no", models.CharField(blank=True, max_length=40)),
                ("formulation", models.CharField(max_length=20)),
                (
                    "carriers",
                    models.JSONField(
                        default=list, verbose_name="what the label has it used in: water, oil, none (undiluted)"
                    ),
                ),
                ("signal_word", models.CharField(blank=True, max_length=20)),
                ("restricted_use", models.BooleanField(default=False)),
                ("aquatic", models.BooleanField(default=False, verbose_name="labelled for use over or beside water")),
                ("is_dry", models.BooleanField(default=False)),
                (
                    "undiluted_only",
                    models.BooleanField(default=False, verbose_name="ready to use: its label has it used undiluted"),
                ),
                (
                    "piece",
                    models.JSONField(
                        null=True, verbose_name="value and unit of product in one pre-measured piece, as stated"
                    ),
                ),
                ("density", models.JSONField(null=True, verbose_name="value and unit (g_ml, lb_gal) as stated")),
                ("ingredients", models.JSONField(default=list)),
                ("ppe_mixing", models.TextField(blank=True)),
                ("ppe_applying", models.TextField(blank=True)),
                (
                    "reentry",
                    models.TextField(blank=True, verbose_name="when people may enter again, as the label words it"),
                ),
                (
                    "rainfast_hours",
                    models.CharField(blank=True, max_length=20, verbose_name="decimal text; empty: unknown"),
                ),
                ("label_version", models.CharField(blank=True, max_length=100)),
                (
                    "compatible_with",
                    models.JSONField(default=list, verbose_name="ids of products its label names as tank-mix partners"),
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
                "indexes": [models.Index(fields=["group", "id"], name="product_in_group")],
            },
        ),
        migrations.CreateModel(
            name="ProductIngredient",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                (
                    "active_ingredient",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="catalog.activeingredient",
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
                    "product",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="catalog.product",
                    ),
                ),
            ],
            options={
                "abstract": False,
                "indexes": [
                    models.Index(fields=["product"], name="ingredients_of_a_product"),
                    models.Index(fields=["group", "active_ingredient"], name="products_with_an_ingredient"),
                ],
            },
        ),
        migrations.CreateModel(
            name="ProductRegistration",
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
                ("jurisdiction", models.CharField(max_length=6, verbose_name="ISO 3166 code of a state or country")),
                ("number", models.CharField(blank=True, max_length=40)),
                ("valid_from", models.DateField(null=True, verbose_name="first day; none: not known")),
                ("valid_to", models.DateField(null=True, verbose_name="last day; none: not ended")),
                (
                    "label_edition",
                    models.CharField(blank=True, max_length=100, verbose_name="edition of the label on site"),
                ),
                ("uses", models.JSONField(default=list)),
                ("max_strength", models.JSONField(null=True)),
                ("yearly_max", models.JSONField(null=True)),
                (
                    "retreat_days",
                    models.PositiveSmallIntegerField(
                        null=True, verbose_name="days between two treatments of one place"
                    ),
                ),
                (
                    "entry",
                    models.TextField(blank=True, verbose_name="when people may enter again, as the label words it"),
                ),
                (
                    "entry_hours",
                    models.CharField(blank=True, max_length=20, verbose_name="decimal text; empty: unknown"),
                ),
                (
                    "rainfast_hours",
                    models.CharField(blank=True, max_length=20, verbose_name="decimal text; empty: unknown"),
                ),
                ("soil_active", models.BooleanField(null=True)),
                ("setbacks", models.JSONField(default=list)),
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
                    "product",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="catalog.product",
                    ),
                ),
            ],
            options={
                "abstract": False,
                "indexes": [models.Index(fields=["group", "id"], name="productregistration_in_group")],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("source", ""), _negated=True), name="a_registration_names_its_source"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("jurisdiction", ""), _negated=True),
                        name="a_registration_names_its_jurisdiction",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("valid_from", None),
                            ("valid_to", None),
                            ("valid_to__gte", models.F("valid_from")),
                            _connector="OR",
                        ),
                        name="a_registration_ends_after_it_begins",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="RuleProfile",
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
                (
                    "jurisdiction",
                    models.CharField(blank=True, max_length=6, verbose_name="ISO 3166 code; empty: a general default"),
                ),
                ("applies_to", models.TextField(blank=True, verbose_name="whom and what it concerns")),
                (
                    "restricted_only",
                    models.BooleanField(default=False, verbose_name="holds for restricted-use products only"),
                ),
                ("effective_from", models.DateField(null=True, verbose_name="first day; none: not known")),
                ("effective_to", models.DateField(null=True, verbose_name="last day; none: not ended")),
                ("required", models.JSONField(default=list, verbose_name="facts that a record always says")),
                (
                    "conditional",
                    models.JSONField(
                        default=list, verbose_name="facts that it says if something holds, or one set of several"
                    ),
                ),
                ("spot", models.JSONField(null=True, verbose_name="the shorter list for small areas")),
                ("clock", models.JSONField(verbose_name="how long there is to complete the record")),
                (
                    "retention_years",
                    models.PositiveSmallIntegerField(null=True, verbose_name="years to keep it; none: not stated"),
                ),
                (
                    "only_licensed_mix",
                    models.BooleanField(default=False, verbose_name="only licence holders mix and load"),
                ),
                (
                    "minimum_age_years",
                    models.PositiveSmallIntegerField(null=True, verbose_name="of who applies; none: not stated"),
                ),
                (
                    "supervised_per_licensed",
                    models.PositiveSmallIntegerField(
                        null=True, verbose_name="people that one licence holder may supervise; none: not stated"
                    ),
                ),
                (
                    "countersign",
                    models.BooleanField(
                        default=False, verbose_name="the supervising licence holder signs supervised work"
                    ),
                ),
                (
                    "location_forms",
                    models.JSONField(default=list, verbose_name="forms in which a place counts; empty: any"),
                ),
                ("reports", models.JSONField(default=list, verbose_name="reports that are due")),
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
                "indexes": [models.Index(fields=["group", "id"], name="ruleprofile_in_group")],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("source", ""), _negated=True), name="a_rule_profile_names_its_source"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("effective_from", None),
                            ("effective_to", None),
                            ("effective_to__gte", models.F("effective_from")),
                            _connector="OR",
                        ),
                        name="a_rule_profile_ends_after_it_begins",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Species",
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
                ("scientific_name", models.CharField(max_length=200)),
                ("common_name", models.CharField(blank=True, max_length=200)),
                ("growth_form", models.CharField(blank=True, max_length=20)),
                ("usda_symbol", models.CharField(blank=True, max_length=10, verbose_name="USDA PLANTS symbol")),
                ("itis_tsn", models.PositiveIntegerField(null=True, verbose_name="ITIS taxonomic serial number")),
                ("eppo_code", models.CharField(blank=True, max_length=5, verbose_name="EPPO code, five letters")),
                (
                    "accepted_name",
                    models.CharField(
                        blank=True, max_length=200, verbose_name="accepted name, where the scientific name is a synonym"
                    ),
                ),
                ("synonyms", models.JSONField(default=list)),
                (
                    "look_alikes",
                    models.JSONField(
                        default=list, verbose_name="native plants it is taken for: name, how to tell, source"
                    ),
                ),
                ("cautions", models.JSONField(default=list, verbose_name="text and source")),
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
                "indexes": [models.Index(fields=["group", "id"], name="species_in_group")],
            },
        ),
        migrations.CreateModel(
            name="Limit",
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
                ("what", models.CharField(max_length=30)),
                ("low", models.CharField(blank=True, max_length=20, verbose_name="decimal text; empty: no lower end")),
                ("high", models.CharField(blank=True, max_length=20, verbose_name="decimal text; empty: no upper end")),
                ("unit", models.CharField(max_length=30)),
                ("method", models.CharField(blank=True, max_length=30, verbose_name="empty: any")),
                ("carrier", models.CharField(blank=True, max_length=10, verbose_name="empty: any")),
                ("formulation", models.CharField(blank=True, max_length=20, verbose_name="empty: any")),
                (
                    "active",
                    models.CharField(
                        blank=True, max_length=200, verbose_name="name of an active ingredient; empty: any"
                    ),
                ),
                (
                    "region",
                    models.CharField(
                        blank=True, max_length=100, verbose_name="where it holds or was observed; empty: not said"
                    ),
                ),
                ("wording", models.TextField(verbose_name="what the source says, in a sentence")),
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
                    "product",
                    models.ForeignKey(
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="catalog.product",
                    ),
                ),
                (
                    "species",
                    models.ForeignKey(
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="catalog.species",
                    ),
                ),
            ],
            options={
                "abstract": False,
                "indexes": [models.Index(fields=["group", "id"], name="limit_in_group")],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("source", ""), _negated=True), name="a_limit_names_its_source"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("high", ""), ("low", ""), _negated=True), name="a_limit_has_a_value"
                    ),
                ],
            },
        ),
    ]
