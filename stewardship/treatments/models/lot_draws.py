"""What a batch drew from lots, in rows for sums."""

from typing import Any
from uuid import UUID

from django.db import models

from stewardship.catalog.models import Product
from stewardship.journal.models import Projection


class LotDraw(Projection):
    """How much product a batch drew from one lot; of a voided batch nothing, the row then only keeps the way."""

    source = "batch"

    batch = models.ForeignKey("treatments.Batch", models.PROTECT, related_name="lot_draws")
    lot = models.ForeignKey("treatments.Lot", models.PROTECT, related_name="+", db_index=False)
    product = models.ForeignKey(Product, models.PROTECT, related_name="+", db_index=False)
    nl = models.BigIntegerField("product drawn [nL]")

    class Meta(Projection.Meta):
        indexes = [models.Index(fields=["group", "lot"], name="draws_on_a_lot")]

    def __str__(self) -> str:
        return f"{self.nl} nL from {self.lot_id}"

    @classmethod
    def rows_of(cls, record: Any) -> list[dict[str, Any]]:
        """Return a row for each lot of each part."""
        return [
            {
                "batch_id": record.id,
                "lot_id": UUID(drawn["lot"]),
                "product_id": UUID(part["product"]),
                "nl": 0 if record.voided_at else drawn["nl"],
            }
            for part in record.parts
            for drawn in part["lots"]
        ]
