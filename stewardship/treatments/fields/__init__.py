"""What may be sent about lots, stock movements, batches, leftovers, sessions, applications and work lines."""

from stewardship.treatments.fields.amounts import Carrier, HowKnown, SomeArea, SomeVolume
from stewardship.treatments.fields.batches import Adjuvant, AmendBatch, CloseBatch, NewBatch, Part, Poured
from stewardship.treatments.fields.contractors import AmendContractor, NewContractor
from stewardship.treatments.fields.leftovers import AmendLeftover, EndLeftover, IdentifyLeftover, NewLeftover
from stewardship.treatments.fields.lines import AmendApplication, AmendWorkLine, NewApplication, NewWorkLine
from stewardship.treatments.fields.sessions import AmendSession, EndSession, NewSession
from stewardship.treatments.fields.stock import AmendLot, NewLot, NewStockMovement

__all__ = [
    "Adjuvant",
    "AmendApplication",
    "AmendBatch",
    "AmendLeftover",
    "AmendLot",
    "AmendContractor",
    "AmendSession",
    "AmendWorkLine",
    "Carrier",
    "CloseBatch",
    "EndLeftover",
    "EndSession",
    "IdentifyLeftover",
    "HowKnown",
    "NewApplication",
    "NewBatch",
    "NewLeftover",
    "NewLot",
    "NewContractor",
    "NewSession",
    "NewStockMovement",
    "NewWorkLine",
    "Part",
    "Poured",
    "SomeArea",
    "SomeVolume",
]
