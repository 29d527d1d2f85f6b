import django.db.models.deletion
import django.db.models.expressions
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("accounts", "0001_initial"),
        ("accounts", "__first__"),
        ("catalog", "0001_initial"),
        ("places", "0001_initial"),
        ("workdays", "0001_initial"),
    ]

    operations = [
        migrations.CreateModel(
            name="Batch",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                ("rev", models.PositiveIntegerField(default=1, verbose_name="revisions so far")),
                ("entered_at", models.DateTimeField()),
                ("note", models.TextField(blank=True)),
                ("voided_at", models.DateTimeField(null=True)),
                ("on_date", models.DateField(verbose_name="local date of the place")),
                ("marks", models.JSONField(default=list, verbose_name="what was flagged when it was recorded")),
                (
                    "credentials",
                    models.JSONField(default=list, verbose_name="what it rested on, as it stood on the date"),
                ),
                (
                    "answer",
                    models.TextField(blank=True, verbose_name="why it was done without a credential that counted"),
                ),
                (
                    "answer_document",
                    models.CharField(blank=True, max_length=200, verbose_name="the letter that says so"),
                ),
                ("answered_for", models.JSONField(default=list, verbose_name="codes of the marks that were answered")),
                ("answered_at", models.DateTimeField(null=True)),
                ("time_zone", models.CharField(max_length=60, verbose_name="the zone that its local date was told by")),
                ("mixed_at", models.DateTimeField()),
                ("mixed_where", models.TextField(blank=True)),
                ("mix_nl", models.BigIntegerField(verbose_name="finished mix [nL]")),
                ("mix_value", models.CharField(max_length=40)),
                ("mix_unit", models.CharField(max_length=20)),
                (
                    "how_known",
                    models.CharField(
                        choices=[
                            ("measured", "Measured"),
                            ("read_off_container", "Read Off"),
                            ("estimated", "Estimated"),
                            ("apportioned", "Apportioned"),
                        ],
                        max_length=20,
                    ),
                ),
                ("carrier", models.CharField(max_length=20, verbose_name="what the products were mixed into")),
                ("carrier_volume_nl", models.BigIntegerField(null=True, verbose_name="carrier as measured [nL]")),
                ("carrier_volume_value", models.CharField(max_length=40, null=True)),
                ("carrier_volume_unit", models.CharField(max_length=20, null=True)),
                (
                    "parts",
                    models.JSONField(
                        verbose_name="products: nl in this mix, volume as poured, label strengths as mixed, lots"
                    ),
                ),
                (
                    "adjuvants",
                    models.JSONField(default=list, verbose_name="adjuvants and dye: nl in this mix, volume as poured"),
                ),
                ("poured_from", models.JSONField(default=list, verbose_name="batches that it was topped up from")),
                ("closed_at", models.DateTimeField(null=True)),
                (
                    "difference_nl",
                    models.BigIntegerField(default=0, verbose_name="measuring difference that was booked [nL]"),
                ),
                (
                    "difference_parts",
                    models.JSONField(
                        default=list, verbose_name="of each part, in that difference [nL, µg of a dry one]"
                    ),
                ),
                ("used_nl", models.BigIntegerField(default=0, verbose_name="mix taken out so far [nL]")),
                (
                    "used_parts",
                    models.JSONField(default=list, verbose_name="of each part, taken out so far [nL, µg of a dry one]"),
                ),
                (
                    "poured_on",
                    models.JSONField(
                        default=list, verbose_name="batches that it was poured into: batch, nl, at, how_known"
                    ),
                ),
                (
                    "lines",
                    models.PositiveIntegerField(
                        default=0, verbose_name="what draws on it: applications, top-ups, movements"
                    ),
                ),
                (
                    "bottles",
                    models.PositiveIntegerField(default=0, verbose_name="outings of numbered bottles filled from it"),
                ),
                ("out_nl", models.BigIntegerField(default=0, verbose_name="in bottles that are out [nL]")),
                (
                    "in_containers_nl",
                    models.BigIntegerField(default=0, verbose_name="used out of bottles and in no line yet [nL]"),
                ),
                (
                    "answered_by",
                    models.ForeignKey(
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="accounts.member",
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
                    "mixed_by",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="accounts.member",
                    ),
                ),
                (
                    "work_day",
                    models.ForeignKey(
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="workdays.workday",
                    ),
                ),
            ],
            options={
                "abstract": False,
                "indexes": [
                    models.Index(fields=["group", "id"], name="batch_in_group"),
                    models.Index(fields=["group", "work_day"], name="batches_of_a_work_day"),
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("used_nl__gte", 0),
                            (
                                "used_nl__lte",
                                django.db.models.expressions.CombinedExpression(
                                    models.F("mix_nl"), "-", models.F("difference_nl")
                                ),
                            ),
                        ),
                        name="a_batch_is_not_overdrawn",
                    ),
                    models.CheckConstraint(condition=models.Q(("mix_nl__gt", 0)), name="a_batch_holds_something"),
                    models.CheckConstraint(
                        condition=models.Q(("closed_at__isnull", False), ("difference_nl", 0), _connector="OR"),
                        name="only_a_closed_batch_has_a_difference",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Container",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                ("rev", models.PositiveIntegerField(default=1, verbose_name="revisions so far")),
                ("entered_at", models.DateTimeField()),
                ("note", models.TextField(blank=True)),
                ("voided_at", models.DateTimeField(null=True)),
                ("on_date", models.DateField(verbose_name="local date of the place")),
                ("marks", models.JSONField(default=list, verbose_name="what was flagged when it was recorded")),
                ("time_zone", models.CharField(max_length=60, verbose_name="the zone that its local date was told by")),
                ("number", models.CharField(max_length=40, verbose_name="what is painted on the bottle")),
                ("filled_nl", models.BigIntegerField(verbose_name="filled with [nL]")),
                ("filled_value", models.CharField(max_length=40)),
                ("filled_unit", models.CharField(max_length=20)),
                ("capacity_nl", models.BigIntegerField(null=True, verbose_name="what it holds [nL]")),
                ("capacity_value", models.CharField(max_length=40, null=True)),
                ("capacity_unit", models.CharField(max_length=20, null=True)),
                ("out_at", models.DateTimeField()),
                ("back_nl", models.BigIntegerField(null=True, verbose_name="what came back in it [nL]")),
                ("back_value", models.CharField(max_length=40, null=True)),
                ("back_unit", models.CharField(max_length=20, null=True)),
                (
                    "back_tap",
                    models.CharField(
                        max_length=5,
                        null=True,
                        verbose_name="what came back, as it was tapped: full, 3/4, 1/2, 1/4, empty",
                    ),
                ),
                ("back_at", models.DateTimeField(null=True)),
                (
                    "how_known",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("measured", "Measured"),
                            ("read_off_container", "Read Off"),
                            ("estimated", "Estimated"),
                            ("apportioned", "Apportioned"),
                        ],
                        max_length=20,
                        verbose_name="how what was used is known",
                    ),
                ),
                (
                    "split",
                    models.JSONField(
                        default=list,
                        verbose_name="how it was split last: each line with its stems and its stated share",
                    ),
                ),
                (
                    "in_lines_nl",
                    models.BigIntegerField(default=0, verbose_name="of what was used, in lines that count [nL]"),
                ),
                (
                    "batch",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="containers",
                        to="treatments.batch",
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
                    "holder",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="accounts.member",
                    ),
                ),
                (
                    "work_day",
                    models.ForeignKey(
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="workdays.workday",
                    ),
                ),
            ],
            options={
                "abstract": False,
                "indexes": [
                    models.Index(fields=["group", "id"], name="container_in_group"),
                    models.Index(fields=["group", "batch"], name="containers_of_a_batch"),
                    models.Index(fields=["group", "work_day"], name="containers_of_a_work_day"),
                    models.Index(fields=["group", "number"], name="containers_of_a_number"),
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("filled_nl__gt", 0)), name="a_container_is_filled_with_something"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("back_nl", None),
                            models.Q(("back_nl__gte", 0), ("back_nl__lte", models.F("filled_nl"))),
                            _connector="OR",
                        ),
                        name="a_container_brings_back_no_more_than_it_took",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("back_at", None), ("back_nl", None)),
                            models.Q(("back_at__gte", models.F("out_at")), ("back_nl__isnull", False)),
                            _connector="OR",
                        ),
                        name="a_container_comes_back_after_it_went_out",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("in_lines_nl__gte", 0)),
                        name="a_container_has_no_less_than_nothing_in_lines",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Contractor",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                ("rev", models.PositiveIntegerField(default=1, verbose_name="revisions so far")),
                ("entered_at", models.DateTimeField()),
                ("name", models.CharField(max_length=200)),
                (
                    "licence_number",
                    models.CharField(blank=True, max_length=100, verbose_name="of the business or its applicator"),
                ),
                (
                    "licence_state",
                    models.CharField(blank=True, max_length=6, verbose_name="ISO 3166 code of where it is licensed"),
                ),
                ("licence_valid_to", models.DateField(null=True, verbose_name="last day; none: not known")),
                ("insurance_number", models.CharField(blank=True, max_length=100)),
                ("insurance_valid_to", models.DateField(null=True, verbose_name="last day; none: not known")),
                ("contact", models.TextField(blank=True, verbose_name="of the business; nobody's private number")),
                ("note", models.TextField(blank=True)),
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
                "indexes": [models.Index(fields=["group", "id"], name="contractor_in_group")],
            },
        ),
        migrations.CreateModel(
            name="Leftover",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                ("rev", models.PositiveIntegerField(default=1, verbose_name="revisions so far")),
                ("entered_at", models.DateTimeField()),
                ("note", models.TextField(blank=True)),
                ("voided_at", models.DateTimeField(null=True)),
                ("on_date", models.DateField(verbose_name="local date of the place")),
                ("marks", models.JSONField(default=list, verbose_name="what was flagged when it was recorded")),
                ("time_zone", models.CharField(max_length=60, verbose_name="the zone that its local date was told by")),
                ("volume_nl", models.BigIntegerField(verbose_name="what was there [nL]")),
                ("volume_value", models.CharField(max_length=40)),
                ("volume_unit", models.CharField(max_length=20)),
                (
                    "how_known",
                    models.CharField(
                        choices=[
                            ("measured", "Measured"),
                            ("read_off_container", "Read Off"),
                            ("estimated", "Estimated"),
                            ("apportioned", "Apportioned"),
                        ],
                        max_length=20,
                    ),
                ),
                (
                    "measured_at",
                    models.DateTimeField(verbose_name="when it was measured or found: its age is told from here"),
                ),
                ("container", models.CharField(blank=True, max_length=200, verbose_name="what it is in")),
                ("kept_where", models.TextField(blank=True)),
                ("ended_at", models.DateTimeField(null=True)),
                (
                    "end",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("used", "Used"),
                            ("poured_on", "Poured On"),
                            ("disposed", "Disposed"),
                            ("lost", "Lost"),
                            ("measured_again", "Measured Again"),
                        ],
                        max_length=20,
                    ),
                ),
                (
                    "identified_at",
                    models.DateTimeField(null=True, verbose_name="when a found container was said to be of a batch"),
                ),
                ("evidence", models.TextField(blank=True, verbose_name="how that is known")),
                (
                    "batch",
                    models.ForeignKey(
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="leftovers",
                        to="treatments.batch",
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
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="places.property",
                    ),
                ),
                (
                    "work_day",
                    models.ForeignKey(
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="workdays.workday",
                    ),
                ),
            ],
            options={
                "abstract": False,
                "indexes": [
                    models.Index(fields=["group", "id"], name="leftover_in_group"),
                    models.Index(fields=["group", "batch"], name="leftovers_of_a_batch"),
                ],
                "constraints": [
                    models.CheckConstraint(condition=models.Q(("volume_nl__gt", 0)), name="a_leftover_holds_something"),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("end", ""), ("ended_at__isnull", True)),
                            models.Q(models.Q(("ended_at__isnull", False)), models.Q(("end", ""), _negated=True)),
                            _connector="OR",
                        ),
                        name="a_leftover_ends_in_some_way",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("ended_at__isnull", True), ("ended_at__gte", models.F("measured_at")), _connector="OR"
                        ),
                        name="a_leftover_ends_after_it_was_measured",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Lot",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                ("rev", models.PositiveIntegerField(default=1, verbose_name="revisions so far")),
                ("entered_at", models.DateTimeField()),
                ("note", models.TextField(blank=True)),
                ("voided_at", models.DateTimeField(null=True)),
                ("purchased_on", models.DateField(null=True, verbose_name="empty: unknown")),
                ("received_nl", models.BigIntegerField(null=True, verbose_name="liquid received [nL]")),
                ("received_value", models.CharField(max_length=40, null=True)),
                ("received_unit", models.CharField(max_length=20, null=True)),
                ("received_mass_ug", models.BigIntegerField(null=True, verbose_name="dry product received [µg]")),
                ("received_mass_value", models.CharField(max_length=40, null=True)),
                ("received_mass_unit", models.CharField(max_length=20, null=True)),
                ("container", models.CharField(blank=True, max_length=200, verbose_name="what it came in")),
                (
                    "cost_cents",
                    models.BigIntegerField(
                        null=True, verbose_name="paid for it [hundredths of the currency]; empty: unknown"
                    ),
                ),
                ("currency", models.CharField(max_length=3, null=True, verbose_name="ISO 4217 code")),
                ("lot_number", models.CharField(blank=True, max_length=100, verbose_name="as the maker prints it")),
                ("label_version", models.CharField(blank=True, max_length=100, verbose_name="of the label on it")),
                ("store", models.CharField(blank=True, max_length=200, verbose_name="where it is kept")),
                (
                    "expires_on",
                    models.DateField(
                        null=True, verbose_name="last day of use as the maker states it; empty: not stated"
                    ),
                ),
                ("left_nl", models.BigIntegerField(null=True, verbose_name="liquid left by the book [nL]")),
                ("left_ug", models.BigIntegerField(null=True, verbose_name="dry product left by the book [µg]")),
                ("entries", models.PositiveIntegerField(default=0, verbose_name="movements and draws that count")),
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
                "indexes": [
                    models.Index(fields=["group", "id"], name="lot_in_group"),
                    models.Index(fields=["group", "product"], name="lots_of_a_product"),
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("left_nl", None), ("left_nl__gte", 0), _connector="OR"),
                            models.Q(("left_ug", None), ("left_ug__gte", 0), _connector="OR"),
                        ),
                        name="a_lot_is_not_overdrawn",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("left_nl__isnull", False),
                                ("received_nl__gt", 0),
                                ("received_nl__isnull", False),
                                ("left_ug", None),
                                ("received_mass_ug", None),
                            ),
                            models.Q(
                                ("left_ug__isnull", False),
                                ("received_mass_ug__gt", 0),
                                ("received_mass_ug__isnull", False),
                                ("left_nl", None),
                                ("received_nl", None),
                            ),
                            _connector="OR",
                        ),
                        name="a_lot_holds_something_in_one_measure",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("cost_cents", None), ("currency", None)),
                            models.Q(
                                ("cost_cents__gte", 0), ("cost_cents__isnull", False), ("currency__isnull", False)
                            ),
                            _connector="OR",
                        ),
                        name="a_cost_has_a_currency",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="LotDraw",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                ("nl", models.BigIntegerField(null=True, verbose_name="liquid drawn [nL]")),
                ("ug", models.BigIntegerField(null=True, verbose_name="dry product drawn [µg]")),
                (
                    "batch",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="lot_draws", to="treatments.batch"
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
                    "lot",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="treatments.lot",
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
                "indexes": [models.Index(fields=["group", "lot"], name="draws_on_a_lot")],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("nl__isnull", False), ("ug", None)),
                            models.Q(("nl", None), ("ug__isnull", False)),
                            _connector="OR",
                        ),
                        name="a_draw_is_in_one_measure",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="PlannedMix",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                ("rev", models.PositiveIntegerField(default=1, verbose_name="revisions so far")),
                ("entered_at", models.DateTimeField()),
                ("planned_on", models.DateField()),
                ("method", models.CharField(max_length=40)),
                ("carrier", models.CharField(max_length=20)),
                ("stems", models.PositiveIntegerField(null=True)),
                ("mix_nl", models.BigIntegerField(verbose_name="finished mix [nL]")),
                ("mix_value", models.CharField(max_length=40)),
                ("mix_unit", models.CharField(max_length=20)),
                ("parts", models.JSONField(verbose_name="products with their volume, a.i. and a.e. in the mix")),
                ("marks", models.JSONField(default=list, verbose_name="what was flagged when it was planned")),
                ("overridden", models.JSONField(default=list, verbose_name="reasons against it that were overridden")),
                ("override_reason", models.TextField(blank=True)),
                (
                    "state",
                    models.CharField(
                        choices=[("open", "Open"), ("done", "Done"), ("cancelled", "Cancelled")],
                        default="open",
                        max_length=20,
                    ),
                ),
                ("note", models.TextField(blank=True)),
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
                    "overridden_by",
                    models.ForeignKey(
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="accounts.member",
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
                    "species",
                    models.ForeignKey(
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="catalog.species",
                    ),
                ),
                (
                    "unit",
                    models.ForeignKey(
                        db_index=False, on_delete=django.db.models.deletion.PROTECT, related_name="+", to="places.unit"
                    ),
                ),
                (
                    "work_day",
                    models.ForeignKey(
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="workdays.workday",
                    ),
                ),
            ],
            options={
                "abstract": False,
                "indexes": [
                    models.Index(fields=["group", "id"], name="plannedmix_in_group"),
                    models.Index(fields=["group", "unit"], name="planned_mixes_of_a_unit"),
                    models.Index(fields=["group", "work_day"], name="planned_mixes_of_a_work_day"),
                ],
                "constraints": [
                    models.CheckConstraint(condition=models.Q(("mix_nl__gt", 0)), name="a_planned_mix_holds_something"),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("overridden_by", None), ("override_reason", "")),
                            models.Q(
                                models.Q(("override_reason", ""), _negated=True), ("overridden_by__isnull", False)
                            ),
                            _connector="OR",
                        ),
                        name="an_override_says_who_and_why",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="PouredFrom",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                ("nl", models.BigIntegerField(verbose_name="mix of the other batch [nL]")),
                (
                    "batch",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="treatments.batch",
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
                    "leftover",
                    models.ForeignKey(
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="treatments.leftover",
                    ),
                ),
                (
                    "parent",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="treatments.batch",
                    ),
                ),
            ],
            options={
                "abstract": False,
                "indexes": [
                    models.Index(fields=["batch"], name="poured_into_a_batch"),
                    models.Index(fields=["group", "parent"], name="poured_out_of_a_batch"),
                ],
            },
        ),
        migrations.CreateModel(
            name="Rinse",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                ("rev", models.PositiveIntegerField(default=1, verbose_name="revisions so far")),
                ("entered_at", models.DateTimeField()),
                ("note", models.TextField(blank=True)),
                ("voided_at", models.DateTimeField(null=True)),
                ("on_date", models.DateField(verbose_name="local date of the place")),
                ("marks", models.JSONField(default=list, verbose_name="what was flagged when it was recorded")),
                ("container", models.CharField(blank=True, max_length=200, verbose_name="what was rinsed")),
                ("time_zone", models.CharField(max_length=60, verbose_name="the zone that its local date was told by")),
                ("rinsed_at", models.DateTimeField()),
                ("times", models.PositiveSmallIntegerField(verbose_name="how often")),
                ("volume_nl", models.BigIntegerField(null=True, verbose_name="all the water [nL]; empty: a trace")),
                ("volume_value", models.CharField(max_length=40, null=True)),
                ("volume_unit", models.CharField(max_length=20, null=True)),
                (
                    "manner",
                    models.TextField(blank=True, verbose_name="how it was disposed of, where it went into no batch"),
                ),
                (
                    "batch",
                    models.ForeignKey(
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="treatments.batch",
                    ),
                ),
                (
                    "by",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="accounts.member",
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
                    "into_batch",
                    models.ForeignKey(
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="treatments.batch",
                    ),
                ),
                (
                    "work_day",
                    models.ForeignKey(
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="workdays.workday",
                    ),
                ),
            ],
            options={
                "abstract": False,
                "indexes": [models.Index(fields=["group", "id"], name="rinse_in_group")],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("batch__isnull", False), models.Q(("container", ""), _negated=True), _connector="OR"
                        ),
                        name="a_rinse_is_of_something",
                    ),
                    models.CheckConstraint(condition=models.Q(("times__gte", 1)), name="a_rinse_is_done_at_least_once"),
                ],
            },
        ),
        migrations.CreateModel(
            name="Session",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                ("rev", models.PositiveIntegerField(default=1, verbose_name="revisions so far")),
                ("entered_at", models.DateTimeField()),
                ("note", models.TextField(blank=True)),
                ("voided_at", models.DateTimeField(null=True)),
                ("on_date", models.DateField(verbose_name="local date of the place")),
                ("marks", models.JSONField(default=list, verbose_name="what was flagged when it was recorded")),
                (
                    "credentials",
                    models.JSONField(default=list, verbose_name="what it rested on, as it stood on the date"),
                ),
                (
                    "answer",
                    models.TextField(blank=True, verbose_name="why it was done without a credential that counted"),
                ),
                (
                    "answer_document",
                    models.CharField(blank=True, max_length=200, verbose_name="the letter that says so"),
                ),
                ("answered_for", models.JSONField(default=list, verbose_name="codes of the marks that were answered")),
                ("answered_at", models.DateTimeField(null=True)),
                ("time_zone", models.CharField(max_length=60, verbose_name="the zone that its local date was told by")),
                (
                    "voice_contact",
                    models.TextField(blank=True, verbose_name="how supervisor and supervised were in voice contact"),
                ),
                ("helpers", models.JSONField(null=True, verbose_name="ids of everybody else involved; null: not told")),
                (
                    "all_adults",
                    models.BooleanField(
                        null=True, verbose_name="whether everybody who applied was 18 or older; null: not answered"
                    ),
                ),
                (
                    "written_at",
                    models.DateTimeField(null=True, verbose_name="when it was written on paper, before it was typed"),
                ),
                ("started_at", models.DateTimeField()),
                ("ended_at", models.DateTimeField(null=True)),
                (
                    "place_text",
                    models.TextField(blank=True, verbose_name="a description by which the place can be found"),
                ),
                (
                    "coordinates",
                    models.JSONField(null=True, verbose_name="latitude and longitude in WGS 84, decimal text"),
                ),
                ("site_type", models.CharField(blank=True, max_length=200, verbose_name="what kind of place it is")),
                ("equipment", models.CharField(blank=True, max_length=200)),
                ("weather", models.JSONField(default=list, verbose_name="readings at the start and at each change")),
                (
                    "weather_changed",
                    models.BooleanField(
                        null=True, verbose_name="whether wind or weather changed significantly meanwhile"
                    ),
                ),
                (
                    "reentry_note",
                    models.TextField(blank=True, verbose_name="when people may enter again, and how that was posted"),
                ),
                (
                    "had_incident",
                    models.BooleanField(
                        null=True, verbose_name="whether anything unexpected happened; null: not answered"
                    ),
                ),
                ("incident", models.TextField(blank=True, verbose_name="what happened, and what was done about it")),
                (
                    "for_a_customer",
                    models.BooleanField(
                        null=True, verbose_name="whether it was done for somebody else; null: not answered"
                    ),
                ),
                ("customer", models.TextField(blank=True, verbose_name="name and address of whom it was done for")),
                ("attested_at", models.DateTimeField(null=True)),
                (
                    "attested_from",
                    models.TextField(blank=True, verbose_name="the contractor's document that it was taken from"),
                ),
                ("countersigned_at", models.DateTimeField(null=True)),
                ("locked_at", models.DateTimeField(null=True)),
                (
                    "answered_by",
                    models.ForeignKey(
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="accounts.member",
                    ),
                ),
                (
                    "applicator",
                    models.ForeignKey(
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="accounts.member",
                    ),
                ),
                (
                    "attested_by",
                    models.ForeignKey(
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="accounts.member",
                    ),
                ),
                (
                    "contractor",
                    models.ForeignKey(
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="treatments.contractor",
                    ),
                ),
                (
                    "countersigned_by",
                    models.ForeignKey(
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="accounts.member",
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
                    "locked_by",
                    models.ForeignKey(
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="accounts.member",
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
                    "supervisor",
                    models.ForeignKey(
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="accounts.member",
                    ),
                ),
                (
                    "unit",
                    models.ForeignKey(
                        db_index=False, on_delete=django.db.models.deletion.PROTECT, related_name="+", to="places.unit"
                    ),
                ),
                (
                    "work_day",
                    models.ForeignKey(
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="workdays.workday",
                    ),
                ),
                (
                    "written_by",
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
                "abstract": False,
                "indexes": [
                    models.Index(fields=["group", "id"], name="session_in_group"),
                    models.Index(fields=["group", "property", "on_date"], name="sessions_of_a_property"),
                    models.Index(fields=["group", "work_day"], name="sessions_of_a_work_day"),
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("ended_at__isnull", True), ("ended_at__gte", models.F("started_at")), _connector="OR"
                        ),
                        name="a_session_ends_after_it_begins",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("applicator__isnull", True), ("contractor__isnull", False)),
                            models.Q(("applicator__isnull", False), ("contractor__isnull", True)),
                            _connector="OR",
                        ),
                        name="a_session_is_a_member_s_or_a_contractor_s",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("written_at", None), ("written_by", None)),
                            models.Q(("written_at__isnull", False), ("written_by__isnull", False)),
                            _connector="OR",
                        ),
                        name="what_was_on_paper_says_by_whom_and_when",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("attested_at__isnull", False),
                                models.Q(("countersigned_at", None), ("locked_at", None)),
                                _connector="OR",
                            ),
                            models.Q(("attested_at", None), ("ended_at__isnull", False), _connector="OR"),
                        ),
                        name="a_session_is_signed_in_order",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("incident", ""), ("had_incident", True), _connector="OR"),
                        name="what_happened_is_told_where_something_did",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("customer", ""), ("for_a_customer", True), _connector="OR"),
                        name="a_customer_is_named_where_there_is_one",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Application",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                ("rev", models.PositiveIntegerField(default=1, verbose_name="revisions so far")),
                ("entered_at", models.DateTimeField()),
                ("note", models.TextField(blank=True)),
                ("voided_at", models.DateTimeField(null=True)),
                ("on_date", models.DateField(verbose_name="local date of the place")),
                ("marks", models.JSONField(default=list, verbose_name="what was flagged when it was recorded")),
                ("method", models.CharField(max_length=40)),
                ("stems", models.PositiveIntegerField(null=True)),
                ("area_mm2", models.BigIntegerField(null=True, verbose_name="area treated, gross [mm²]")),
                ("area_value", models.CharField(max_length=40, null=True)),
                ("area_unit", models.CharField(max_length=20, null=True)),
                ("is_follow_up", models.BooleanField(null=True, verbose_name="whether the place was treated before")),
                ("mix_nl", models.BigIntegerField(verbose_name="mix used [nL]")),
                ("mix_value", models.CharField(max_length=40)),
                ("mix_unit", models.CharField(max_length=20)),
                (
                    "how_known",
                    models.CharField(
                        choices=[
                            ("measured", "Measured"),
                            ("read_off_container", "Read Off"),
                            ("estimated", "Estimated"),
                            ("apportioned", "Apportioned"),
                        ],
                        max_length=20,
                    ),
                ),
                (
                    "longest_wait",
                    models.CharField(
                        blank=True, max_length=20, verbose_name="from cut to treatment, the longest; empty: not told"
                    ),
                ),
                (
                    "infested_area_mm2",
                    models.BigIntegerField(
                        null=True, verbose_name="of the area treated, what the species covers [mm²]"
                    ),
                ),
                ("infested_area_value", models.CharField(max_length=40, null=True)),
                ("infested_area_unit", models.CharField(max_length=20, null=True)),
                (
                    "is_spot",
                    models.BooleanField(
                        default=False, verbose_name="whether the words spot treatment stand on the record"
                    ),
                ),
                ("products", models.JSONField(verbose_name="products with their volume, a.i. and a.e. in this line")),
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
                    "species",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="catalog.species",
                    ),
                ),
                (
                    "unit",
                    models.ForeignKey(
                        db_index=False, on_delete=django.db.models.deletion.PROTECT, related_name="+", to="places.unit"
                    ),
                ),
                (
                    "work_day",
                    models.ForeignKey(
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="workdays.workday",
                    ),
                ),
                (
                    "batch",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="applications",
                        to="treatments.batch",
                    ),
                ),
                (
                    "container",
                    models.ForeignKey(
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="treatments.container",
                    ),
                ),
                (
                    "leftover",
                    models.ForeignKey(
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="treatments.leftover",
                    ),
                ),
                (
                    "session",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="applications",
                        to="treatments.session",
                    ),
                ),
            ],
            options={
                "abstract": False,
                "indexes": [
                    models.Index(fields=["group", "id"], name="application_in_group"),
                    models.Index(fields=["group", "property", "on_date"], name="applications_of_a_property"),
                    models.Index(fields=["group", "on_date"], name="applications_by_date"),
                    models.Index(fields=["group", "session"], name="applications_of_a_session"),
                    models.Index(fields=["group", "batch"], name="applications_of_a_batch"),
                    models.Index(fields=["group", "container"], name="applications_of_a_container"),
                ],
                "constraints": [
                    models.CheckConstraint(condition=models.Q(("mix_nl__gt", 0)), name="an_application_uses_something"),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("area_mm2", None),
                            ("infested_area_mm2", None),
                            ("infested_area_mm2__lte", models.F("area_mm2")),
                            _connector="OR",
                        ),
                        name="an_infested_area_lies_within_the_treated_one",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="ProductUse",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                ("product_nl", models.BigIntegerField(null=True, verbose_name="liquid product before mixing [nL]")),
                ("dry_product_ug", models.BigIntegerField(null=True, verbose_name="dry product before mixing [µg]")),
                (
                    "application",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="product_uses",
                        to="treatments.application",
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
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("product_nl", None), ("dry_product_ug", None), _connector="XOR"),
                        name="a_product_is_used_by_volume_or_by_weight",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="StockMovement",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                ("rev", models.PositiveIntegerField(default=1, verbose_name="revisions so far")),
                ("entered_at", models.DateTimeField()),
                ("note", models.TextField(blank=True)),
                ("voided_at", models.DateTimeField(null=True)),
                ("on_date", models.DateField(verbose_name="local date of the place")),
                ("marks", models.JSONField(default=list, verbose_name="what was flagged when it was recorded")),
                (
                    "what",
                    models.CharField(
                        choices=[
                            ("receipt", "Receipt"),
                            ("return", "Return"),
                            ("transfer", "Transfer"),
                            ("loss", "Loss"),
                            ("spill", "Spill"),
                            ("disposal", "Disposal"),
                            ("count", "Count"),
                        ],
                        max_length=20,
                    ),
                ),
                ("taken_nl", models.BigIntegerField(default=0, verbose_name="mix taken out of the batch [nL]")),
                ("volume_nl", models.BigIntegerField(null=True, verbose_name="moved, or counted [nL]")),
                ("volume_value", models.CharField(max_length=40, null=True)),
                ("volume_unit", models.CharField(max_length=20, null=True)),
                ("mass_ug", models.BigIntegerField(null=True, verbose_name="moved of a dry lot, or counted [µg]")),
                ("mass_value", models.CharField(max_length=40, null=True)),
                ("mass_unit", models.CharField(max_length=20, null=True)),
                (
                    "delta_nl",
                    models.BigIntegerField(
                        null=True, verbose_name="what the lot gained or lost [nL]; empty: of a dry lot"
                    ),
                ),
                (
                    "delta_ug",
                    models.BigIntegerField(
                        null=True, verbose_name="what a dry lot gained or lost [µg]; empty: of a liquid, or a mix"
                    ),
                ),
                (
                    "products",
                    models.JSONField(
                        default=list, verbose_name="what left for good, with label strengths as they stood"
                    ),
                ),
                ("time_zone", models.CharField(max_length=60, verbose_name="the zone that its local date was told by")),
                ("happened_at", models.DateTimeField()),
                ("manner", models.TextField(blank=True, verbose_name="how it was disposed of, or where it went")),
                (
                    "receipt_no",
                    models.CharField(blank=True, max_length=100, verbose_name="of the collector or the shop"),
                ),
                ("incident", models.TextField(blank=True, verbose_name="what happened and what was done about it")),
                ("reason", models.TextField(blank=True, verbose_name="why a count differs from the book")),
                (
                    "batch",
                    models.ForeignKey(
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="treatments.batch",
                    ),
                ),
                (
                    "by",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="accounts.member",
                    ),
                ),
                (
                    "cause",
                    models.ForeignKey(
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="treatments.stockmovement",
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
                    "leftover",
                    models.ForeignKey(
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="treatments.leftover",
                    ),
                ),
                (
                    "lot",
                    models.ForeignKey(
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="treatments.lot",
                    ),
                ),
                (
                    "to_lot",
                    models.ForeignKey(
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="treatments.lot",
                    ),
                ),
                (
                    "work_day",
                    models.ForeignKey(
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="workdays.workday",
                    ),
                ),
            ],
            options={
                "abstract": False,
                "indexes": [
                    models.Index(fields=["group", "id"], name="stockmovement_in_group"),
                    models.Index(fields=["group", "lot"], name="movements_of_a_lot"),
                    models.Index(fields=["group", "to_lot"], name="movements_into_a_lot"),
                    models.Index(fields=["group", "batch"], name="movements_of_a_batch"),
                    models.Index(fields=["cause"], name="counts_for_a_movement"),
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("lot__isnull", False),
                            ("batch__isnull", False),
                            ("leftover__isnull", False),
                            _connector="OR",
                        ),
                        name="a_movement_is_of_something",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("delta_ug", None),
                                ("mass_ug", None),
                                ("volume_nl__gte", 0),
                                ("volume_nl__isnull", False),
                            ),
                            models.Q(
                                ("delta_nl", None), ("mass_ug__gte", 0), ("mass_ug__isnull", False), ("volume_nl", None)
                            ),
                            models.Q(("mass_ug", None), ("volume_nl", None), ("what", "count")),
                            _connector="OR",
                        ),
                        name="only_a_count_may_lack_an_amount",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("delta_nl__isnull", False), ("delta_ug", None)),
                            models.Q(("delta_nl", None), ("delta_ug__isnull", False)),
                            _connector="OR",
                        ),
                        name="a_movement_is_in_one_measure",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("to_lot", None), models.Q(("to_lot", models.F("lot")), _negated=True), _connector="OR"
                        ),
                        name="a_transfer_goes_elsewhere",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="WorkLine",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                ("rev", models.PositiveIntegerField(default=1, verbose_name="revisions so far")),
                ("entered_at", models.DateTimeField()),
                ("note", models.TextField(blank=True)),
                ("voided_at", models.DateTimeField(null=True)),
                ("on_date", models.DateField(verbose_name="local date of the place")),
                ("marks", models.JSONField(default=list, verbose_name="what was flagged when it was recorded")),
                ("method", models.CharField(max_length=40)),
                ("stems", models.PositiveIntegerField(null=True)),
                ("area_mm2", models.BigIntegerField(null=True, verbose_name="area treated, gross [mm²]")),
                ("area_value", models.CharField(max_length=40, null=True)),
                ("area_unit", models.CharField(max_length=20, null=True)),
                ("is_follow_up", models.BooleanField(null=True, verbose_name="whether the place was treated before")),
                ("done_at", models.DateTimeField()),
                ("minutes", models.PositiveIntegerField(null=True, verbose_name="person-minutes")),
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
                    "species",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="catalog.species",
                    ),
                ),
                (
                    "unit",
                    models.ForeignKey(
                        db_index=False, on_delete=django.db.models.deletion.PROTECT, related_name="+", to="places.unit"
                    ),
                ),
                (
                    "work_day",
                    models.ForeignKey(
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="workdays.workday",
                    ),
                ),
            ],
            options={
                "abstract": False,
                "indexes": [
                    models.Index(fields=["group", "id"], name="workline_in_group"),
                    models.Index(fields=["group", "property", "on_date"], name="worklines_of_a_property"),
                ],
            },
        ),
        migrations.CreateModel(
            name="ActiveUse",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                ("product_nl", models.BigIntegerField(null=True, verbose_name="liquid product that carried it [nL]")),
                ("dry_product_ug", models.BigIntegerField(null=True, verbose_name="dry product that carried it [µg]")),
                ("ai_ug", models.BigIntegerField(null=True, verbose_name="active ingredient [µg]")),
                ("ae_ug", models.BigIntegerField(null=True, verbose_name="acid equivalent [µg]")),
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
                (
                    "application",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="active_uses",
                        to="treatments.application",
                    ),
                ),
            ],
            options={
                "abstract": False,
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("product_nl", None), ("dry_product_ug", None), _connector="XOR"),
                        name="an_active_ingredient_comes_by_volume_or_by_weight",
                    )
                ],
            },
        ),
    ]
