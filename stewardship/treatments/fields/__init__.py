"""What may be sent about stock, batches, leftovers, containers, sessions, applications and work lines."""

from stewardship.treatments.fields.amounts import Carrier, HowKnown, SomeArea, SomeVolume
from stewardship.treatments.fields.answers import AnswerLapse
from stewardship.treatments.fields.batches import Adjuvant, AmendBatch, CloseBatch, NewBatch, Part, Poured
from stewardship.treatments.fields.containers import AmendContainer, BringBack, NewContainer, ShareContainer, ShareLine
from stewardship.treatments.fields.contractors import AmendContractor, NewContractor
from stewardship.treatments.fields.leftovers import AmendLeftover, EndLeftover, IdentifyLeftover, NewLeftover
from stewardship.treatments.fields.lines import AmendApplication, AmendWorkLine, NewApplication, NewWorkLine
from stewardship.treatments.fields.photos import ShowPhotos
from stewardship.treatments.fields.planned_mixes import NewPlannedMix, Override, PlannedPart
from stewardship.treatments.fields.rinses import NewRinse
from stewardship.treatments.fields.sessions import AmendSession, EndSession, NewSession
from stewardship.treatments.fields.signatures import Attest, Countersign, Lock, Unlock
from stewardship.treatments.fields.stock import AmendLot, NewLot, NewStockMovement

__all__ = [
    "Adjuvant",
    "AmendApplication",
    "AmendBatch",
    "AmendContainer",
    "AmendContractor",
    "AmendLeftover",
    "AmendLot",
    "AmendSession",
    "AmendWorkLine",
    "AnswerLapse",
    "Attest",
    "BringBack",
    "Carrier",
    "CloseBatch",
    "Countersign",
    "EndLeftover",
    "EndSession",
    "HowKnown",
    "IdentifyLeftover",
    "Lock",
    "NewApplication",
    "NewBatch",
    "NewContainer",
    "NewContractor",
    "NewLeftover",
    "NewLot",
    "NewPlannedMix",
    "NewRinse",
    "NewSession",
    "NewStockMovement",
    "NewWorkLine",
    "Override",
    "Part",
    "PlannedPart",
    "Poured",
    "ShareContainer",
    "ShareLine",
    "ShowPhotos",
    "SomeArea",
    "SomeVolume",
    "Unlock",
]
