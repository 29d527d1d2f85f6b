"""Contractors are entered and corrected; what their papers were worth on a date is marked."""

from datetime import date
from uuid import UUID

from stewardship.journal.book import Entry
from stewardship.journal.fields import columns
from stewardship.rules.dates import said
from stewardship.treatments import fields
from stewardship.treatments.models import Contractor
from stewardship.treatments.services.facts import Marks, mark

PAPERS = {"licence": "licence", "insurance": "insurance"}
"""Paper of a contractor -> what it is called to people."""


def add_contractor(entry: Entry, new: fields.NewContractor) -> Contractor:
    """Enter a business that applies for the group."""
    return entry.create(Contractor, id=new.id, **columns(new))


def amend_contractor(entry: Entry, wish: fields.AmendContractor) -> Contractor:
    """Correct a contractor, or note a renewal; what was judged before keeps its marks."""
    return entry.change(entry.get(Contractor, wish.id), **columns(wish))


def contractor_marks(entry: Entry, contractor_id: UUID, on: date, field: str) -> Marks:
    """Return what to mark about a contractor's licence and insurance on a date; the last day counts."""
    entry.load(Contractor, [contractor_id], lock=False)
    contractor = entry.get(Contractor, contractor_id)
    return [found for paper in PAPERS for found in _paper_marks(contractor, paper, on, field)]


def _paper_marks(contractor: Contractor, paper: str, on: date, field: str) -> Marks:
    last_on: date | None = getattr(contractor, f"{paper}_valid_to")
    if last_on is None:
        detail = f"The last day of the contractor's {PAPERS[paper]} is not on record."
        return [mark(f"contractor_{paper}_unknown", detail, field)]
    if last_on >= on:
        return []
    number = getattr(contractor, f"{paper}_number") or "without a number"
    detail = f"The contractor's {PAPERS[paper]} {number} ended on {said(last_on)}. It did not count on {said(on)}."
    return [mark(f"contractor_{paper}_ended", detail, field)]
