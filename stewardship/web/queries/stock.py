"""Lots to choose from: those that hold something first, of these the oldest first."""

from collections.abc import Iterable
from uuid import UUID

from django.db.models import BooleanField, ExpressionWrapper, F, Q
from django.db.models.functions import Coalesce

from stewardship.treatments.models import Lot

MOST = 100
"""Lots in one list."""


def lots_of(group_id: UUID, products: Iterable[UUID]) -> list[Lot]:
    """Return the lots of these products that are not voided, those that hold something first; one statement."""
    found = Lot.objects.filter(group_id=group_id, product_id__in=list(products), voided_at=None)
    is_empty = ExpressionWrapper(Q(held=0), output_field=BooleanField())
    return list(
        found.alias(held=Coalesce("left_nl", "left_ug")).order_by(
            is_empty, F("purchased_on").asc(nulls_last=True), "id"
        )[:MOST]
    )


def lots_beside(lot: Lot) -> list[Lot]:
    """Return the other lots of a lot's product."""
    return [each for each in lots_of(lot.group_id, [lot.product_id]) if each.id != lot.id]
