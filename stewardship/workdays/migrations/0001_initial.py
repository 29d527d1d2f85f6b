import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models

import stewardship.journal.ids


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("accounts", "0001_initial"),
        ("accounts", "__first__"),
        ("catalog", "0001_initial"),
        ("places", "0001_initial"),
    ]

    operations = [
        migrations.CreateModel(
            name="ApprovedTask",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                ("rev", models.PositiveIntegerField(default=1, verbose_name="revisions so far")),
                ("entered_at", models.DateTimeField()),
                ("title", models.CharField(max_length=200)),
                ("approved_by", models.CharField(blank=True, max_length=200, verbose_name="who approved it, in words")),
                ("approved_on", models.DateField()),
                ("from_on", models.DateField(verbose_name="first local date on which it may be done")),
                ("to_on", models.DateField(null=True, verbose_name="last local date; none: until it is withdrawn")),
                ("units", models.JSONField(default=list, verbose_name="ids of units; none: the whole property")),
                ("species", models.JSONField(default=list, verbose_name="ids of species; none: any")),
                ("methods", models.JSONField(default=list, verbose_name="none: any")),
                ("herbicide", models.BooleanField(default=False, verbose_name="whether it may be done with herbicide")),
                ("document", models.TextField(blank=True, verbose_name="where the paper is that says so")),
                ("note", models.TextField(blank=True)),
                ("withdrawn_at", models.DateTimeField(null=True)),
                ("withdrawn_reason", models.TextField(blank=True)),
                (
                    "approver",
                    models.ForeignKey(
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="accounts.member",
                        verbose_name="the member who approved it",
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
                        related_name="approved_tasks",
                        to="places.property",
                    ),
                ),
            ],
            options={
                "abstract": False,
                "indexes": [
                    models.Index(fields=["group", "id"], name="approvedtask_in_group"),
                    models.Index(fields=["group", "property"], name="approved_tasks_of_a_property"),
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("approved_by", ""), _negated=True), ("approver__isnull", False), _connector="OR"
                        ),
                        name="an_approved_task_says_who_approved_it",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("to_on", None), ("to_on__gte", models.F("from_on")), _connector="OR"),
                        name="an_approved_task_ends_after_it_begins",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("withdrawn_at", None), models.Q(("withdrawn_reason", ""), _negated=True), _connector="OR"
                        ),
                        name="a_withdrawn_task_says_why",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="CalendarFeed",
            fields=[
                (
                    "id",
                    models.UUIDField(
                        default=stewardship.journal.ids.new_id, editable=False, primary_key=True, serialize=False
                    ),
                ),
                (
                    "scope",
                    models.CharField(
                        choices=[("own", "the days that I signed up for"), ("group", "all work days of the group")],
                        max_length=10,
                    ),
                ),
                ("secret_hash", models.CharField(max_length=64, unique=True, verbose_name="SHA-256 of the token")),
                ("made_at", models.DateTimeField(verbose_name="when its present token was made")),
                (
                    "fetched_at",
                    models.DateTimeField(null=True, verbose_name="when it was last fetched, at most once an hour"),
                ),
                ("ended_at", models.DateTimeField(null=True)),
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
                        on_delete=django.db.models.deletion.PROTECT, related_name="calendar_feeds", to="accounts.member"
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="EmergencySheet",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                ("rev", models.PositiveIntegerField(default=1, verbose_name="revisions so far")),
                ("entered_at", models.DateTimeField()),
                ("address", models.TextField(verbose_name="to tell an ambulance")),
                ("access", models.TextField(blank=True, verbose_name="gates, keys, the way in")),
                (
                    "latitude",
                    models.CharField(blank=True, max_length=20, verbose_name="WGS 84, degrees as decimal text"),
                ),
                ("longitude", models.CharField(blank=True, max_length=20)),
                ("meeting_point", models.TextField(blank=True, verbose_name="where an ambulance is met")),
                ("phone_coverage", models.TextField(blank=True, verbose_name="where a telephone works")),
                ("hospital", models.CharField(max_length=200)),
                ("hospital_address", models.TextField(blank=True)),
                ("hospital_phone", models.CharField(blank=True, max_length=60)),
                ("hospital_distance", models.CharField(blank=True, max_length=100, verbose_name="how far, in words")),
                ("contacts", models.JSONField(default=list, verbose_name="name, phone and what for, of each")),
                (
                    "utilities",
                    models.TextField(blank=True, verbose_name="lines and pipes on the land, and whom to call"),
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
                "indexes": [models.Index(fields=["group", "id"], name="emergencysheet_in_group")],
                "constraints": [
                    models.UniqueConstraint(fields=("group", "property"), name="a_property_has_one_emergency_sheet")
                ],
            },
        ),
        migrations.CreateModel(
            name="Practice",
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
                (
                    "what",
                    models.CharField(
                        choices=[
                            ("minimum_age", "least age for a duty"),
                            ("briefing_topic", "topic of a briefing"),
                            ("emergency_number", "number to call"),
                            ("incident_clock", "time to report an incident"),
                        ],
                        max_length=20,
                    ),
                ),
                ("subject", models.CharField(blank=True, max_length=30)),
                ("title", models.CharField(max_length=200)),
                ("wording", models.TextField(blank=True, verbose_name="what the source says")),
                ("value", models.CharField(blank=True, max_length=60)),
                ("clock", models.JSONField(null=True, verbose_name="how long there is; null: none")),
                (
                    "jurisdiction",
                    models.CharField(blank=True, max_length=6, verbose_name="ISO 3166 code; empty: none in particular"),
                ),
                (
                    "with_herbicide",
                    models.BooleanField(default=False, verbose_name="bears on days with herbicide only"),
                ),
                ("is_followed", models.BooleanField(default=True, verbose_name="whether the group goes by it")),
                ("place", models.PositiveSmallIntegerField(default=1, verbose_name="order in a list")),
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
                "indexes": [models.Index(fields=["group", "id"], name="practice_in_group")],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("source", ""), _negated=True), name="a_practice_names_its_source"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("clock__isnull", False), ("what", "incident_clock")),
                            models.Q(models.Q(("what", "incident_clock"), _negated=True), ("clock", None)),
                            _connector="OR",
                        ),
                        name="an_incident_clock_has_a_clock",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="WorkDaySeries",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                ("rev", models.PositiveIntegerField(default=1, verbose_name="revisions so far")),
                ("entered_at", models.DateTimeField()),
                ("title", models.CharField(max_length=200)),
                (
                    "rule",
                    models.CharField(max_length=500, verbose_name="as RFC 5545 writes it: FREQ=MONTHLY;BYDAY=2SA"),
                ),
                ("first_on", models.DateField(verbose_name="local date of the first day")),
                (
                    "starts",
                    models.CharField(
                        max_length=5, verbose_name="when each day begins, by the clock of the property: 09:00"
                    ),
                ),
                ("minutes", models.PositiveIntegerField(verbose_name="how long each day lasts")),
                ("without", models.JSONField(default=list, verbose_name="local dates that are left out")),
                ("plan", models.JSONField(default=dict, verbose_name="what each day looks like")),
                (
                    "duties",
                    models.JSONField(
                        default=list, verbose_name="the duties of each day: [{name, other_name, wanted, minimum_age}]"
                    ),
                ),
                (
                    "opens",
                    models.BooleanField(default=False, verbose_name="whether its days are open for sign-up at once"),
                ),
                ("ends_on", models.DateField(null=True, verbose_name="last local date; none: as the rule says")),
                ("ends_reason", models.TextField(blank=True, verbose_name="why it was ended")),
                ("extended_at", models.DateTimeField(null=True, verbose_name="when days were made last")),
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
                        related_name="series",
                        to="places.property",
                    ),
                ),
            ],
            options={
                "abstract": False,
                "indexes": [
                    models.Index(fields=["group", "id"], name="workdayseries_in_group"),
                    models.Index(fields=["group", "property"], name="series_of_a_property"),
                ],
                "constraints": [
                    models.CheckConstraint(condition=models.Q(("minutes__gt", 0)), name="a_day_of_a_series_lasts"),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("ends_on", None), models.Q(("ends_reason", ""), _negated=True), _connector="OR"
                        ),
                        name="a_series_that_was_ended_says_why",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("extended_at", None), ("extended_at__gte", models.F("entered_at")), _connector="OR"
                        ),
                        name="a_series_is_not_extended_before_it_was_entered",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="WorkDay",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                ("rev", models.PositiveIntegerField(default=1, verbose_name="revisions so far")),
                ("entered_at", models.DateTimeField()),
                ("title", models.CharField(max_length=200)),
                ("on_date", models.DateField(verbose_name="local date, by the clock of time_zone")),
                (
                    "time_zone",
                    models.CharField(
                        max_length=60, verbose_name="the property's zone, else the group's, when the day was planned"
                    ),
                ),
                ("starts_at", models.DateTimeField(null=True)),
                ("ends_at", models.DateTimeField(null=True)),
                ("meeting_point", models.TextField(blank=True)),
                (
                    "access",
                    models.TextField(
                        blank=True, verbose_name="how one gets there: gate, road, parking, reach of a phone"
                    ),
                ),
                ("bring", models.TextField(blank=True, verbose_name="what to wear and bring")),
                ("hazards", models.JSONField(default=list, verbose_name="what to look out for: [{what, note}]")),
                ("note", models.TextField(blank=True)),
                ("notice", models.TextField(blank=True, verbose_name="what everybody who signed up should know now")),
                (
                    "leader_contact",
                    models.CharField(blank=True, max_length=200, verbose_name="how the leader is reached on the day"),
                ),
                (
                    "capacity",
                    models.PositiveIntegerField(
                        null=True, verbose_name="how many people at most over all duties; none: no such limit"
                    ),
                ),
                (
                    "sign_up_closes_at",
                    models.DateTimeField(null=True, verbose_name="none: as long as people are wanted"),
                ),
                (
                    "weather_decision_at",
                    models.DateTimeField(
                        null=True, verbose_name="when it is decided whether the weather admits the day"
                    ),
                ),
                ("units", models.JSONField(default=list, verbose_name="ids of the units to work in")),
                ("species", models.JSONField(default=list, verbose_name="ids of the species that are worked on")),
                ("methods", models.JSONField(default=list, verbose_name="methods that are planned")),
                ("products", models.JSONField(default=list, verbose_name="ids of the products that are planned")),
                ("herbicide_planned", models.BooleanField(default=False)),
                ("series_on", models.DateField(null=True, verbose_name="the local date for which its series made it")),
                (
                    "parted_at",
                    models.DateTimeField(
                        null=True, verbose_name="when it was changed by itself: its series leaves it alone"
                    ),
                ),
                (
                    "postponed_from",
                    models.DateField(
                        null=True, verbose_name="the date that it was first planned for, if it was postponed"
                    ),
                ),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("draft", "a draft"),
                            ("open", "open"),
                            ("confirmed", "confirmed"),
                            ("under_way", "under way"),
                            ("stopped", "stopped early"),
                            ("done", "done"),
                            ("closed", "closed"),
                            ("cancelled", "cancelled"),
                        ],
                        default="draft",
                        max_length=20,
                    ),
                ),
                (
                    "state_reason",
                    models.TextField(blank=True, verbose_name="why it was stopped, cancelled or postponed"),
                ),
                (
                    "had_incident",
                    models.BooleanField(
                        null=True, verbose_name="whether anything went wrong on it; null: nobody has said"
                    ),
                ),
                ("stopped_at", models.DateTimeField(null=True, verbose_name="when it was stopped early")),
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
                    "leader",
                    models.ForeignKey(
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="accounts.member",
                        verbose_name="who leads the day",
                    ),
                ),
                (
                    "property",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="work_days",
                        to="places.property",
                    ),
                ),
                (
                    "task",
                    models.ForeignKey(
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="work_days",
                        to="workdays.approvedtask",
                        verbose_name="the approved task that it serves",
                    ),
                ),
                (
                    "series",
                    models.ForeignKey(
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="days",
                        to="workdays.workdayseries",
                    ),
                ),
            ],
            options={
                "abstract": False,
                "indexes": [
                    models.Index(fields=["group", "id"], name="workday_in_group"),
                    models.Index(fields=["group", "property", "on_date"], name="work_days_of_a_property"),
                    models.Index(fields=["group", "on_date"], name="work_days_by_date"),
                    models.Index(fields=["group", "series"], name="work_days_of_a_series"),
                ],
                "constraints": [
                    models.UniqueConstraint(fields=("series", "series_on"), name="a_series_has_each_date_once"),
                    models.CheckConstraint(
                        condition=models.Q(("ends_at__gt", models.F("starts_at"))),
                        name="a_work_day_ends_after_it_starts",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("state", "stopped"), _negated=True),
                            models.Q(("stopped_at__isnull", False), models.Q(("state_reason", ""), _negated=True)),
                            _connector="OR",
                        ),
                        name="a_stopped_work_day_has_a_time_and_a_reason",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("state", "cancelled"), _negated=True),
                            models.Q(("state_reason", ""), _negated=True),
                            _connector="OR",
                        ),
                        name="a_cancelled_work_day_has_a_reason",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Briefing",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                ("rev", models.PositiveIntegerField(default=1, verbose_name="revisions so far")),
                ("entered_at", models.DateTimeField()),
                ("held_at", models.DateTimeField()),
                ("topics", models.JSONField(default=list, verbose_name="ids of the topics that were spoken of")),
                ("words", models.TextField(blank=True, verbose_name="what else was said")),
                (
                    "emergency_plan_read",
                    models.BooleanField(default=False, verbose_name="the emergency sheet was read out"),
                ),
                (
                    "label_at_hand",
                    models.BooleanField(
                        null=True, verbose_name="label and safety data sheet were at hand; null: not told"
                    ),
                ),
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
                    "led_by",
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
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="briefings",
                        to="workdays.workday",
                    ),
                ),
            ],
            options={
                "abstract": False,
                "indexes": [
                    models.Index(fields=["group", "id"], name="briefing_in_group"),
                    models.Index(fields=["group", "work_day"], name="briefings_of_a_work_day"),
                ],
            },
        ),
        migrations.CreateModel(
            name="Duty",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                ("rev", models.PositiveIntegerField(default=1, verbose_name="revisions so far")),
                ("entered_at", models.DateTimeField()),
                (
                    "name",
                    models.CharField(
                        choices=[
                            ("leader", "leader"),
                            ("team_leader", "team leader"),
                            ("applicator", "applicator"),
                            ("helper", "helper with herbicide"),
                            ("sawyer", "sawyer"),
                            ("swamper", "swamper"),
                            ("cutter", "cutter"),
                            ("puller", "puller"),
                            ("hauler", "hauler"),
                            ("burn_boss", "burn boss"),
                            ("other", "other"),
                        ],
                        max_length=20,
                    ),
                ),
                (
                    "other_name",
                    models.CharField(blank=True, max_length=100, verbose_name="what it is, where the name is other"),
                ),
                ("wanted", models.PositiveIntegerField(verbose_name="how many people")),
                (
                    "needs",
                    models.JSONField(
                        default=list, verbose_name="ids of kinds of credentials that its people hold besides"
                    ),
                ),
                ("minimum_age", models.PositiveSmallIntegerField(null=True, verbose_name="in years, on the day")),
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
                    "work_day",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="duties",
                        to="workdays.workday",
                    ),
                ),
            ],
            options={
                "abstract": False,
                "indexes": [
                    models.Index(fields=["group", "id"], name="duty_in_group"),
                    models.Index(fields=["group", "work_day"], name="duties_of_a_work_day"),
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("name", "other"), models.Q(("other_name", ""), _negated=True)),
                            models.Q(models.Q(("name", "other"), _negated=True), ("other_name", "")),
                            _connector="OR",
                        ),
                        name="only_an_other_duty_is_named_in_words",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Incident",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                ("rev", models.PositiveIntegerField(default=1, verbose_name="revisions so far")),
                ("entered_at", models.DateTimeField()),
                (
                    "what",
                    models.CharField(
                        choices=[
                            ("spill", "spill"),
                            ("exposure", "exposure"),
                            ("injury", "injury"),
                            ("drift", "drift"),
                            ("other", "something else"),
                        ],
                        max_length=20,
                    ),
                ),
                ("happened_at", models.DateTimeField()),
                ("time_zone", models.CharField(max_length=60, verbose_name="of the property, when it was reported")),
                ("words", models.TextField(verbose_name="what happened; nothing about anybody's health")),
                ("first_action", models.TextField(blank=True, verbose_name="what was done at once")),
                ("notified", models.JSONField(default=list)),
                (
                    "answered_at",
                    models.DateTimeField(null=True, verbose_name="when a coordinator called it dealt with"),
                ),
                ("answer", models.TextField(blank=True, verbose_name="what came of it")),
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
                    "property",
                    models.ForeignKey(
                        db_index=False,
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
                        related_name="incidents",
                        to="workdays.workday",
                    ),
                ),
            ],
            options={
                "abstract": False,
                "indexes": [
                    models.Index(fields=["group", "id"], name="incident_in_group"),
                    models.Index(fields=["group", "work_day"], name="incidents_of_a_work_day"),
                    models.Index(
                        condition=models.Q(("answered_at", None), ("voided_at", None)),
                        fields=["group", "happened_at"],
                        name="incidents_open",
                    ),
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("answer", ""), ("answered_at", None)),
                            models.Q(("answered_at__isnull", False), models.Q(("answer", ""), _negated=True)),
                            _connector="OR",
                        ),
                        name="an_answered_incident_says_what_came_of_it",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("answered_at__gte", models.F("happened_at"))),
                        name="an_incident_is_answered_after_it_happened",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="IncidentDetails",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                ("rev", models.PositiveIntegerField(default=1, verbose_name="revisions so far")),
                ("entered_at", models.DateTimeField()),
                ("who", models.TextField(verbose_name="who was hurt or exposed")),
                (
                    "health",
                    models.TextField(blank=True, verbose_name="what happened to them, and what was done for them"),
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
                    "incident",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="workdays.incident",
                    ),
                ),
            ],
            options={
                "abstract": False,
                "indexes": [
                    models.Index(fields=["group", "id"], name="incidentdetails_in_group"),
                    models.Index(fields=["group", "incident"], name="details_of_an_incident"),
                ],
            },
        ),
        migrations.CreateModel(
            name="WeatherReading",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                ("rev", models.PositiveIntegerField(default=1, verbose_name="revisions so far")),
                ("entered_at", models.DateTimeField()),
                ("read_at", models.DateTimeField()),
                (
                    "moment",
                    models.CharField(
                        choices=[("start", "at the start"), ("change", "when it changed"), ("end", "at the end")],
                        max_length=10,
                    ),
                ),
                ("wind_speed_um_s", models.BigIntegerField(null=True)),
                ("wind_speed_value", models.CharField(max_length=40, null=True)),
                ("wind_speed_unit", models.CharField(max_length=20, null=True)),
                ("wind_direction", models.CharField(blank=True, max_length=10, verbose_name="where it comes from")),
                ("temperature_mc", models.BigIntegerField(null=True)),
                ("temperature_value", models.CharField(max_length=40, null=True)),
                ("temperature_unit", models.CharField(max_length=20, null=True)),
                ("humidity_percent", models.PositiveSmallIntegerField(null=True)),
                ("sky", models.CharField(blank=True, max_length=200)),
                (
                    "rain_outlook",
                    models.CharField(
                        blank=True, max_length=200, verbose_name="what is to be expected of rain, and who says so"
                    ),
                ),
                ("read_from", models.CharField(blank=True, max_length=200, verbose_name="which instrument or station")),
                (
                    "went_on",
                    models.TextField(
                        blank=True, verbose_name="why work over a stored limit went on; empty: nobody said"
                    ),
                ),
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
                    "work_day",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="weather_readings",
                        to="workdays.workday",
                    ),
                ),
            ],
            options={
                "abstract": False,
                "indexes": [
                    models.Index(fields=["group", "id"], name="weatherreading_in_group"),
                    models.Index(fields=["group", "work_day"], name="readings_of_a_work_day"),
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("humidity_percent", None), ("humidity_percent__lte", 100), _connector="OR"),
                        name="a_humidity_is_a_percentage",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="SignUp",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                ("rev", models.PositiveIntegerField(default=1, verbose_name="revisions so far")),
                ("entered_at", models.DateTimeField()),
                (
                    "number",
                    models.PositiveIntegerField(
                        verbose_name="the how manieth sign-up for this day it is: the order of the waiting list"
                    ),
                ),
                (
                    "is_waiting",
                    models.BooleanField(default=False, verbose_name="on the waiting list: it takes no place"),
                ),
                (
                    "moved_up_at",
                    models.DateTimeField(null=True, verbose_name="when it got a place after waiting for one"),
                ),
                (
                    "passed_over",
                    models.JSONField(
                        default=list, verbose_name="why a free place went to somebody later: [{at, code}]"
                    ),
                ),
                ("withdrawn_at", models.DateTimeField(null=True)),
                (
                    "duty",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="sign_ups",
                        to="workdays.duty",
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
                        related_name="sign_ups",
                        to="accounts.member",
                    ),
                ),
                (
                    "work_day",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="sign_ups",
                        to="workdays.workday",
                    ),
                ),
            ],
            options={
                "abstract": False,
                "indexes": [
                    models.Index(fields=["group", "id"], name="signup_in_group"),
                    models.Index(fields=["group", "work_day"], name="sign_ups_of_a_work_day"),
                    models.Index(fields=["group", "member"], name="sign_ups_of_a_member"),
                ],
                "constraints": [
                    models.UniqueConstraint(fields=("work_day", "number"), name="sign_ups_of_a_day_stand_in_one_order")
                ],
            },
        ),
        migrations.CreateModel(
            name="Posting",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                ("rev", models.PositiveIntegerField(default=1, verbose_name="revisions so far")),
                ("entered_at", models.DateTimeField()),
                ("units", models.JSONField(default=list, verbose_name="ids of the units that it is about")),
                ("text", models.TextField(verbose_name="what it says, and where it stands")),
                ("put_up_at", models.DateTimeField()),
                (
                    "enter_again_at",
                    models.DateTimeField(
                        null=True, verbose_name="from when people may enter by the label; none: not told"
                    ),
                ),
                ("enter_again_note", models.TextField(blank=True, verbose_name="what the label says about entering")),
                (
                    "due_down_at",
                    models.DateTimeField(null=True, verbose_name="when it is to come down; none: not told"),
                ),
                ("taken_down_at", models.DateTimeField(null=True)),
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
                    "property",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="places.property",
                    ),
                ),
                (
                    "put_up_by",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="accounts.member",
                    ),
                ),
                (
                    "taken_down_by",
                    models.ForeignKey(
                        db_index=False,
                        null=True,
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
                        related_name="postings",
                        to="workdays.workday",
                    ),
                ),
            ],
            options={
                "abstract": False,
                "indexes": [
                    models.Index(fields=["group", "id"], name="posting_in_group"),
                    models.Index(fields=["group", "work_day"], name="postings_of_a_work_day"),
                    models.Index(
                        condition=models.Q(("taken_down_at", None), ("voided_at", None)),
                        fields=["group", "due_down_at"],
                        name="postings_up",
                    ),
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("taken_down_at__gte", models.F("put_up_at"))),
                        name="a_sign_comes_down_after_it_went_up",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("taken_down_at", None), ("taken_down_by", None)),
                            models.Q(("taken_down_at__isnull", False), ("taken_down_by__isnull", False)),
                            _connector="OR",
                        ),
                        name="a_sign_is_taken_down_by_somebody",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="BriefingSignature",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                ("rev", models.PositiveIntegerField(default=1, verbose_name="revisions so far")),
                ("entered_at", models.DateTimeField()),
                ("signed_at", models.DateTimeField()),
                (
                    "sheet",
                    models.CharField(
                        blank=True,
                        max_length=200,
                        verbose_name="which sheet was signed; empty: signed in as themselves",
                    ),
                ),
                ("voided_at", models.DateTimeField(null=True, verbose_name="when it was called a mistaken entry")),
                (
                    "briefing",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="signatures",
                        to="workdays.briefing",
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
                    "work_day",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="workdays.workday",
                    ),
                ),
            ],
            options={
                "abstract": False,
                "indexes": [
                    models.Index(fields=["group", "id"], name="briefingsignature_in_group"),
                    models.Index(fields=["group", "work_day"], name="signatures_of_a_work_day"),
                ],
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("voided_at", None)),
                        fields=("group", "briefing", "member"),
                        name="a_briefing_is_signed_once",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Attendance",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                ("rev", models.PositiveIntegerField(default=1, verbose_name="revisions so far")),
                ("entered_at", models.DateTimeField()),
                (
                    "age_class",
                    models.CharField(
                        choices=[("adult", "adult"), ("youth", "youth"), ("staff", "staff")], max_length=20
                    ),
                ),
                ("on_date", models.DateField(verbose_name="local date of in_at, by the work day's zone")),
                ("in_at", models.DateTimeField()),
                ("out_at", models.DateTimeField(null=True, verbose_name="none: not checked out, hours unknown")),
                (
                    "how_known",
                    models.CharField(
                        blank=True,
                        choices=[("measured", "measured"), ("estimated", "estimated")],
                        max_length=20,
                        verbose_name="how out_at is known",
                    ),
                ),
                ("settled_words", models.TextField(blank=True, verbose_name="what the estimate rests on")),
                (
                    "admitted_words",
                    models.TextField(blank=True, verbose_name="why they were let work without a signed waiver"),
                ),
                ("marks", models.JSONField(default=list, verbose_name="what was flagged")),
                ("voided_at", models.DateTimeField(null=True, verbose_name="when it was called a mistaken entry")),
                (
                    "admitted_by",
                    models.ForeignKey(
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="accounts.member",
                        verbose_name="who let them work unsigned",
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
                        related_name="attendances",
                        to="accounts.member",
                    ),
                ),
                (
                    "settled_by",
                    models.ForeignKey(
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="accounts.member",
                        verbose_name="who estimated out_at",
                    ),
                ),
                (
                    "work_day",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="attendances",
                        to="workdays.workday",
                    ),
                ),
            ],
            options={
                "abstract": False,
                "indexes": [
                    models.Index(fields=["group", "id"], name="attendance_in_group"),
                    models.Index(fields=["group", "work_day"], name="attendances_of_a_work_day"),
                    models.Index(fields=["group", "member"], name="attendances_of_a_member"),
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("out_at__gte", models.F("in_at"))), name="a_check_out_follows_its_check_in"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("how_known", ""), ("out_at", None)),
                            models.Q(("out_at__isnull", False), models.Q(("how_known", ""), _negated=True)),
                            _connector="OR",
                        ),
                        name="a_check_out_says_how_it_is_known",
                    ),
                ],
            },
        ),
    ]
