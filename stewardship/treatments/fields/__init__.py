"""What may be sent about lots, stock movements, batches, sessions, applications and work lines."""

from stewardship.treatments.fields.amounts import Carrier, HowKnown, SomeArea, SomeVolume
from stewardship.treatments.fields.batches import Adjuvant, AmendBatch, NewBatch, Part
from stewardship.treatments.fields.contractors import AmendContractor, NewContractor
from stewardship.treatments.fields.lines import AmendApplication, AmendWorkLine, NewApplication, NewWorkLine
from stewardship.treatments.fields.sessions import AmendSession, EndSession, NewSession
from stewardship.treatments.fields.stock import AmendLot, NewLot, NewStockMovement

__all__ = [
    "Adjuvant",
    "AmendApplication",
    "AmendBatch",
    "AmendLot",
    "AmendContractor",
    "AmendSession",
    "AmendWorkLine",
    "Carrier",
    "EndSession",
    "HowKnown",
    "NewApplication",
    "NewBatch",
    "NewLot",
    "NewContractor",
    "NewSession",
    "NewStockMovement",
    "NewWorkLine",
    "Part",
    "SomeArea",
    "SomeVolume",
]
