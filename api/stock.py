"""Stock: lots of product, and what came, went, was lost or was counted."""

from api import filtering
from api.records import GroupRecords
from api.treatments import FactFilters
from stewardship.treatments.models import Lot, StockMovement


class LotFilters(filtering.Filters):
    """By product, by store, by last day of use, by whether something is left and by whether it was voided."""

    product = filtering.Id(field_name="product_id")
    store = filtering.Text()
    expires_before = filtering.Day(field_name="expires_on", lookup_expr="lt")
    empty = filtering.Flag(field_name="left_nl", lookup_expr="gt", exclude=True)
    voided = filtering.Flag(field_name="voided_at", lookup_expr="isnull", exclude=True)


class MovementFilters(FactFilters):
    """By what happened, by lot, by leftover, and by the batch that it took from or whose draw it makes up for too."""

    what = filtering.Choice(words=StockMovement.What.values)
    lot = filtering.Id(field_name="lot_id")
    to_lot = filtering.Id(field_name="to_lot_id")
    batch = filtering.Id(field_name="batch_id")
    leftover = filtering.Id(field_name="leftover_id")


class Lots(GroupRecords):
    """What was bought of a product, and what is left of it by the book."""

    at = "lots"
    model = Lot
    filterset_class = LotFilters


class StockMovements(GroupRecords):
    """What came, went, was lost or was counted, except what was mixed: that a batch says itself."""

    at = "stock-movements"
    model = StockMovement
    filterset_class = MovementFilters
