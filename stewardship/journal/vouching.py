"""Records that somebody entered in another's name: the book says who did, and an act of the same mutation for whom."""

from collections.abc import Iterable
from typing import Any
from uuid import UUID

from stewardship.journal.models import Record, Revision


def is_vouched_for(row: Record, mid: UUID, types: Iterable[type[Record]]) -> bool:
    """Return whether a mutation also acted, in their name, on a record of who is said to have entered this one."""
    return any(_acted_for(row, mid, model) for model in types if model.speaks_for)


def _acted_for(row: Record, mid: UUID, model: Any) -> bool:
    acts = Revision.objects.filter(group_id=row.group_id, mid=mid, kind=model.kind, op__in=model.speaks_for)
    theirs = model._default_manager.filter(group_id=row.group_id, entered_by_id=row.entered_by_id)
    found: bool = theirs.filter(id__in=acts.values("record_id")).exists()
    return found
