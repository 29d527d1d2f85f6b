"""Verbs of lots and stock movements."""

from stewardship.catalog.models import Product
from stewardship.journal.fields import Target
from stewardship.sync.verbs.verb import Ahead, Verb, Verbs
from stewardship.treatments import fields
from stewardship.treatments.models import Batch, Leftover, Lot, StockMovement
from stewardship.treatments.services import lots, movements

STOCK, WORK = "manage_stock", "record_work"
_ITS_COUNTS = (StockMovement, "cause_id")
_LOTS = {"lot_id": Lot, "to_lot_id": Lot}
_MIX = {
    "id": (Ahead(StockMovement, "id", "batch_id", Batch), Ahead(StockMovement, "id", "leftover_id", Leftover)),
}
_KEEPS_STOCK = dict.fromkeys((("what", what) for what in ("receipt", "return", "transfer", "count")), STOCK)
"""Whoever works in the field may say what was lost, spilled or disposed of; the rest is the stock keeper's."""

VERBS: Verbs = {
    ("lot", "create"): Verb(Lot, fields.NewLot, lots.record_lot, STOCK),
    ("lot", "amend"): Verb(
        Lot,
        fields.AmendLot,
        lots.amend_lot,
        STOCK,
        reason=True,
        ahead={"id": Ahead(Lot, "id", "product_id", Product, lock=False)},
    ),
    ("lot", "void"): Verb(Lot, Target, lots.void_lot, STOCK, reason=True),
    ("lot", "reinstate"): Verb(Lot, Target, lots.reinstate_lot, STOCK, reason=True),
    ("stock_movement", "create"): Verb(
        StockMovement,
        fields.NewStockMovement,
        movements.record_movement,
        WORK,
        besides=_KEEPS_STOCK,
        through={"lot": ("product_id", Product)},
        ahead={"leftover": Ahead(Leftover, "id", "batch_id", Batch)},
        lists={"lot": (StockMovement, "lot_id")},
    ),
    ("stock_movement", "void"): Verb(
        StockMovement,
        Target,
        movements.void_movement,
        WORK,
        own=True,
        reason=True,
        behind=_LOTS,
        ahead=_MIX,
        carried=(_ITS_COUNTS,),
        lists={"id": _ITS_COUNTS},
    ),
    ("stock_movement", "reinstate"): Verb(
        StockMovement, Target, movements.reinstate_movement, WORK, own=True, reason=True, behind=_LOTS, ahead=_MIX
    ),
}
