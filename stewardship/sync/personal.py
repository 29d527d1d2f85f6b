"""What a group knows of a member in person; erased with them is also what was sent of it and never entered the book."""

from collections.abc import Iterator
from datetime import datetime
from typing import Any
from uuid import UUID

import orjson

from stewardship.accounts import fields
from stewardship.accounts.models import Consent, EmergencyContact, Invitation, Member, PersonalDetails
from stewardship.accounts.services.erasing import ERASED, Blank
from stewardship.credentials.models import Credential, Credit, Training
from stewardship.jobs.models import Job
from stewardship.journal.book import Entry
from stewardship.journal.models import Record
from stewardship.notices.services import forgetting
from stewardship.sync.models import Mutation, State, ToSettle
from stewardship.treatments.services import erasing

RECORDS: tuple[tuple[type[Record], str], ...] = (
    (PersonalDetails, "member_id"), (EmergencyContact, "member_id"), (Consent, "member_id"), (Invitation, "member_id"),
    (Invitation, "became_id"), (Credential, "holder_id"), (Credit, "member_id"), (Training, "trainee_id"),
)  # fmt: skip
"""What a group knows of a member: records, and the column that names them."""

HELD: tuple[type[Record], str] = (ToSettle, "about_id")
"""What was sent of a member in person and held."""

NAMED_BY: dict[str, tuple[type[Record], str]] = {
    Member.kind: (Member, "id"),
    **{model.kind: (model, column) for model, column in reversed(RECORDS)},
}
"""Kind of such a record -> its type, and the column that names the member."""

_TOLD_STILL = ("mid", "outcome", "code", "to_settle")
"""What the answer to a held mutation still says once it is erased."""


def erase_member(entry: Entry, wish: fields.EraseMember) -> Member:
    """Erase what is personal of a former member, and what was held of it; what still waits is voided."""
    return erasing.erase_member(entry, wish, others=_held(entry, wish.id))


def _held(entry: Entry, member_id: UUID) -> Iterator[Blank]:
    for item in entry.list_of(ToSettle, "about_id", member_id):
        values: dict[str, Any] = {"payload": "", "fields": None, "problems": [], "detail": ERASED}
        if item.is_waiting:
            values |= {"state": State.VOIDED.value, "settled_at": entry.at, "settled_by_id": entry.by.member_id}
        yield item, values


def forget_erased(job: Job, at: datetime) -> dict[str, Any]:
    """Clear what stands outside the book of everybody whom the group erased, the ledger too."""
    return forgetting.forget_erased(job, at, also=_clear_ledger)


def _clear_ledger(member: Member) -> None:
    held = ToSettle.objects.filter(group_id=member.group_id, about_id=member.id)
    lines = Mutation.objects.filter(group_id=member.group_id, mid__in=held.values("mid")).exclude(payload="")
    for line in lines:
        result = orjson.loads(line.result)
        line.payload, line.result = "", orjson.dumps({name: result[name] for name in _TOLD_STILL}).decode()
    Mutation.objects.bulk_update(lines, ["payload", "result"])
