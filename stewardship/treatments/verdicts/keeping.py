"""Until when a record is kept, and that nobody deletes it: not before that day, and not after it either."""

from collections.abc import Callable
from datetime import datetime
from typing import Any, NoReturn

from django.db.models import Q

from stewardship.accounts.models import Group
from stewardship.errors import RuleViolation
from stewardship.rules.dates import said
from stewardship.treatments.models import Application, Batch, Session
from stewardship.treatments.verdicts.judging import kept_until
from stewardship.treatments.verdicts.shelf import JUDGED


class Kept(RuleViolation):
    """A record of the book is voided where it was a mistake, and never deleted."""

    code = "kept"
    message = "Nobody deletes a record of the book. Void it, with a reason, if it was a mistake. {until}"


LINES: dict[type, Callable[[Any], Q]] = {
    Application: lambda line: Q(id=line.id),
    Session: lambda session: Q(session_id=session.id),
    Batch: lambda batch: Q(batch_id=batch.id),
}
"""Type of record -> the lines whose rules it is kept by."""


def refuse_to_delete(group: Group, record: Any, now: datetime) -> NoReturn:
    """Refuse, and name the day until which the longest rule holds the record. Raises Kept."""
    until = "No stored rule names a day until which it is kept; it is kept all the same."
    if lines_of := LINES.get(type(record)):
        lines = Application.objects.filter(lines_of(record), group_id=group.id).select_related(*JUDGED)
        if found := kept_until(group, lines, now):
            on, rule = found
            until = f"The longest rule, {rule}, has it kept until {said(on)}. Nothing expires by itself, then or later."
    raise Kept(until=until)
