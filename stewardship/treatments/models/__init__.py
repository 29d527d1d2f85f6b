"""What is in stock, mixed, treated and worked, by whom, and the rows that totals are summed from."""

from stewardship.treatments.models.batches import Batch, PouredFrom
from stewardship.treatments.models.containers import Container
from stewardship.treatments.models.contractors import Contractor
from stewardship.treatments.models.facts import Answerable, Fact, HowKnown, Voidable
from stewardship.treatments.models.leftovers import End, Leftover
from stewardship.treatments.models.lines import ActiveUse, Application, Line, ProductUse, WorkLine
from stewardship.treatments.models.lot_draws import LotDraw
from stewardship.treatments.models.planned_mixes import PlannedMix
from stewardship.treatments.models.rinses import Rinse
from stewardship.treatments.models.sessions import Session
from stewardship.treatments.models.stock import Lot, StockMovement

__all__ = [
    "ActiveUse",
    "Answerable",
    "Application",
    "Batch",
    "Container",
    "Contractor",
    "End",
    "Fact",
    "HowKnown",
    "Leftover",
    "Line",
    "Lot",
    "LotDraw",
    "PlannedMix",
    "PouredFrom",
    "ProductUse",
    "Rinse",
    "Session",
    "StockMovement",
    "Voidable",
    "WorkLine",
]
