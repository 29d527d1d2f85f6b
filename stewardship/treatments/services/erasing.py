"""Who is erased keeps the name as long as a record of a treatment that names them has to be kept."""

from collections.abc import Iterable, Iterator
from datetime import date
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import Q

from stewardship.accounts import fields
from stewardship.accounts.models import Group, Member
from stewardship.accounts.services import erasing
from stewardship.accounts.services.erasing import Blank
from stewardship.credentials.models import Credential, Credit, Training
from stewardship.journal.book import Entry
from stewardship.rules.dates import local_date
from stewardship.treatments.models import Application, Batch, Session
from stewardship.treatments.verdicts.judging import judge_lines
from stewardship.treatments.verdicts.shelf import JUDGED

WITHOUT_END = date.max
"""The date before which a record is kept of which no stored rule names one."""

PARTIES = ("applicator_id", "supervisor_id", "attested_by_id", "countersigned_by_id", "locked_by_id")
"""Columns of a session that name somebody who answers for it; helpers stand in a list."""


def erase_member(entry: Entry, wish: fields.EraseMember, *, others: Iterable[Blank] = ()) -> Member:
    """Erase what is personal of a former member; who answers for records that are kept keeps name and credentials."""
    member = entry.get(Member, wish.id)
    keeps_name = member.id in entry.surveyed[names_kept]
    papers = () if keeps_name else _papers(entry, member)
    return erasing.erase_member(entry, member, keeps_name=keeps_name, others=(*papers, *others))


def _papers(entry: Entry, member: Member) -> Iterator[Blank]:
    for credential in entry.list_of(Credential, "holder_id", member.id):
        yield credential, {"number": "", "note": "", "evidence": []}
    for credit in entry.list_of(Credit, "member_id", member.id):
        yield credit, {"course_number": "", "note": "", "evidence": []}
    for training in entry.list_of(Training, "trainee_id", member.id):
        yield training, {"note": "", "evidence": []}


def names_kept(entry: Entry, wishes: list[Any]) -> frozenset[UUID]:
    """Return those of the members whom a record of a treatment names that a rule keeps today, or no rule lets go."""
    group = Group.objects.get(id=entry.group_id)
    today = local_date(entry.at, ZoneInfo(group.time_zone))
    asked = {wish.id for wish in wishes}
    living: dict[str, Any] = {"group_id": group.id, "voided_at": None}
    sessions = Session.objects.filter(**living).values("id", "helpers", *PARTIES)
    named = {row["id"]: _named(row) & asked for row in sessions}
    named |= {id: {mixer} & asked for id, mixer in Batch.objects.filter(**living).values_list("id", "mixed_by_id")}
    until = _kept_until(entry, group, {id for id, members in named.items() if members})
    return frozenset(
        member for id, members in named.items() if until.get(id, WITHOUT_END) > today for member in members
    )


def _named(row: dict[str, Any]) -> set[UUID]:
    return {row[column] for column in PARTIES} | {UUID(id) for id in row["helpers"] or ()}


def _kept_until(entry: Entry, group: Group, records: set[UUID]) -> dict[UUID, date]:
    """Return for sessions and batches with lines the date before which the longest rule keeps these."""
    of_these = Q(session_id__in=records) | Q(batch_id__in=records)
    found = Application.objects.filter(of_these, group_id=group.id, voided_at=None).select_related(*JUDGED)
    lines = list(found)
    days: dict[UUID, date] = {}
    for judged in judge_lines(group, lines, entry.at):
        if judged.verdict.keep_until:
            days[judged.line.id] = max(judged.verdict.keep_until, days.get(judged.line.id, date.min))
    until: dict[UUID, date] = {}
    for line in lines:
        for id in {line.session_id, line.batch_id} & records:
            until[id] = max(days.get(line.id, WITHOUT_END), until.get(id, date.min))
    return until
