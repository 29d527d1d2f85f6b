"""What may be sent about batches, sessions, applications and work lines."""

from stewardship.treatments.fields.amounts import Carrier, HowKnown, SomeArea, SomeVolume
from stewardship.treatments.fields.batches import Adjuvant, AmendBatch, NewBatch, Part
from stewardship.treatments.fields.lines import AmendApplication, AmendWorkLine, NewApplication, NewWorkLine
from stewardship.treatments.fields.sessions import AmendSession, EndSession, NewSession

__all__ = [
    "Adjuvant",
    "AmendApplication",
    "AmendBatch",
    "AmendSession",
    "AmendWorkLine",
    "Carrier",
    "EndSession",
    "HowKnown",
    "NewApplication",
    "NewBatch",
    "NewSession",
    "NewWorkLine",
    "Part",
    "SomeArea",
    "SomeVolume",
]
