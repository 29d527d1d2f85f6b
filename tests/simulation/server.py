"""The service of a simulated world: its clock, what it is asked beside the devices, its backup and its restoring."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.db import transaction

from stewardship.accounts import devices
from stewardship.accounts.models import Device, Member
from stewardship.errors import RuleViolation
from stewardship.journal.models import Book, Revision
from stewardship.sync.models import Mutation, State, ToSettle
from stewardship.sync.rewinding import begin_epoch
from tests.cast import Someone
from tests.client.store import KEPT_FOR


@dataclass
class Server:
    """The service, its database and its clock. A backup is a savepoint: what came after it can be forgotten."""

    boss: Someone
    """A coordinator who works at a desk, through REST, and stays one."""
    now: datetime
    saved: tuple[str, datetime] | None = None

    def passes(self, time: timedelta) -> None:
        """Let time pass."""
        self.now += time

    def register(self, who: Someone) -> tuple[str, str]:
        """Make a device for somebody who signs in."""
        device, token = devices.mint(who.person, "phone", at=self.now)
        return str(device.id), token

    def revoke(self, device: str) -> bool:
        """End the right of a device to act, and of its copies; tell whether it was known here."""
        found = Device.objects.select_related("copy_of").filter(id=device).first()
        if found is not None:
            devices.revoke(found.copy_of or found, at=self.now)
        return found is not None

    def does(self, type: str, op: str, **values: Any) -> bool:
        """Do something at the desk; tell whether it was taken."""
        try:
            self.boss.does(type, op, at=self.now, **values)
        except RuleViolation:
            return False
        return True

    # -- backup --------------------------------------------------------------------------------------

    def back_up(self) -> None:
        """Make a backup; it takes the place of the one before."""
        self.saved = (transaction.savepoint(), self.now)

    def restore(self) -> bool:
        """Go back to the backup and begin a new epoch; tell whether there was a backup that is not too old."""
        if self.saved is None or self.saved[1] + KEPT_FOR <= self.now:
            return False
        transaction.savepoint_rollback(self.saved[0])
        begin_epoch()
        return True

    # -- what stands in it -----------------------------------------------------------------------------

    def ledger(self) -> dict[str, Mutation]:
        """Return the lines of the ledger, by the id of their mutation."""
        lines = Mutation.objects.filter(group_id=self.boss.group_id)
        return {str(line.mid): line for line in lines}

    def book(self) -> Book:
        """Return where the book stands."""
        return Book.objects.get(group_id=self.boss.group_id)

    def state(self) -> tuple[Any, ...]:
        """Return how far the book goes, what waits, and how much was taken."""
        book = self.book()
        return book.epoch, book.head, book.head_hash, book.held, Mutation.objects.count()

    def waiting(self) -> list[ToSettle]:
        """Return what waits to be settled, in the order of the book."""
        waiting = ToSettle.objects.filter(group_id=self.boss.group_id, state=State.WAITING).in_bulk()
        held = Revision.objects.filter(group_id=self.boss.group_id, record_id__in=waiting, rev=1)
        return [waiting[id] for id in held.order_by("seq").values_list("record_id", flat=True)]

    def revisions(self) -> list[Revision]:
        """Return the whole book, in its order."""
        return list(Revision.objects.filter(group_id=self.boss.group_id).order_by("seq"))

    # -- whose it is -----------------------------------------------------------------------------------

    def audiences(self, who: Someone) -> set[str] | None:
        """Return the audiences somebody belongs to now, told from the row of their membership; None: all of them."""
        member = Member.objects.get(id=who.member.id)
        if member.ended_at or member.suspended_at:
            return set()
        return None if member.role == "coordinator" else {"group", str(member.person_id)}

    def hidden_among(self, phone: Any) -> list[str]:
        """Return the ids in a phone's copy that are not for its person now."""
        audiences = self.audiences(phone.who)
        if audiences is None:
            return []
        copied = phone.device.store.records()
        hidden = Revision.objects.filter(group_id=self.boss.group_id, rev=1).exclude(audience__in=audiences)
        return [str(id) for id in hidden.values_list("record_id", flat=True) if str(id) in copied]
