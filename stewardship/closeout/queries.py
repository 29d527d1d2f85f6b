"""What keeps a work day from being closed, told without trying to close it."""

from datetime import datetime

from stewardship.accounts.capabilities import Actor
from stewardship.closeout.services import reasons_open
from stewardship.journal.book import Entry
from stewardship.workdays.models import WorkDay
from stewardship.workdays.reasons import Reason


def what_is_open(actor: Actor, day: WorkDay, at: datetime) -> list[Reason]:
    """Return every reason why a day cannot be closed: those that closing it would be refused with."""
    return reasons_open(Entry(group_id=day.group_id, by=actor, at=at), day)
