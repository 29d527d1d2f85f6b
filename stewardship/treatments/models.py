"""Batch, session, application and work line, and the rows that totals are summed from."""

from typing import Any
from uuid import UUID

from django.db import models
from django.db.models import F, Q

from stewardship.accounts.models import Member
from stewardship.catalog.models import ActiveIngredient, Product, Species
from stewardship.journal.models import Projection, Record
from stewardship.places.models import Property, Unit
from stewardship.workdays.models import WorkDay


class HowKnown(models.TextChoices):
    """How an amount is known; reports count each kind."""

    MEASURED = "measured"
    READ_OFF = "read_off_container"
    ESTIMATED = "estimated"
    APPORTIONED = "apportioned"


class Fact(Record):
    """Something that was done. It is recorded and marked, never refused for a lapse; voided, never deleted."""

    work_day = models.ForeignKey(WorkDay, models.PROTECT, null=True, related_name="+", db_index=False)
    on_date = models.DateField("local date of the place")
    note = models.TextField(blank=True)
    marks = models.JSONField("what was flagged when it was recorded", default=list)
    voided_at = models.DateTimeField(null=True)

    class Meta(Record.Meta):
        abstract = True


class Batch(Fact):
    """One quantity of mix, made once."""

    kind = "batch"
    derived = frozenset({"used_nl", "used_parts", "lines"})
    follows = ("left_nl", "parts_left")

    time_zone = models.CharField("the zone that its local date was told by", max_length=60)
    mixed_at = models.DateTimeField()
    mixed_by = models.ForeignKey(Member, models.PROTECT, related_name="+", db_index=False)
    mix_nl = models.BigIntegerField("finished mix [nL]")
    mix_value = models.CharField(max_length=40)
    mix_unit = models.CharField(max_length=20)
    how_known = models.CharField(max_length=20, choices=HowKnown)
    carrier = models.CharField("what the products were mixed into", max_length=20)
    parts = models.JSONField("products with their volume and label strengths as mixed")
    adjuvants = models.JSONField("adjuvants and dye with their volume", default=list)
    used_nl = models.BigIntegerField("mix taken out so far [nL]", default=0)
    used_parts = models.JSONField("of each part, taken out so far [nL]", default=list)
    lines = models.PositiveIntegerField("applications that draw on it", default=0)

    class Meta(Fact.Meta):
        constraints = [
            models.CheckConstraint(
                name="a_batch_is_not_overdrawn", condition=Q(used_nl__gte=0, used_nl__lte=F("mix_nl"))
            ),
            models.CheckConstraint(name="a_batch_holds_something", condition=Q(mix_nl__gt=0)),
        ]

    def __str__(self) -> str:
        return f"{self.mix_value} {self.mix_unit} of {self.on_date}"

    @property
    def left_nl(self) -> int:
        """Return the mix that is left [nL]."""
        return self.mix_nl - self.used_nl

    @property
    def parts_left(self) -> list[dict[str, Any]]:
        """Return for each product of the mix its id and what is left of it [nL]."""
        used = zip(self.parts, self.used_parts, strict=True)
        return [{"product": part["product"], "left_nl": part["volume"]["nl"] - nl} for part, nl in used]


class Session(Fact):
    """One treatment session by one applicator; it may stand without a work day."""

    kind = "session"

    property = models.ForeignKey(Property, models.PROTECT, related_name="+", db_index=False)
    unit = models.ForeignKey(Unit, models.PROTECT, related_name="+", db_index=False)
    time_zone = models.CharField("the zone that its local date was told by", max_length=60)
    applicator = models.ForeignKey(Member, models.PROTECT, related_name="+", db_index=False)
    started_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True)

    class Meta(Fact.Meta):
        indexes = [
            *Fact.Meta.indexes,
            models.Index(fields=["group", "property", "on_date"], name="sessions_of_a_property"),
            models.Index(fields=["group", "work_day"], name="sessions_of_a_work_day"),
        ]
        constraints = [
            models.CheckConstraint(
                name="a_session_ends_after_it_begins",
                condition=Q(ended_at__isnull=True) | Q(ended_at__gte=F("started_at")),
            )
        ]

    def __str__(self) -> str:
        return f"session of {self.on_date}"


