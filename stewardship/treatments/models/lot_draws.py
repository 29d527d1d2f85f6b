"""What a batch drew from lots, in rows for sums."""

from typing import Any
from uuid import UUID

from django.db import models
from django.db.models import Q

from stewardship.catalog.models import Product
from stewardship.journal.models import Projection
from stewardship.rules.measures import MEASURE, amount_in, amount_of, base_of


class LotDraw(Projection):
    """How much product a batch drew from one lot; of a voided batch nothing, the row then only keeps the way."""

    source = "batch"

    batch = models.ForeignKey("treatments.Batch", models.PROTECT, related_name="lot_draws")
    lot = models.ForeignKey("treatments.Lot", models.PROTECT, related_name="+", db_index=False)
    product = models.ForeignKey(Product, models.PROTECT, related_name="+", db_index=False)
    nl = models.BigIntegerField("liquid drawn [nL]", null=True)
    ug = models.BigIntegerField("dry product drawn [µg]", null=True)

    class Meta(Projection.Meta):
        indexes = [models.Index(fields=["group", "lot"], name="draws_on_a_lot")]
        constraints = [
            models.CheckConstraint(
                name="a_draw_is_in_one_measure",
                condition=Q(nl__isnull=False, ug=None) | Q(nl=None, ug__isnull=False),
            )
        ]

    def __str__(self) -> str:
        return f"{self.amount} {'nL' if self.ug is None else 'µg'} from {self.lot_id}"

    @property
    def amount(self) -> int:
        """Return what was drawn, in the lot's base unit."""
        return amount_in("nl" if self.ug is None else "ug", self.nl, self.ug)

    @classmethod
    def rows_of(cls, record: Any) -> list[dict[str, Any]]:
        """Return a row for each lot of each part."""
        return [
            {
                "batch_id": record.id,
                "lot_id": UUID(drawn["lot"]),
                "product_id": UUID(part["product"]),
                **dict.fromkeys(MEASURE),
                base_of(drawn): 0 if record.voided_at else amount_of(drawn),
            }
            for part in record.parts
            for drawn in part["lots"]
        ]
