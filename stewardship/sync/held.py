"""How many entries wait for a person to settle them, by the records that keep them: the book only counts."""

from collections.abc import Iterator
from uuid import UUID

from django.db.models import Count, OuterRef, Subquery
from django.db.models.functions import Coalesce

from stewardship.journal.models import Book
from stewardship.journal.verifying import Finding
from stewardship.sync.models import State, ToSettle


def uncounted(group_id: UUID) -> Iterator[Finding]:
    """Give a finding if the book counts others than wait; both are read of one state of the database."""
    waiting = ToSettle.objects.filter(group_id=OuterRef("group_id"), state=State.WAITING).order_by().values("group_id")
    counted = Coalesce(Subquery(waiting.annotate(count=Count("id")).values("count")), 0)
    for held, found in Book.objects.filter(group_id=group_id).values_list("held", counted):
        if held != found:
            yield Finding("held_wrong", f"The book says that {held} entries wait to be settled; {found} do.")