class ProductUse(Projection):
    """How much of one product an application used."""

    source = "application"

    application = models.ForeignKey("treatments.Application", models.PROTECT, related_name="product_uses")
    product = models.ForeignKey(Product, models.PROTECT, related_name="+", db_index=False)
    product_nl = models.BigIntegerField("product before mixing [nL]")

    def __str__(self) -> str:
        return f"{self.product_nl} nL of {self.product_id}"

    @classmethod
    def rows_of(cls, record: Any) -> list[dict[str, Any]]:
        """Return a row for each product of the line; none once it is voided."""
        return [
            {"application_id": record.id, "product_id": UUID(part["product"]), "product_nl": part["nl"]}
            for part in record.live_products()
        ]


class ActiveUse(Projection):
    """How much of one active ingredient an application used, from one product; NULL where the label does not say."""

    source = "application"

    application = models.ForeignKey("treatments.Application", models.PROTECT, related_name="active_uses")
    product = models.ForeignKey(Product, models.PROTECT, related_name="+", db_index=False)
    active_ingredient = models.ForeignKey(ActiveIngredient, models.PROTECT, related_name="+", db_index=False)
    product_nl = models.BigIntegerField("product that carried it [nL]")
    ai_ug = models.BigIntegerField("active ingredient [µg]", null=True)
    ae_ug = models.BigIntegerField("acid equivalent [µg]", null=True)

    def __str__(self) -> str:
        return f"{self.active_ingredient_id} from {self.product_id}"

    @classmethod
    def rows_of(cls, record: Any) -> list[dict[str, Any]]:
        """Return a row for each active ingredient of each product of the line; none once it is voided."""
        return [
            {
                "application_id": record.id,
                "product_id": UUID(part["product"]),
                "active_ingredient_id": UUID(active["active_ingredient"]),
                "product_nl": part["nl"],
                "ai_ug": active["ai_ug"],
                "ae_ug": active["ae_ug"],
            }
            for part in record.live_products()
            for active in part["actives"]
        ]


class Line(Fact):
    """One line of work: one species, one method, one unit."""

    property = models.ForeignKey(Property, models.PROTECT, related_name="+", db_index=False)
    unit = models.ForeignKey(Unit, models.PROTECT, related_name="+", db_index=False)
    species = models.ForeignKey(Species, models.PROTECT, related_name="+", db_index=False)
    method = models.CharField(max_length=40)
    stems = models.PositiveIntegerField(null=True)
    area_mm2 = models.BigIntegerField("area treated [mm²]", null=True)
    area_value = models.CharField(max_length=40, null=True)  # noqa: DJ001
    area_unit = models.CharField(max_length=20, null=True)  # noqa: DJ001
    is_follow_up = models.BooleanField("whether the place was treated before", null=True)

    class Meta(Fact.Meta):
        abstract = True
        indexes = [
            *Fact.Meta.indexes,
            models.Index(fields=["group", "property", "on_date"], name="%(class)ss_of_a_property"),
        ]


class Application(Line):
    """What was used of one batch, where and how; a row for each product of the mix beside it."""

    kind = "application"
    projections = (ProductUse, ActiveUse)

    session = models.ForeignKey(Session, models.PROTECT, related_name="applications", db_index=False)
    batch = models.ForeignKey(Batch, models.PROTECT, related_name="applications", db_index=False)
    mix_nl = models.BigIntegerField("mix used [nL]")
    mix_value = models.CharField(max_length=40)
    mix_unit = models.CharField(max_length=20)
    how_known = models.CharField(max_length=20, choices=HowKnown)
    products = models.JSONField("products with their volume, a.i. and a.e. in this line")

    class Meta(Line.Meta):
        indexes = [
            *Line.Meta.indexes,
            models.Index(fields=["group", "session"], name="applications_of_a_session"),
            models.Index(fields=["group", "batch"], name="applications_of_a_batch"),
        ]
        constraints = [models.CheckConstraint(name="an_application_uses_something", condition=Q(mix_nl__gt=0))]

    def __str__(self) -> str:
        return f"{self.mix_value} {self.mix_unit} on {self.on_date}"

    def live_products(self) -> list[dict[str, Any]]:
        """Return the products that count in totals: none once the line is voided."""
        products: list[dict[str, Any]] = self.products
        return [] if self.voided_at else products


class WorkLine(Line):
    """Work done without herbicide: pulling, digging, girdling, cutting."""

    kind = "work_line"

    done_at = models.DateTimeField()
    minutes = models.PositiveIntegerField("person-minutes", null=True)

    def __str__(self) -> str:
        return f"{self.method} on {self.on_date}"
