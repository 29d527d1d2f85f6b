"""What of the days' keeping is due: signs that should have come down."""

from datetime import datetime
from uuid import UUID

from stewardship.workdays.models import Posting


def signs_up(group_id: UUID) -> list[Posting]:
    """Return the signs that stand, the first that is due down first; one statement."""
    found = Posting.objects.filter(group_id=group_id, taken_down_at=None, voided_at=None)
    rows = found.select_related("property", "work_day", "put_up_by").order_by("put_up_at", "id")
    return sorted(rows, key=lambda each: (each.due_down_at is None, each.due_down_at or each.put_up_at))


def is_overdue(posting: Posting, at: datetime) -> bool:
    """Tell whether a sign that stands should have come down."""
    return posting.is_up() and posting.due_down_at is not None and posting.due_down_at < at


def signs_overdue(group_id: UUID, at: datetime) -> list[Posting]:
    """Return the signs that should have come down, the longest overdue first."""
    return [posting for posting in signs_up(group_id) if is_overdue(posting, at)]
