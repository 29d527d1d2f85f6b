"""Applications and work lines, and the rows that totals are summed from."""

from typing import Any
from uuid import UUID

from django.db import models
from django.db.models import F, Q

from stewardship.catalog.models import ActiveIngredient, Product, Species
from stewardship.journal.models import Projection
from stewardship.places.models import Property, Unit
from stewardship.treatments.models.batches import Batch
from stewardship.treatments.models.containers import Container
from stewardship.treatments.models.facts import Fact, HowKnown
from stewardship.treatments.models.leftovers import Leftover
from stewardship.treatments.models.sessions import Session


def _in_one_measure(name: str) -> models.CheckConstraint:
    return models.CheckConstraint(name=name, condition=Q(product_nl=None) ^ Q(dry_product_ug=None))


def _amounts(part: dict[str, Any]) -> dict[str, int | None]:
    """Return a product's amount in its own measure: a liquid in nL, a dry one in µg."""
    return {"product_nl": part.get("nl"), "dry_product_ug": part.get("ug")}


def each_once(products: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Return each product of a line once.

    There is one twice where its label changed between two batches that were poured together.
    """
    found: dict[str, dict[str, Any]] = {}
    for part in products:
        found[part["product"]] = _together(found[part["product"]], part) if part["product"] in found else part
    return list(found.values())


def _together(one: dict[str, Any], other: dict[str, Any]) -> dict[str, Any]:
    """Return two shares of one product as one; what one of them does not know is unknown."""
    actives = {active["active_ingredient"]: active for active in one["actives"]}
    for active in other["actives"]:
        id = active["active_ingredient"]
        actives[id] = _added(actives[id], active, ("ai_ug", "ae_ug")) if id in actives else active
    return _added(one, other, ("nl", "ug")) | {"actives": list(actives.values())}


def _added(one: dict[str, Any], other: dict[str, Any], names: tuple[str, ...]) -> dict[str, Any]:
    pairs = {name: (one[name], other[name]) for name in names if name in one and name in other}
    return one | {name: None if None in pair else sum(pair) for name, pair in pairs.items()}


class ProductUse(Projection):
    """How much of one product an application used."""

    source = "application"

    application = models.ForeignKey("treatments.Application", models.PROTECT, related_name="product_uses")
    product = models.ForeignKey(Product, models.PROTECT, related_name="+", db_index=False)
    product_nl = models.BigIntegerField("liquid product before mixing [nL]", null=True)
    dry_product_ug = models.BigIntegerField("dry product before mixing [µg]", null=True)

    class Meta(Projection.Meta):
        constraints = [_in_one_measure("a_product_is_used_by_volume_or_by_weight")]

    def __str__(self) -> str:
        return f"{self.product_nl or self.dry_product_ug} of {self.product_id}"

    @classmethod
    def rows_of(cls, record: Any) -> list[dict[str, Any]]:
        """Return a row for each product of the line; none once it is voided."""
        return [
            {"application_id": record.id, "product_id": UUID(part["product"]), **_amounts(part)}
            for part in record.live_products()
        ]


class ActiveUse(Projection):
    """How much of one active ingredient an application used, from one product; NULL where the label does not say."""

    source = "application"

    application = models.ForeignKey("treatments.Application", models.PROTECT, related_name="active_uses")
    product = models.ForeignKey(Product, models.PROTECT, related_name="+", db_index=False)
    active_ingredient = models.ForeignKey(ActiveIngredient, models.PROTECT, related_name="+", db_index=False)
    product_nl = models.BigIntegerField("liquid product that carried it [nL]", null=True)
    dry_product_ug = models.BigIntegerField("dry product that carried it [µg]", null=True)
    ai_ug = models.BigIntegerField("active ingredient [µg]", null=True)
    ae_ug = models.BigIntegerField("acid equivalent [µg]", null=True)

    class Meta(Projection.Meta):
        constraints = [_in_one_measure("an_active_ingredient_comes_by_volume_or_by_weight")]

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
                **_amounts(part),
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
    area_mm2 = models.BigIntegerField("area treated, gross [mm²]", null=True)
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
    stands_alone = True

    session = models.ForeignKey(Session, models.PROTECT, related_name="applications", db_index=False)
    batch = models.ForeignKey(Batch, models.PROTECT, related_name="applications", db_index=False)
    leftover = models.ForeignKey(Leftover, models.PROTECT, null=True, related_name="+", db_index=False)
    container = models.ForeignKey(Container, models.PROTECT, null=True, related_name="+", db_index=False)
    mix_nl = models.BigIntegerField("mix used [nL]")
    mix_value = models.CharField(max_length=40)
    mix_unit = models.CharField(max_length=20)
    how_known = models.CharField(max_length=20, choices=HowKnown)
    longest_wait = models.CharField("from cut to treatment, the longest; empty: not told", max_length=20, blank=True)
    infested_area_mm2 = models.BigIntegerField("of the area treated, what the species covers [mm²]", null=True)
    infested_area_value = models.CharField(max_length=40, null=True)  # noqa: DJ001
    infested_area_unit = models.CharField(max_length=20, null=True)  # noqa: DJ001
    is_spot = models.BooleanField("whether the words spot treatment stand on the record", default=False)
    products = models.JSONField("products with their volume, a.i. and a.e. in this line")

    class Meta(Line.Meta):
        indexes = [
            *Line.Meta.indexes,
            models.Index(fields=["group", "on_date"], name="applications_by_date"),
            models.Index(fields=["group", "session"], name="applications_of_a_session"),
            models.Index(fields=["group", "batch"], name="applications_of_a_batch"),
            models.Index(fields=["group", "container"], name="applications_of_a_container"),
        ]
        constraints = [
            models.CheckConstraint(name="an_application_uses_something", condition=Q(mix_nl__gt=0)),
            models.CheckConstraint(
                name="an_infested_area_lies_within_the_treated_one",
                condition=Q(area_mm2=None) | Q(infested_area_mm2=None) | Q(infested_area_mm2__lte=F("area_mm2")),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.mix_value} {self.mix_unit} on {self.on_date}"

    def live_products(self) -> list[dict[str, Any]]:
        """Return the products that count in totals: none once the line is voided."""
        return [] if self.voided_at else self.products_used()

    def products_used(self) -> list[dict[str, Any]]:
        """Return each product of the line once."""
        return each_once(self.products)


class WorkLine(Line):
    """Work done without herbicide: pulling, digging, girdling, cutting."""

    kind = "work_line"

    done_at = models.DateTimeField()
    minutes = models.PositiveIntegerField("person-minutes", null=True)

    def __str__(self) -> str:
        return f"{self.method} on {self.on_date}"
